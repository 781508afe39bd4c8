//! Near-stall: the load nearly held the rotor and let go.
//!
//! A run of current from the near-stall limit on; one that holds a stall is the
//! way into it and out of it, and no event of its own.

use super::spell::{Sample, Spell};
use super::{LoadEvent, LoadKind};
use crate::detect::{Interval, Limits};

#[derive(Clone, Copy, Debug)]
pub(super) struct NearStall<T> {
    spell: Spell<T>,
    stall_ms: u64,
    stalled: bool,
}

impl<T: Copy + Default> NearStall<T> {
    pub(super) fn new(limits: &Limits) -> Self {
        // At least the near-stall time; readings are in whole ms.
        let longer_than_ms = limits.load.near_stall_ms.saturating_sub(1);
        let spell = Spell::new(LoadKind::NearStall, longer_than_ms, 0);
        Self { spell, stall_ms: 0, stalled: false }
    }

    pub(super) fn step(
        &mut self,
        interval: &Interval,
        limits: &Limits,
        (holds, stalled): (Option<bool>, bool),
        motor: usize,
        sample: impl FnOnce() -> Sample<T>,
    ) -> Option<LoadEvent<T>> {
        let was_stalled = self.stalled;
        let ended = self.spell.step(interval, holds, motor, sample);
        if self.spell.began().is_none_or(|began| began == interval.from) {
            (self.stall_ms, self.stalled) = (0, false);
        }
        self.stall_ms = if stalled { self.stall_ms.saturating_add(interval.ms()) } else { 0 };
        self.stalled |= self.stall_ms > limits.stall_ms;
        ended.filter(|_| !was_stalled)
    }

    pub(super) fn is_open(&self) -> bool {
        self.spell.is_open()
    }

    pub(super) fn finish(&mut self, motor: usize) -> Option<LoadEvent<T>> {
        self.spell.finish(motor).filter(|_| !self.stalled)
    }
}
