//! How fast a load came: the time since the current was last normal.
//!
//! Normal is: not above 1.2 times its own mean of the last seconds (5 s). A
//! motor's current follows its load with the mechanical time constant J R / k²
//! of motor, gear and brush, some 0.3 s: a load that comes at once is seen in
//! full after three of them, 0.9 s, the obstacle time. What takes longer to reach
//! its limit rose by itself: drag. The numbers are our own choice.

use crate::time::BootMs;

const MEAN_MS: f32 = 5_000.0;
const NORMAL: f32 = 1.2;

#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Rise {
    /// Mean current, and the end of the last interval with a normal one.
    seen: Option<(f32, BootMs)>,
}

impl Rise {
    /// Time from the last normal current to `to`, in ms.
    pub(super) fn ms(&self, to: BootMs) -> Option<u32> {
        let (_, normal_at) = self.seen?;
        u32::try_from(to.since(normal_at)).ok()
    }

    /// Takes the current of a started motor; anything else forgets.
    pub(super) fn step(&mut self, (from, to): (BootMs, BootMs), current_a: Option<f32>) {
        self.seen = match (self.seen, current_a) {
            (_, None) => None,
            (None, Some(a)) => Some((a, to)),
            (Some((mean_a, at)), Some(a)) => {
                let at = if a <= NORMAL * mean_a { to } else { at };
                let share = (to.since(from) as f32 / MEAN_MS).min(1.0);
                Some((mean_a + (a - mean_a) * share, at))
            }
        };
    }
}
