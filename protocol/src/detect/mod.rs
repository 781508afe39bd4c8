//! The detectors that both the live alarm and the report judge by.
//!
//! Words: an [`Interval`] is a stretch over which nothing is known to change; a
//! *run* is a row of intervals in which a condition held; an event is a run
//! that lasted long enough. A stretch without data ends every run: what was not
//! seen is never part of an event.

mod care;
mod grip;
mod hold;
mod live_steps;
mod load;
mod plausible;
mod run_down;
mod stationary;
pub mod step;
mod thermal;
mod turning;

pub use care::{CareLimits, CareRule, CareWatch, PerRule};
pub use grip::{Slip, SlipHint, SlipKind};
pub use hold::{Hold, Run};
pub use live_steps::LiveSteps;
pub use load::{
    Expected, LightCause, LoadEvent, LoadKind, LoadLimits, LoadWatch, Onset, Work, light_cause,
    over_pressure, stalled,
};
pub use plausible::{Sensor, SensorLimits, all_possible, impossible, possible};
pub use run_down::RunDown;
pub use stationary::{Stationary, StationaryEvent};
pub use thermal::{ThermalReplica, ThermalSettings};
pub use turning::{TurningLimits, brush_turning, motor_turning};

use crate::frame::MAX_MOTORS;
use crate::time::BootMs;
use heapless::Vec;

/// A stretch of time with what was observed in it. `None` is: not observed.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Interval {
    /// Begin.
    pub from: BootMs,
    /// End, not before `from`.
    pub to: BootMs,
    /// Ground speed in m/s, forward positive.
    pub speed_m_s: Option<f32>,
    /// Brushes switched on.
    pub command_on: Option<bool>,
    /// Each brush motor; empty where nothing was observed.
    pub motors: Vec<MotorState, MAX_MOTORS>,
    /// Turn rate in rad/s, anticlockwise from above positive.
    pub turn_rad_s: Option<f32>,
    /// Switches, settings, voltage, meters.
    pub states: States,
}

/// What holds until it is said otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct States {
    /// Brush head lowered.
    pub head_down: Option<bool>,
    /// Vacuum on.
    pub vacuum_on: Option<bool>,
    /// Solution flow in percent.
    pub solution_flow: Option<u8>,
    /// Down-pressure setting in percent.
    pub pressure_setting: Option<u8>,
    /// Battery voltage in V.
    pub battery_v: Option<f32>,
    /// Battery current in A, drawn positive.
    pub battery_a: Option<f32>,
    /// Brush hour meter in s.
    pub brush_meter_s: Option<u32>,
}

/// One brush motor in an [`Interval`].
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct MotorState {
    /// Motor current in A.
    pub current_a: Option<f32>,
    /// Rotation of the brush shaft in r/min.
    pub rotation_rpm: Option<f32>,
}

impl Interval {
    /// Length in ms.
    pub fn ms(&self) -> u64 {
        self.to.since(self.from)
    }
}

/// Limits of all detectors. The machine file sets them; the defaults are common
/// practice without a published source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// What counts as a turning brush.
    pub turning: TurningLimits,
    /// Below this speed the machine stands, in m/s.
    pub standing_m_s: f32,
    /// A standing machine moves again from this speed, in m/s.
    pub moving_m_s: f32,
    /// Standing with turning brushes longer than this is an event, in ms.
    pub standing_ms: u64,
    /// Moving for no longer than this does not end a stop, in ms.
    pub standing_bridge_ms: u64,
    /// A brush without power may coast for this long, in ms.
    pub run_down_ms: u64,
    /// What a wheel's grip can hold, along or to the side, in m/s².
    pub grip_m_s2: f32,
    /// Motor current above its band, in A.
    pub over_pressure_a: f32,
    /// The band is entered again below this current, in A.
    pub over_pressure_end_a: f32,
    /// Current above its band longer than this is an event, in ms.
    pub over_pressure_ms: u64,
    /// Current of a motor held still by its load, in A.
    pub stall_a: f32,
    /// A brush slower than this with the stall current is stalled, in r/min.
    pub stall_rpm: f32,
    /// A stall longer than this is an event, in ms.
    pub stall_ms: u64,
    /// Load against what is expected, and short events.
    pub load: LoadLimits,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            turning: TurningLimits::default(),
            standing_m_s: 0.05,
            moving_m_s: 0.06,
            standing_ms: 2_000,
            standing_bridge_ms: 300,
            run_down_ms: 15_000,
            grip_m_s2: 2.0,
            over_pressure_a: 45.0,
            over_pressure_end_a: 42.0,
            over_pressure_ms: 3_000,
            stall_a: 90.0,
            stall_rpm: 20.0,
            stall_ms: 200,
            load: LoadLimits::default(),
        }
    }
}
