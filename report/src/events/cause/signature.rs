//! The numbers that causes are told apart by.
//!
//! *Before* is from 10 s to 1 s before the event, *after* from 1 s to 10 s after it; values
//! there are medians of the middles of cells. What was not observed is `None`.

use super::Case;
use crate::events::{Event, EventKind, Finding};
use crate::findings::{Doubt, Sensor, Trace};
use crate::window::Quantity;
use underbrush_protocol::settings::Machine;

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
    /// Lowest water setting in it.
    pub water: Option<f64>,
    /// Lowest good water setting.
    pub water_level: f64,
    /// Events of the same kind here and in other sections tonight, this one included.
    pub here_elsewhere: (u64, u64),
    /// Tonight's current in normal work over the motor's own normal, and that of the others.
    pub baseline: Option<(f64, Option<f64>)>,
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

/// A stretch of cells of a trace, by seconds from the event's begin.
struct Around<'a> {
    trace: &'a Trace,
}

impl Around<'_> {
    fn ranges(&self, quantity: Quantity, from_s: f64, to_s: f64) -> Vec<(f64, f64)> {
        let Some(line) = self.trace.line(quantity) else { return Vec::new() };
        let cell_s = self.trace.cell().0.max(1e-6);
        let begin_s =
            (self.trace.event.from - self.trace.span.from).num_milliseconds() as f64 / 1e3;
        let index = |s: f64| ((begin_s + s) / cell_s).max(0.0);
        let first = index(from_s).floor() as usize;
        // A stretch shorter than a cell is that cell.
        let last = (index(to_s).ceil() as usize).max(first + 1);
        let cells = line.cells.iter().take(last).skip(first).filter_map(|cell| cell.range);
        cells.map(|(low, high)| (f64::from(low), f64::from(high))).collect()
    }

    fn median(&self, quantity: Quantity, from_s: f64, to_s: f64) -> Option<f64> {
        let ranges = self.ranges(quantity, from_s, to_s);
        let middles: Vec<f64> =
            ranges.iter().map(|(low, high)| f64::midpoint(*low, *high)).collect();
        crate::findings::robust::median(&middles)
    }

    fn before(&self, quantity: Quantity) -> Option<f64> {
        self.median(quantity, -10.0, -1.0)
    }

    fn length_s(&self) -> f64 {
        self.trace.event.length().0
    }

    fn inside(&self, quantity: Quantity) -> Option<(f64, f64)> {
        let ranges = self.ranges(quantity, 0.0, self.length_s());
        ranges.into_iter().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    fn switch(&self, quantity: Quantity) -> Option<bool> {
        match self.inside(quantity)? {
            (low, _) if low > 0.0 => Some(true),
            (_, high) if high < 1.0 => Some(false),
            _ => None,
        }
    }

    /// Time from the last cell in which the switch was off to the event's begin.
    fn since_on(&self, quantity: Quantity) -> Option<f64> {
        let cell_s = self.trace.cell().0.max(1e-6);
        let before = self.ranges(quantity, -30.0, 0.0);
        let off = before.iter().rev().position(|(low, _)| *low < 1.0)?;
        Some(off as f64 * cell_s)
    }
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
            ..Self::default()
        };
        if let Finding::Load(load) = &event.finding {
            signature.rise_s =
                load.rise.filter(|_| load.onset.is_some()).map(|rise| rise.0.max(0.0));
        }
        if let Some(trace) = trace {
            signature.of_trace(event.kind, &Around { trace });
        }
        signature
    }

    fn of_night(&mut self, event: &Event, case: &Case<'_>) {
        let found = case.findings;
        let same = |place: &crate::findings::Place| place.section == event.place.section;
        let places: Vec<bool> = match &event.finding {
            Finding::Stationary(_) => found.stationary.iter().map(|e| same(&e.place)).collect(),
            Finding::Load(load) => found.load.of(load.kind).map(|e| same(&e.place)).collect(),
            Finding::Care(care) => found.care.of(care.rule).map(|e| same(&e.place)).collect(),
            _ => Vec::new(),
        };
        let here = places.iter().filter(|same| **same).count() as u64;
        self.here_elsewhere = (here, places.len() as u64 - here);
        let of = |motor: usize| {
            let normal = found.load.motors.get(motor)?.normal?;
            (normal.normal.current.0 > 0.0).then(|| normal.tonight / normal.normal.current)
        };
        let others = (0..self.motors).filter(|motor| *motor != self.motor).filter_map(of);
        self.baseline = of(self.motor).map(|own| (own, others.reduce(f64::max)));
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

    fn of_trace(&mut self, kind: EventKind, around: &Around<'_>) {
        let length = around.length_s();
        let current = Quantity::Current(self.motor);
        let speed = |from, to| around.median(Quantity::Speed, from, to).map(f64::abs);
        self.speed_before_m_s = speed(-10.0, -1.0);
        self.speed_after_m_s = speed(length + 1.0, length + 10.0);
        self.before_a = around.before(current);
        self.peak_ratio = ratio(around.inside(current).map(|range| range.1), self.before_a);
        let others = (0..self.motors).filter(|motor| *motor != self.motor);
        let other = |motor| {
            let quantity = Quantity::Current(motor);
            ratio(around.median(quantity, 0.0, length), around.before(quantity))
        };
        self.other_ratio = others.filter_map(other).reduce(f64::max);
        let on_after = around.ranges(Quantity::Command, length + 1.0, length + 10.0);
        let on_after = !on_after.is_empty() && on_after.iter().all(|(low, _)| *low > 0.0);
        let after = around.median(current, length + 1.0, length + 10.0);
        self.after_ratio = ratio(after.filter(|_| on_after), self.before_a);
        let pressure = around.inside(Quantity::Pressure).map(|range| range.1);
        self.pressure = around.median(Quantity::Pressure, -30.0, -1.0).zip(pressure);
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

    /// How long ago the machine went at most of its speed before, when it stood.
    fn stopping(&self, around: &Around<'_>) -> Option<f64> {
        let working = self.speed_before_m_s.filter(|v| *v > 2.0 * self.standing_m_s)?;
        let cell_s = around.trace.cell().0.max(1e-6);
        let before = around.ranges(Quantity::Speed, -10.0, 0.0);
        let fast = |range: &(f64, f64)| range.0.abs().max(range.1.abs()) > 0.8 * working;
        before.iter().rev().position(fast).map(|cells| cells as f64 * cell_s)
    }
}
