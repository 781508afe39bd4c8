//! The kinds of events: where each stands in the truth and in the findings.

use super::seeds::{Judged, Plan};
use underbrush_fixtures::{EventKind, MotorSpan, Span};
use underbrush_protocol::detect::{LoadKind, Onset, SlipKind};
use underbrush_report::findings::{
    BatteryState, CareRule, Doubt, LoadFindingEvent, Sensor, Span as WallSpan,
};

/// A stretch of time in s from the shift's start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mark {
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    /// Marks with different numbers are never the same: the motor from 1, or 0.
    pub(super) number: usize,
}

/// One sort of event.
#[derive(Debug)]
pub(super) struct Kind {
    pub(super) name: &'static str,
    /// Plans in which it is looked for.
    pub(super) plans: &'static [Plan],
    /// Least precision and recall.
    pub(super) goal: f64,
    /// How far the edges may be off, in s.
    pub(super) edge_s: f64,
    pub(super) truth: fn(&Judged) -> Vec<Mark>,
    pub(super) found: fn(&Judged) -> Vec<Mark>,
}

/// Edges of events that rates of ten readings a second tell.
const EDGE_S: f64 = 0.3;
/// Before a sensor sticks its readings may be the same by chance: with noise of 0.3 A in steps
/// of 0.1 A every eighth is like the one before, and five in a row 1 in 30,000 times.
const STUCK_EDGE_S: f64 = 0.6;
const EVENTS: &[Plan] = &[Plan::Events];
/// Good sensors must not be doubted either.
const SENSORS: &[Plan] = &[Plan::Events, Plan::Faulty];

/// All kinds, in the order of the table.
pub(super) const KINDS: &[Kind] = &[
    Kind {
        name: "stationary brush",
        plans: EVENTS,
        goal: 1.0,
        edge_s: EDGE_S,
        truth: |j| spans(&j.truth.stationary),
        found: |j| j.found.stationary.iter().map(|e| wall(j, e.span, 0)).collect(),
    },
    Kind {
        name: "stall",
        plans: EVENTS,
        goal: 1.0,
        edge_s: EDGE_S,
        truth: |j| motor_spans(&j.truth.stalls),
        found: |j| loads(j, &j.found.load.stalls),
    },
    Kind {
        name: "over-pressure",
        plans: EVENTS,
        // A load that grows crosses its limit over some tenths of a second.
        goal: 0.99,
        edge_s: EDGE_S,
        truth: |j| motor_spans(&j.truth.over_pressure),
        found: |j| loads(j, &j.found.load.over_pressure),
    },
    Kind {
        edge_s: EDGE_S,
        truth: |j| {
            let both = j.truth.over_pressure.iter().chain(&j.truth.stalls);
            both.flat_map(|s| onset(motor_spans(&[*s]), Some(s.sudden))).collect()
        },
        found: |j| {
            let both = j.found.load.over_pressure.iter().chain(&j.found.load.stalls);
            both.flat_map(|e| onset(loads(j, [e]), e.onset.map(|o| o == Onset::Obstacle))).collect()
        },
        ..event("obstacle, or drag")
    },
    Kind {
        truth: |j| events(j, EventKind::NearStall),
        found: |j| loads(j, j.found.load.of(LoadKind::NearStall)),
        ..event("near-stall")
    },
    Kind {
        truth: |j| events(j, EventKind::BreakerTrip),
        found: |j| loads(j, j.found.load.of(LoadKind::Trip)),
        ..event("breaker trip")
    },
    Kind {
        truth: |j| events(j, EventKind::LightContact),
        found: |j| loads(j, j.found.load.of(LoadKind::Light)),
        ..event("light contact")
    },
    Kind {
        truth: |j| events(j, EventKind::UnevenLoad),
        found: |j| j.found.load.of(LoadKind::Uneven).map(|e| wall(j, e.span, 0)).collect(),
        ..event("uneven load")
    },
    Kind {
        truth: |j| events(j, EventKind::VacuumOff),
        found: |j| care(j, CareRule::Vacuum),
        ..event("vacuum off")
    },
    Kind {
        truth: |j| events(j, EventKind::WaterLow),
        found: |j| care(j, CareRule::Water),
        ..event("too little water")
    },
    Kind {
        truth: |j| events(j, EventKind::PressureLow),
        found: |j| care(j, CareRule::Pressure),
        ..event("too little pressure")
    },
    Kind {
        truth: |j| events(j, EventKind::HeadUp),
        found: |j| care(j, CareRule::Head),
        ..event("head up, brushes on")
    },
    Kind {
        truth: |j| events(j, EventKind::Forbidden),
        found: |j| care(j, CareRule::Forbidden),
        ..event("forbidden floor")
    },
    Kind {
        truth: |j| once(j.truth.battery_start_v < j.spec.limits.full_v, 0),
        found: |j| once(j.found.battery.not_full.is_some(), 0),
        ..event("battery not full")
    },
    Kind {
        truth: |j| once(j.truth.battery_lowest_v < j.spec.limits.low_v, 0),
        found: |j| once(j.found.battery.state >= BatteryState::Low, 0),
        ..event("battery low")
    },
    Kind {
        truth: |j| once(j.truth.battery_lowest_v < j.spec.limits.deep_v, 0),
        found: |j| once(j.found.battery.state == BatteryState::Deep, 0),
        ..event("battery too deep")
    },
    Kind {
        plans: SENSORS,
        edge_s: STUCK_EDGE_S,
        truth: |j| events(j, EventKind::SpeedStuck),
        found: |j| stuck(j, |sensor| sensor == Sensor::Speed),
        ..event("speed sensor stuck")
    },
    Kind {
        plans: SENSORS,
        edge_s: STUCK_EDGE_S,
        truth: |j| events(j, EventKind::CurrentStuck),
        found: |j| stuck(j, |sensor| matches!(sensor, Sensor::Current(_))),
        ..event("current sensor stuck")
    },
    Kind {
        plans: SENSORS,
        truth: |j| (1..=3).flat_map(|n| once(j.sensors.wild_share > 0.0, n)).collect(),
        found: |j| {
            let impossible =
                |d: &&underbrush_report::findings::SensorDoubt| d.doubt == Doubt::Impossible;
            let sensors = j.found.quality.doubts.iter().filter(impossible);
            sensors.flat_map(|d| once(true, sensor_number(d.sensor))).collect()
        },
        ..event("impossible readings")
    },
    Kind {
        plans: SENSORS,
        truth: |j| {
            let drifts = j.sensors.current_offset_a.iter().enumerate();
            drifts.flat_map(|(m, (_, end))| once(*end > 1.0, m + 1)).collect()
        },
        found: |j| j.found.quality.drifting().flat_map(|(m, _)| once(true, m + 1)).collect(),
        ..event("current sensor offset")
    },
    Kind {
        plans: SENSORS,
        truth: |j| events(j, EventKind::WheelSpin),
        found: |j| slips(j, SlipKind::Spin),
        ..event("wheels spin")
    },
    Kind {
        plans: SENSORS,
        truth: |j| events(j, EventKind::Pushed),
        found: |j| slips(j, SlipKind::Dragged),
        ..event("turned by hand")
    },
];

/// An event with the usual goals in the usual plans; truth and findings are still to be given.
const fn event(name: &'static str) -> Kind {
    Kind { name, plans: EVENTS, goal: 0.99, edge_s: EDGE_S, truth: |_| vec![], found: |_| vec![] }
}

/// A mark for what has no edges.
fn once(holds: bool, number: usize) -> Vec<Mark> {
    if holds { vec![Mark { from_s: 0.0, to_s: 0.0, number }] } else { Vec::new() }
}

fn events(judged: &Judged, kind: EventKind) -> Vec<Mark> {
    let events = judged.truth.events.iter().filter(|e| e.kind == kind);
    let mark = |e: &underbrush_fixtures::EventTruth| Mark {
        from_s: seconds(e.from_ms),
        to_s: seconds(e.to_ms),
        number: e.motor.map_or(0, |motor| motor + 1),
    };
    events.map(mark).collect()
}

/// Marks of one motor told apart by how the load came: 1 and 2 at once, 11 and 12 over seconds,
/// more where nobody knows.
fn onset(marks: Vec<Mark>, sudden: Option<bool>) -> Vec<Mark> {
    let more = match sudden {
        Some(true) => 0,
        Some(false) => 10,
        None => 20,
    };
    marks.into_iter().map(|mark| Mark { number: mark.number + more, ..mark }).collect()
}

fn care(judged: &Judged, rule: CareRule) -> Vec<Mark> {
    judged.found.care.of(rule).map(|e| wall(judged, e.span, 0)).collect()
}

fn stuck(judged: &Judged, which: fn(Sensor) -> bool) -> Vec<Mark> {
    let doubts = judged.found.quality.doubts.iter();
    let stuck = doubts.filter(|d| d.doubt == Doubt::Stuck && which(d.sensor));
    let number = |sensor| if let Sensor::Current(motor) = sensor { motor + 1 } else { 0 };
    stuck.map(|d| wall(judged, d.span, number(d.sensor))).collect()
}

/// The sensors that truth spoils have 1 to 3.
fn sensor_number(sensor: Sensor) -> usize {
    match sensor {
        Sensor::Speed => 1,
        Sensor::Current(motor) => 2 + motor,
        _ => 9,
    }
}

fn slips(judged: &Judged, kind: SlipKind) -> Vec<Mark> {
    let hints = judged.found.speed.slips.iter().filter(|s| s.kind == kind);
    hints.map(|s| wall(judged, s.span, 0)).collect()
}

fn seconds(ms: u64) -> f64 {
    ms as f64 / 1000.0
}

fn spans(spans: &[Span]) -> Vec<Mark> {
    spans
        .iter()
        .map(|s| Mark { from_s: seconds(s.from_ms), to_s: seconds(s.to_ms), number: 0 })
        .collect()
}

fn motor_spans(spans: &[MotorSpan]) -> Vec<Mark> {
    let mark = |s: &MotorSpan| Mark {
        from_s: seconds(s.from_ms),
        to_s: seconds(s.to_ms),
        number: s.motor + 1,
    };
    spans.iter().map(mark).collect()
}

fn wall(judged: &Judged, span: WallSpan, number: usize) -> Mark {
    Mark { from_s: judged.seconds(span.from), to_s: judged.seconds(span.to), number }
}

fn loads<'a>(judged: &Judged, events: impl IntoIterator<Item = &'a LoadFindingEvent>) -> Vec<Mark> {
    events.into_iter().map(|e| wall(judged, e.span, e.motor + 1)).collect()
}
