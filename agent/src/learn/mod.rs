//! Learns from listening which bits of an unknown bus carry what.
//!
//! ```text
//! frames -> Recording -> streams by id -> bits (flip rates, counters, checksums)
//!        -> fields -> series (how each behaves) -> score against prompts -> Learnt
//! Learnt -> draft (DBC, machine file), plots, words
//! ```
//!
//! Pure: no clocks, no files. `live` and `command` bring those. Nothing is ever sent.

mod adapter;
mod bits;
mod command;
mod draft;
mod field;
mod fields;
mod line;
pub(crate) mod listen;
mod live;
mod plot;
mod prompts;
mod recording;
mod scale;
mod score;
mod seams;
mod series;
mod session;
mod shape;
mod verdict;
mod words;

pub use command::{Heard, LearnOptions, LearnOutcome, learn_command};
pub use draft::{dbc_draft, machine_draft};
pub use field::Field;
pub use fields::LeftOut;
pub use line::Interval;
pub use plot::svg;
pub use prompts::{Prompt, Quantity, Task, parse_prompts, prompts_text};
pub use recording::{Frame, Recording};
pub use scale::Scale;
pub use score::{KnownCurrent, KnownSpeed};
pub use words::report;

use crate::decode::CanId;
use fields::{Trial, Trials};
use recording::Stream;
use score::{Company, Score};
use series::{CELL_S, correlation};

/// This many fields are compared with each other.
const CLOSE_LOOK: usize = 80;
/// Fields with a correlation above this say the same.
const SAME: f64 = 0.97;
/// Candidates kept of each quantity.
const KEPT: usize = 8;
/// A brush current this much below the best one is not the second motor's.
const TWIN: f64 = 0.85;

/// A field that may carry a quantity.
#[derive(Clone, Debug, PartialEq)]
pub struct Candidate {
    /// The identifier.
    pub id: CanId,
    /// Bytes of its payload.
    pub payload_len: u8,
    /// The bits.
    pub field: Field,
    /// 0 to 1.
    pub score: f64,
    /// From the number to SI.
    pub scale: Scale,
    /// Why, in words.
    pub evidence: Vec<String>,
    /// Whether it is the quantity, as far as can be told: see `doubts`. Only the best one is.
    pub sure: bool,
    /// Of the best one: why it is not sure, and what to do about it.
    pub doubts: Vec<String>,
    /// Frames a second.
    pub rate_hz: f64,
    /// Its number, five times a second.
    pub trace: Vec<f32>,
    /// Bits of the payload that ever changed, and its last payload.
    pub(crate) moving: u64,
    pub(crate) last: u64,
}

/// What was found.
#[derive(Clone, Debug, PartialEq)]
pub struct Learnt {
    /// Candidates of each quantity, best first; quantities without any are left out.
    pub found: Vec<(Quantity, Vec<Candidate>)>,
    /// Identifiers that were judged.
    pub ids: usize,
    /// What was left out.
    pub left_out: LeftOut,
    /// Length in s.
    pub length_s: f64,
    /// Frames.
    pub frames: usize,
}

/// What helps to judge.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Hints {
    /// What the technician was asked to do.
    pub prompts: Vec<Prompt>,
    /// Speeds read elsewhere.
    pub known: Vec<KnownSpeed>,
    /// Currents of a brush motor that a clamp meter showed.
    pub currents: Vec<KnownCurrent>,
    /// Nominal battery voltage, if a machine file says it.
    pub battery_v: Option<f64>,
    /// Rated current of a brush motor, if a machine file says it.
    pub rated_a: Option<f64>,
}

impl Learnt {
    /// The candidates of a quantity.
    pub fn of(&self, quantity: Quantity) -> &[Candidate] {
        self.found.iter().find(|found| found.0 == quantity).map_or(&[], |found| &found.1)
    }
}

/// Judges a recording.
pub fn learn(recording: &Recording, hints: &Hints) -> Learnt {
    let streams = recording.streams();
    let cells = ((recording.length_s() / CELL_S).ceil() as usize).max(1);
    let mut trials = Trials::of(&streams, cells);
    let mut ids: Vec<CanId> = recording.frames.iter().map(|frame| frame.id).collect();
    ids.sort_unstable_by_key(|id| match id {
        CanId::Standard(id) => (false, u32::from(*id)),
        CanId::Extended(id) => (true, *id),
    });
    ids.dedup();
    trials.left_out.rare_ids = ids.len() - streams.len();
    let mut found = Vec::new();
    let mut current_grid: Option<Vec<f32>> = None;
    for quantity in Quantity::ALL {
        let mut scored = scores(&trials, quantity, hints, current_grid.as_deref());
        let best = score::best(&trials.trials, &mut scored, KEPT);
        if quantity == Quantity::BrushCurrent {
            current_grid = best.first().map(|place| trials.trials[*place].series.grid.clone());
        }
        let mut candidates: Vec<Candidate> = best
            .iter()
            .filter_map(|place| scored.iter().find(|scored| scored.0 == *place))
            .map(|scored| candidate(&streams, &trials, scored, quantity, hints))
            .collect();
        if let (Some(candidate), Some(first)) = (candidates.first_mut(), best.first()) {
            candidate.doubts = verdict::doubts(&trials.trials, &scored, *first, quantity);
            candidate.sure = candidate.doubts.is_empty();
        }
        if !candidates.is_empty() {
            found.push((quantity, candidates));
        }
    }
    Learnt {
        found,
        ids: streams.len(),
        left_out: trials.left_out,
        length_s: recording.length_s(),
        frames: recording.frames.len(),
    }
}

fn scores(
    trials: &Trials,
    quantity: Quantity,
    hints: &Hints,
    current: Option<&[f32]>,
) -> Vec<(usize, Score)> {
    let all = trials.trials.iter().enumerate();
    match quantity {
        Quantity::Speed => speeds(trials, hints),
        Quantity::BrushCurrent => {
            all.map(|(i, t)| (i, score::current(&t.series, &hints.prompts))).collect()
        }
        Quantity::BrushCommand | Quantity::HeadDown | Quantity::Pressure => {
            all.map(|(i, t)| (i, score::setting(&t.series, &hints.prompts, quantity))).collect()
        }
        Quantity::Voltage => {
            let Some(current) = current else { return Vec::new() };
            let against = |trial: &Trial| correlation(&trial.series.grid, current);
            all.map(|(i, t)| (i, score::voltage(&t.series, against(t)))).collect()
        }
    }
}

fn speeds(trials: &Trials, hints: &Hints) -> Vec<(usize, Score)> {
    let first = |trial: &Trial| {
        score::speed(&trial.series, Company::default(), &hints.prompts, &hints.known).value
    };
    let mut close: Vec<(usize, f64)> =
        trials.trials.iter().map(first).enumerate().filter(|(_, score)| *score > 0.0).collect();
    close.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    close.truncate(CLOSE_LOOK);
    let scored = |place: usize| {
        let trial = &trials.trials[place];
        let company = company(trials, &close, place);
        (place, score::speed(&trial.series, company, &hints.prompts, &hints.known))
    };
    close.iter().map(|(place, _)| scored(*place)).collect()
}

fn company(trials: &Trials, close: &[(usize, f64)], place: usize) -> Company {
    let trial = &trials.trials[place];
    let (grid, mask) = (&trial.series.grid, trial.series.field.mask());
    // Parts of one field are no siblings: those counted must not overlap each other.
    let mut counted: Vec<(usize, u64)> = vec![(trial.stream, mask)];
    for (other, _) in close {
        let other = &trials.trials[*other];
        let its = other.series.field.mask();
        let overlaps =
            counted.iter().any(|(stream, mask)| *stream == other.stream && mask & its != 0);
        if !overlaps && correlation(grid, &other.series.grid).abs() > SAME {
            counted.push((other.stream, its));
        }
    }
    let climbs =
        trials.odometers.iter().filter(|o| o.stream != trial.stream || o.field.mask() & mask == 0);
    let odometer = climbs.map(|o| correlation(grid, &o.rate)).reduce(f64::max);
    Company { siblings: counted.len() - 1, odometer }
}

fn candidate(
    streams: &[Stream],
    trials: &Trials,
    scored: &(usize, Score),
    quantity: Quantity,
    hints: &Hints,
) -> Candidate {
    let (trial, score) = (&trials.trials[scored.0], &scored.1);
    let stream = &streams[trial.stream];
    Candidate {
        id: stream.id,
        payload_len: stream.len,
        field: trial.series.field,
        score: score.value,
        scale: Scale::guess(&trial.series, quantity, hints),
        evidence: score.evidence.clone(),
        sure: false,
        doubts: Vec::new(),
        rate_hz: stream.rate_hz(),
        trace: trial.series.grid.clone(),
        moving: trials.moving[trial.stream],
        last: stream.words.last().copied().unwrap_or(0),
    }
}

/// The candidates that are the brush motors of a machine with `brushes` of them: the best
/// one and those that are nearly as good and move like it.
pub(crate) fn motors(candidates: &[Candidate], brushes: usize) -> Vec<&Candidate> {
    let Some(best) = candidates.first() else { return Vec::new() };
    let twin = |other: &&Candidate| {
        other.score > TWIN * best.score && correlation(&best.trace, &other.trace) > 0.9
    };
    let mut motors: Vec<&Candidate> = candidates.iter().filter(twin).take(brushes).collect();
    if motors.is_empty() {
        motors.push(best);
    }
    motors.sort_by_key(|c| (format!("{:?}", c.id), c.field.start));
    motors
}
