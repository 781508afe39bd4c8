//! Breaker trip: the current is gone within a moment of a high one, the
//! brushes stay switched on, and the other motors go on.

use super::spell::{Sample, Spell};
use super::{LoadEvent, LoadKind};
use crate::detect::{Interval, Limits, Run};
use crate::time::BootMs;

#[derive(Clone, Copy, Debug)]
pub(super) struct Trip<T> {
    spell: Spell<T>,
    /// End of the last interval of high current, and the largest current of that stretch.
    high: Option<(BootMs, f32)>,
    /// The same of the trip that is going on.
    peak_a: f32,
}

impl<T: Copy + Default> Trip<T> {
    pub(super) fn new(limits: &Limits) -> Self {
        // At least the dead time; readings are in whole ms.
        let longer_than_ms = limits.load.trip_dead_ms.saturating_sub(1);
        Self { spell: Spell::new(LoadKind::Trip, longer_than_ms, 0), high: None, peak_a: 0.0 }
    }

    /// `others` says whether another motor runs; `None`: there is no other, or it was not read.
    pub(super) fn step(
        &mut self,
        interval: &Interval,
        limits: &Limits,
        (current_a, others): (Option<f32>, Option<bool>),
        motor: usize,
        sample: impl FnOnce() -> Sample<T>,
    ) -> Option<LoadEvent<T>> {
        let recent = |at: BootMs| interval.from.since(at) <= limits.load.trip_ms;
        let holds = current_a.map(|a| {
            let gone = a < limits.turning.current_a;
            let on = interval.command_on.or(others) == Some(true);
            let begins = self.high.is_some_and(|(at, _)| recent(at));
            gone && on && others != Some(false) && (begins || self.spell.is_open())
        });
        let peak_before = self.peak_a;
        let ended = self.spell.step(interval, holds, motor, sample);
        if self.spell.began() == Some(interval.from) {
            self.peak_a = self.high.map_or(0.0, |(_, peak)| peak);
        }
        if let Some(a) = current_a.filter(|a| *a > limits.over_pressure_a) {
            let before = self.high.filter(|(at, _)| recent(*at)).map_or(a, |(_, peak)| peak);
            self.high = Some((interval.to, before.max(a)));
        }
        ended.map(|event| LoadEvent { peak_a: peak_before, ..event })
    }

    pub(super) fn is_open(&self) -> bool {
        self.spell.is_open()
    }

    pub(super) fn is_active(&self) -> bool {
        self.spell.is_active()
    }

    pub(super) fn open(&self) -> Option<Run> {
        self.spell.open()
    }

    pub(super) fn finish(&mut self, motor: usize) -> Option<LoadEvent<T>> {
        self.high = None;
        self.spell.finish(motor).map(|event| LoadEvent { peak_a: self.peak_a, ..event })
    }
}
