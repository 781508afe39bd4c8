//! Readings as an [`Interval`]: which channels speak for a time, and in which unit.
//!
//! Words: a *rate* channel (speed, turn rate, current, rotation, command) speaks
//! for the time since its reading before, if that is not longer than the longest
//! gap; otherwise that time was not observed. A *state* channel (switches,
//! settings, voltage, meters) holds from its reading on, for at most
//! [`STATE_HOLDS_MS`]. Intervals begin and end at the times of rate readings.

use super::{Interval, MotorState, States};
use crate::channel::Channel;
use crate::frame::MAX_MOTORS;
use crate::time::BootMs;
use crate::wire_units::RotationRaw;
use heapless::Vec;

/// A state that was not repeated for this long is not known any more, in ms.
pub const STATE_HOLDS_MS: u64 = 60_000;

/// The state channels.
pub const STATE_CHANNELS: [Channel; 7] = [
    Channel::HEAD_DOWN,
    Channel::VACUUM_ON,
    Channel::SOLUTION_FLOW,
    Channel::PRESSURE_SETTING,
    Channel::BATTERY_VOLTAGE,
    Channel::BATTERY_CURRENT,
    Channel::BRUSH_ON_METER,
];

/// Places of the rate channels in a row of their values.
pub mod rates {
    use crate::channel::Channel;
    use crate::frame::MAX_MOTORS;

    /// Ground speed.
    pub const SPEED: usize = 0;
    /// Turn rate.
    pub const TURN: usize = 1;
    /// Brushes switched on.
    pub const COMMAND: usize = 2;
    /// Current of the first motor; the others follow.
    pub const CURRENT_0: usize = 3;
    /// Rotation of the first brush; the others follow.
    pub const ROTATION_0: usize = CURRENT_0 + MAX_MOTORS;
    /// Number of places.
    pub const RATES: usize = ROTATION_0 + MAX_MOTORS;

    /// Place of a channel; `None`: it is no rate.
    pub fn place(channel: Channel) -> Option<usize> {
        match channel {
            Channel::SPEED => Some(SPEED),
            Channel::TURN_RATE => Some(TURN),
            Channel::BRUSH_COMMAND => Some(COMMAND),
            _ => {
                let current = channel.motor_of_current().map(|motor| CURRENT_0 + motor);
                current.or_else(|| channel.brush_of_rotation().map(|brush| ROTATION_0 + brush))
            }
        }
    }
}

/// A raw value in its unit.
#[inline]
pub fn scaled(raw: i32, unit: f64) -> f32 {
    (f64::from(raw) * unit) as f32
}

/// The interval from raw values by their place in [`rates`]; `wheel_factor` is the true
/// distance over that by the signal.
#[inline]
pub fn interval(
    (from, to): (BootMs, BootMs),
    raw: impl Fn(usize) -> Option<i32>,
    states: States,
    wheel_factor: f64,
) -> Interval {
    let value = |rate: usize, unit: f64| raw(rate).map(|raw| scaled(raw, unit));
    let mut motors = Vec::new();
    for motor in 0..MAX_MOTORS {
        let state = MotorState {
            current_a: value(rates::CURRENT_0 + motor, Channel::BATTERY_CURRENT.resolution()),
            rotation_rpm: value(rates::ROTATION_0 + motor, RotationRaw::RESOLUTION_RPM),
        };
        if state.current_a.is_none() && state.rotation_rpm.is_none() {
            break;
        }
        // The capacity is MAX_MOTORS, as is the loop.
        let _ = motors.push(state);
    }
    Interval {
        from,
        to,
        speed_m_s: value(rates::SPEED, Channel::SPEED.resolution() * wheel_factor),
        command_on: raw(rates::COMMAND).map(|raw| raw != 0),
        motors,
        turn_rad_s: value(rates::TURN, Channel::TURN_RATE.resolution()),
        states,
    }
}

/// The states from the raw value of each that holds.
pub fn states(held: impl Fn(Channel) -> Option<i32>) -> States {
    let value = |channel: Channel| held(channel).map(|raw| scaled(raw, channel.resolution()));
    let percent = |channel: Channel| held(channel).and_then(|raw| u8::try_from(raw).ok());
    States {
        head_down: held(Channel::HEAD_DOWN).map(|raw| raw != 0),
        vacuum_on: held(Channel::VACUUM_ON).map(|raw| raw != 0),
        solution_flow: percent(Channel::SOLUTION_FLOW),
        pressure_setting: percent(Channel::PRESSURE_SETTING),
        battery_v: value(Channel::BATTERY_VOLTAGE),
        battery_a: value(Channel::BATTERY_CURRENT),
        brush_meter_s: held(Channel::BRUSH_ON_METER).and_then(|raw| u32::try_from(raw).ok()),
    }
}
