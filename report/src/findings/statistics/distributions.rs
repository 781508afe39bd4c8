//! The distributions behind intervals.

use statrs::distribution::{ChiSquared, Continuous, ContinuousCDF, Normal, StudentsT};

/// The shape of what is believed about a quantity: normal where the error of a
/// reading is known, Student's t where it was estimated from the readings.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Belief {
    shape: Shape,
}

#[derive(Clone, Copy, Debug)]
enum Shape {
    Normal(Normal),
    Student(StudentsT, f64),
}

impl Belief {
    /// The normal distribution.
    pub(crate) fn normal() -> Self {
        Self { shape: Shape::Normal(Normal::standard()) }
    }

    /// Student's t with `degrees` of freedom; the normal one where that is no number above 0.
    pub(crate) fn student(degrees: f64) -> Self {
        StudentsT::new(0.0, 1.0, degrees)
            .map_or_else(|_| Self::normal(), |t| Self { shape: Shape::Student(t, degrees) })
    }

    /// Chance to be below `z` standard units.
    pub(crate) fn below(&self, z: f64) -> f64 {
        match &self.shape {
            _ if z.is_nan() => f64::NAN,
            Shape::Normal(normal) => normal.cdf(z),
            Shape::Student(t, _) => t.cdf(z),
        }
    }

    /// Density at `z` standard units.
    pub(crate) fn density(&self, z: f64) -> f64 {
        match &self.shape {
            Shape::Normal(normal) => normal.pdf(z),
            Shape::Student(t, _) => t.pdf(z),
        }
    }

    /// The z that a share of all values lies below; `share` between 0 and 1.
    pub(crate) fn quantile(&self, share: f64) -> f64 {
        let share = share.clamp(1e-12, 1.0 - 1e-12);
        match &self.shape {
            Shape::Normal(normal) => normal.inverse_cdf(share),
            Shape::Student(t, _) => t.inverse_cdf(share),
        }
    }

    /// What is believed of one of two jointly distributed quantities when the other is known to
    /// lie `z` standard units off: its shape, and the factor on its standard deviation.
    // Multivariate t: the conditional is a t with one more degree, wider by (d + z^2) / (d + 1);
    // e.g. Ding 2016, The American Statistician 70 (from memory).
    pub(crate) fn given(&self, z: f64) -> (Self, f64) {
        match &self.shape {
            Shape::Normal(_) => (*self, 1.0),
            Shape::Student(_, d) => (Self::student(d + 1.0), ((d + z * z) / (d + 1.0)).sqrt()),
        }
    }
}

/// The value that a share of all sums of `degrees` squared standard normals lies below.
pub(crate) fn chi_squared_quantile(share: f64, degrees: usize) -> f64 {
    ChiSquared::new(degrees as f64)
        .map_or(f64::INFINITY, |chi| chi.inverse_cdf(share.clamp(0.0, 1.0 - 1e-12)))
}
