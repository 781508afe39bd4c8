//! One quantity over a span, so that the smallest and the largest of any part of it are
//! found without going through all readings of that part.
//!
//! Words: a *stretch* is a time over which one value was observed, or none (a gap); the
//! stretches of a track follow each other without holes. A *level* above them keeps the
//! smallest and the largest of [`FAN`] neighbours of the level below, as in a pyramid.

use super::Cell;
use underbrush_protocol::si::Seconds;

/// Neighbours that one entry of the next level stands for.
const FAN: usize = 16;
/// Of nothing: any value is smaller, and larger, than these.
const NOTHING: (f32, f32) = (f32::INFINITY, f32::NEG_INFINITY);

/// Times count in ms from the begin of the span.
#[derive(Clone, Debug, Default)]
pub(super) struct Track {
    /// End of each stretch; it begins where the one before ends, the first at 0.
    ends: Vec<u32>,
    /// Value of each stretch; not a number: a gap.
    values: Vec<f32>,
    /// How much was observed up to the end of each stretch, in ms.
    seen: Vec<u32>,
    levels: Vec<Vec<(f32, f32)>>,
}

/// A part of a track that becomes cells of equal length, in ms; it may go beyond the track.
#[derive(Clone, Copy, Debug)]
pub(super) struct Cut {
    pub(super) from: i64,
    pub(super) length: i64,
    pub(super) cells: usize,
}

impl Track {
    /// Takes a value that held from one time to another; times come in order. What was
    /// observed already stays as it is.
    pub(super) fn push(&mut self, value: f32, from: u32, to: u32) {
        let reached = self.ends.last().copied().unwrap_or(0);
        let from = from.max(reached);
        if from >= to || !value.is_finite() {
            return;
        }
        let seen = self.seen.last().copied().unwrap_or(0);
        if from > reached {
            self.stretch(f32::NAN, from, seen);
        }
        let same = self.values.last().is_some_and(|last| last.to_bits() == value.to_bits());
        if let (true, Some(end), Some(so_far)) = (same, self.ends.last_mut(), self.seen.last_mut())
        {
            (*end, *so_far) = (to, seen + (to - from));
        } else {
            self.stretch(value, to, seen + (to - from));
        }
    }

    fn stretch(&mut self, value: f32, end: u32, seen: u32) {
        self.ends.push(end);
        self.values.push(value);
        self.seen.push(seen);
    }

    /// Nothing more comes.
    pub(super) fn finish(&mut self) {
        let join = |a: (f32, f32), b: (f32, f32)| (a.0.min(b.0), a.1.max(b.1));
        self.levels.clear();
        let pairs = |values: &[f32]| values.iter().map(|v| (*v, *v)).fold(NOTHING, join);
        let mut level: Vec<(f32, f32)> = self.values.chunks_exact(FAN).map(pairs).collect();
        while !level.is_empty() {
            let of = |entries: &[(f32, f32)]| entries.iter().copied().fold(NOTHING, join);
            let next = level.chunks_exact(FAN).map(of).collect();
            self.levels.push(std::mem::replace(&mut level, next));
        }
    }

    /// Nothing was ever observed.
    pub(super) fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// Smallest and largest of all.
    pub(super) fn range(&self) -> Option<(f32, f32)> {
        self.among(0, self.values.len())
    }

    /// Smallest and largest of some stretches; `None`: nothing was observed in them.
    fn among(&self, from: usize, to: usize) -> Option<(f32, f32)> {
        let (mut a, mut b) = (from, to);
        let (mut low, mut high) = NOTHING;
        // Not a number is neither smaller nor larger: a gap changes nothing.
        let mut take = |level: Option<&Vec<(f32, f32)>>, at: usize| {
            let entry = match level {
                None => self.values.get(at).map(|v| (*v, *v)),
                Some(level) => level.get(at).copied(),
            };
            if let Some(entry) = entry {
                (low, high) = (low.min(entry.0), high.max(entry.1));
            }
        };
        let mut level = None;
        let mut above = self.levels.iter();
        while a < b {
            while a < b && !a.is_multiple_of(FAN) {
                take(level, a);
                a += 1;
            }
            while a < b && !b.is_multiple_of(FAN) {
                b -= 1;
                take(level, b);
            }
            (a, b, level) = (a / FAN, b / FAN, above.next());
        }
        (low <= high).then_some((low, high))
    }

    /// How much was observed up to a time, in ms.
    fn seen_until(&self, at: f64) -> f64 {
        let place = self.ends.partition_point(|end| f64::from(*end) <= at);
        let before = place.checked_sub(1);
        let of = |list: &[u32]| before.and_then(|i| list.get(i)).map_or(0.0, |v| f64::from(*v));
        let inside = self.values.get(place).is_some_and(|value| value.is_finite());
        of(&self.seen) + if inside { (at - of(&self.ends)).max(0.0) } else { 0.0 }
    }

    /// One of the cells of a cut.
    pub(super) fn cell(&self, cut: Cut, number: usize) -> Cell {
        let all = cut.cells.max(1) as i128;
        let edge = |number: usize| number as i128 * i128::from(cut.length);
        let begin = i128::from(cut.from) + edge(number).div_euclid(all);
        // A whole number is below an edge if it is below the edge's next whole number.
        let end = i128::from(cut.from) - (-edge(number + 1)).div_euclid(all);
        let first = self.ends.partition_point(|e| i128::from(*e) <= begin);
        let last = if end <= 0 {
            0
        } else {
            (self.ends.partition_point(|e| i128::from(*e) < end) + 1).min(self.ends.len())
        };
        let at = |number: usize| {
            cut.from as f64 + number as f64 * cut.length as f64 / cut.cells.max(1) as f64
        };
        let seen_ms = self.seen_until(at(number + 1)) - self.seen_until(at(number));
        Cell { range: self.among(first, last), seen: Seconds(seen_ms.max(0.0) / 1000.0) }
    }
}
