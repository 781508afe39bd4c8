//! A brush that goes on turning after its power went.
//!
//! Power is on while the switch is on; where no switch is read, while any motor
//! draws more than the electronics do. A brush that turns without power coasts,
//! but not for ever: one that still turns after [`Limits::run_down_ms`] is
//! driven by something, whatever the switch says. How long this machine's
//! brushes coast is measured where their rotation is.

use super::{Interval, Limits, brush_turning};
use crate::time::BootMs;

/// Follows the power of the brushes and their coasting.
#[derive(Clone, Copy, Debug, Default)]
pub struct RunDown {
    /// Since when there is no power.
    off_since: Option<BootMs>,
    coasting: bool,
    /// How long the last coasting took, in ms, until taken.
    measured_ms: Option<u64>,
}

impl RunDown {
    /// Takes the next interval; whether the brushes coast in it.
    pub fn step(&mut self, interval: &Interval, limits: &Limits) -> bool {
        let was_coasting = core::mem::take(&mut self.coasting);
        if powered(interval, limits) != Some(false) {
            self.off_since = None;
            return false;
        }
        let since = *self.off_since.get_or_insert(interval.from);
        match brush_turning(interval, limits.turning) {
            Some(true) => {
                self.coasting = interval.to.since(since) <= limits.run_down_ms;
                self.coasting
            }
            Some(false) if was_coasting => {
                self.measured_ms = Some(interval.from.since(since));
                false
            }
            _ => false,
        }
    }

    /// The length of a coasting that ended with the interval taken last, in ms.
    pub fn take_measured_ms(&mut self) -> Option<u64> {
        self.measured_ms.take()
    }
}

/// Whether the brushes have power; `None` where nothing tells.
fn powered(interval: &Interval, limits: &Limits) -> Option<bool> {
    interval.command_on.or_else(|| {
        let drawn =
            |motor: &super::MotorState| motor.current_a.map(|a| a > limits.turning.current_a);
        interval.motors.iter().filter_map(drawn).reduce(|a, b| a || b)
    })
}
