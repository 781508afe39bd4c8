//! Stationary-brush events: a brush turns while the machine does not move.
//!
//! Standing has hysteresis: it begins below one speed and ends at a slightly
//! higher one, so that noise at the limit does not split one stop into many; a
//! creep of up to [`Limits::standing_bridge_ms`], slower than twice that speed, does
//! not either: the brushes are still on their spot.
//!
//! A brush that was switched off coasts for a while: that is no event, up to
//! [`Limits::run_down_ms`] after its power went. Nor is a brush in the air.

use super::{Hold, Interval, Limits, Run, RunDown, brush_turning};

/// A machine slower than this many times the limit creeps.
const CREEP: f32 = 2.0;

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
    run_down: RunDown,
    hold: Hold,
}

impl Stationary {
    /// A detector with these limits.
    pub fn new(limits: Limits) -> Self {
        let hold = Hold::bridging(limits.standing_ms, limits.standing_bridge_ms);
        Self { limits, standing: false, run_down: RunDown::default(), hold }
    }

    /// Takes the next interval; returns the event that ended before it.
    pub fn step(&mut self, interval: &Interval) -> Option<StationaryEvent> {
        let standing = interval.speed_m_s.map(|speed| {
            let limit =
                if self.standing { self.limits.moving_m_s } else { self.limits.standing_m_s };
            speed.abs() < limit
        });
        self.standing = standing == Some(true);
        let coasting = self.run_down.step(interval, &self.limits);
        let grinding = if coasting || interval.states.head_down == Some(false) {
            Some(false)
        } else {
            brush_turning(interval, self.limits.turning)
        };
        let both = match (standing, grinding) {
            (Some(false), _) | (_, Some(false)) => Some(false),
            (Some(true), Some(true)) => Some(true),
            _ => None,
        };
        let creeps = grinding == Some(true)
            && interval.speed_m_s.is_some_and(|speed| speed.abs() < CREEP * self.limits.moving_m_s);
        self.hold.bridge_ms = if creeps { self.limits.standing_bridge_ms } else { 0 };
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

    /// At this speed or above a machine with powered brushes is in no event and bridges none.
    pub fn clear_m_s(&self) -> f32 {
        CREEP * self.limits.moving_m_s.max(self.limits.standing_m_s)
    }

    /// Ends the data.
    pub fn finish(&mut self) -> Option<StationaryEvent> {
        self.standing = false;
        self.hold.finish().map(|run| StationaryEvent { run })
    }
}
