//! Whether and where a series stepped from one level to another.
//!
//! Pettitt's test (A. N. Pettitt, "A non-parametric approach to the change-point
//! problem", Applied Statistics 28, 1979): U(t) is the sum over all pairs before and
//! after t of the sign of their difference, K its largest size, and the chance of a K
//! that large in a series without a change about 2 exp(-6 K² / (n³ + n²)). Checked
//! against `pyhomogeneity` (`PyPI`) by `tests/reference/trends.py`.

/// The likeliest place of a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ChangePoint {
    /// Values before the step.
    pub(super) before: usize,
    /// Chance of the like without a step, at most 1.
    pub(super) p: f64,
}

/// The likeliest place; `None` with fewer than two values.
pub(super) fn change_point(values: &[f64]) -> Option<ChangePoint> {
    let n = values.len();
    let mut best: Option<(i64, usize)> = None;
    let mut sum = 0_i64;
    for (t, value) in values.iter().enumerate().take(n.saturating_sub(1)) {
        // U(t) = U(t - 1) + the signs of this value against all.
        sum += values.iter().map(|other| sign(*value, *other)).sum::<i64>();
        if best.is_none_or(|(k, _)| sum.abs() > k) {
            best = Some((sum.abs(), t + 1));
        }
    }
    let (k, before) = best?;
    let (k, n) = (k as f64, n as f64);
    let p = (2.0 * (-6.0 * k * k / (n * n * n + n * n)).exp()).min(1.0);
    Some(ChangePoint { before, p })
}

fn sign(a: f64, b: f64) -> i64 {
    match a.partial_cmp(&b) {
        Some(std::cmp::Ordering::Less) => -1,
        Some(std::cmp::Ordering::Greater) => 1,
        _ => 0,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 1 1 1 5 5: U = -2, -4, -6, -3; K = 6 after three values.
    #[test]
    fn by_hand() {
        let found = change_point(&[1.0, 1.0, 1.0, 5.0, 5.0]).unwrap();
        assert_eq!(found.before, 3);
        let p: f64 = 2.0 * (-6.0 * 36.0 / (125.0 + 25.0_f64)).exp();
        assert!((found.p - p.min(1.0)).abs() < 1e-12);
        assert_eq!(change_point(&[1.0]), None);
        assert!(change_point(&[2.0, 2.0, 2.0]).unwrap().p >= 1.0);
    }

    fn series(step: f64) -> Vec<f64> {
        (0..40_u32)
            .map(|i| 10.0 + 0.1 * f64::from((i * 37) % 11) + if i >= 17 { step } else { 0.0 })
            .collect()
    }

    // Source: pyhomogeneity 1.1, pettitt_test(values, sim=None).
    const STEPPED: (usize, f64) = (16, 7.875_731_428_154_75e-5);
    const FLAT: (usize, f64) = (4, 1.0);

    #[test]
    fn like_pyhomogeneity() {
        for (step, (before, p)) in [(0.7, STEPPED), (0.0, FLAT)] {
            let found = change_point(&series(step)).unwrap();
            assert_eq!(found.before, before);
            assert!((found.p - p).abs() < 1e-12, "{found:?}");
        }
    }
}
