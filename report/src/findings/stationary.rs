//! Stationary-brush events: how long, where, and how bad.
//!
//! The detector is the agent's (`protocol::detect`): a brush turns under power
//! on the floor while the machine stands. A brush that coasts after it was
//! switched off is no event; how long this machine's brushes coast is measured.
//!
//! Model of the harm: a brush that stands for `dwell` grinds its spot as long as
//! `dwell / (contact length / speed)` passes at the middle of the band, and puts
//! its friction energy there (`friction.rs`). The severity compares the passes
//! with those of one whole step over the section (minutes x mid-band speed x path
//! width / area). Its limits, a quarter of a step and a whole step, are our own
//! choice; no source is known. Uncertainty: the edges are right to one reading
//! (0.1 s at 10 Hz), the passes to that and to the contact length.

use super::figure::{Amount, Case, Figure, Known};
use super::moment::{Moment, wall_span};
use super::observed::Observed;
use super::types::{Place, Span};
use crate::logset::ClockMap;
use crate::settings::{Phase, Site};
use hdrhistogram::Histogram;
use underbrush_protocol::detect::{
    Limits, RunDown, Stationary, StationaryEvent, TurningLimits, motor_turning,
};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::machine::Deck;
use underbrush_protocol::si::{Joules, Seconds, SquareMetres};

/// Area of a section where no mark told which: 575 sq ft, the middle of common practice.
const USUAL_AREA: SquareMetres = SquareMetres(575.0 * 0.092_903_04);
/// Minutes of a step where the site file has none (common practice, no published source).
const USUAL_MINUTES: f64 = 30.0;
/// From this share of a whole step's passes on, a spot is to be inspected.
const INSPECT_FROM: f64 = 0.25;

/// A brush turned while the machine stood.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct StationaryFinding {
    /// When.
    pub span: Span,
    /// The data, not the event, ended there: it may have lasted longer.
    pub cut_short: bool,
    /// Where.
    pub place: Place,
    /// Passes at mid-band speed that would put as much grinding on the spot.
    pub equivalent_passes: f64,
    /// Passes of one whole step over the section, which the severity compares with.
    pub step_passes: f64,
    /// Friction energy put into the spot by all brushes; `None` if no current was seen.
    pub friction_energy: Option<Joules>,
    /// Each brush, left to right; `None` beyond the last.
    pub brushes: [Option<BrushDwell>; MAX_MOTORS],
    /// How bad.
    pub severity: Severity,
}

/// One brush in a stationary-brush event.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct BrushDwell {
    /// Time in which it was seen turning.
    pub turning: Seconds,
    /// Friction energy it put into its spot; `None` if its current was not seen.
    pub energy: Option<Joules>,
}

/// How bad a stationary-brush event is.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub enum Severity {
    /// Less than a quarter of the passes of a whole step.
    Slight,
    /// Up to the passes of a whole step.
    Inspect,
    /// More than a whole step on one spot.
    Severe,
}

/// What the search for stationary brushes rests on.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Standing {
    /// Time in which speed and brush were both known, of the time recorded.
    pub observed: Observed,
    /// How the brushes coast.
    pub run_down: RunDowns,
}

/// How long brushes go on turning after they were switched off, where rotation is measured.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct RunDowns {
    /// How many were measured.
    pub times: u32,
    /// Half of them took no longer than this.
    pub median: Option<Seconds>,
    /// The longest.
    pub longest: Option<Seconds>,
}

pub(super) struct StationaryEvents<'a> {
    site: &'a Site,
    deck: &'a Deck,
    limits: Limits,
    detector: Stationary,
    run_down: RunDown,
    run_downs_ms: Histogram<u64>,
    observed: Observed,
    place: Place,
    brushes: [Option<BrushDwell>; MAX_MOTORS],
    found: Vec<StationaryFinding>,
}

impl<'a> StationaryEvents<'a> {
    pub(super) fn new(site: &'a Site, deck: &'a Deck, limits: Limits) -> Self {
        // Constant bounds that the library accepts: up to an hour.
        let run_downs_ms = Histogram::new_with_bounds(1, 3_600_000, 2)
            .unwrap_or_else(|_| unreachable!("constant bounds are valid"));
        Self {
            site,
            deck,
            limits,
            detector: Stationary::new(limits),
            run_down: RunDown::default(),
            run_downs_ms,
            observed: Observed::default(),
            place: Place::default(),
            brushes: [None; MAX_MOTORS],
            found: Vec::new(),
        }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        let interval = moment.interval;
        self.observed.add(moment.length(), moment.observed());
        self.run_down.step(interval, &self.limits);
        if let Some(ms) = self.run_down.take_measured_ms() {
            self.run_downs_ms.saturating_record(ms.max(1));
        }
        let ended = self.detector.step(interval);
        self.take(ended, moment.clock);
        // A run whose end is not this interval's is in a lapse of the condition.
        let Some(open) = self.detector.open().filter(|run| run.to == interval.to) else { return };
        if open.from == interval.from {
            self.place = moment.place;
            self.brushes = [None; MAX_MOTORS];
        }
        self.add_brushes(moment, open.from == interval.from);
    }

    fn add_brushes(&mut self, moment: &Moment<'_>, first: bool) {
        let turning: TurningLimits = self.limits.turning;
        let energy = moment.friction_j.unwrap_or_default();
        for (number, motor) in moment.interval.motors.iter().enumerate() {
            let Some(slot) = self.brushes.get_mut(number) else { return };
            let joules = energy.get(number).copied().map(Joules);
            let dwell = slot.get_or_insert_with(|| BrushDwell {
                energy: first.then_some(Joules(0.0)),
                ..BrushDwell::default()
            });
            if motor_turning(motor, turning) == Some(true) {
                dwell.turning += moment.length();
            }
            dwell.energy = dwell.energy.zip(joules).map(|(sum, more)| sum + more);
        }
    }

    pub(super) fn boot_ends(&mut self, clock: &ClockMap) {
        let ended = self.detector.finish();
        self.take(ended, clock);
        self.run_down = RunDown::default();
    }

    pub(super) fn finish(self) -> (Vec<StationaryFinding>, Standing) {
        let times = &self.run_downs_ms;
        let at =
            |share| (!times.is_empty()).then(|| Seconds::from_ms(times.value_at_quantile(share)));
        let run_down = RunDowns { times: times.len() as u32, median: at(0.5), longest: at(1.0) };
        (self.found, Standing { observed: self.observed, run_down })
    }

    fn take(&mut self, event: Option<StationaryEvent>, clock: &ClockMap) {
        let Some(StationaryEvent { run }) = event else { return };
        let dwell = Seconds::from_ms(run.ms());
        let equivalent_passes = dwell / one_pass(self.site, self.deck, self.place);
        let step_passes = step_passes(self.site, self.deck, self.place);
        let energies = self.brushes.iter().flatten().map(|b| b.energy.map(|e| e.0));
        let energy: Option<f64> = energies.sum();
        let any = self.brushes[0].is_some();
        self.found.push(StationaryFinding {
            span: wall_span(clock, run),
            cut_short: run.cut_short,
            place: self.place,
            equivalent_passes,
            step_passes,
            friction_energy: energy.filter(|_| any).map(Joules),
            brushes: self.brushes,
            severity: severity(equivalent_passes, step_passes),
        });
    }
}

/// Time that a pass at the middle of the band grinds one spot.
fn one_pass(site: &Site, deck: &Deck, place: Place) -> Seconds {
    let band = site.band(place.phase.unwrap_or(Phase::Maintenance));
    Seconds(deck.contact_length.0 / band.middle().0)
}

/// Passes of one whole step over the section; where no mark told, of the last step over a usual one.
fn step_passes(site: &Site, deck: &Deck, place: Place) -> f64 {
    let step = match place.phase {
        Some(Phase::Step(n)) => site.step(n),
        _ => site.steps.last(),
    };
    let minutes = step.map_or(USUAL_MINUTES, |s| s.minutes);
    let area = place.section.map_or(USUAL_AREA, |i| site.sections[i].area);
    minutes * 60.0 * site.bands.restoration.middle().0 * deck.path_width.0 / area.0
}

fn severity(passes: f64, step_passes: f64) -> Severity {
    if passes > step_passes {
        Severity::Severe
    } else if passes > step_passes * INSPECT_FROM {
        Severity::Inspect
    } else {
        Severity::Slight
    }
}

const NO_CURRENT: &str = "the brush current was not seen all the time";

fn events(known: &Known<'_>) -> Vec<Case> {
    let Known { findings, machine, site, .. } = *known;
    let limits = machine.limits();
    findings
        .stationary
        .iter()
        .enumerate()
        .map(|(i, e)| {
            let pass = one_pass(site, &machine.deck, e.place);
            let energy = Amount::or_unknown(e.friction_energy, Amount::Energy, NO_CURRENT);
            Case::event(format!("event {} of {}", i + 1, findings.stationary.len()), e.span).with([
                ("stands below", Amount::Speed(speed(limits.standing_m_s))),
                ("moves again from", Amount::Speed(speed(limits.moving_m_s))),
                ("counts when longer than", Amount::Time(Seconds::from_ms(limits.standing_ms))),
                ("dwell", Amount::Time(e.span.length())),
                ("contact length", Amount::Length(machine.deck.contact_length)),
                ("one pass at mid-band takes", Amount::Time(pass)),
                ("passes of a whole step here", Amount::Number(e.step_passes)),
                ("friction energy into the spot", energy),
                ("equivalent passes", Amount::Number(e.equivalent_passes)),
            ])
        })
        .collect()
}

fn speed(m_s: f32) -> underbrush_protocol::si::MetresPerSecond {
    underbrush_protocol::si::MetresPerSecond(f64::from(m_s))
}

fn run_downs(known: &Known<'_>) -> Vec<Case> {
    let found = known.findings.standing.run_down;
    let none = "no brush was seen coasting: its rotation is not measured, or it stopped at once";
    let tolerated = Seconds::from_ms(known.machine.limits().run_down_ms);
    Case::one([
        ("coasting is tolerated for", Amount::Time(tolerated)),
        ("measured", Amount::Count(found.times.into())),
        ("longest", Amount::or_unknown(found.longest, Amount::Time, none)),
        ("median run-down time", Amount::or_unknown(found.median, Amount::Time, none)),
    ])
}

pub(super) const FIGURES: &[Figure] = &[
    Figure {
        id: "stationary",
        says: "Brush turning under power while the machine stands",
        channels: &[
            "speed",
            "brush_command",
            "brush_current_1",
            "brush_current_2",
            "brush_rotation_1",
            "brush_rotation_2",
            "head_down",
        ],
        settings: &[
            "machine:limits.standing_speed",
            "machine:limits.moving_speed",
            "machine:limits.standing_time",
            "machine:limits.standing_bridge",
            "machine:limits.run_down_time",
            "machine:limits.turning_rpm",
            "machine:limits.turning_current",
            "machine:deck.contact_length",
            "machine:deck.path_width",
            "machine:motor",
            "site:bands",
            "site:step",
        ],
        formula: "equivalent passes = dwell / (contact length / mid-band speed); a whole step = minutes x mid-band speed x path width / area; friction energy = sum of motor torque x speed x time",
        source: "common practice, no published source (limits, severity); Preston 1927 for removal in proportion to time at constant load and speed; PM-DC motor equations for the energy",
        assumed: &[
            "The whole contact length grinds alike.",
            "Where no mark told the section, 575 sq ft and the maintenance band are assumed.",
        ],
        worked: events,
    },
    Figure {
        id: "stationary.run_down",
        says: "How long brushes coast after they are switched off",
        channels: &["brush_command", "brush_rotation_1", "brush_rotation_2"],
        settings: &["machine:limits.run_down_time", "machine:limits.turning_rpm"],
        formula: "from the reading at which the power went to the first at which no brush turns; median",
        source: "our own definition",
        assumed: &[
            "Without the rotation, the current that vanishes with the switch ends the turning.",
        ],
        worked: run_downs,
    },
];
