//! A run of one rule with what was seen in it.

use super::{LoadEvent, LoadKind};
use crate::detect::{Hold, Interval, Run};
use crate::time::BootMs;

/// What is summed over a run.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sample<T> {
    pub(super) current_a: f32,
    pub(super) ratio: Option<f32>,
    pub(super) rise_ms: Option<u32>,
    pub(super) pressure: Option<u8>,
    pub(super) tag: T,
}

#[derive(Clone, Copy, Debug, Default)]
struct Tally<T> {
    begin: Sample<T>,
    ms: f32,
    peak_a: f32,
    current_ms: f64,
    ratio_ms: f64,
    ratio_time_ms: f64,
    ratio_max: Option<f32>,
    pressure: Option<u8>,
}

impl<T: Copy + Default> Tally<T> {
    fn add(&mut self, ms: u64, sample: &Sample<T>) {
        self.ms += ms as f32;
        self.peak_a = self.peak_a.max(sample.current_a);
        self.current_ms += f64::from(sample.current_a) * ms as f64;
        if let Some(ratio) = sample.ratio {
            self.ratio_ms += f64::from(ratio) * ms as f64;
            self.ratio_time_ms += ms as f64;
            self.ratio_max = Some(self.ratio_max.map_or(ratio, |max| max.max(ratio)));
        }
        self.pressure = match (self.pressure, sample.pressure) {
            (Some(a), Some(b)) => Some(a.min(b)),
            (a, b) => a.or(b),
        };
    }
}

/// A [`Hold`] that sums what it holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spell<T> {
    kind: LoadKind,
    hold: Hold,
    tally: Tally<T>,
}

impl<T: Copy + Default> Spell<T> {
    pub(super) fn new(kind: LoadKind, longer_than_ms: u64, bridge_ms: u64) -> Self {
        Self { kind, hold: Hold::bridging(longer_than_ms, bridge_ms), tally: Tally::default() }
    }

    /// Takes the next interval; returns what ended before it.
    #[inline]
    pub(super) fn step(
        &mut self,
        interval: &Interval,
        holds: Option<bool>,
        motor: usize,
        sample: impl FnOnce() -> Sample<T>,
    ) -> Option<LoadEvent<T>> {
        if holds != Some(true) && self.hold.open().is_none() {
            return None;
        }
        let before = self.tally;
        let ended = self.hold.step(interval.from, interval.to, holds);
        if holds == Some(true) {
            let sample = sample();
            if self.began() == Some(interval.from) {
                self.tally = Tally { begin: sample, ..Tally::default() };
            }
            self.tally.add(interval.ms(), &sample);
        }
        ended.map(|run| self.event(run, &before, motor))
    }

    /// Begin of the run that is going on, event or not yet.
    pub(super) fn began(&self) -> Option<BootMs> {
        self.hold.open().map(|run| run.from)
    }

    pub(super) fn is_open(&self) -> bool {
        self.hold.open().is_some()
    }

    /// The run that is going on, event or not yet.
    pub(super) fn open(&self) -> Option<Run> {
        self.hold.open()
    }

    pub(super) fn is_active(&self) -> bool {
        self.hold.is_active()
    }

    /// Ends the data.
    pub(super) fn finish(&mut self, motor: usize) -> Option<LoadEvent<T>> {
        let tally = self.tally;
        self.hold.finish().map(|run| self.event(run, &tally, motor))
    }

    fn event(&self, run: Run, tally: &Tally<T>, motor: usize) -> LoadEvent<T> {
        let mean = |sum: f64, ms: f64| if ms > 0.0 { (sum / ms) as f32 } else { 0.0 };
        LoadEvent {
            kind: self.kind,
            motor,
            run,
            peak_a: tally.peak_a,
            mean_a: mean(tally.current_ms, f64::from(tally.ms)),
            ratio: tally.ratio_max.map(|_| mean(tally.ratio_ms, tally.ratio_time_ms)),
            ratio_max: tally.ratio_max,
            rise_ms: tally.begin.rise_ms,
            pressure: tally.pressure,
            tag: tally.begin.tag,
        }
    }
}
