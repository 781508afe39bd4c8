//! The gyro of a machine that stands.
//!
//! Model. Below the standing speed the readings are gathered in blocks of a
//! second. A block as quiet as the gyro's own noise, and near to the bias that
//! is expected, is a sight of the bias, with the variance of a mean; the machine
//! did not turn in it. Any other block was motion: a machine may turn on the
//! spot.

use super::Motion;

/// Length of a block in s.
const BLOCK_S: f64 = 1.0;
/// A block with more scatter than this many times the gyro's noise was motion.
const QUIET: f64 = 3.0;
/// Furthest from the expected bias, in standard deviations.
pub(super) const GATE: f64 = 4.0;

/// What a block was.
#[derive(Clone, Copy, Debug)]
pub(super) struct Verdict {
    pub(super) seconds: f64,
    pub(super) way_m: f64,
    /// Mean reading.
    pub(super) gyro_rad_s: f64,
    /// It may be a sight of the bias.
    pub(super) quiet: bool,
    /// Standard deviation of the mean.
    pub(super) deviation_rad_s: f64,
    pub(super) brushing: bool,
}

#[derive(Clone, Debug)]
pub(super) struct Standing {
    noise_rad_s: f64,
    seconds: f64,
    way_m: f64,
    count: f64,
    mean: f64,
    /// Sum of squared distances from the mean (Welford).
    squares: f64,
    brushing: bool,
}

impl Standing {
    pub(super) fn new(noise_rad_s: f64) -> Self {
        Self {
            noise_rad_s,
            seconds: 0.0,
            way_m: 0.0,
            count: 0.0,
            mean: 0.0,
            squares: 0.0,
            brushing: false,
        }
    }

    pub(super) fn clear(&mut self) {
        *self = Self::new(self.noise_rad_s);
    }

    /// Adds a step; a full block comes back with its verdict.
    pub(super) fn add(&mut self, motion: Motion) -> Option<Verdict> {
        self.seconds += motion.seconds;
        self.way_m += motion.speed_m_s * motion.seconds;
        self.brushing |= motion.brushing;
        self.count += 1.0;
        let off = motion.gyro_rad_s - self.mean;
        self.mean += off / self.count;
        self.squares += off * (motion.gyro_rad_s - self.mean);
        (self.seconds >= BLOCK_S).then(|| self.end()).flatten()
    }

    /// Ends the block; one that is not full is no sight.
    pub(super) fn end(&mut self) -> Option<Verdict> {
        if self.seconds <= 0.0 {
            return None;
        }
        let full = self.seconds >= BLOCK_S && self.count > 1.0;
        let scatter = if full { (self.squares / (self.count - 1.0)).sqrt() } else { f64::MAX };
        let verdict = Verdict {
            seconds: self.seconds,
            way_m: self.way_m,
            gyro_rad_s: self.mean,
            quiet: scatter <= QUIET * self.noise_rad_s,
            deviation_rad_s: self.noise_rad_s / self.count.sqrt(),
            brushing: self.brushing,
        };
        self.clear();
        Some(verdict)
    }
}
