//! Time at speed with brushes turning, against the band of the phase in force.
//!
//! Model: each interval between two readings counts its length at the speed of
//! the reading that ends it, so sums are times and their mean times the time is
//! the way. Band ends belong to the band; standing counts as below it. Speeds
//! are kept apart to 1 mm/s up to 2 m/s and to three digits above (HDR
//! histogram); a quantile is right to that and to the sensor's own error.
//!
//! An *excursion* begins when the speed leaves the band of its phase and ends
//! when it is back: the time to correct. It must last longer than
//! [`EXCURSION_OVER`], our own choice, so that noise at an end of the band does
//! not count; turns at the end of a run are excursions too. One that ends
//! because the brushes stop, the phase changes or readings are missing was not
//! corrected and only counts.
//!
//! A change of direction is a move the other way after the last one, standing
//! hysteresis in between. Slip hints: `protocol::detect::grip`.

use super::figure::{Amount, Case, Figure, Known};
use super::histogram::SpeedHistogram;
use super::moment::{Moment, wall_span};
use super::observed::Observed;
use super::types::{Place, Span};
use crate::logset::ClockMap;
use crate::settings::{Band, Phase};
use hdrhistogram::Histogram;
use underbrush_protocol::detect::{Limits, Slip, SlipHint, SlipKind};
use underbrush_protocol::si::{MetresPerSecond, Seconds};
use underbrush_protocol::time::BootMs;

/// Shorter than this outside of the band is no excursion.
const EXCURSION_OVER: Seconds = Seconds(1.0);
/// More slip hints than this are only counted.
const MOST_SLIPS: usize = 50;
/// Hints nearer to each other than this are one.
const SLIPS_JOIN_MS: i64 = 2_000;

/// Speed with brushes turning.
#[derive(Clone, Debug, Default, serde::Serialize, serde::Deserialize)]
pub struct SpeedFinding {
    /// Time by speed, all phases.
    pub histogram: SpeedHistogram,
    /// Brush time of each phase, in order of phase; `None` where no phase was marked.
    pub by_phase: Vec<PhaseSpeed>,
    /// Excursions below a band: turns, stops, creeping.
    pub too_slow: Excursions,
    /// Excursions above a band.
    pub too_fast: Excursions,
    /// Moves the other way, brushes turning.
    pub direction_changes: u32,
    /// Hints that a wheel slipped, in order.
    pub slips: Vec<SlipFinding>,
    /// Hints beyond those listed.
    pub more_slips: u32,
    /// Time in which the speed was known, of all time with a brush turning.
    pub observed: Observed,
}

/// Brush time of one phase against its band.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct PhaseSpeed {
    /// The phase; `None`: not marked.
    pub phase: Option<Phase>,
    /// Its band; `None` if the phase is not known.
    pub band: Option<Band>,
    /// Slower than the band, standing included.
    pub below: Seconds,
    /// In the band, its ends included.
    pub within: Seconds,
    /// Faster than the band.
    pub above: Seconds,
    /// Half of the time it was not faster than this.
    pub median: Option<MetresPerSecond>,
    /// 5 % of the time it was not faster than this.
    pub p5: Option<MetresPerSecond>,
    /// 95 % of the time it was not faster than this.
    pub p95: Option<MetresPerSecond>,
}

impl PhaseSpeed {
    /// All brush time of the phase.
    pub fn total(&self) -> Seconds {
        self.below + self.within + self.above
    }
}

/// Times outside of the band on one side of it.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Excursions {
    /// How many ended back in the band.
    pub corrected: u32,
    /// How many ended otherwise: brushes off, another phase, no readings.
    pub open: u32,
    /// Half of the corrected ones took no longer than this.
    pub median: Option<Seconds>,
    /// The longest corrected one.
    pub longest: Option<Seconds>,
}

/// A hint that a wheel slipped.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct SlipFinding {
    /// When.
    pub span: Span,
    /// What made it likely.
    pub kind: SlipKind,
    /// Where.
    pub place: Place,
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Below,
    Within,
    Above,
}

/// An excursion that goes on.
struct Open {
    side: Side,
    phase: Option<Phase>,
    from: BootMs,
    to: BootMs,
}

/// Lengths of corrected excursions in ms, to two digits.
struct Lengths {
    ms: Histogram<u64>,
    open: u32,
}

impl Default for Lengths {
    fn default() -> Self {
        // Constant bounds that the library accepts: up to a day.
        let ms = Histogram::new_with_bounds(1, 86_400_000, 2)
            .unwrap_or_else(|_| unreachable!("constant bounds are valid"));
        Self { ms, open: 0 }
    }
}

impl Lengths {
    fn finish(self) -> Excursions {
        let at = |share| {
            let known = !self.ms.is_empty();
            known.then(|| Seconds::from_ms(self.ms.value_at_quantile(share)))
        };
        let corrected = self.ms.len() as u32;
        Excursions { corrected, open: self.open, median: at(0.5), longest: at(1.0) }
    }
}

pub(super) struct Speeds {
    limits: Limits,
    by_phase: Vec<(PhaseSpeed, SpeedHistogram)>,
    open: Option<Open>,
    too_slow: Lengths,
    too_fast: Lengths,
    /// Whether the last move was forward.
    forward: Option<bool>,
    direction_changes: u32,
    slip: Slip,
    slips: Vec<SlipFinding>,
    more_slips: u32,
    observed: Observed,
}

impl Speeds {
    pub(super) fn new(limits: Limits) -> Self {
        Self {
            limits,
            by_phase: Vec::new(),
            open: None,
            too_slow: Lengths::default(),
            too_fast: Lengths::default(),
            forward: None,
            direction_changes: 0,
            slip: Slip::new(limits),
            slips: Vec::new(),
            more_slips: 0,
            observed: Observed::default(),
        }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        if let Some(hint) = self.slip.step(moment.interval) {
            self.take(hint, moment.place, moment.clock);
        }
        if moment.turning == Some(true) {
            self.observed.add(moment.length(), moment.speed().is_some());
        }
        let Some(speed) = moment.brush_speed() else {
            self.end_excursion(false);
            return;
        };
        self.direction(moment);
        let (sums, histogram) = self.phase(moment);
        histogram.add(speed, moment.ms());
        let side = match moment.band {
            Some(band) if speed < band.low => Side::Below,
            Some(band) if speed > band.high => Side::Above,
            // Without a band all time is in one sum; `band` says that it was not judged.
            _ => Side::Within,
        };
        match side {
            Side::Below => sums.below += moment.length(),
            Side::Within => sums.within += moment.length(),
            Side::Above => sums.above += moment.length(),
        }
        self.excursion(moment, side);
    }

    fn phase(&mut self, moment: &Moment<'_>) -> &mut (PhaseSpeed, SpeedHistogram) {
        let phase = moment.place.phase;
        let place = self.by_phase.iter().position(|(p, _)| p.phase == phase).unwrap_or_else(|| {
            let sums = PhaseSpeed { phase, band: moment.band, ..PhaseSpeed::default() };
            self.by_phase.push((sums, SpeedHistogram::default()));
            self.by_phase.len() - 1
        });
        &mut self.by_phase[place]
    }

    fn direction(&mut self, moment: &Moment<'_>) {
        let speed = moment.interval.speed_m_s.unwrap_or(0.0);
        if speed.abs() < self.limits.moving_m_s {
            return;
        }
        let forward = speed > 0.0;
        if self.forward.replace(forward).is_some_and(|last| last != forward) {
            self.direction_changes += 1;
        }
    }

    fn excursion(&mut self, moment: &Moment<'_>, side: Side) {
        let interval = moment.interval;
        let phase = moment.place.phase;
        match &mut self.open {
            Some(open) if open.to != interval.from || open.phase != phase => {
                self.end_excursion(false);
            }
            Some(open) if open.side == side => {
                open.to = interval.to;
                return;
            }
            Some(_) => self.end_excursion(side == Side::Within),
            None => {}
        }
        if side != Side::Within {
            self.open = Some(Open { side, phase, from: interval.from, to: interval.to });
        }
    }

    fn end_excursion(&mut self, corrected: bool) {
        let Some(open) = self.open.take() else { return };
        let ms = open.to.since(open.from);
        if Seconds::from_ms(ms) <= EXCURSION_OVER {
            return;
        }
        let lengths =
            if open.side == Side::Above { &mut self.too_fast } else { &mut self.too_slow };
        if corrected {
            lengths.ms.saturating_record(ms);
        } else {
            lengths.open += 1;
        }
    }

    fn take(&mut self, hint: SlipHint, place: Place, clock: &ClockMap) {
        let span = wall_span(clock, hint.run);
        let near = |last: &SlipFinding| {
            (span.from - last.span.to).num_milliseconds() <= SLIPS_JOIN_MS && last.kind == hint.kind
        };
        if let Some(last) = self.slips.last_mut().filter(|last| near(last)) {
            last.span.to = span.to;
        } else if self.slips.len() < MOST_SLIPS {
            self.slips.push(SlipFinding { span, kind: hint.kind, place });
        } else {
            self.more_slips += 1;
        }
    }

    pub(super) fn boot_ends(&mut self, place: Place, clock: &ClockMap) {
        self.end_excursion(false);
        self.forward = None;
        if let Some(hint) = self.slip.finish() {
            self.take(hint, place, clock);
        }
    }

    pub(super) fn finish(mut self) -> SpeedFinding {
        self.by_phase.sort_by_key(|(p, _)| (p.phase.is_none(), p.phase));
        let mut histogram = SpeedHistogram::default();
        let by_phase = self.by_phase.into_iter().map(|(sums, times)| {
            histogram.merge(&times);
            let (median, p5, p95) =
                (times.quantile(0.5), times.quantile(0.05), times.quantile(0.95));
            PhaseSpeed { median, p5, p95, ..sums }
        });
        let by_phase = by_phase.collect();
        SpeedFinding {
            by_phase,
            histogram,
            too_slow: self.too_slow.finish(),
            too_fast: self.too_fast.finish(),
            direction_changes: self.direction_changes,
            slips: self.slips,
            more_slips: self.more_slips,
            observed: self.observed,
        }
    }
}

const NO_BRUSH_TIME: &str = "no brush turned while the speed was known";
const NONE_CORRECTED: &str = "none came back into the band";
const READ: &[&str] =
    &["speed", "brush_command", "brush_current_1", "brush_rotation_1", "turn_rate"];
const TIMES: &str = "HDR histogram weighted by time; quantile = smallest speed not exceeded for that share of the brush time (nearest rank)";

fn bands(known: &Known<'_>) -> Vec<Case> {
    let phases = known.findings.speed.by_phase.iter();
    let name = |phase: Option<Phase>| phase.map_or("no mark".to_owned(), |p| p.to_string());
    phases
        .map(|p| {
            let end = |end: fn(Band) -> MetresPerSecond| {
                Amount::or_unknown(p.band.map(end), Amount::Speed, "no phase was marked")
            };
            Case { title: name(p.phase), ..Case::default() }.with([
                ("band from", end(|b| b.low)),
                ("band to", end(|b| b.high)),
                ("below", Amount::Time(p.below)),
                ("above", Amount::Time(p.above)),
                ("all brush time", Amount::Time(p.total())),
                ("in the band", Amount::Time(p.within)),
            ])
        })
        .collect()
}

fn quantiles(known: &Known<'_>) -> Vec<Case> {
    let times = &known.findings.speed.histogram;
    let at = |share| Amount::or_unknown(times.quantile(share), Amount::Speed, NO_BRUSH_TIME);
    Case::one([
        ("brush time", Amount::Time(times.total())),
        ("mean", Amount::or_unknown(times.mean(), Amount::Speed, NO_BRUSH_TIME)),
        ("5 % of the time not faster than", at(0.05)),
        ("95 % of the time not faster than", at(0.95)),
        ("median", at(0.5)),
    ])
}

fn corrections(known: &Known<'_>) -> Vec<Case> {
    let speed = &known.findings.speed;
    [("too fast", speed.too_fast), ("too slow", speed.too_slow)]
        .map(|(title, e)| {
            let time = |t| Amount::or_unknown(t, Amount::Time, NONE_CORRECTED);
            Case { title: title.to_owned(), ..Case::default() }.with([
                ("counts when longer than", Amount::Time(EXCURSION_OVER)),
                ("came back", Amount::Count(e.corrected.into())),
                ("ended otherwise", Amount::Count(e.open.into())),
                ("longest", time(e.longest)),
                ("median time to correct", time(e.median)),
            ])
        })
        .into()
}

fn slips(known: &Known<'_>) -> Vec<Case> {
    let grip = f64::from(known.machine.limits().grip_m_s2);
    let slips = known.findings.speed.slips.iter();
    slips
        .map(|slip| {
            let why = match slip.kind {
                SlipKind::Spin => "the wheel's speed leapt",
                SlipKind::Sideways => "speed x turn rate is beyond the grip",
                SlipKind::Dragged => "it turned while its wheel stood",
            };
            Case::event("slip hint", slip.span).with([
                ("grip, m/s²", Amount::Number(grip)),
                ("why", Amount::Words(why.to_owned())),
            ])
        })
        .collect()
}

fn directions(known: &Known<'_>) -> Vec<Case> {
    let changes = known.findings.speed.direction_changes;
    Case::one([("changes of direction", Amount::Count(changes.into()))])
}

pub(super) const FIGURES: &[Figure] = &[
    Figure {
        id: "speed.band",
        says: "Brush time below, in and above the speed band of each phase",
        channels: READ,
        settings: &[
            "site:bands",
            "machine:speed.wheel_factor",
            "machine:limits.longest_gap",
            "book:begun",
        ],
        formula: "sum of interval lengths with a brush turning, by the speed at the interval's end; band ends belong to the band",
        source: "bands of 1 to 1.5 and 2 to 3 mph: common practice, no published source",
        assumed: &["The speed of a reading held since the reading before it."],
        worked: bands,
    },
    Figure {
        id: "speed.quantiles",
        says: "Median, 5th and 95th percentile of speed, brushes turning",
        channels: READ,
        settings: &["machine:speed.wheel_factor", "machine:limits.longest_gap"],
        formula: TIMES,
        source: "nearest-rank quantile; values checked against an independent HDR histogram",
        assumed: &["The speed of a reading held since the reading before it."],
        worked: quantiles,
    },
    Figure {
        id: "speed.correct",
        says: "Time to come back after leaving the speed band",
        channels: READ,
        settings: &["site:bands"],
        formula: "length of each stretch outside of the band that ends in the band; median and longest",
        source: "our own definition",
        assumed: &["Turns at the end of a run are slower than the band and count as too slow."],
        worked: corrections,
    },
    Figure {
        id: "speed.directions",
        says: "Changes of direction with brushes turning",
        channels: &["speed"],
        settings: &["machine:limits.moving_speed", "machine:limits.standing_speed"],
        formula: "moves above the moving speed whose sign differs from the move before",
        source: "our own definition",
        assumed: &["The speed signal carries the direction; one that does not gives 0 changes."],
        worked: directions,
    },
    Figure {
        id: "speed.slip",
        says: "Hints that a wheel slipped",
        channels: &["speed", "turn_rate"],
        settings: &["machine:limits.grip", "machine:limits.standing_speed"],
        formula: "|change of speed| / time, or |speed x turn rate|, above the grip; or turning while the wheel stands",
        source: "a tyre's friction bounds its acceleration (mu x g); the limit is common practice, no published source",
        assumed: &["There is no second speed sensor, so this is a hint and no measurement."],
        worked: slips,
    },
];
