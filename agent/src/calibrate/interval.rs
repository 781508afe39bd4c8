//! Mean and interval of a few measurements that scatter alike.
//!
//! Student's t interval (any textbook of statistics): mean ± t s / sqrt(n), t the 97.5 %
//! quantile with n - 1 degrees of freedom.

/// 97.5 % quantiles of Student's t with 1, 2, ... degrees of freedom.
/// Source: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, there with
/// three decimals; the fourth by `SciPy`. A test holds all of them against `statrs`.
const T_975: [f64; 9] = [12.7062, 4.3027, 3.1824, 2.7764, 2.5706, 2.4469, 2.3646, 2.3060, 2.2622];

/// The 97.5 % quantile for `degrees` of freedom; beyond the table its last one, which is a
/// little wide. `None` for 0.
pub(super) fn t_975(degrees: usize) -> Option<f64> {
    T_975.get(degrees.checked_sub(1)?.min(T_975.len() - 1)).copied()
}

/// The most measurements that the table covers.
pub const MOST: usize = T_975.len() + 1;

/// What a few measurements come to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mean {
    /// Their mean.
    pub mean: f64,
    /// Their standard deviation; `None`: one measurement says nothing of it.
    pub deviation: Option<f64>,
    /// Half the width of the 95 % interval of the mean.
    pub half_width: Option<f64>,
    /// Largest less smallest, as a share of the mean.
    pub spread: f64,
}

/// Mean and interval; `None` without measurements or with more than [`MOST`].
pub(super) fn mean(values: &[f64]) -> Option<Mean> {
    if values.is_empty() || values.len() > MOST {
        return None;
    }
    let count = values.len() as f64;
    let mean = values.iter().sum::<f64>() / count;
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    let most = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let t = values.len().checked_sub(2).and_then(|place| T_975.get(place));
    let deviation = t.map(|_| {
        let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        (squares / (count - 1.0)).sqrt()
    });
    let half_width = t.zip(deviation).map(|(t, deviation)| t * deviation / count.sqrt());
    Some(Mean { mean, deviation, half_width, spread: (most - least) / mean })
}

#[cfg(test)]
mod tests {
    use super::*;
    use statrs::distribution::{ContinuousCDF, StudentsT};

    #[test]
    fn the_table_is_that_of_statrs() {
        for (place, t) in T_975.iter().enumerate() {
            let exact = StudentsT::new(0.0, 1.0, (place + 1) as f64).unwrap().inverse_cdf(0.975);
            assert!((exact - t).abs() < 0.5e-4, "{} degrees: {exact}, not {t}", place + 1);
        }
    }

    /// By hand: 1.01, 1.03, 1.02: mean 1.02, deviation 0.01, 4.3027 x 0.01 / sqrt(3).
    #[test]
    fn three_by_hand() {
        let three = mean(&[1.01, 1.03, 1.02]).unwrap();
        assert!((three.mean - 1.02).abs() < 1e-12 && (three.spread - 0.02 / 1.02).abs() < 1e-12);
        assert!((three.deviation.unwrap() - 0.01).abs() < 1e-12);
        assert!((three.half_width.unwrap() - 0.024_841_65).abs() < 1e-7);
        let one = mean(&[1.01]).unwrap();
        assert_eq!((one.mean, one.deviation, one.half_width), (1.01, None, None));
        assert!(mean(&[]).is_none() && mean(&[1.0; MOST]).is_some());
        assert!(mean(&[1.0; MOST + 1]).is_none());
    }
}
