//! Time by current: robust statistics that need no list of readings.
//!
//! Steps of 0.1 A, the wire's resolution, so that a quantile is exact for what
//! was sent. The median m and the median of |I - m| (MAD) do not care how far
//! off a stall is. 1.4826 x MAD is one standard deviation where the spread is
//! normal (1 / the normal distribution's quantile at 3/4; Rousseeuw and Croux
//! 1993 use the same factor).

use underbrush_protocol::si::{Amperes, Seconds};

/// Steps in an ampere.
const STEPS_A: f64 = 10.0;
/// Largest current of the wire, in steps.
const LARGEST: usize = 32_767;
/// Standard deviations in a MAD.
pub(super) const SD_OF_MAD: f64 = 1.482_602_218_505_602;

/// Time by current, in ms.
#[derive(Clone, Debug, Default)]
pub(super) struct Currents {
    /// Time at each step of 0.1 A; as long as the largest current seen.
    at: Vec<u64>,
    total_ms: u64,
}

impl Currents {
    pub(super) fn add(&mut self, current_a: f32, ms: u64) {
        // Negative and no number become 0, too large the largest: the cast saturates.
        let step = ((f64::from(current_a) * STEPS_A + 0.5) as usize).min(LARGEST);
        if step >= self.at.len() {
            self.at.resize(step + 1, 0);
        }
        self.at[step] += ms;
        self.total_ms += ms;
    }

    pub(super) fn merge(&mut self, other: &Self) {
        self.at.resize(self.at.len().max(other.at.len()), 0);
        for (sum, ms) in self.at.iter_mut().zip(&other.at) {
            *sum += ms;
        }
        self.total_ms += other.total_ms;
    }

    pub(super) fn time(&self) -> Seconds {
        Seconds::from_ms(self.total_ms)
    }

    pub(super) fn mean(&self) -> Amperes {
        let sum: f64 = self.at.iter().enumerate().map(|(i, ms)| i as f64 * *ms as f64).sum();
        Amperes(sum / STEPS_A / (self.total_ms as f64).max(1.0))
    }

    /// The smallest current that the motor did not exceed in this share of the time.
    pub(super) fn quantile(&self, share: f64) -> Amperes {
        Amperes(quantile(&self.at, self.total_ms, share) as f64 / STEPS_A)
    }

    pub(super) fn median(&self) -> Amperes {
        self.quantile(0.5)
    }

    /// Median distance from the median.
    pub(super) fn mad(&self) -> Amperes {
        let median = quantile(&self.at, self.total_ms, 0.5);
        let mut distances = vec![0; self.at.len()];
        for (step, ms) in self.at.iter().enumerate() {
            // |step - median| is below the length: both are.
            distances[step.abs_diff(median)] += ms;
        }
        Amperes(quantile(&distances, self.total_ms, 0.5) as f64 / STEPS_A)
    }
}

/// The first place at which `share` of `total` is reached; 0 of nothing.
fn quantile(at: &[u64], total: u64, share: f64) -> usize {
    let wanted = ((share * total as f64).ceil() as u64).max(1);
    let mut sum = 0;
    at.iter()
        .position(|ms| {
            sum += ms;
            sum >= wanted
        })
        .unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: scipy.stats.median_abs_deviation (scipy 1.17) and numpy.median, computed by
    // tests/reference/robust.py; each current repeated for its ms.
    #[test]
    fn weighted_median_and_mad_are_those_of_scipy() {
        let mut currents = Currents::default();
        for (a, ms) in [(18.2, 301), (19.9, 1200), (20.4, 900), (23.0, 250), (96.0, 100)] {
            currents.add(a, ms);
        }
        assert!((currents.median().0 - 19.9).abs() < 1e-9);
        assert!((currents.mad().0 - 0.5).abs() < 1e-9, "{:?}", currents.mad());
        assert!((currents.mean().0 - 22.925_554_344).abs() < 1e-6, "{:?}", currents.mean());
        assert!((currents.quantile(0.95).0 - 23.0).abs() < 1e-9);
        assert!((currents.quantile(1.0).0 - 96.0).abs() < 1e-9);
    }

    #[test]
    fn merged_is_as_one() {
        let (mut a, mut b, mut all) =
            (Currents::default(), Currents::default(), Currents::default());
        for i in 0..500_u32 {
            let current = (i * 37 % 251) as f32 / 7.0;
            if i % 3 == 0 { &mut a } else { &mut b }.add(current, 100);
            all.add(current, 100);
        }
        a.merge(&b);
        assert_eq!((a.at.clone(), a.total_ms), (all.at.clone(), all.total_ms));
        assert_eq!(Currents::default().median(), Amperes(0.0));
        all.add(f32::NAN, 1);
        all.add(-5.0, 1);
        all.add(1e30, 1);
        assert!((all.quantile(1.0).0 - 3276.7).abs() < 1e-9);
    }
}
