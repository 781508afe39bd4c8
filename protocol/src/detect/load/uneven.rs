//! Uneven load: one motor draws much more than another, for long.

use super::spell::{Sample, Spell};
use super::{LoadEvent, LoadKind, LoadLimits};
use crate::detect::Interval;
use crate::frame::MAX_MOTORS;

#[derive(Clone, Copy, Debug)]
pub(super) struct Uneven<T> {
    spell: Spell<T>,
    /// Current x time of each motor in the run, in A·ms.
    sums: [f64; MAX_MOTORS],
}

impl<T: Copy + Default> Uneven<T> {
    pub(super) fn new(limits: &LoadLimits) -> Self {
        let spell = Spell::new(LoadKind::Uneven, limits.uneven_ms, limits.bridge_ms);
        Self { spell, sums: [0.0; MAX_MOTORS] }
    }

    /// `works` says whether all brushes turn on the floor, moving; `None`: cannot be told.
    pub(super) fn step(
        &mut self,
        interval: &Interval,
        limits: &LoadLimits,
        works: Option<bool>,
        sample: impl FnOnce() -> Sample<T>,
    ) -> Option<LoadEvent<T>> {
        let (mut low, mut high) = (f32::MAX, 0.0_f32);
        for current_a in interval.motors.iter().filter_map(|m| m.current_a) {
            (low, high) = (low.min(current_a), high.max(current_a));
        }
        // Ends a little lower than it begins.
        let excess = (limits.uneven_ratio - 1.0) * if self.spell.is_open() { 0.9 } else { 1.0 };
        let above = high > (1.0 + excess) * low;
        let holds = match works {
            Some(true) => Some(above),
            other => other,
        };
        let before = self.most();
        let ended = self.spell.step(interval, holds, before, || Sample {
            current_a: high,
            ratio: Some(high / low.max(0.1)),
            rise_ms: None,
            ..sample()
        });
        if holds == Some(true) {
            if self.spell.began() == Some(interval.from) {
                self.sums = [0.0; MAX_MOTORS];
            }
            for (sum, motor) in self.sums.iter_mut().zip(&interval.motors) {
                *sum += f64::from(motor.current_a.unwrap_or(0.0)) * interval.ms() as f64;
            }
        }
        ended
    }

    pub(super) fn is_open(&self) -> bool {
        self.spell.is_open()
    }

    pub(super) fn is_active(&self) -> bool {
        self.spell.is_active()
    }

    pub(super) fn finish(&mut self) -> Option<LoadEvent<T>> {
        self.spell.finish(self.most())
    }

    /// The motor that drew most in the run.
    fn most(&self) -> usize {
        let mut most = 0;
        for (motor, sum) in self.sums.iter().enumerate() {
            if *sum > self.sums[most] {
                most = motor;
            }
        }
        most
    }
}
