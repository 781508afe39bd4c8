//! What this machine's sensors can say, and when they are doubted.
//!
//! The defaults are common practice without a published source, but for those
//! that follow from the motor's own constants.

use super::{Battery, Motor};
pub use crate::detect::SensorLimits;
use crate::si::{Amperes, MetresPerSecond, RadiansPerSecond, Seconds};
use serde::Deserialize;

/// A motor's or battery's voltage is never above its nominal one by more than this factor.
const MOST_VOLTAGE: f64 = 1.5;
/// Nor below it by more than this one while anything runs.
const LEAST_VOLTAGE: f64 = 0.4;
/// Half a turn in a second: no machine with brushes on a floor turns faster.
const MOST_TURN_RAD_S: f64 = core::f64::consts::PI;

/// The table `[sensors]`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct SensorSettings {
    /// The machine cannot go faster: a speed above this is not believed.
    pub max_speed: MetresPerSecond,
    /// No brush motor can draw more; 1.5 x nominal voltage / resistance if not given: the
    /// current of a motor held still.
    pub max_current: Option<Amperes>,
    /// A signal that stays the same to its last digit for longer than this, while the machine
    /// works, is stuck: a live sensor has noise, and no run is that even.
    pub stuck_time: Seconds,
    /// A current sensor that shows more than this with the brushes off is told.
    pub offset_limit: Amperes,
}

impl Default for SensorSettings {
    fn default() -> Self {
        Self {
            max_speed: MetresPerSecond(4.0),
            max_current: None,
            stuck_time: Seconds(60.0),
            offset_limit: Amperes(0.5),
        }
    }
}

impl SensorSettings {
    /// Key and value of each number, all of which must be more than 0.
    pub(super) fn numbers(&self) -> [(&'static str, f64); 4] {
        [
            ("sensors.max_speed", self.max_speed.0),
            // 1 is as good as any number: the default follows from numbers checked elsewhere.
            ("sensors.max_current", self.max_current.map_or(1.0, |a| a.0)),
            ("sensors.stuck_time", self.stuck_time.0),
            ("sensors.offset_limit", self.offset_limit.0),
        ]
    }

    /// With what follows from motor and battery.
    pub(super) fn limits(&self, motor: &Motor, battery: &Battery) -> SensorLimits {
        let nominal = battery.nominal_voltage.0;
        let most_v = MOST_VOLTAGE * nominal;
        let held_still = most_v / motor.resistance.0;
        let unloaded = RadiansPerSecond(most_v / motor.torque_constant.0 / motor.gear_ratio);
        SensorLimits {
            speed_m_s: self.max_speed.0 as f32,
            turn_rad_s: MOST_TURN_RAD_S as f32,
            current_a: self.max_current.map_or(held_still, |a| a.0) as f32,
            rotation_rpm: (unloaded.0 * 30.0 / core::f64::consts::PI) as f32,
            battery_v: ((LEAST_VOLTAGE * nominal) as f32, most_v as f32),
            stuck_ms: (self.stuck_time.0 * 1000.0) as u64,
            offset_a: self.offset_limit.0 as f32,
        }
    }
}
