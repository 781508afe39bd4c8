//! Path and coverage: what the path over the floor is computed by.
//!
//! The gyro's numbers are those of a consumer part (typical data-sheet values,
//! from memory; no published source). How straight people drive and how much
//! they overlap is common practice without a published source. Noise told too
//! small makes the stated drift too small; told too large, the path gets worse
//! slowly.

use crate::si::{Metres, MetresPerSecond, RadiansPerSecond, Seconds};
use serde::Deserialize;

/// The table `[path]`.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct PathSettings {
    /// Standard deviation of one reading of the turn rate.
    pub gyro_noise: RadiansPerSecond,
    /// Standard deviation of the turn rate's zero after switching on.
    pub gyro_start_bias: RadiansPerSecond,
    /// Standard deviation of that zero's wander, once on.
    pub gyro_wander: RadiansPerSecond,
    /// Time after which the wander has forgotten where it was.
    pub gyro_wander_time: Seconds,
    /// Standard deviation of the turn rate's scale, as a share. The default is that of a gyro
    /// compared after fitting (ten turns on the spot against a mark); one that was not: 0.01.
    pub gyro_scale_error: f64,
    /// Standard deviation of one reading of the speed.
    pub speed_noise: MetresPerSecond,
    /// How far the middle of the brushes is ahead of the driven axle; negative: behind.
    pub deck_offset: Metres,
    /// How far sideways the end of a lane is from parallel, one standard deviation.
    pub lane_spread: Metres,
    /// How far the last lane of a sweep is from the side of the floor, one standard deviation.
    pub side_spread: Metres,
    /// Overlap of neighbouring lanes where the path is not known, a share of the path width.
    pub assumed_overlap: f64,
    /// Floor between lanes wider than this without any brush is a missed strip.
    pub least_strip: Metres,
}

impl Default for PathSettings {
    fn default() -> Self {
        Self {
            gyro_noise: RadiansPerSecond(0.002),
            gyro_start_bias: RadiansPerSecond(0.02),
            gyro_wander: RadiansPerSecond(0.0015),
            gyro_wander_time: Seconds(600.0),
            gyro_scale_error: 0.001,
            speed_noise: MetresPerSecond(0.005),
            deck_offset: Metres(0.0),
            lane_spread: Metres(0.06),
            side_spread: Metres(0.05),
            assumed_overlap: 0.1,
            least_strip: Metres(0.05),
        }
    }
}

impl PathSettings {
    /// Key and value of each number that must be more than 0.
    pub(super) fn positive(&self) -> [(&'static str, f64); 7] {
        [
            ("path.gyro_noise", self.gyro_noise.0),
            ("path.gyro_start_bias", self.gyro_start_bias.0),
            ("path.gyro_wander_time", self.gyro_wander_time.0),
            ("path.speed_noise", self.speed_noise.0),
            ("path.lane_spread", self.lane_spread.0),
            ("path.side_spread", self.side_spread.0),
            ("path.least_strip", self.least_strip.0),
        ]
    }

    /// Key and value of each number that may be 0 as well.
    pub(super) fn not_negative(&self) -> [(&'static str, f64); 3] {
        [
            ("path.gyro_wander", self.gyro_wander.0),
            ("path.gyro_scale_error", self.gyro_scale_error),
            ("path.assumed_overlap", self.assumed_overlap),
        ]
    }

    /// What no machine can have.
    pub(super) fn impossible(&self) -> Option<(&'static str, &'static str)> {
        if self.deck_offset.0.is_nan() || self.deck_offset.0.abs() > 5.0 {
            Some(("path.deck_offset", "must be within 5 m of the axle"))
        } else if self.assumed_overlap >= 1.0 {
            Some(("path.assumed_overlap", "is a share of the path width: must be less than 1"))
        } else {
            None
        }
    }
}
