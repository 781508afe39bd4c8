//! Care of machine and floor: when a switch in the wrong place is an event.
//!
//! All defaults are common practice without a published source: vacuum and
//! water run whenever a brush turns on the floor, at full down pressure. Some
//! seconds are always needed until all switches of a start are set.

use crate::detect::CareLimits;
use crate::si::Seconds;
use serde::Deserialize;

/// The table `[care]`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct CareSettings {
    /// The solution flow must be set to at least so many percent: more than 0 if not given.
    pub water_level: f64,
    /// The down pressure must be set to at least so many percent. A knob at its end may read a
    /// little less than 100.
    pub pressure: f64,
    /// Brushes turning on the floor with the vacuum off for longer than this is an event.
    pub vacuum_time: Seconds,
    /// The same with too little water.
    pub water_time: Seconds,
    /// The same with too little down pressure.
    pub pressure_time: Seconds,
    /// Brushes turning with the head up for longer than this is an event.
    pub head_time: Seconds,
    /// Brushes turning on a floor that must never be polished for longer than this is an event.
    pub forbidden_time: Seconds,
    /// An event that pauses for no longer than this goes on.
    pub join_time: Seconds,
}

impl Default for CareSettings {
    fn default() -> Self {
        Self {
            water_level: 1.0,
            pressure: 95.0,
            vacuum_time: Seconds(5.0),
            water_time: Seconds(5.0),
            pressure_time: Seconds(10.0),
            head_time: Seconds(3.0),
            forbidden_time: Seconds(5.0),
            join_time: Seconds(1.0),
        }
    }
}

impl CareSettings {
    /// Key and value of each number, all of which must be more than 0.
    pub(super) fn numbers(&self) -> [(&'static str, f64); 8] {
        [
            ("care.water_level", self.water_level),
            ("care.pressure", self.pressure),
            ("care.vacuum_time", self.vacuum_time.0),
            ("care.water_time", self.water_time.0),
            ("care.pressure_time", self.pressure_time.0),
            ("care.head_time", self.head_time.0),
            ("care.forbidden_time", self.forbidden_time.0),
            ("care.join_time", self.join_time.0),
        ]
    }

    /// The first percentage that no setting can reach: all work would be an event.
    pub(super) fn impossible(&self) -> Option<(&'static str, &'static str)> {
        [("care.water_level", self.water_level), ("care.pressure", self.pressure)]
            .into_iter()
            .find(|(_, percent)| *percent > 100.0)
            .map(|(key, _)| (key, "is in percent: must not be more than 100"))
    }

    /// What the detectors judge by.
    pub(super) fn limits(&self) -> CareLimits {
        let ms = |time: Seconds| (time.0 * 1000.0) as u64;
        CareLimits {
            water_percent: self.water_level as f32,
            pressure_percent: self.pressure as f32,
            vacuum_ms: ms(self.vacuum_time),
            water_ms: ms(self.water_time),
            pressure_ms: ms(self.pressure_time),
            head_ms: ms(self.head_time),
            forbidden_ms: ms(self.forbidden_time),
            join_ms: ms(self.join_time),
        }
    }
}
