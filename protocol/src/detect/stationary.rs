//! Stationary-brush events: a brush turns while the machine does not move.
//!
//! Standing has hysteresis: it begins below one speed and ends at a slightly
//! higher one, so that noise at the limit does not split one stop into many.

use super::{Hold, Interval, Limits, Run, brush_turning};

/// One stationary-brush event.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct StationaryEvent {
    /// From the first moment that both held to the last.
    pub run: Run,
}

/// Finds stationary-brush events in a stream of intervals.
#[derive(Clone, Copy, Debug)]
pub struct Stationary {
    limits: Limits,
    standing: bool,
    hold: Hold,
}

impl Stationary {
    /// A detector with these limits.
    pub fn new(limits: Limits) -> Self {
        Self { limits, standing: false, hold: Hold::new(limits.standing_ms) }
    }

    /// Takes the next interval; returns the event that ended before it.
    pub fn step(&mut self, interval: &Interval) -> Option<StationaryEvent> {
        let standing = interval.speed_m_s.map(|speed| {
            let limit =
                if self.standing { self.limits.moving_m_s } else { self.limits.standing_m_s };
            speed.abs() < limit
        });
        self.standing = standing == Some(true);
        let both = match (standing, brush_turning(interval, self.limits.turning)) {
            (Some(false), _) | (_, Some(false)) => Some(false),
            (Some(true), Some(true)) => Some(true),
            _ => None,
        };
        self.hold.step(interval.from, interval.to, both).map(|run| StationaryEvent { run })
    }

    /// Whether an event is going on: for the live alarm.
    pub fn is_active(&self) -> bool {
        self.hold.is_active()
    }

    /// The run that is going on, event or not yet.
    pub fn open(&self) -> Option<Run> {
        self.hold.open()
    }

    /// Ends the data.
    pub fn finish(&mut self) -> Option<StationaryEvent> {
        self.standing = false;
        self.hold.finish().map(|run| StationaryEvent { run })
    }
}
