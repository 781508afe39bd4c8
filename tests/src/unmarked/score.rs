//! Simulates nights, has them recorded and read, and counts what was assumed rightly.
//!
//! A block is *right* when the assumed place is the true one in at least four fifths of
//! its time; for work that was not planned, when no place is assumed.

use super::nights::{Crew, Night, night};
use crate::every_seed::every_seed;
use crate::scenario;
use chrono::DateTime;
use std::error::Error;
use std::ops::Range;
use tempfile::TempDir;
use underbrush_agent::record_chunks;
use underbrush_fixtures::Simulation;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::whereabouts::{AssumedMark, WorkBlock, assume};
use underbrush_report::findings::{Inputs, Judge, SectionWork, Shift, Span};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Phase, Site};

/// A night as it was and as it was read.
#[derive(Debug)]
pub struct Judged {
    /// What was planned and done.
    pub night: Night,
    /// When each of the done was worked, in ms.
    pub spans: Vec<(i64, i64)>,
    /// The blocks found.
    pub blocks: Vec<WorkBlock>,
    /// What was assumed.
    pub assumed: Vec<AssumedMark>,
    /// The work by section, with the assumed marks.
    pub works: Vec<SectionWork>,
    /// Problems told with the assumed marks.
    pub problems: Vec<String>,
}

/// One block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outcome {
    /// Seed of its night.
    pub seed: u64,
    /// How sure it was.
    pub confidence: f64,
    /// Whether it was right.
    pub right: bool,
}

/// The made-up building.
///
/// # Errors
/// When its file cannot be read.
pub fn site() -> Result<Site, Box<dyn Error>> {
    Ok(Site::parse("site.toml", &std::fs::read_to_string(scenario("site.toml"))?)?)
}

/// Simulates the night of a seed, records it, and reads it twice: for its blocks, and with
/// what was assumed for them. `book` is the shift book, which may know something.
///
/// # Errors
/// When the folder or the scenario's files cannot be used.
pub fn run(
    (seed, crew): (u64, Crew),
    book: impl Fn(&Night, &[WorkBlock], &Site) -> Book,
    again: bool,
) -> Result<Judged, Box<dyn Error>> {
    let site = site()?;
    let mut night = night(seed, &site, crew);
    let spec = night.shift.machine;
    let machine = Machine::parse(spec.file, &std::fs::read_to_string(scenario(spec.file))?)?;
    let (start, minutes) = (night.shift.start_utc_ms, night.shift.minutes);
    let mut simulation = Simulation::new(night.shift.clone(), seed);
    let dir = TempDir::new()?;
    let chunks = simulation.by_ref().map(|c| (BootMs(c.arrival_ms), c.bytes));
    record_chunks(dir.path(), &machine.id, UtcMs(start), chunks)?;
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(dir.path(), &settings)?;
    let at = |ms: i64| DateTime::from_timestamp_millis(ms).ok_or("the shift begins at no time");
    let span = Span { from: at(start)?, to: at(start + i64::from(minutes + 1) * 60_000)? };
    let shift = Shift { date: span.from.date_naive(), span, zone: site.zone };
    let spans = spans(&mut night, &simulation, start);
    let empty = Book::default();
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &empty };
    let blocks = Judge::new(inputs).shift(&shift).blocks;
    let book = book(&night, &blocks, &site);
    let inputs = Inputs { book: &book, ..inputs };
    let mut judge = Judge::new(inputs);
    let known = if again { judge.shift(&shift).blocks } else { blocks.clone() };
    let assumed = assume(&site, &known, &night.planned);
    let (mut works, mut problems) = (Vec::new(), Vec::new());
    if again {
        let found = judge.shift_assuming(&shift, &assumed);
        works = found.sections;
        problems = found.data.problems.into_iter().map(|problem| problem.message).collect();
    }
    Ok(Judged { night, spans, blocks: known, assumed, works, problems })
}

/// When each of the done was worked, by the simulator's truth; joined work by its minutes.
/// What the shift's end cut off goes.
fn spans(night: &mut Night, simulation: &Simulation, start: i64) -> Vec<(i64, i64)> {
    let mut spans = Vec::new();
    for stay in &simulation.truth().sections {
        let (from, to) = (start + stay.from_ms as i64, start + stay.to_ms as i64);
        let begin = spans.len();
        let joined = night.done[begin..].iter().take_while(|done| done.joined).count();
        let pieces = &night.done[begin..=begin + joined];
        let whole: f64 = pieces.iter().map(|done| done.minutes).sum();
        let worked_ms = (whole * 60_000.0) as i64;
        let mut gone = 0.0;
        for piece in pieces {
            let border = |share: f64| from + (share / whole * worked_ms as f64) as i64;
            let end = if spans.len() == begin + joined { to } else { border(gone + piece.minutes) };
            spans.push((border(gone), end));
            gone += piece.minutes;
        }
    }
    night.done.truncate(spans.len());
    spans
}

type Key = Option<(usize, Phase)>;

/// Each block of a night, right or wrong.
pub fn score(seed: u64, judged: &Judged) -> Vec<Outcome> {
    let truth = |at: i64| -> Key {
        let number = judged.spans.iter().position(|(from, to)| (*from..*to).contains(&at))?;
        let done = judged.night.done.get(number)?;
        done.entry.map(|_| done.place)
    };
    let found = |at: i64| {
        let mark = judged.assumed.iter().rev().find(|mark| mark.at.0 <= at)?;
        Some((mark.place.section.zip(mark.place.phase), mark.confidence))
    };
    let outcome = |block: &WorkBlock| {
        let times = block.span.from.timestamp_millis()..block.span.to.timestamp_millis();
        let (mut seen, mut same, mut confidence) = (0_u32, 0_u32, 1.0_f64);
        for at in times.step_by(2_000) {
            let (place, sure) = found(at).unwrap_or((None, 0.0));
            seen += 1;
            same += u32::from(place == truth(at));
            confidence = confidence.min(sure);
        }
        Outcome { seed, confidence, right: f64::from(same) >= 0.8 * f64::from(seen) }
    };
    judged.blocks.iter().map(outcome).collect()
}

/// All blocks of all seeds, in order of seeds, on all processors.
///
/// # Panics
/// If a night could not be simulated, recorded or read at all.
pub fn score_seeds(seeds: Range<u64>, crew: Crew) -> Vec<Outcome> {
    let judged = |seed| {
        let judged = run((seed, crew), |_, _, _| Book::default(), false);
        let judged = judged.unwrap_or_else(|error| panic!("seed {seed}: {error}"));
        score(seed, &judged)
    };
    let mut all = Vec::new();
    every_seed(seeds, judged, |_, outcomes| all.extend(outcomes));
    all.sort_by_key(|outcome| outcome.seed);
    all
}
