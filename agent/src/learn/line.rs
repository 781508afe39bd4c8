//! The straight line from a field's number to a quantity, through values known from elsewhere.
//!
//! Its slope is the median of the slopes of all pairs of points, so that one wrong note does
//! not bend it. Source: H. Theil, "A rank-invariant method of linear and polynomial regression
//! analysis" (1950); P. K. Sen, Journal of the American Statistical Association 63 (1968),
//! pages 1379-1389, also for the interval: the slopes of two ranks about the middle one, by the
//! variance of Kendall's S with ties. `tests/reference/learn_line.py` holds it against `SciPy`.

/// Of the normal distribution, two-sided 95 %.
const Z_95: f64 = 1.959_963_985;

/// From so many points on the interval bears a wrong note or two: with fewer, one of them
/// takes its lower end below 0.
const ENOUGH: usize = 8;

/// A line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    pub(super) factor: f64,
    pub(super) offset: f64,
    pub(super) interval: Interval,
    /// Median distance of the known values from it, as a share of their span.
    pub(super) misfit: f64,
    pub(super) points: usize,
}

impl Line {
    /// Whether more of the one is more of the other, as far as the points can tell.
    pub(super) fn rises(&self) -> bool {
        let doubted = self.points >= ENOUGH && self.interval.low <= 0.0;
        self.factor > 0.0 && !doubted
    }
}

/// Between which factors the true one lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Its ends.
    pub low: f64,
    /// See above.
    pub high: f64,
    /// Points of the line, the standstill among them.
    pub points: usize,
    /// Whether it holds 95 %. With few points it is only the range of all slopes.
    pub whole: bool,
}

impl Interval {
    /// For a report or a comment.
    pub(super) fn words(&self) -> String {
        let Self { low, high, points, whole } = self;
        let (low, high) = (significant(*low), significant(*high));
        if *whole {
            format!("factor {low} to {high} (95 % interval, {points} points)")
        } else {
            format!(
                "factor {low} to {high} between any two of {points} points, too few for a 95 % \
                 interval"
            )
        }
    }
}

/// Four digits that count.
pub(super) fn significant(value: f64) -> String {
    let before = value.abs().max(1e-12).log10().floor() as i32;
    format!("{value:.*}", usize::try_from(3 - before).unwrap_or(0).min(12))
}

/// `None` where no two points differ in their number.
pub(super) fn line_through(points: &[(f64, f64)]) -> Option<Line> {
    let mut slopes: Vec<f64> = Vec::new();
    for (i, a) in points.iter().enumerate() {
        let others = points.iter().skip(i + 1).filter(|b| (b.0 - a.0).abs() > 1e-9);
        slopes.extend(others.map(|b| (b.1 - a.1) / (b.0 - a.0)));
    }
    let factor = median(&mut slopes)?;
    let interval = interval(&slopes, points)?;
    let mut offsets: Vec<f64> = points.iter().map(|p| p.1 - factor * p.0).collect();
    let offset = median(&mut offsets)?;
    let mut off: Vec<f64> = points.iter().map(|p| (p.1 - factor * p.0 - offset).abs()).collect();
    let least = points.iter().map(|p| p.1).fold(f64::INFINITY, f64::min);
    let span = points.iter().map(|p| p.1 - least).fold(0.0, f64::max);
    // Of the highest it would call any line a good one where the known values hardly differ.
    let misfit = if span > 0.0 { median(&mut off)? / span } else { 1.0 };
    Some(Line { factor, offset, interval, misfit, points: points.len() })
}

/// Of sorted slopes.
fn interval(slopes: &[f64], points: &[(f64, f64)]) -> Option<Interval> {
    let pairs = slopes.len() as f64;
    let margin = Z_95 * kendall_variance(points).max(0.0).sqrt();
    let lower = (0.5 * (pairs - margin)).round_ties_even();
    let last = slopes.len().checked_sub(1)?;
    let low = *slopes.get((lower.max(0.0) as usize).saturating_sub(1))?;
    let upper = (0.5 * (pairs + margin)).round_ties_even().max(0.0) as usize;
    let high = *slopes.get(upper.min(last))?;
    Some(Interval { low, high, points: points.len(), whole: lower >= 1.0 })
}

/// Variance of Kendall's S, less for ties.
fn kendall_variance(points: &[(f64, f64)]) -> f64 {
    let term = |n: f64| n * (n - 1.0) * (2.0 * n + 5.0);
    let ties = |mut values: Vec<f64>| -> f64 {
        values.sort_unstable_by(f64::total_cmp);
        values.chunk_by(|a, b| a.total_cmp(b).is_eq()).map(|same| term(same.len() as f64)).sum()
    };
    let (xs, ys) = points.iter().copied().unzip();
    (term(points.len() as f64) - ties(xs) - ties(ys)) / 18.0
}

/// Sorts; the lower one of two middle values is not better than the upper one: their mean.
fn median(values: &mut [f64]) -> Option<f64> {
    values.sort_by(f64::total_cmp);
    let upper = values.get(values.len() / 2)?;
    Some(f64::midpoint(values[(values.len() - 1) / 2], *upper))
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: (1, 3), (2, 5), (3, 7) lie on 2x + 1. With (4, 30) instead of 9 the slopes are
    // 2 2 2 9 12.5 23: median 5.5. With five points on the line and one off it stays: 10 of
    // the 15 slopes are 2.
    #[test]
    fn lines_by_hand() {
        let mut points = vec![(1.0, 3.0), (2.0, 5.0), (3.0, 7.0)];
        let line = line_through(&points).unwrap();
        assert!((line.factor - 2.0).abs() < 1e-12 && (line.offset - 1.0).abs() < 1e-12);
        assert!(line.misfit < 1e-12 && !line.interval.whole);
        points.push((4.0, 30.0));
        let line = line_through(&points).unwrap();
        assert!((line.factor - 5.5).abs() < 1e-12);
        assert!(
            (line.interval.low - 2.0).abs() < 1e-12 && (line.interval.high - 23.0).abs() < 1e-12
        );
        points.extend([(5.0, 11.0), (6.0, 13.0)]);
        let line = line_through(&points).unwrap();
        assert!((line.factor - 2.0).abs() < 1e-12 && (line.offset - 1.0).abs() < 1e-12);
        assert_eq!(line_through(&[(4.0, 2.0)]), None);
        assert_eq!(line_through(&[(4.0, 2.0), (4.0, 3.0)]), None);
    }

    // Numbers of a field, and speeds noted to 5 %; one is wrong, and three are standstills.
    const POINTS: [(f64, f64); 9] = [
        (0.0, 0.0),
        (0.0, 0.0),
        (0.0, 0.02),
        (112.0, 0.31),
        (165.0, 0.46),
        (240.0, 0.68),
        (301.0, 0.35),
        (398.0, 1.09),
        (404.0, 1.15),
    ];
    // By SciPy 1.17.1: slope, low, high of all points and of the five from the third on.
    const ALL: [f64; 3] = [0.002_767_857_143, 0.002_589_285_714, 0.002_876_712_329];
    const FIVE: [f64; 3] = [0.002_627_976_190, -0.005_409_836_066, 0.002_933_333_333];

    #[test]
    fn intervals_of_scipy() {
        for (points, [slope, low, high]) in [(&POINTS[..], ALL), (&POINTS[2..7], FIVE)] {
            let line = line_through(points).unwrap();
            for (is, theirs) in
                [(line.factor, slope), (line.interval.low, low), (line.interval.high, high)]
            {
                assert!((is - theirs).abs() < 1e-9, "{line:?}");
            }
            assert!(line.interval.whole);
        }
    }

    // Nine speeds between 3.0 and 3.4 that have nothing to do with their numbers: by hand no
    // line misses them by more than 0.2, which is little of 3.4 and half of their span.
    #[test]
    fn notes_that_hardly_differ_prove_little() {
        let speeds = [3.0, 3.38, 3.04, 3.36, 3.1, 3.33, 3.02, 3.4, 3.09];
        let points: Vec<_> = speeds.iter().enumerate().map(|(i, v)| (i as f64, *v)).collect();
        let line = line_through(&points).unwrap();
        assert!(line.misfit > 0.2 && !line.rises(), "{line:?}");
        // Few of them may hold a wrong one, as `FIVE`: the middle slope decides.
        assert!(line_through(&POINTS[2..7]).unwrap().rises());
        assert!(line_through(&POINTS).unwrap().rises());
    }

    #[test]
    fn words() {
        let words = |low, whole| Interval { low, high: 12.34567, points: 6, whole }.words();
        assert_eq!(words(0.027_123_4, true), "factor 0.02712 to 12.35 (95 % interval, 6 points)");
        assert!(words(0.5, false).contains("factor 0.5000 to 12.35 between any two of 6 points"));
    }
}
