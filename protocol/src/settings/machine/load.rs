//! Machine file, tables `[load]` and `[thermal]`: what a brush motor should draw,
//! from where on it draws wrongly, and how it heats.
//!
//! All defaults are our own choice after common practice; there is no published
//! source. The motor maker's data and the machine's manual come first.
//!
//! Words: *expected* is the current of this motor at full pressure on this
//! floor, learned from past nights or given here; *moving* and *turning* are as
//! in `[limits]`; *running for a while* is longer than `start_time` since the
//! motor began to draw current.

use crate::detect::{LoadLimits, ThermalSettings};
use crate::si::{Amperes, Seconds};
use serde::Deserialize;

/// Expected load and its limits.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LoadSettings {
    /// Current of one motor at full pressure on a wet floor, where no past nights tell.
    pub expected_current: Option<Amperes>,
    /// Past nights needed before what they say is used.
    pub learn_nights: u32,
    /// Normal work that each of them must hold at the place.
    pub learn_time: Seconds,
    /// Pressure setting that counts as full, in percent.
    pub full_pressure: u8,
    /// Light contact: below this share of the expected current, head down, brushes turning, moving.
    pub light_share: f64,
    /// Light contact longer than this is an event.
    pub light_time: Seconds,
    /// Heavy load: above this share of the expected current, running for a while.
    pub heavy_share: f64,
    /// Heavy load longer than this is an event, if it holds no over-pressure event.
    pub heavy_time: Seconds,
    /// Uneven load: largest over smallest motor current above this, head down, brushes turning,
    /// moving, and neither over-pressure nor light contact of one motor says why.
    pub uneven_ratio: f64,
    /// Uneven load longer than this is an event.
    pub uneven_time: Seconds,
    /// Light, heavy and uneven load go on over breaks that are not longer than this.
    pub bridge_time: Seconds,
    /// Near-stall: from this share of `limits.stall_current`, running for a while, with no stall in it.
    pub near_stall_share: f64,
    /// Near-stall of at least this is an event.
    pub near_stall_time: Seconds,
    /// A motor that begins to draw current starts for this long; its inrush is no event.
    pub start_time: Seconds,
    /// Breaker trip: the current falls from above over-pressure to below
    /// `limits.turning_current` within this, brushes switched on.
    pub trip_time: Seconds,
    /// It stays there for at least this, brushes switched on and no other motor off.
    pub trip_dead_time: Seconds,
    /// A load that rises from normal to its limit within this is an obstacle; slower is drag.
    pub obstacle_time: Seconds,
    /// Dry running suspected: mean of current over expected above this; water flow not known.
    pub dry_ratio: f64,
    /// Dry running suspected longer than this is an event.
    pub dry_time: Seconds,
}

impl Default for LoadSettings {
    fn default() -> Self {
        Self {
            expected_current: None,
            learn_nights: 3,
            learn_time: Seconds(5.0 * 60.0),
            full_pressure: 100,
            light_share: 0.6,
            light_time: Seconds(5.0),
            heavy_share: 1.4,
            heavy_time: Seconds(10.0),
            uneven_ratio: 1.25,
            uneven_time: Seconds(20.0),
            bridge_time: Seconds(2.0),
            near_stall_share: 0.8,
            near_stall_time: Seconds(0.1),
            start_time: Seconds(2.0),
            trip_time: Seconds(0.3),
            trip_dead_time: Seconds(1.0),
            obstacle_time: Seconds(0.9),
            dry_ratio: 1.08,
            dry_time: Seconds(120.0),
        }
    }
}

impl LoadSettings {
    /// Key and value of each number that must be more than 0.
    pub(super) fn positive(&self) -> impl Iterator<Item = (&'static str, f64)> {
        let all = [
            ("load.expected_current", self.expected_current.map_or(1.0, |a| a.0)),
            ("load.learn_time", self.learn_time.0),
            ("load.full_pressure", f64::from(self.full_pressure)),
            ("load.learn_nights", f64::from(self.learn_nights)),
            ("load.light_share", self.light_share),
            ("load.light_time", self.light_time.0),
            ("load.heavy_time", self.heavy_time.0),
            ("load.uneven_time", self.uneven_time.0),
            ("load.bridge_time", self.bridge_time.0),
            ("load.near_stall_share", self.near_stall_share),
            ("load.near_stall_time", self.near_stall_time.0),
            ("load.start_time", self.start_time.0),
            ("load.trip_time", self.trip_time.0),
            ("load.trip_dead_time", self.trip_dead_time.0),
            ("load.obstacle_time", self.obstacle_time.0),
            ("load.dry_time", self.dry_time.0),
        ];
        all.into_iter()
    }

    /// The first ratio on the wrong side of 1, which would call normal work an event.
    pub(super) fn wrong_ratio(&self) -> Option<(&'static str, &'static str)> {
        let above = [
            ("load.heavy_share", self.heavy_share),
            ("load.uneven_ratio", self.uneven_ratio),
            ("load.dry_ratio", self.dry_ratio),
        ];
        let below = [
            ("load.light_share", self.light_share),
            ("load.near_stall_share", self.near_stall_share),
        ];
        let finite = |value: f64| (value as f32).is_finite();
        let above = above.into_iter().find(|(_, v)| !finite(*v) || *v <= 1.0);
        let below = below.into_iter().find(|(_, v)| !finite(*v) || *v >= 1.0);
        let percent = (self.full_pressure > 100)
            .then_some(("load.full_pressure", "must not be more than 100 percent"));
        above
            .map(|(key, _)| (key, "must be more than 1"))
            .or_else(|| below.map(|(key, _)| (key, "must be less than 1")))
            .or(percent)
    }

    /// The detectors' limits for a motor with this stall limit and no-load current.
    pub(super) fn limits(&self, stall_a: f32, no_load_a: f32) -> LoadLimits {
        let ms = |s: Seconds| (s.0.max(0.0) * 1000.0) as u64;
        LoadLimits {
            no_load_a,
            full_pressure: self.full_pressure,
            light_share: self.light_share as f32,
            light_ms: ms(self.light_time),
            heavy_share: self.heavy_share as f32,
            heavy_ms: ms(self.heavy_time),
            uneven_ratio: self.uneven_ratio as f32,
            uneven_ms: ms(self.uneven_time),
            bridge_ms: ms(self.bridge_time),
            near_stall_a: self.near_stall_share as f32 * stall_a,
            near_stall_ms: ms(self.near_stall_time),
            start_ms: ms(self.start_time),
            trip_ms: ms(self.trip_time),
            trip_dead_ms: ms(self.trip_dead_time),
            obstacle_ms: ms(self.obstacle_time),
            dry_ratio: self.dry_ratio as f32,
            dry_ms: ms(self.dry_time),
        }
    }
}

/// How a brush motor heats; see [`ThermalSettings`].
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Thermal {
    /// Time constant of the motor as a whole.
    pub time_constant: Seconds,
    /// k of IEC 60255-149: the motor may draw k x `motor.rated_current` for ever.
    pub factor: f64,
    /// Share of the thermal limit from where on the sheet warns.
    pub warning: f64,
}

impl Default for Thermal {
    fn default() -> Self {
        Self { time_constant: Seconds(15.0 * 60.0), factor: 1.05, warning: 0.9 }
    }
}

impl Thermal {
    pub(super) fn positive(&self) -> [(&'static str, f64); 3] {
        [
            ("thermal.time_constant", self.time_constant.0),
            ("thermal.factor", self.factor),
            ("thermal.warning", self.warning),
        ]
    }

    pub(super) fn wrong_share(&self) -> Option<(&'static str, &'static str)> {
        (self.warning >= 1.0).then_some(("thermal.warning", "must be less than 1"))
    }

    pub(super) fn settings(&self, rated: Amperes) -> ThermalSettings {
        ThermalSettings {
            limit_a: self.factor * rated.0,
            time_constant_s: self.time_constant.0,
            warning: self.warning,
        }
    }
}
