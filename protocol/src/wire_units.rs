//! Raw values as they travel on the link: integers in a fixed resolution.
//!
//! Every scale factor of the link and of the log stands in this file, and only
//! here is a raw value turned into SI.

use crate::si::{Amperes, MetresPerSecond, RadiansPerSecond, Seconds, Volts};
use serde::{Deserialize, Serialize};

macro_rules! raw {
    ($($(#[$doc:meta])* $name:ident($int:ty) = $scale:literal => $si:ident;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
        pub struct $name(pub $int);

        impl $name {
            /// Size of one raw step in the SI unit.
            pub const RESOLUTION: f64 = $scale;

            /// The value in SI.
            pub fn si(self) -> $si {
                $si(f64::from(self.0) * $scale)
            }

            /// The nearest raw value, or `None` outside the range.
            pub fn from_si(value: $si) -> Option<Self> {
                let steps = round(value.0 / $scale);
                (steps >= f64::from(<$int>::MIN) && steps <= f64::from(<$int>::MAX))
                    .then_some(Self(steps as $int))
            }
        }
    )*};
}

/// Round half away from zero, NaN kept; `f64::round` is not in `core`.
fn round(x: f64) -> f64 {
    if x.is_nan() {
        return x;
    }
    let half = if x < 0.0 { -0.5 } else { 0.5 };
    let whole = (x + half) as i64;
    whole as f64
}

raw! {
    /// Ground speed, 1 mm/s a step, ±32.767 m/s; forward positive.
    ///
    /// The resolution is that of wheel-based speed in ISO 11783-7 (SPN 1862).
    SpeedRaw(i16) = 0.001 => MetresPerSecond;
    /// Turn rate about the vertical axis, 1 mrad/s a step; anticlockwise seen from above is positive.
    TurnRateRaw(i16) = 0.001 => RadiansPerSecond;
    /// Current, 0.1 A a step, ±3276.7 A.
    CurrentRaw(i16) = 0.1 => Amperes;
    /// Voltage, 10 mV a step, 0 to 655.35 V.
    VoltageRaw(u16) = 0.01 => Volts;
    /// Hour meter, 1 s a step.
    HourMeterRaw(u32) = 1.0 => Seconds;
}

/// Rotation of the brush shaft, 0.1 r/min a step, 0 to 6553.5 r/min.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct RotationRaw(pub u16);

impl RotationRaw {
    /// Size of one raw step in r/min.
    pub const RESOLUTION_RPM: f64 = 0.1;

    /// The value in r/min.
    pub fn rpm(self) -> f64 {
        f64::from(self.0) * Self::RESOLUTION_RPM
    }

    /// The nearest raw value, or `None` outside the range.
    pub fn from_rpm(rpm: f64) -> Option<Self> {
        let steps = round(rpm / Self::RESOLUTION_RPM);
        (0.0..=f64::from(u16::MAX)).contains(&steps).then_some(Self(steps as u16))
    }
}

/// A setting in whole percent of its range, 0 to 100.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "u8", into = "u8")]
pub struct Percent(u8);

impl Percent {
    /// `None` above 100.
    pub fn new(percent: u8) -> Option<Self> {
        (percent <= 100).then_some(Self(percent))
    }

    /// The number, 0 to 100.
    pub fn get(self) -> u8 {
        self.0
    }
}

impl TryFrom<u8> for Percent {
    type Error = &'static str;
    fn try_from(percent: u8) -> Result<Self, Self::Error> {
        Self::new(percent).ok_or("a percentage above 100")
    }
}

impl From<Percent> for u8 {
    fn from(p: Percent) -> u8 {
        p.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rounding_and_range() {
        assert_eq!(SpeedRaw::from_si(MetresPerSecond(-0.0005)), Some(SpeedRaw(-1)));
        assert_eq!(SpeedRaw::from_si(MetresPerSecond(0.44704)), Some(SpeedRaw(447)));
        assert_eq!(SpeedRaw::from_si(MetresPerSecond(32.768)), None);
        assert_eq!(VoltageRaw::from_si(Volts(-0.01)), None);
        assert_eq!(RotationRaw::from_rpm(f64::NAN), None);
        assert_eq!(Percent::new(101), None);
    }
}
