//! Care of machine and floor: brushes that turned with a switch in the wrong
//! place, or on a floor that must never be polished.
//!
//! The detector is the agent's (`protocol::detect`); its words and rules stand
//! there. Limits are the machine file's `[care]`: common practice, no published
//! source. Uncertainty: a switch that is reported when it changes is right to
//! one reading (0.1 s at 10 Hz); one that is only repeated every few seconds, to
//! that. What was not seen is never part of an event: its time and the share
//! observed are told for each rule.

mod battery;
mod charge;

pub use battery::{BatteryRun, Resistance, Trough};
pub use charge::{BatteryFinding, BatteryState, Charge};

pub(super) use battery::BatteryTrace;
pub(super) use charge::{FIGURES as BATTERY_FIGURES, conclude};

use super::figure::{Amount, Case, Figure, Known};
use super::moment::{Moment, wall_span};
use super::observed::Observed;
use super::types::{Place, Span};
use crate::logset::ClockMap;
use crate::settings::Site;
pub use underbrush_protocol::detect::CareRule;
use underbrush_protocol::detect::{CareWatch, PerRule, Run};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::Seconds;

/// What was found of all rules.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct CareFinding {
    /// Events in order of begin.
    pub events: Vec<CareEvent>,
    /// Of the time that brushes turned or may have: that in which each rule could be judged.
    pub observed: PerRule<Observed>,
}

/// One care event.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct CareEvent {
    /// What was wrong.
    pub rule: CareRule,
    /// When.
    pub span: Span,
    /// The data, not the event, ended there: it may have lasted longer.
    pub cut_short: bool,
    /// Where most of it was.
    pub place: Place,
    /// Time in it that it held, by place in order of begin; pauses are left out.
    pub places: Vec<(Place, Seconds)>,
}

impl CareEvent {
    /// Time in it that it held.
    pub fn held(&self) -> Seconds {
        self.places.iter().map(|(_, time)| *time).sum()
    }
}

impl CareFinding {
    /// The events of one rule.
    pub fn of(&self, rule: CareRule) -> impl Iterator<Item = &CareEvent> {
        self.events.iter().filter(move |event| event.rule == rule)
    }

    /// How much of the time could be judged by that rule.
    pub fn observed(&self, rule: CareRule) -> Observed {
        let place = CareRule::ALL.iter().position(|other| *other == rule);
        place.and_then(|place| self.observed.get(place)).copied().unwrap_or_default()
    }
}

pub(super) struct Cares<'a> {
    site: &'a Site,
    watch: CareWatch,
    /// Where the open run of each rule was.
    places: PerRule<Vec<(Place, Seconds)>>,
    found: CareFinding,
}

impl<'a> Cares<'a> {
    pub(super) fn new(site: &'a Site, machine: &Machine) -> Self {
        Self {
            site,
            watch: CareWatch::new(machine.limits(), machine.care_limits()),
            places: Default::default(),
            found: CareFinding::default(),
        }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        let section = moment.place.section.and_then(|i| self.site.sections.get(i));
        let was_busy = self.watch.is_busy();
        let ended = self.watch.step(moment.interval, section.map(|s| !s.polish));
        if was_busy || self.watch.is_busy() {
            self.follow(ended, moment);
        }
        if moment.turning == Some(false) {
            return;
        }
        let length = moment.length();
        for (rule, judged) in self.watch.judged().into_iter().enumerate() {
            self.found.observed[rule].add(length, judged.is_some());
            if judged == Some(true) {
                add(&mut self.places[rule], moment.place, length);
            }
        }
    }

    /// Keeps the events that ended before this step, and forgets the places of runs that did.
    fn follow(&mut self, ended: PerRule<Option<Run>>, moment: &Moment<'_>) {
        let from = moment.interval.from;
        for (rule, (ended, open)) in ended.into_iter().zip(self.watch.open()).enumerate() {
            if let Some(run) = ended {
                self.keep(rule, run, moment.clock);
            } else if open.is_none_or(|run| run.from == from) {
                self.places[rule].clear();
            }
        }
    }

    pub(super) fn boot_ends(&mut self, clock: &ClockMap) {
        for (rule, ended) in self.watch.finish().into_iter().enumerate() {
            if let Some(run) = ended {
                self.keep(rule, run, clock);
            }
            self.places[rule].clear();
        }
    }

    pub(super) fn finish(mut self) -> CareFinding {
        self.found.events.sort_by_key(|event| (event.span.from, event.rule));
        self.found
    }

    fn keep(&mut self, rule: usize, run: Run, clock: &ClockMap) {
        let places = std::mem::take(&mut self.places[rule]);
        let longest = places.iter().max_by(|a, b| a.1.0.total_cmp(&b.1.0));
        self.found.events.push(CareEvent {
            rule: CareRule::ALL[rule],
            span: wall_span(clock, run),
            cut_short: run.cut_short,
            place: longest.map(|(place, _)| *place).unwrap_or_default(),
            places,
        });
    }
}

fn add(places: &mut Vec<(Place, Seconds)>, place: Place, length: Seconds) {
    match places.iter_mut().find(|(other, _)| *other == place) {
        Some((_, time)) => *time += length,
        None => places.push((place, length)),
    }
}

macro_rules! events_of {
    ($rule:ident) => {
        |known| {
            let events = known.findings.care.of(CareRule::$rule);
            events.map(|event| case(known, event)).collect()
        }
    };
}

fn case(known: &Known<'_>, event: &CareEvent) -> Case {
    let limits = known.machine.care_limits();
    let limit = Seconds::from_ms(event.rule.longer_than_ms(&limits));
    let title = match event.rule {
        CareRule::Vacuum => "vacuum off",
        CareRule::Water => "too little water",
        CareRule::Pressure => "less than full pressure",
        CareRule::Head => "head up",
        CareRule::Forbidden => "forbidden floor",
    };
    let mut case = Case::event(title, event.span).with([
        ("begin", Amount::Instant(event.span.from)),
        ("end", Amount::Instant(event.span.to)),
        ("event if longer than", Amount::Time(limit)),
        ("pauses joined up to", Amount::Time(Seconds::from_ms(limits.join_ms))),
    ]);
    for (place, time) in &event.places {
        let section = place.section.and_then(|i| known.site.sections.get(i));
        let name = section.map_or("not marked", |s| s.id.as_str());
        case.numbers.push((format!("of that in {name}"), Amount::Time(*time)));
    }
    case.with([("time that it held", Amount::Time(event.held()))])
}

const SOURCE: &str = "Common practice, no published source.";
const TURNING: &[&str] = &[
    "Where the head's position is not recorded, the brushes are taken to be on the floor.",
    "A switch is known from its last reading on, for at most 60 s.",
];

/// Where the care figures come from.
pub(super) const FIGURES: &[Figure] = &[
    Figure {
        id: "care.vacuum",
        says: "brushes turned on the floor with the vacuum off: slurry was left there",
        channels: &[
            "vacuum_on",
            "head_down",
            "brush_current_1",
            "brush_rotation_1",
            "brush_command",
        ],
        settings: &["machine:care.vacuum_time", "machine:care.join_time"],
        formula: "time that (a brush turns) and (head not up) and (vacuum off)",
        source: SOURCE,
        assumed: TURNING,
        worked: events_of!(Vacuum),
    },
    Figure {
        id: "care.water",
        says: "brushes turned on the floor with no or too little water",
        channels: &[
            "solution_flow",
            "head_down",
            "brush_current_1",
            "brush_rotation_1",
            "brush_command",
        ],
        settings: &[
            "machine:care.water_level",
            "machine:care.water_time",
            "machine:care.join_time",
        ],
        formula: "time that (a brush turns) and (head not up) and (solution flow below care.water_level)",
        source: SOURCE,
        assumed: &[
            "Where the head's position is not recorded, the brushes are taken to be on the floor.",
            "The setting of the flow is recorded, not the water itself: an empty tank is not seen.",
        ],
        worked: events_of!(Water),
    },
    Figure {
        id: "care.pressure",
        says: "brushes turned on the floor with less than full down pressure",
        channels: &[
            "pressure_setting",
            "head_down",
            "brush_current_1",
            "brush_rotation_1",
            "brush_command",
        ],
        settings: &[
            "machine:care.pressure",
            "machine:care.pressure_time",
            "machine:care.join_time",
        ],
        formula: "time that (a brush turns) and (head not up) and (pressure setting below care.pressure)",
        source: SOURCE,
        assumed: TURNING,
        worked: events_of!(Pressure),
    },
    Figure {
        id: "care.head",
        says: "brushes turned under power with the head up",
        channels: &["head_down", "brush_current_1", "brush_rotation_1", "brush_command"],
        settings: &[
            "machine:care.head_time",
            "machine:care.join_time",
            "machine:limits.run_down_time",
        ],
        formula: "time that (a brush turns) and (head up), coasting after switching off left out",
        source: SOURCE,
        assumed: &["A switch is known from its last reading on, for at most 60 s."],
        worked: events_of!(Head),
    },
    Figure {
        id: "care.forbidden",
        says: "brushes turned on a floor that must never be polished",
        channels: &["head_down", "brush_current_1", "brush_rotation_1", "brush_command"],
        settings: &[
            "site:section.polish",
            "site:section.tag",
            "book:begun",
            "machine:care.forbidden_time",
            "machine:care.join_time",
        ],
        formula: "time that (a brush turns) and (head not up) in a section with polish = false",
        source: SOURCE,
        assumed: &["The section is that of the last mark, of the machine or of the shift book."],
        worked: events_of!(Forbidden),
    },
];
