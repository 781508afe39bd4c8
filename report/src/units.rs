//! SI to the units people read. Only sheet and terminal text use this.
//!
//! Factors: NIST SP 811 (2008), appendix B.8; inch, foot and mile are exact.

use underbrush_protocol::si::{Metres, MetresPerSecond, SquareMetres};

/// Metres in an inch.
pub const METRES_PER_INCH: f64 = 0.0254;
/// Metres in a foot.
pub const METRES_PER_FOOT: f64 = 0.3048;
/// Metres in a mile.
pub const METRES_PER_MILE: f64 = 1609.344;
/// Metres per second in one mile an hour.
pub const METRES_PER_SECOND_PER_MPH: f64 = METRES_PER_MILE / 3600.0;
/// Square metres in a square foot.
pub const SQUARE_METRES_PER_SQUARE_FOOT: f64 = 0.092_903_04;

/// Which units a sheet uses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Units {
    /// mph, sq ft, in, mi, ft.
    Us,
    /// m/s, m², mm, km, m.
    Si,
}

impl Units {
    /// Speed as a number in [`Units::speed_unit`].
    pub fn speed(self, v: MetresPerSecond) -> f64 {
        match self {
            Self::Us => v.0 / METRES_PER_SECOND_PER_MPH,
            Self::Si => v.0,
        }
    }

    /// Area as a number in [`Units::area_unit`].
    pub fn area(self, a: SquareMetres) -> f64 {
        match self {
            Self::Us => a.0 / SQUARE_METRES_PER_SQUARE_FOOT,
            Self::Si => a.0,
        }
    }

    /// A small length (segments) as a number in [`Units::length_unit`].
    pub fn length(self, l: Metres) -> f64 {
        match self {
            Self::Us => l.0 / METRES_PER_INCH,
            Self::Si => l.0 * 1000.0,
        }
    }

    /// A long way as a number in [`Units::distance_unit`].
    pub fn distance(self, l: Metres) -> f64 {
        match self {
            Self::Us => l.0 / METRES_PER_MILE,
            Self::Si => l.0 / 1000.0,
        }
    }

    /// `mph` or `m/s`.
    pub fn speed_unit(self) -> &'static str {
        match self {
            Self::Us => "mph",
            Self::Si => "m/s",
        }
    }

    /// `sq ft` or `m²`.
    pub fn area_unit(self) -> &'static str {
        match self {
            Self::Us => "sq ft",
            Self::Si => "m²",
        }
    }

    /// `in` or `mm`.
    pub fn length_unit(self) -> &'static str {
        match self {
            Self::Us => "in",
            Self::Si => "mm",
        }
    }

    /// `mi` or `km`.
    pub fn distance_unit(self) -> &'static str {
        match self {
            Self::Us => "mi",
            Self::Si => "km",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: NIST SP 811, B.8 (exact values), as listed in the project's check values.
    #[test]
    fn published_conversions() {
        let close = |a: f64, b: f64| assert!((a - b).abs() <= 1e-12 * b.abs(), "{a} is not {b}");
        close(METRES_PER_SECOND_PER_MPH, 0.447_04);
        close(Units::Us.speed(MetresPerSecond(1.0)), 2.236_936_292_054_402_5);
        close(Units::Us.area(SquareMetres(0.092_903_04)), 1.0);
        close(Units::Us.length(Metres(0.006_35)), 0.25);
        close(Units::Us.distance(Metres(1609.344)), 1.0);
        close(Units::Si.length(Metres(0.006_35)), 6.35);
    }
}
