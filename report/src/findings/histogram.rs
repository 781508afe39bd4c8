//! Time by speed.
//!
//! An HDR histogram in mm/s, weighted by ms: the sum of its counts is the time
//! covered. Up to 2047 mm/s each value has its own place; above, three digits
//! are kept.

use hdrhistogram::Histogram;
use underbrush_protocol::si::{MetresPerSecond, Seconds};

/// Time-weighted histogram of speed without sign.
#[derive(Clone, Debug)]
pub struct SpeedHistogram {
    ms_by_mm_s: Histogram<u64>,
}

/// Highest speed kept apart, in mm/s: the largest raw value of the speed channel.
const HIGHEST_MM_S: u64 = 32_768;

impl Default for SpeedHistogram {
    fn default() -> Self {
        // These bounds are constants that the library accepts; a test makes one.
        let ms_by_mm_s = Histogram::new_with_bounds(1, HIGHEST_MM_S, 3)
            .unwrap_or_else(|_| unreachable!("constant bounds are valid"));
        Self { ms_by_mm_s }
    }
}

impl serde::Serialize for SpeedHistogram {
    /// Pairs of speed in mm/s and time in ms.
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        // A form without names wants to know how many there are.
        s.collect_seq(self.recorded().collect::<Vec<_>>())
    }
}

impl<'de> serde::Deserialize<'de> for SpeedHistogram {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        let recorded: Vec<(u64, u64)> = serde::Deserialize::deserialize(d)?;
        let mut histogram = Self::default();
        for (mm_s, ms) in recorded {
            histogram.ms_by_mm_s.saturating_record_n(mm_s, ms);
        }
        Ok(histogram)
    }
}

impl SpeedHistogram {
    /// Adds `ms` milliseconds at this speed.
    pub fn add(&mut self, speed: MetresPerSecond, ms: u64) {
        let mm_s = (speed.0.abs() * 1000.0).round() as u64;
        self.ms_by_mm_s.saturating_record_n(mm_s, ms);
    }

    /// Adds all time of another.
    pub(super) fn merge(&mut self, other: &Self) {
        // Both have the same bounds, so nothing can be out of range.
        let _ = self.ms_by_mm_s.add(&other.ms_by_mm_s);
    }

    /// All time.
    pub fn total(&self) -> Seconds {
        Seconds::from_ms(self.ms_by_mm_s.len())
    }

    /// Time with `low` <= speed < `high`.
    pub fn between(&self, low: MetresPerSecond, high: MetresPerSecond) -> Seconds {
        let mm = |v: MetresPerSecond| (v.0 * 1000.0).ceil() as u64;
        let below = |limit: u64| {
            self.ms_by_mm_s
                .iter_recorded()
                .take_while(|v| v.value_iterated_to() < limit)
                .map(|v| v.count_at_value())
                .sum::<u64>()
        };
        Seconds::from_ms(below(mm(high)) - below(mm(low)))
    }

    /// Each speed that was recorded, in mm/s, with its time in ms; rising.
    pub fn recorded(&self) -> impl Iterator<Item = (u64, u64)> {
        self.ms_by_mm_s.iter_recorded().map(|v| (v.value_iterated_to(), v.count_at_value()))
    }

    /// Speed not exceeded for this share (0 to 1) of the time; `None` if empty.
    pub fn quantile(&self, share: f64) -> Option<MetresPerSecond> {
        (!self.ms_by_mm_s.is_empty())
            .then(|| MetresPerSecond(self.ms_by_mm_s.value_at_quantile(share) as f64 / 1000.0))
    }

    /// Highest speed; `None` if empty.
    pub fn max(&self) -> Option<MetresPerSecond> {
        self.quantile(1.0)
    }

    /// Time-weighted mean; `None` if empty.
    pub fn mean(&self) -> Option<MetresPerSecond> {
        (!self.ms_by_mm_s.is_empty()).then(|| MetresPerSecond(self.ms_by_mm_s.mean() / 1000.0))
    }
}
