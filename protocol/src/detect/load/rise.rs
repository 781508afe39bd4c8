//! When a current left its usual level, and so how fast a load came.
//!
//! Usual is: not further than a band from its own mean of the last seconds
//! (5 s). A motor's current follows its load with the mechanical time constant
//! J R / k² of motor, gear and brush, some 0.3 s: a load that comes at once is
//! seen in full after three of them, 0.9 s. What takes longer to reach its limit
//! rose by itself: drag. The numbers are our own choice.

use crate::time::BootMs;

const MEAN_MS: f32 = 5_000.0;
/// An edge is never moved by more than this, in ms.
const FURTHEST_MS: u64 = 1_500;

/// Which way the value leaves its level, and how far is still usual.
#[derive(Clone, Copy, Debug)]
pub(super) enum Leaves {
    Above(f32),
    Below(f32),
}

impl Leaves {
    fn usual(self, value: f32, mean: f32) -> bool {
        match self {
            Self::Above(share) => value <= share * mean,
            Self::Below(share) => value >= share * mean,
        }
    }
}

/// Follows a value and its mean.
#[derive(Clone, Copy, Debug)]
pub(super) struct Level {
    leaves: Leaves,
    /// Mean, and the end of the last interval with a usual value.
    seen: Option<(f32, BootMs)>,
}

impl Level {
    pub(super) fn new(leaves: Leaves) -> Self {
        Self { leaves, seen: None }
    }

    /// Time from the last usual value to `to`, in ms.
    pub(super) fn ms(&self, to: BootMs) -> Option<u32> {
        let (_, usual_at) = self.seen?;
        u32::try_from(to.since(usual_at)).ok()
    }

    /// The moment not far before `edge` at which the value left its level.
    pub(super) fn left_before(&self, edge: BootMs) -> BootMs {
        let left = self.seen.map(|(_, at)| at).filter(|at| *at <= edge);
        left.filter(|at| edge.since(*at) <= FURTHEST_MS).unwrap_or(edge)
    }

    /// Takes the value of an interval; `None` forgets.
    pub(super) fn step(&mut self, (from, to): (BootMs, BootMs), value: Option<f32>) {
        self.seen = match (self.seen, value) {
            (_, None) => None,
            (None, Some(value)) => Some((value, to)),
            (Some((mean, at)), Some(value)) => {
                let at = if self.leaves.usual(value, mean) { to } else { at };
                let share = (to.since(from) as f32 / MEAN_MS).min(1.0);
                Some((mean + (value - mean) * share, at))
            }
        };
    }
}
