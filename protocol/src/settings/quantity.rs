//! Quantities as people write them: a number and a unit, `"28 in"`.
//!
//! Factors: NIST SP 811 (2008), appendix B.8; those of the inch, the foot, the
//! mile and the hour are exact.

use crate::si::{
    Amperes, Joules, Metres, MetresPerJoule, MetresPerSecond, NewtonMetresPerAmpere, Ohms,
    RadiansPerSecond, Seconds, SquareMetres, Volts,
};
use serde::Deserialize;
use serde::de::{Deserializer, Error, Visitor};
use std::fmt;

/// Why a text is not a quantity of the wanted kind.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum QuantityError {
    /// There is no number at its start.
    #[error("`{0}` does not begin with a number")]
    NoNumber(String),
    /// The unit is missing.
    #[error("`{text}` needs a unit: one of {units}")]
    NoUnit {
        /// What was given.
        text: String,
        /// What could have been.
        units: String,
    },
    /// The unit is not one of this quantity.
    #[error("unknown unit `{unit}`: use one of {units}")]
    UnknownUnit {
        /// What was given.
        unit: String,
        /// What could have been.
        units: String,
    },
}

/// Reads `"<number> <unit>"` with these units and their sizes in SI.
pub fn parse_quantity(text: &str, units: &[(&str, f64)]) -> Result<f64, QuantityError> {
    let text = text.trim();
    let list = || units.iter().map(|(unit, _)| *unit).collect::<Vec<_>>().join(", ");
    let split = text
        .char_indices()
        .find(|(_, c)| !(c.is_ascii_digit() || matches!(c, '.' | '-' | '+')))
        .map_or(text.len(), |(at, _)| at);
    let (number, unit) = text.split_at(split);
    let number: f64 = number.parse().map_err(|_| QuantityError::NoNumber(text.to_owned()))?;
    let unit = unit.trim();
    if unit.is_empty() {
        return Err(QuantityError::NoUnit { text: text.to_owned(), units: list() });
    }
    match units.iter().find(|(name, _)| *name == unit) {
        Some((_, size)) => Ok(number * size),
        None => Err(QuantityError::UnknownUnit { unit: unit.to_owned(), units: list() }),
    }
}

struct QuantityVisitor<T> {
    units: &'static [(&'static str, f64)],
    make: fn(f64) -> T,
}

impl<T> Visitor<'_> for QuantityVisitor<T> {
    type Value = T;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let unit = self.units.first().map_or("", |(unit, _)| unit);
        write!(f, "a number with its unit in quotes, for instance \"1.5 {unit}\"")
    }

    fn visit_str<E: Error>(self, text: &str) -> Result<T, E> {
        parse_quantity(text, self.units).map(self.make).map_err(E::custom)
    }
}

/// A quantity in SI as [`crate::si`] writes it, in a format without names such as postcard.
#[derive(Deserialize)]
struct Unnamed {
    value: f64,
}

macro_rules! from_text {
    ($($name:ident: [$($unit:literal = $size:expr),+];)*) => {$(
        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
                if !d.is_human_readable() {
                    return Unnamed::deserialize(d).map(|quantity| Self(quantity.value));
                }
                d.deserialize_str(QuantityVisitor { units: &[$(($unit, $size)),+], make: $name })
            }
        }
    )*};
}

from_text! {
    Metres: ["in" = 0.0254, "ft" = 0.3048, "m" = 1.0, "cm" = 0.01, "mm" = 0.001];
    SquareMetres: ["sq ft" = 0.092_903_04, "ft2" = 0.092_903_04, "m2" = 1.0, "m²" = 1.0, "sq m" = 1.0];
    MetresPerSecond: ["mph" = 0.447_04, "m/s" = 1.0, "km/h" = 1.0 / 3.6, "ft/min" = 0.3048 / 60.0];
    Seconds: ["s" = 1.0, "ms" = 0.001, "min" = 60.0, "h" = 3600.0, "d" = 86_400.0];
    RadiansPerSecond: ["rad/s" = 1.0, "mrad/s" = 0.001, "deg/s" = core::f64::consts::PI / 180.0];
    Amperes: ["A" = 1.0];
    Volts: ["V" = 1.0];
    Ohms: ["ohm" = 1.0, "Ω" = 1.0, "mohm" = 0.001];
    Joules: ["J" = 1.0, "kJ" = 1e3, "MJ" = 1e6];
    NewtonMetresPerAmpere: ["N.m/A" = 1.0, "V.s/rad" = 1.0];
    MetresPerJoule: ["mm/MJ" = 1e-9, "in/MJ" = 2.54e-8, "m/J" = 1.0];
}

#[cfg(test)]
mod tests {
    use super::*;

    const LENGTHS: &[(&str, f64)] = &[("in", 0.0254), ("ft", 0.3048)];

    #[test]
    fn numbers_and_units() {
        // Source: NIST SP 811, B.8: 1 in = 25.4 mm, 1 ft = 0.3048 m, exactly.
        assert_eq!(parse_quantity("0.25 in", LENGTHS), Ok(0.25 * 0.0254));
        assert_eq!(parse_quantity(" 10ft ", LENGTHS), Ok(3.048));
        assert!(matches!(parse_quantity("in", LENGTHS), Err(QuantityError::NoNumber(_))));
        assert!(matches!(parse_quantity("4", LENGTHS), Err(QuantityError::NoUnit { .. })));
        assert!(matches!(parse_quantity("4 m", LENGTHS), Err(QuantityError::UnknownUnit { .. })));
        assert!(parse_quantity("", LENGTHS).is_err());
        assert!(parse_quantity("1.2.3 in", LENGTHS).is_err());
    }

    #[test]
    fn what_was_written_for_programs_is_read_back() {
        let (length, energy) = (Metres(0.1 + 0.2), Joules(-0.0));
        let mut bytes = [0; 16];
        postcard::to_slice(&(length, energy), &mut bytes).unwrap();
        assert_eq!(bytes[..], [length.0.to_le_bytes(), energy.0.to_le_bytes()].concat());
        let (length_read, energy_read) = postcard::from_bytes::<(Metres, Joules)>(&bytes).unwrap();
        assert_eq!(length_read.0.to_bits(), length.0.to_bits());
        assert_eq!(energy_read.0.to_bits(), energy.0.to_bits());
    }
}
