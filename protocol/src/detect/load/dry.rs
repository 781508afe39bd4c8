//! Dry running, suspected: where water flow is not reported, all brushes draw
//! more than expected for minutes, as a floor without water makes them.
//!
//! A mean of 20 s is judged. What differs from night to night anyway is allowed
//! for: the limit is never below 1 + 3 standard deviations of the nights.

use super::spell::{Sample, Spell};
use super::{Expected, LoadEvent, LoadKind, LoadLimits};
use crate::detect::Interval;

/// Time constant of the mean, in ms.
const MEAN_MS: f32 = 20_000.0;
/// A stop or a turn up to this long does not end it, in ms.
const BRIDGE_MS: u64 = 60_000;

#[derive(Clone, Copy, Debug)]
pub(super) struct Dry<T> {
    spell: Spell<T>,
    mean: f32,
}

impl<T: Copy + Default> Dry<T> {
    pub(super) fn new(limits: &LoadLimits) -> Self {
        Self { spell: Spell::new(LoadKind::Dry, limits.dry_ms, BRIDGE_MS), mean: 1.0 }
    }

    /// `normal` says that all motors work normally.
    pub(super) fn step(
        &mut self,
        interval: &Interval,
        limits: &LoadLimits,
        (expected, normal): (&Expected, bool),
        sample: impl FnOnce() -> Sample<T>,
    ) -> Option<LoadEvent<T>> {
        let unknown = interval.states.solution_flow.is_none();
        if !unknown && !self.spell.is_open() {
            return None;
        }
        let (mut sum, mut count) = (0.0, 0.0_f32);
        for (motor, expected) in interval.motors.iter().zip(&expected.current_a) {
            if let (Some(current_a), Some(expected_a)) = (motor.current_a, expected)
                && current_a.is_finite()
            {
                sum += current_a / expected_a;
                count += 1.0;
            }
        }
        let judged = normal && count > 0.0 && unknown;
        if judged {
            let share = (interval.ms() as f32 / MEAN_MS).min(1.0);
            self.mean += (sum / count - self.mean) * share;
        }
        let limit = limits.dry_ratio.max(1.0 + 3.0 * expected.spread);
        let (ratio, holds) = (sum / count.max(1.0), judged && self.mean > limit);
        self.spell.step(interval, Some(holds), 0, || Sample { ratio: Some(ratio), ..sample() })
    }

    pub(super) fn is_open(&self) -> bool {
        self.spell.is_open()
    }

    pub(super) fn is_active(&self) -> bool {
        self.spell.is_active()
    }

    pub(super) fn finish(&mut self) -> Option<LoadEvent<T>> {
        self.mean = 1.0;
        self.spell.finish(0)
    }
}
