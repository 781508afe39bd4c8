//! Too much load: above the machine's limit, or far above what is expected.

use super::stall::stalled;
use crate::detect::{Limits, MotorState};

/// Current above its band: too much down pressure, or a floor or pad that drags.
/// `active` is the answer for the interval before; `None`: the current was not read.
pub fn over_pressure(motor: &MotorState, limits: &Limits, active: bool) -> Option<bool> {
    // A stalled motor is judged as stalled alone.
    if stalled(motor, limits) == Some(true) {
        return Some(false);
    }
    let limit = if active { limits.over_pressure_end_a } else { limits.over_pressure_a };
    motor.current_a.map(|a| a > limit)
}

/// Current far above the expected one; it ends a little lower than it begins, so that
/// noise at the limit does not split it.
pub(super) fn heavy(current_a: f32, expected_a: f32, limits: &Limits, active: bool) -> bool {
    let share = limits.load.heavy_share;
    let share = if active { 1.0 + 0.9 * (share - 1.0) } else { share };
    current_a > share * expected_a
}
