//! The motor is switched on and draws the current of a held rotor.

use crate::detect::{Limits, MotorState};

/// Whether the load holds the rotor; where rotation is not measured the current alone tells, and
/// a start looks the same for a moment.
/// `None`: the current was not read.
pub fn stalled(motor: &MotorState, limits: &Limits) -> Option<bool> {
    let drawn = motor.current_a? >= limits.stall_a;
    Some(drawn && motor.rotation_rpm.is_none_or(|rpm| rpm < limits.stall_rpm))
}
