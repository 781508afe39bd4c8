//! Too much load on a brush motor: over-pressure, and stall.

mod limits;

pub use limits::LoadLimits;

use super::{Hold, Interval, Limits, MotorState, Run};

/// A load event of one motor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadEvent {
    /// When.
    pub run: Run,
    /// Largest current in it, in A.
    pub peak_a: f32,
}

/// A rule that tells from a motor's state whether it is loaded too much.
pub trait Load {
    /// `None` where it cannot be told. `active` is the answer for the interval before.
    fn holds(&self, motor: &MotorState, active: bool) -> Option<bool>;
    /// How long it must hold to be an event, in ms.
    fn longer_than_ms(&self) -> u64;
}

/// Current above its band: too much down pressure, or a floor or pad that drags.
#[derive(Clone, Copy, Debug)]
pub struct OverPressure(pub Limits);

impl Load for OverPressure {
    fn holds(&self, motor: &MotorState, active: bool) -> Option<bool> {
        // A stalled motor is judged by `Stall` alone.
        if Stall(self.0).holds(motor, false) == Some(true) {
            return Some(false);
        }
        let limit = if active { self.0.over_pressure_end_a } else { self.0.over_pressure_a };
        motor.current_a.map(|a| a > limit)
    }

    fn longer_than_ms(&self) -> u64 {
        self.0.over_pressure_ms
    }
}

/// The motor is switched on and draws the current of a held rotor.
#[derive(Clone, Copy, Debug)]
pub struct Stall(pub Limits);

impl Load for Stall {
    fn holds(&self, motor: &MotorState, _active: bool) -> Option<bool> {
        let drawn = motor.current_a? >= self.0.stall_a;
        Some(drawn && motor.rotation_rpm.is_none_or(|rpm| rpm < self.0.stall_rpm))
    }

    fn longer_than_ms(&self) -> u64 {
        self.0.stall_ms
    }
}

/// Finds events of one rule on one motor in a stream of intervals.
#[derive(Clone, Copy, Debug)]
pub struct LoadDetector<R> {
    rule: R,
    motor: usize,
    hold: Hold,
    peak_a: f32,
}

impl<R: Load> LoadDetector<R> {
    /// A detector of `rule` on motor number `motor`, from 0.
    pub fn new(rule: R, motor: usize) -> Self {
        let hold = Hold::new(rule.longer_than_ms());
        Self { rule, motor, hold, peak_a: 0.0 }
    }

    /// Takes the next interval; returns the event that ended before it.
    pub fn step(&mut self, interval: &Interval) -> Option<LoadEvent> {
        let motor = interval.motors.get(self.motor);
        let holds = motor.and_then(|m| self.rule.holds(m, self.hold.open().is_some()));
        let peak_before = self.peak_a;
        let ended = self.hold.step(interval.from, interval.to, holds);
        if holds == Some(true) {
            let began_now = self.hold.open().is_some_and(|run| run.from == interval.from);
            let current = motor.and_then(|m| m.current_a).unwrap_or(0.0);
            self.peak_a = if began_now { current } else { peak_before.max(current) };
        }
        ended.map(|run| LoadEvent { run, peak_a: peak_before })
    }

    /// Whether a run is going on, event or not yet.
    pub fn is_open(&self) -> bool {
        self.hold.open().is_some()
    }

    /// Whether an event is going on: for the live alarm.
    pub fn is_active(&self) -> bool {
        self.hold.is_active()
    }

    /// Ends the data.
    pub fn finish(&mut self) -> Option<LoadEvent> {
        self.hold.finish().map(|run| LoadEvent { run, peak_a: self.peak_a })
    }
}
