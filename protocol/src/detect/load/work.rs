//! Whether a motor runs, has started, and works normally.

use crate::detect::{Interval, Limits, motor_turning};
use crate::frame::MAX_MOTORS;
use crate::time::BootMs;

/// Follows the motors from interval to interval.
#[derive(Clone, Copy, Debug)]
pub struct Work {
    limits: Limits,
    standing: bool,
    reached: BootMs,
    /// Since when each motor runs.
    runs_since: [Option<BootMs>; MAX_MOTORS],
    /// Brushes on the floor and moving; `None`: cannot be told.
    grinds: Option<bool>,
    /// What all motors have in common in normal work holds.
    as_it_should: bool,
    to: BootMs,
}

impl Work {
    /// Nothing seen yet.
    pub fn new(limits: Limits) -> Self {
        Self {
            limits,
            standing: false,
            reached: BootMs(0),
            runs_since: [None; MAX_MOTORS],
            grinds: None,
            as_it_should: false,
            to: BootMs(0),
        }
    }

    /// Takes the next interval.
    pub fn step(&mut self, interval: &Interval) {
        let limits = &self.limits;
        let moving = interval.speed_m_s.map(|speed| {
            let limit = if self.standing { limits.moving_m_s } else { limits.standing_m_s };
            speed.abs() >= limit
        });
        self.standing = moving == Some(false);
        let hole = interval.from != self.reached;
        self.reached = interval.to;
        for (motor, since) in self.runs_since.iter_mut().enumerate() {
            let current_a = interval.motors.get(motor).and_then(|m| m.current_a);
            let runs = current_a.is_some_and(|a| a > limits.turning.current_a);
            *since = match *since {
                _ if !runs => None,
                Some(since) if !hole => Some(since),
                _ => Some(interval.from),
            };
        }
        let states = &interval.states;
        let off = interval.command_on == Some(false) || states.head_down == Some(false);
        self.grinds = if off { Some(false) } else { moving };
        let full = states.pressure_setting.is_none_or(|p| p >= limits.load.full_pressure);
        let wet = states.solution_flow.is_none_or(|flow| flow > 0);
        self.as_it_should = self.grinds == Some(true) && full && wet;
        self.to = interval.to;
    }

    /// Whether this motor has run longer than the start time.
    pub fn started(&self, motor: usize) -> bool {
        let since = self.runs_since.get(motor).copied().flatten();
        since.is_some_and(|since| self.to.since(since) > self.limits.load.start_ms)
    }

    /// Whether this motor works normally in the interval that was taken last.
    pub fn normal(&self, motor: usize, interval: &Interval) -> bool {
        self.as_it_should
            && self.started(motor)
            && interval
                .motors
                .get(motor)
                .is_some_and(|m| m.current_a.is_some_and(|a| a < self.limits.over_pressure_a))
    }

    /// Whether this motor's brush turns on the floor while the machine moves; `None`: cannot be told.
    pub(super) fn grinds(&self, motor: usize, interval: &Interval) -> Option<bool> {
        let turns = interval.motors.get(motor).and_then(|m| {
            let runs = m.current_a? > self.limits.turning.current_a;
            Some(runs && motor_turning(m, self.limits.turning) == Some(true))
        });
        match (self.grinds, turns) {
            (Some(false), _) | (_, Some(false)) => Some(false),
            (Some(true), Some(true)) => Some(true),
            _ => None,
        }
    }

    /// Whether any motor but this one runs; `None`: there is no other, or none was read.
    pub(super) fn others_run(&self, motor: usize, interval: &Interval) -> Option<bool> {
        let mut seen = None;
        for (other, state) in interval.motors.iter().enumerate() {
            if let Some(a) = state.current_a.filter(|_| other != motor) {
                seen = Some(seen == Some(true) || a > self.limits.turning.current_a);
            }
        }
        seen
    }
}
