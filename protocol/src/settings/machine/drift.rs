//! Slow failures: how much a quantity may change over weeks before it is told.
//!
//! All defaults are common practice without a published source: they are set
//! above what floor, tool and weather do to a healthy machine within a month,
//! and below what stops a shift.

use serde::Deserialize;

/// The table `[drift]`. Shares are of the level at the begin of the time looked at.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct DriftSettings {
    /// Current of a motor with its brush in the air: bearings, gear.
    pub no_load_share: f64,
    /// Time a brush coasts after its power went: bearings, gear.
    pub run_down_share: f64,
    /// Resistance of a motor with its leads: carbon brushes, plugs.
    pub winding_share: f64,
    /// Resistance of the battery with its leads: age, water, terminals.
    pub battery_share: f64,
    /// Current of all but the brush motors while driving: squeegee, wheels, vacuum.
    pub drive_share: f64,
    /// Way driven for the same upkeep of the same section: the speed sensor's wheel.
    pub wheel_share: f64,
    /// Nights with a value that a trend needs.
    pub nights: u16,
}

impl Default for DriftSettings {
    fn default() -> Self {
        Self {
            no_load_share: 0.25,
            run_down_share: 0.25,
            winding_share: 0.25,
            battery_share: 0.30,
            drive_share: 0.20,
            wheel_share: 0.05,
            nights: 8,
        }
    }
}

impl DriftSettings {
    /// Key and value of each number, all of which must be more than 0.
    pub(super) fn numbers(&self) -> [(&'static str, f64); 7] {
        [
            ("drift.no_load_share", self.no_load_share),
            ("drift.run_down_share", self.run_down_share),
            ("drift.winding_share", self.winding_share),
            ("drift.battery_share", self.battery_share),
            ("drift.drive_share", self.drive_share),
            ("drift.wheel_share", self.wheel_share),
            ("drift.nights", f64::from(self.nights)),
        ]
    }

    /// Fewer nights than these make no line with an interval.
    pub(super) fn impossible(&self) -> Option<(&'static str, &'static str)> {
        (self.nights < 5).then_some(("drift.nights", "must be 5 or more: fewer make no trend"))
    }
}
