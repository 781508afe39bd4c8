//! Whether a brush turns.
//!
//! The brush's own rotation says it best. Without it, a current above what the
//! electronics draw means that the motor runs (or is held still by its load,
//! which the stall detector tells apart by the height of the current). Without
//! both, the switch is believed.

use super::{Interval, MotorState};

/// From where on a brush counts as turning. Common practice, no published source.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TurningLimits {
    /// Rotation in r/min.
    pub rotation_rpm: f32,
    /// Motor current in A.
    pub current_a: f32,
}

impl Default for TurningLimits {
    fn default() -> Self {
        Self { rotation_rpm: 20.0, current_a: 2.0 }
    }
}

/// Whether this motor's brush turns; `None` where it was not observed.
pub fn motor_turning(motor: &MotorState, limits: TurningLimits) -> Option<bool> {
    motor
        .rotation_rpm
        .map(|rpm| rpm > limits.rotation_rpm)
        .or_else(|| motor.current_a.map(|a| a > limits.current_a))
}

/// Whether any brush turns; `None` where nothing tells.
pub fn brush_turning(interval: &Interval, limits: TurningLimits) -> Option<bool> {
    let mut seen = None;
    for motor in &interval.motors {
        match motor_turning(motor, limits) {
            Some(true) => return Some(true),
            Some(false) => seen = Some(false),
            None => {}
        }
    }
    seen.or(interval.command_on)
}
