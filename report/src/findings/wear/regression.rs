//! Length against friction energy: a Bayesian regression.
//!
//! Words: l0 is the length at the origin of the energy, w the wear rate in m/J.
//!
//! Model: length at energy E = l0 - w E. What is believed of w before anything
//! is measured is normal: the machine file's rate and its uncertainty. l0 has no
//! belief of its own; the new length with its tolerance, or the length noted when
//! the tool was fitted, is a first datum. Each measurement adds a datum with the
//! reading error of the machine file, which is known: normal belief and normal
//! data make a normal belief again, and its centre and spread are those of the
//! least squares over all rows, each divided by its error, with the belief as one
//! row more (any textbook on Bayesian data analysis; Gelman and others, chapter
//! 14, from memory). A wear rate is positive: what the normal leaves below zero
//! is cut off where chances are computed.
//! Where the data lie off their own best line by more than the reading error
//! explains (chi squared above its 95 % point), the reading error is estimated
//! from them, with the machine file's worth 4 readings (our own choice), and
//! Student's t replaces the normal: an approximation, for the belief on w is not
//! widened with it.

use crate::findings::statistics::{Belief, Fit, chi_squared_quantile, least_squares};

/// What the machine file's reading error is worth beside the scatter of the readings.
const FILE_READINGS: f64 = 4.0;
/// Above this share of chi squared the scatter is no chance.
const CHANCE: f64 = 0.95;

/// A known length.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Datum {
    /// Energy at which it was measured, J.
    pub(super) energy: f64,
    /// m.
    pub(super) length: f64,
    /// One standard deviation, m.
    pub(super) deviation: f64,
}

/// What is believed of the wear rate before measuring, m/J.
#[derive(Clone, Copy, Debug)]
pub(super) struct Prior {
    pub(super) rate: f64,
    pub(super) deviation: f64,
}

/// Mean and standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Normal {
    pub(super) mean: f64,
    pub(super) deviation: f64,
}

/// What is believed after measuring.
#[derive(Clone, Debug)]
pub(super) struct Posterior {
    fit: Fit<2>,
    pub(super) belief: Belief,
    /// Standard deviation of a reading over the machine file's, where it had to be estimated.
    pub(super) widened: Option<f64>,
}

impl Posterior {
    /// `None` without any datum.
    pub(super) fn of(prior: Prior, data: &[Datum]) -> Option<Self> {
        let (rows, lengths) = weighted(data, 1.0);
        let own = if data.len() > 3 { least_squares(&rows, &lengths) } else { None };
        let widened =
            own.filter(|fit| fit.residual_sum > chi_squared_quantile(CHANCE, fit.degrees));
        let degrees = widened.as_ref().map(|fit| FILE_READINGS + fit.degrees as f64);
        let scale = match (&widened, degrees) {
            (Some(fit), Some(degrees)) => ((FILE_READINGS + fit.residual_sum) / degrees).sqrt(),
            _ => 1.0,
        };
        let (mut rows, mut lengths) = weighted(data, scale);
        rows.push([0.0, 1.0 / prior.deviation]);
        lengths.push(prior.rate / prior.deviation);
        Some(Self {
            fit: least_squares(&rows, &lengths)?,
            belief: degrees.map_or_else(Belief::normal, Belief::student),
            widened: widened.map(|_| scale),
        })
    }

    /// The wear rate.
    pub(super) fn rate(&self) -> Normal {
        let [_, rate] = self.fit.coefficients;
        Normal { mean: rate, deviation: self.fit.covariance(1, 1).sqrt() }
    }

    /// The length at an energy.
    pub(super) fn length(&self, energy: f64) -> Normal {
        let at = [1.0, -energy];
        Normal { mean: self.fit.at(&at), deviation: self.fit.variance_at(&at).sqrt() }
    }

    /// The length at an energy as a line in the rate: its slope, and what is left of its deviation
    /// once the rate is known.
    pub(super) fn length_by_rate(&self, energy: f64) -> (f64, f64) {
        let variance = self.fit.covariance(1, 1);
        let together = self.fit.covariance(0, 1) - energy * variance;
        let slope = together / variance;
        let rest = self.length(energy).deviation.powi(2) - slope * together;
        (slope, rest.max(0.0).sqrt())
    }
}

/// Rows and lengths over their errors.
fn weighted(data: &[Datum], scale: f64) -> (Vec<[f64; 2]>, Vec<f64>) {
    let rows = data.iter().map(|d| {
        let weight = 1.0 / (d.deviation * scale);
        ([weight, -d.energy * weight], d.length * weight)
    });
    rows.unzip()
}
