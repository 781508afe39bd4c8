//! A run of one rule with what was seen in it.

use super::{LoadEvent, LoadKind};
use crate::detect::{Hold, Interval, Run};
use crate::time::BootMs;

/// A ratio this near to the run's mean, as a share, is like it.
const LIKE: f32 = 0.08;
/// The end is never moved by more than this, in ms.
const FURTHEST_MS: u64 = 1_500;

/// What is summed over a run.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Sample<T> {
    pub(super) current_a: f32,
    pub(super) ratio: Option<f32>,
    pub(super) rise_ms: Option<u32>,
    pub(super) pressure: Option<u8>,
    /// When the value left its usual level, where that is followed.
    pub(super) left_level: Option<BootMs>,
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
    /// When the run really began: where its value left the usual level.
    began: BootMs,
    /// End of the last interval whose ratio was still like the run's mean.
    settled: BootMs,
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

    /// Keeps the last moment at which the ratio was still like its mean in the run.
    fn settle(&mut self, to: BootMs, ratio: Option<f32>) {
        let mean = (self.ratio_ms / self.ratio_time_ms.max(1.0)) as f32;
        let like = ratio.is_some_and(|ratio| (ratio / mean - 1.0).abs() <= LIKE);
        if like || to.since(self.settled) > FURTHEST_MS {
            self.settled = to;
        }
    }
}

/// A [`Hold`] that sums what it holds.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spell<T> {
    kind: LoadKind,
    hold: Hold,
    tally: Tally<T>,
    /// Begin and end are where the ratio left its levels, not where it crossed the limit.
    by_level: bool,
}

impl<T: Copy + Default> Spell<T> {
    pub(super) fn new(kind: LoadKind, longer_than_ms: u64, bridge_ms: u64) -> Self {
        Self {
            kind,
            hold: Hold::bridging(longer_than_ms, bridge_ms),
            tally: Tally::default(),
            by_level: false,
        }
    }

    /// The same; begin and end are those of the cause. The motor's inertia delays the current.
    pub(super) fn of_cause(kind: LoadKind, longer_than_ms: u64, bridge_ms: u64) -> Self {
        Self { by_level: true, ..Self::new(kind, longer_than_ms, bridge_ms) }
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
                let began = sample.left_level.unwrap_or(interval.from);
                self.tally = Tally { begin: sample, began, ..Tally::default() };
            }
            self.tally.add(interval.ms(), &sample);
            self.tally.settle(interval.to, sample.ratio);
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

    pub(super) fn is_active(&self) -> bool {
        self.hold.is_active()
    }

    /// Ends the data.
    pub(super) fn finish(&mut self, motor: usize) -> Option<LoadEvent<T>> {
        let tally = self.tally;
        self.hold.finish().map(|run| self.event(run, &tally, motor))
    }

    fn event(&self, run: Run, tally: &Tally<T>, motor: usize) -> LoadEvent<T> {
        let run = if self.by_level {
            Run { from: tally.began.min(run.from), to: tally.settled.min(run.to), ..run }
        } else {
            run
        };
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
