//! The numbers that causes are told apart by.
//!
//! *Before* is from 10 s to 1 s before the event, *after* from 1 s to 10 s after it; values
//! there are medians of the middles of cells. What was not observed is `None`.

use super::Case;
use super::around::Around;
use super::in_the_air::AirOfMotor;
use crate::events::{Event, EventKind, Finding};
use crate::findings::robust::median;
use crate::findings::{Doubt, Findings, LoadFindingEvent, Place, Sensor, Source, Span, Trace};
use crate::window::Quantity;
use std::collections::BTreeSet;
use underbrush_protocol::settings::Machine;

/// Battery readings are this old at most, in s: bridges send them every few seconds.
const STALE_S: f64 = 2.5;

/// Currents of tonight's normal work over what is normal there.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct OwnNormal {
    /// Of this motor.
    pub own: f64,
    /// Lowest and highest of the others; `None`: there are none, or not known.
    pub others: Option<(f64, f64)>,
    /// Nights that the normal of this motor is learned from; 0: it is that of the machine file.
    pub nights: u64,
    /// It is that of this grit step.
    pub of_step: bool,
}

impl OwnNormal {
    /// Lowest and highest of all motors.
    pub fn range(&self) -> (f64, f64) {
        let (low, high) = self.others.unwrap_or((self.own, self.own));
        (low.min(self.own), high.max(self.own))
    }
}

/// What is known of an event and of the readings around it, in SI units.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Signature {
    /// The motor, from 0.
    pub motor: usize,
    /// How many brush motors there are.
    pub motors: usize,
    /// How long it lasted.
    pub lasted_s: f64,
    /// From normal to the limit.
    pub rise_s: Option<f64>,
    /// Slower than this is a drag, in s.
    pub obstacle_s: f64,
    /// Speed before it, without sign.
    pub speed_before_m_s: Option<f64>,
    /// The same after it.
    pub speed_after_m_s: Option<f64>,
    /// Below this the machine stands.
    pub standing_m_s: f64,
    /// Largest current of the other motors in it over theirs before.
    pub other_ratio: Option<f64>,
    /// Current of this motor after it, brushes on, over that before.
    pub after_ratio: Option<f64>,
    /// Largest current in it over that before.
    pub peak_ratio: Option<f64>,
    /// Current before it.
    pub before_a: Option<f64>,
    /// From where on a motor is over-pressed.
    pub over_pressure_a: f64,
    /// Pressure setting before and in it.
    pub pressure: Option<(f64, f64)>,
    /// From this setting on the pressure is full.
    pub full_pressure: f64,
    /// Lowest water setting in it.
    pub water: Option<f64>,
    /// Lowest good water setting.
    pub water_level: f64,
    /// Events of the same kind here and in other sections tonight, this one included.
    pub here_elsewhere: (u64, u64),
    /// Current of this motor in it over that before.
    pub own_ratio: Option<f64>,
    /// Sections worked in tonight.
    pub sections: u64,
    /// Tonight's current in normal work against what nights before or the machine file say.
    pub baseline: Option<OwnNormal>,
    /// What this motor does in the air, against the nights before.
    pub air: AirOfMotor,
    /// Highest share of its thermal limit shortly before it and in it.
    pub heat: Option<f64>,
    /// From this share on a motor is too warm.
    pub heat_warning: f64,
    /// What the battery gave beyond the brush motors, in A: before it, and in it.
    pub drive: Option<(f64, f64)>,
    /// Battery voltage before it.
    pub volts_before: Option<f64>,
    /// Empty below this under load.
    pub empty_v: f64,
    /// Time since the brushes were switched on; `None`: on all the time before, or not known.
    pub since_start_s: Option<f64>,
    /// Whether the switch was read at all.
    pub command_known: bool,
    /// Brushes switched on in it: all the time, or not at all.
    pub command: Option<bool>,
    /// Head down in it.
    pub head_down: Option<bool>,
    /// Nights since the segments were fitted.
    pub fitted_nights: Option<u64>,
    /// The speed sensor is doubted in it.
    pub speed_doubted: Option<bool>,
    /// Time from the last working speed to standing.
    pub stopping_s: Option<f64>,
    /// The voltage at the start, if the battery was not full.
    pub not_full_v: Option<f64>,
    /// The charge gives much less than usual; `None`: too few charges to tell.
    pub weak: Option<bool>,
    /// The switch changed within 30 s before it; `None`: not read.
    pub changed: Option<bool>,
}

fn ratio(value: Option<f64>, of: Option<f64>) -> Option<f64> {
    value.zip(of).filter(|(_, of)| *of > 0.5).map(|(value, of)| value / of)
}

impl Signature {
    /// Of one event, with the readings around it where there are any.
    pub fn of(event: &Event, trace: Option<&Trace>, case: &Case<'_>) -> Self {
        let mut signature = Self::of_readings(event, trace, case.machine);
        signature.of_night(event, case);
        signature
    }

    /// The same without what the rest of the night says.
    pub fn of_readings(event: &Event, trace: Option<&Trace>, machine: &Machine) -> Self {
        let limits = machine.limits();
        let mut signature = Self {
            motor: event.motor.unwrap_or(0),
            motors: usize::from(machine.deck.brushes),
            lasted_s: event.lasted().0,
            obstacle_s: limits.load.obstacle_ms as f64 / 1000.0,
            standing_m_s: f64::from(limits.standing_m_s),
            over_pressure_a: f64::from(limits.over_pressure_a),
            water_level: machine.care.water_level,
            empty_v: machine.battery.limits().under_load.0,
            heat_warning: machine.thermal.warning,
            full_pressure: 0.95 * f64::from(machine.load.full_pressure),
            ..Self::default()
        };
        if let Finding::Load(load) = &event.finding {
            signature.rise_s =
                load.rise.filter(|_| load.onset.is_some()).map(|rise| rise.0.max(0.0));
        }
        if let Some(trace) = trace {
            signature.of_trace(event.kind, &Around { trace });
        }
        // Of a trip the current that counts is the one that was cut off.
        if let (Finding::Load(load), EventKind::Trip) = (&event.finding, event.kind) {
            signature.peak_ratio = ratio(Some(load.peak.0), signature.before_a);
            signature.before_a = Some(load.peak.0);
        }
        signature
    }

    fn of_night(&mut self, event: &Event, case: &Case<'_>) {
        let found = case.findings;
        let other = |e: &(Span, Place)| {
            e.0 == event.span || e.0.to < event.span.from || e.0.from > event.span.to
        };
        let of_load = |e: &LoadFindingEvent| (e.span, e.place);
        let events: Vec<(Span, Place)> = match &event.finding {
            Finding::Stationary(_) => found.stationary.iter().map(|e| (e.span, e.place)).collect(),
            Finding::Load(load) => found.load.of(load.kind).map(of_load).collect(),
            Finding::Care(care) => found.care.of(care.rule).map(|e| (e.span, e.place)).collect(),
            _ => Vec::new(),
        };
        // What happens to two motors at the same time happened once.
        let mut events: Vec<(Span, Place)> = events.into_iter().filter(other).collect();
        events.dedup_by_key(|e| e.0);
        let here = events.iter().filter(|e| e.1.section == event.place.section).count() as u64;
        self.here_elsewhere = (here, events.len() as u64 - here);
        let sections = found.sections.iter().map(|work| work.place.section);
        self.sections = sections.collect::<BTreeSet<_>>().len() as u64;
        self.own_normal(found);
        self.air = case.air.map(|air| air.motor(self.motor)).unwrap_or_default();
        let fitted = case.book.tool_on(found.shift.date);
        let nights = |on: chrono::NaiveDate| u64::try_from((found.shift.date - on).num_days()).ok();
        self.fitted_nights = fitted.and_then(|tool| nights(tool.on));
        let overlaps =
            |span: &crate::findings::Span| span.from <= event.span.to && span.to >= event.span.from;
        let stuck = found.quality.doubts.iter().any(|doubt| {
            doubt.sensor == Sensor::Speed && doubt.doubt == Doubt::Stuck && overlaps(&doubt.span)
        });
        self.speed_doubted = Some(stuck);
        self.not_full_v = found.battery.not_full.map(|volts| volts.0);
        self.weak = found.battery.usual.map(|_| found.battery.weak);
    }

    /// What the shift itself says is normal tells nothing of what was wrong all night.
    fn own_normal(&mut self, found: &Findings) {
        let known = |motor: usize| {
            let against = found.load.motors.get(motor)?.normal?;
            let normal = against.normal;
            let usable = normal.source != Source::Tonight && normal.current.0 > 0.0;
            usable.then(|| (against.tonight / normal.current, normal))
        };
        let others = (0..self.motors).filter(|motor| *motor != self.motor).filter_map(known);
        let others = others.map(|(ratio, _)| (ratio, ratio));
        let others = others.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)));
        self.baseline = known(self.motor).map(|(own, normal)| OwnNormal {
            own,
            others,
            nights: normal.nights.into(),
            of_step: matches!(normal.source, Source::Place | Source::Phase),
        });
    }

    fn of_trace(&mut self, kind: EventKind, around: &Around<'_>) {
        let length = around.length_s();
        let current = Quantity::Current(self.motor);
        let speed = |from, to| around.median(Quantity::Speed, from, to).map(f64::abs);
        self.speed_before_m_s = speed(-10.0, -1.0);
        self.speed_after_m_s = speed(length + 1.0, length + 10.0);
        self.before_a = around.at_work_before(current, 10.0);
        self.peak_ratio = ratio(around.inside(current).map(|range| range.1), self.before_a);
        let others = (0..self.motors).filter(|motor| *motor != self.motor);
        let other = |motor| {
            let quantity = Quantity::Current(motor);
            ratio(around.median(quantity, 0.0, length), around.at_work_before(quantity, 10.0))
        };
        self.other_ratio = others.filter_map(other).reduce(f64::max);
        self.after_ratio = ratio(around.afterwards(self.motor), self.before_a);
        self.own_ratio = ratio(around.median(current, 0.0, length), self.before_a);
        let heat = around.ranges(Quantity::Heat(self.motor), -10.0, length);
        self.heat = heat.into_iter().map(|(_, high)| high).reduce(f64::max);
        self.drive = self.drive(kind, around);
        let pressure = around.median(Quantity::Pressure, 0.0, length);
        self.pressure = around.at_work_before(Quantity::Pressure, 30.0).zip(pressure);
        self.water = around.inside(Quantity::Water).map(|range| range.0);
        self.volts_before = around.before(Quantity::Battery);
        self.command_known = around.trace.line(Quantity::Command).is_some();
        self.since_start_s = around.since_on(Quantity::Command);
        self.command = around.switch(Quantity::Command);
        self.head_down = around.switch(Quantity::HeadDown);
        self.stopping_s = self.stopping(around);
        let switch = match kind {
            EventKind::Vacuum => Some(Quantity::Vacuum),
            EventKind::Water => Some(Quantity::Water),
            EventKind::Pressure => Some(Quantity::Pressure),
            EventKind::Head => Some(Quantity::HeadDown),
            _ => None,
        };
        self.changed = switch.and_then(|quantity| {
            let before = around.ranges(quantity, -30.0, -0.5);
            let all = before.into_iter().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))?;
            let inside = around.inside(quantity)?;
            Some(all.1 > inside.0 + 0.5)
        });
    }

    /// A wheel slips for moments: the highest near it against what is usual there. Else what
    /// was seen before the event against what was seen in it, once it was told.
    fn drive(&self, kind: EventKind, around: &Around<'_>) -> Option<(f64, f64)> {
        let length = around.length_s();
        let of = |from, to| around.drive(self.motors, from, to);
        if kind == EventKind::Slip {
            let mut far = of(-30.0, -10.0);
            far.extend(of(length + 10.0, length + 30.0));
            let near = of(-1.0, length + 1.0 + STALE_S).into_iter().reduce(f64::max);
            return median(&far).zip(near);
        }
        let inside = if length > STALE_S + 0.5 { of(STALE_S, length) } else { Vec::new() };
        median(&of(-10.0, -1.0)).zip(median(&inside))
    }

    /// How long ago the machine went at most of its speed before, when it stood.
    fn stopping(&self, around: &Around<'_>) -> Option<f64> {
        let working = self.speed_before_m_s.filter(|v| *v > 2.0 * self.standing_m_s)?;
        let cell_s = around.trace.cell().0.max(1e-6);
        let before = around.ranges(Quantity::Speed, -10.0, 0.0);
        let fast = |range: &(f64, f64)| range.0.abs().max(range.1.abs()) > 0.8 * working;
        before.iter().rev().position(fast).map(|cells| cells as f64 * cell_s)
    }
}
