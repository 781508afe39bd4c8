//! The last full-rate readings, in memory that never grows.

use std::collections::VecDeque;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

/// Readings in order of time; a full store loses its oldest.
#[derive(Debug)]
pub(super) struct Store {
    readings: VecDeque<Reading>,
    most: usize,
    /// A reading may be asked for until it is so old, in ms.
    promised_ms: u64,
    /// Those that left before that, counted by the second of their time.
    early: VecDeque<(u64, u32)>,
}

impl Store {
    /// Holds at most so many readings, for at least `promised_ms` if they fit.
    pub(super) fn new(most: usize, promised_ms: u64) -> Self {
        Self { readings: VecDeque::new(), most: most.max(1), promised_ms, early: VecDeque::new() }
    }

    /// Puts the newest in and returns the oldest if there is no more room.
    pub(super) fn push(&mut self, reading: Reading) -> Option<Reading> {
        if self.readings.capacity() == 0 {
            // Once, and not for bridges that send none.
            self.readings.reserve_exact(self.most);
        }
        let gone = if self.readings.len() >= self.most { self.readings.pop_front() } else { None };
        self.readings.push_back(reading);
        gone
    }

    /// Whether a reading of time `at` left too early; then it is noted.
    pub(super) fn left_early(&mut self, at: BootMs, newest: BootMs) -> bool {
        if newest.since(at) >= self.promised_ms {
            return false;
        }
        let oldest_s = newest.0.saturating_sub(self.promised_ms) / 1_000;
        while self.early.front().is_some_and(|(second, _)| *second < oldest_s) {
            self.early.pop_front();
        }
        let second = at.0 / 1_000;
        match self.early.back_mut() {
            Some((last, count)) if *last == second => *count = count.saturating_add(1),
            _ => self.early.push_back((second, 1)),
        }
        true
    }

    /// How many left too early since `from`, by whole seconds; they are forgotten.
    pub(super) fn take_left_early(&mut self, from: BootMs) -> u32 {
        let second = from.0 / 1_000;
        let first = self.early.partition_point(|(early, _)| *early < second);
        self.early.drain(first..).fold(0, |sum, (_, count)| sum.saturating_add(count))
    }

    /// Whether there is a reading from `from` to `to`.
    pub(super) fn has(&self, from: BootMs, to: BootMs) -> bool {
        let first = self.readings.partition_point(|reading| reading.at < from);
        self.readings.get(first).is_some_and(|reading| reading.at <= to)
    }

    /// Takes the oldest readings from `from` to `to`, at most `most`; how many it were.
    pub(super) fn take(
        &mut self,
        from: BootMs,
        to: BootMs,
        most: usize,
        give: impl FnMut(Reading),
    ) -> usize {
        let first = self.readings.partition_point(|reading| reading.at < from);
        let end = self.readings.partition_point(|reading| reading.at <= to);
        let end = end.min(first.saturating_add(most));
        self.readings.drain(first..end.max(first)).for_each(give);
        end.saturating_sub(first)
    }
}
