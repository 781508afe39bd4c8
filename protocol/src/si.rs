//! SI quantities as types, for everything after decoding.
//!
//! A bare `f64` crosses no module border with a unit in the reader's head only.

use core::iter::Sum;
use core::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

macro_rules! quantity {
    ($($(#[$doc:meta])* $name:ident $unit:literal;)*) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd)]
        pub struct $name(pub f64);

        /// A field named as its unit: whoever reads it needs no table of units.
        impl serde::Serialize for $name {
            fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
                use serde::ser::SerializeStruct;
                let mut quantity = s.serialize_struct(stringify!($name), 1)?;
                quantity.serialize_field($unit, &self.0)?;
                quantity.end()
            }
        }

        impl Add for $name { type Output = Self; fn add(self, o: Self) -> Self { Self(self.0 + o.0) } }
        impl Sub for $name { type Output = Self; fn sub(self, o: Self) -> Self { Self(self.0 - o.0) } }
        impl AddAssign for $name { fn add_assign(&mut self, o: Self) { self.0 += o.0; } }
        impl Neg for $name { type Output = Self; fn neg(self) -> Self { Self(-self.0) } }
        impl Mul<f64> for $name { type Output = Self; fn mul(self, k: f64) -> Self { Self(self.0 * k) } }
        impl Div<f64> for $name { type Output = Self; fn div(self, k: f64) -> Self { Self(self.0 / k) } }
        /// The ratio of two like quantities is a plain number.
        impl Div for $name { type Output = f64; fn div(self, o: Self) -> f64 { self.0 / o.0 } }
        /// Nothing sums up to 0, not to the -0 that `f64` sums begin with.
        impl Sum for $name { fn sum<I: Iterator<Item = Self>>(it: I) -> Self { Self(it.fold(0.0, |sum, q| sum + q.0)) } }
    )*};
}

quantity! {
    /// Length in m.
    Metres "m";
    /// Area in m².
    SquareMetres "m2";
    /// Speed in m/s.
    MetresPerSecond "m_s";
    /// Duration in s.
    Seconds "s";
    /// Electric current in A.
    Amperes "a";
    /// Electric potential in V.
    Volts "v";
    /// Electric resistance in Ω.
    Ohms "ohm";
    /// Torque in N·m.
    NewtonMetres "n_m";
    /// Motor constant in N·m/A, which equals V·s/rad.
    NewtonMetresPerAmpere "n_m_per_a";
    /// Energy in J.
    Joules "j";
    /// Power in W.
    Watts "w";
    /// Rotation in rad/s.
    RadiansPerSecond "rad_s";
}

impl Mul<Seconds> for MetresPerSecond {
    type Output = Metres;
    fn mul(self, t: Seconds) -> Metres {
        Metres(self.0 * t.0)
    }
}

impl Mul<Metres> for Metres {
    type Output = SquareMetres;
    fn mul(self, o: Metres) -> SquareMetres {
        SquareMetres(self.0 * o.0)
    }
}

impl Mul<Seconds> for Watts {
    type Output = Joules;
    fn mul(self, t: Seconds) -> Joules {
        Joules(self.0 * t.0)
    }
}

impl Mul<RadiansPerSecond> for NewtonMetres {
    type Output = Watts;
    fn mul(self, w: RadiansPerSecond) -> Watts {
        Watts(self.0 * w.0)
    }
}

impl Seconds {
    /// Duration of `ms` milliseconds.
    pub fn from_ms(ms: u64) -> Self {
        Self(ms as f64 / 1000.0)
    }
}

impl RadiansPerSecond {
    /// Rotation of `rpm` turns a minute: 1 r/min = 2π/60 rad/s (NIST SP 811, B.8).
    pub fn from_rpm(rpm: f64) -> Self {
        Self(rpm * core::f64::consts::TAU / 60.0)
    }
}

quantity! {
    /// Wear: length lost per friction energy, in m/J.
    MetresPerJoule "m_per_j";
}

#[cfg(test)]
mod tests {
    use super::{Joules, Seconds};

    #[test]
    fn nothing_sums_up_to_plain_zero() {
        let nothing: Seconds = core::iter::empty().sum();
        assert!(nothing.0 == 0.0 && nothing.0.is_sign_positive(), "{nothing:?}");
        let some: Joules = [Joules(1.5), Joules(2.25)].into_iter().sum();
        assert!((some.0 - 3.75).abs() < 1e-12);
    }
}
