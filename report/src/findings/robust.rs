//! Statistics that a few wild readings do not move.
//!
//! *Median deviation*: 1.4826 x the median distance from the median, which for
//! a normal distribution is its standard deviation. *Theil-Sen line*: the slope
//! is the median of the slopes of all pairs of points (Theil 1950; Sen 1968),
//! right while less than 29 % of the points are wild; its interval is that of
//! Sen 1968 with the correction for ties. Both are what `SciPy` computes as
//! `scipy.stats.median_abs_deviation(scale="normal")` and `theilslopes`.

/// Points of a line at most: their pairs are all looked at.
const MOST_POINTS: usize = 128;
/// Two-sided 95 % of the normal distribution.
const Z_95: f64 = 1.959_963_985;
/// Standard deviation over median distance from the median, normal distribution.
const NORMAL: f64 = 1.482_602_218_505_602;

/// The median; `None` of nothing.
pub(crate) fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_unstable_by(f64::total_cmp);
    middle(&sorted)
}

/// Median and median deviation.
pub(crate) fn spread(values: &[f64]) -> Option<(f64, f64)> {
    let centre = median(values)?;
    let distances: Vec<f64> = values.iter().map(|v| (v - centre).abs()).collect();
    Some((centre, NORMAL * median(&distances)?))
}

fn middle(sorted: &[f64]) -> Option<f64> {
    let half = sorted.len() / 2;
    let upper = *sorted.get(half)?;
    if sorted.len() % 2 == 1 {
        return Some(upper);
    }
    Some(0.5 * (sorted.get(half - 1)? + upper))
}

/// A straight line through points.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Line {
    pub(crate) slope: f64,
    pub(crate) intercept: f64,
    /// Ends of the 95 % interval of the slope.
    pub(crate) low: f64,
    pub(crate) high: f64,
}

/// The Theil-Sen line; `None` without two points of different x.
pub(crate) fn theil_sen(points: &[(f64, f64)]) -> Option<Line> {
    let points = points.get(..points.len().min(MOST_POINTS))?;
    let mut slopes = Vec::with_capacity(points.len() * points.len() / 2);
    for (i, (x, y)) in points.iter().enumerate() {
        for (other_x, other_y) in points.iter().take(i) {
            // Equal readings are equal numbers: both come from the same raw steps.
            if x.total_cmp(other_x).is_ne() {
                slopes.push((y - other_y) / (x - other_x));
            }
        }
    }
    slopes.sort_unstable_by(f64::total_cmp);
    let slope = middle(&slopes)?;
    let xs: Vec<f64> = points.iter().map(|p| p.0).collect();
    let ys: Vec<f64> = points.iter().map(|p| p.1).collect();
    let intercept = median(&ys)? - slope * median(&xs)?;
    let pairs = slopes.len() as f64;
    let margin = Z_95 * kendall_variance(xs, ys).max(0.0).sqrt();
    let last = slopes.len() - 1;
    let rank = |rank: f64| rank.round_ties_even().max(0.0) as usize;
    let low = *slopes.get(rank(0.5 * (pairs - margin)).saturating_sub(1))?;
    let high = *slopes.get(rank(0.5 * (pairs + margin)).min(last))?;
    Some(Line { slope, intercept, low, high })
}

/// Variance of Kendall's S, less for ties.
fn kendall_variance(xs: Vec<f64>, ys: Vec<f64>) -> f64 {
    let term = |n: f64| n * (n - 1.0) * (2.0 * n + 5.0);
    let ties = |mut values: Vec<f64>| -> f64 {
        values.sort_unstable_by(f64::total_cmp);
        values.chunk_by(|a, b| a.total_cmp(b).is_eq()).map(|same| term(same.len() as f64)).sum()
    };
    (term(xs.len() as f64) - ties(xs) - ties(ys)) / 18.0
}

/// At most [`MOST_POINTS`] of a stream, evenly taken: when full, every second one goes.
#[derive(Clone, Debug)]
pub(super) struct Thinned<T> {
    kept: Vec<T>,
    every: usize,
    skip: usize,
}

impl<T> Default for Thinned<T> {
    fn default() -> Self {
        Self { kept: Vec::new(), every: 1, skip: 0 }
    }
}

impl<T> Thinned<T> {
    pub(super) fn push(&mut self, value: T) {
        if self.skip > 0 {
            self.skip -= 1;
            return;
        }
        if self.kept.len() == MOST_POINTS {
            let mut place = 0;
            self.kept.retain(|_| {
                place += 1;
                place % 2 == 1
            });
            self.every *= 2;
        }
        self.kept.push(value);
        self.skip = self.every - 1;
    }

    pub(super) fn kept(&self) -> &[T] {
        &self.kept
    }

    pub(super) fn clear(&mut self) {
        *self = Self::default();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The points of `tests/reference/theil_sen.py`, which recomputes all values below.
    fn points() -> Vec<(f64, f64)> {
        (0..24u32)
            .map(|i| {
                let x = f64::from((i * 7) % 24) + 0.5 * f64::from(i % 3);
                let wild = if i % 6 == 5 { 4.0 } else { 0.0 };
                let y = 0.3 - 0.02 * x + 0.001 * f64::from((i * 37) % 11) + wild;
                (x, y)
            })
            .collect()
    }

    fn close(found: f64, expected: f64) {
        assert!((found - expected).abs() < 1e-12, "{found} for {expected}");
    }

    // Source: SciPy 1.17.1, scipy.stats.theilslopes(y, x, 0.95).
    #[test]
    fn lines_like_scipy() {
        let line = theil_sen(&points()).unwrap();
        close(line.slope, SLOPE[0]);
        close(line.intercept, SLOPE[1]);
        close(line.low, SLOPE[2]);
        close(line.high, SLOPE[3]);
        // With ties in x and y: both rounded down.
        let rounded: Vec<_> =
            points().iter().map(|(x, y)| ((x / 2.0).floor(), (y * 16.0).floor() / 16.0)).collect();
        let line = theil_sen(&rounded).unwrap();
        close(line.slope, TIED[0]);
        close(line.intercept, TIED[1]);
        close(line.low, TIED[2]);
        close(line.high, TIED[3]);
    }

    // Source: SciPy 1.17.1, numpy.median and scipy.stats.median_abs_deviation(scale="normal").
    #[test]
    fn spreads_like_scipy() {
        let ys: Vec<f64> = points().iter().map(|p| p.1).collect();
        let (centre, deviation) = spread(&ys).unwrap();
        close(centre, SPREAD[0]);
        assert!((deviation - SPREAD[1]).abs() < 1e-9, "{deviation}");
        assert_eq!((median(&[3.0, 1.0, 2.0]), median(&[])), (Some(2.0), None));
    }

    #[test]
    fn nothing_to_draw_a_line_through() {
        assert_eq!(theil_sen(&[]), None);
        assert_eq!(theil_sen(&[(1.0, 2.0)]), None);
        assert_eq!(theil_sen(&[(1.0, 2.0), (1.0, 3.0)]), None);
    }

    #[test]
    fn thinning_keeps_first_and_spread() {
        let mut thinned = Thinned::default();
        (0..100_000).for_each(|i| thinned.push(i));
        let kept = thinned.kept();
        assert!((MOST_POINTS / 2..=MOST_POINTS).contains(&kept.len()), "{}", kept.len());
        let step = kept[1] - kept[0];
        assert!(kept[0] == 0 && kept.windows(2).all(|pair| pair[1] - pair[0] == step));
        assert!(100_000 - kept[kept.len() - 1] <= 2 * step);
    }

    const SLOPE: [f64; 4] = [
        -0.019_888_888_888_889,
        0.366_166_666_666_666,
        -0.020_222_222_222_222,
        -0.019_466_666_666_667,
    ];
    const TIED: [f64; 4] =
        [-0.035_714_285_714_286, 0.339_285_714_285_714, -0.041_666_666_666_667, -0.031_25];
    const SPREAD: [f64; 2] = [0.127_5, 0.202_375_202_826_015];
}
