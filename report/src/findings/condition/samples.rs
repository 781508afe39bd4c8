//! Readings of a night for their median, in bounded memory.
//!
//! All readings of one part of [`PART_S`] seconds come to one mean; the median is over
//! the parts. A part is short against what changes over a night, and longer than
//! ripple.

use crate::findings::robust::median;
use chrono::{DateTime, Utc};

/// Length of a part in s.
const PART_S: i64 = 1;
/// More parts than a night of 24 h has.
const MOST_PARTS: usize = 100_000;

/// Number of the part that an instant lies in.
pub(super) fn part_of(at: DateTime<Utc>) -> i64 {
    at.timestamp().div_euclid(PART_S)
}

/// Means over parts.
#[derive(Clone, Debug, Default)]
pub(super) struct Samples {
    parts: Vec<f64>,
    part: i64,
    sum: f64,
    count: u32,
    readings: usize,
}

impl Samples {
    /// Takes a reading of a part.
    pub(super) fn push(&mut self, part: i64, value: f64) {
        if part != self.part {
            self.close();
            self.part = part;
        }
        self.sum += value;
        self.count += 1;
        self.readings += 1;
    }

    fn close(&mut self) {
        if self.count > 0 && self.parts.len() < MOST_PARTS {
            self.parts.push(self.sum / f64::from(self.count));
        }
        (self.sum, self.count) = (0.0, 0);
    }

    /// The median; `None` with fewer readings than `fewest`.
    pub(super) fn median(&self, fewest: usize) -> Option<f64> {
        if self.readings < fewest {
            return None;
        }
        let mut whole = self.clone();
        whole.close();
        median(&whole.parts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_over_the_means_of_parts() {
        let mut samples = Samples::default();
        for (part, values) in [(1, [1.0, 3.0]), (2, [10.0, 10.0]), (4, [4.0, 6.0])] {
            for value in values {
                samples.push(part, value);
            }
        }
        assert_eq!(samples.median(6), Some(5.0));
        assert_eq!(samples.median(7), None);
        assert_eq!(Samples::default().median(0), None);
    }
}
