//! The straight line between what the agent reads and what an instrument shows.
//!
//! Model: shown = factor x read + offset + noise, the noise alike at every pair.
//! Least squares about the means; standard errors from the residuals with n - 2 degrees of
//! freedom (any textbook of linear regression).

use std::fmt;

/// With readings closer together than this share of the largest, noise makes the factor.
const LEAST_SPREAD: f64 = 0.25;
/// And never closer than this, in A: a clamp meter shows tenths and is some percent off.
const LEAST_SPREAD_A: f64 = 2.0;
/// One reading alone must be at least this, in A.
const LEAST_ALONE_A: f64 = 5.0;

/// One value of both.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// What the agent reads.
    pub read: f64,
    /// What the instrument shows.
    pub shown: f64,
}

/// The line.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Shown over read.
    pub factor: f64,
    /// Shown where 0 is read.
    pub offset: f64,
    /// Only from three pairs on: of two, the line goes through both.
    pub errors: Option<Errors>,
    /// Shown less the line, pair by pair.
    pub residuals: Vec<f64>,
}

/// How well the line is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Errors {
    /// Standard error of the factor.
    pub factor: f64,
    /// Standard error of the offset.
    pub offset: f64,
    /// Standard deviation of the residuals.
    pub residual: f64,
}

/// Why the pairs make no line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoLine {
    /// There is none.
    NoPair,
    /// A value is no number.
    NotANumber,
    /// The readings, in A, lie between these two.
    TooClose(f64, f64),
    /// The only reading, in A, is too small.
    TooSmall(f64),
    /// The factor is not above 0.
    NotPositive(f64),
}

impl fmt::Display for NoLine {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoPair => f.write_str("no pair: give --pair \"READ=SHOWN\", both in A"),
            Self::NotANumber => f.write_str("a pair holds something that is no number"),
            Self::TooClose(least, most) => write!(
                f,
                "the readings lie between {least:.1} A and {most:.1} A, too close together: take \
                 them at loads at least {LEAST_SPREAD_A} A and a quarter of the largest apart, for \
                 instance brush in the air and brush on the floor"
            ),
            Self::TooSmall(read) => write!(
                f,
                "one pair at {read:.1} A says too little: take it at {LEAST_ALONE_A} A or more"
            ),
            Self::NotPositive(factor) => write!(
                f,
                "the factor would be {factor:.4}, which is not above 0: is the clamp around one \
                 lead of this motor only, its arrow in the direction of the current?"
            ),
        }
    }
}

/// The line through `pairs`: of one pair the factor only, of two exact, else least squares.
pub fn line(pairs: &[Pair]) -> Result<Line, NoLine> {
    if pairs.iter().any(|pair| !(pair.read.is_finite() && pair.shown.is_finite())) {
        return Err(NoLine::NotANumber);
    }
    match pairs {
        [] => return Err(NoLine::NoPair),
        [only] if only.read.abs() < LEAST_ALONE_A => return Err(NoLine::TooSmall(only.read)),
        [only] => {
            let factor = positive(only.shown / only.read)?;
            return Ok(Line { factor, offset: 0.0, errors: None, residuals: vec![0.0] });
        }
        _ => {}
    }
    let least = pairs.iter().map(|p| p.read).fold(f64::INFINITY, f64::min);
    let most = pairs.iter().map(|p| p.read).fold(f64::NEG_INFINITY, f64::max);
    let largest = least.abs().max(most.abs());
    if most - least < LEAST_SPREAD_A.max(LEAST_SPREAD * largest) {
        return Err(NoLine::TooClose(least, most));
    }
    let fitted = least_squares(pairs);
    positive(fitted.factor)?;
    Ok(fitted)
}

fn positive(factor: f64) -> Result<f64, NoLine> {
    if factor > 0.0 && factor.is_finite() { Ok(factor) } else { Err(NoLine::NotPositive(factor)) }
}

fn least_squares(pairs: &[Pair]) -> Line {
    let count = pairs.len() as f64;
    let mean_read = pairs.iter().map(|p| p.read).sum::<f64>() / count;
    let mean_shown = pairs.iter().map(|p| p.shown).sum::<f64>() / count;
    let spread = |p: &Pair| (p.read - mean_read, p.shown - mean_shown);
    let squares: f64 = pairs.iter().map(|p| spread(p).0.powi(2)).sum();
    let products: f64 = pairs.iter().map(|p| spread(p).0 * spread(p).1).sum();
    let factor = products / squares;
    let offset = mean_shown - factor * mean_read;
    let residuals: Vec<f64> = pairs.iter().map(|p| spread(p).1 - factor * spread(p).0).collect();
    let errors = (pairs.len() > 2).then(|| {
        let left: f64 = residuals.iter().map(|r| r * r).sum();
        let residual = (left / (count - 2.0)).sqrt();
        Errors {
            factor: residual / squares.sqrt(),
            offset: residual * (1.0 / count + mean_read * mean_read / squares).sqrt(),
            residual,
        }
    });
    Line { factor, offset, errors, residuals }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pairs(values: &[(f64, f64)]) -> Vec<Pair> {
        values.iter().map(|&(read, shown)| Pair { read, shown }).collect()
    }

    fn near(is: f64, certified: f64) {
        assert!((is - certified).abs() <= 1e-9 * certified.abs(), "{is} is not {certified}");
    }

    /// NIST `StRD`, linear regression, data set Norris (calibration of ozone monitors), with
    /// its certified values: <https://www.itl.nist.gov/div898/strd/lls/data/Norris.shtml>
    #[test]
    fn certified_values_of_norris() {
        let norris: Vec<Pair> = include_str!("../../tests/data/norris.txt")
            .lines()
            .filter(|line| !line.starts_with('#'))
            .map(|line| {
                let mut numbers = line.split_whitespace().map(|n| n.parse().unwrap());
                let shown = numbers.next().unwrap();
                Pair { read: numbers.next().unwrap(), shown }
            })
            .collect();
        assert_eq!(norris.len(), 36);
        let line = line(&norris).unwrap();
        near(line.offset, -0.262_323_073_774_029);
        near(line.factor, 1.002_116_818_020_45);
        let errors = line.errors.unwrap();
        near(errors.offset, 0.232_818_234_301_152);
        near(errors.factor, 0.429_796_848_199_937e-3);
        near(errors.residual, 0.884_796_396_144_373);
    }

    /// By hand: reads 10, 20, 30 and shows 12, 21, 33. Means 20 and 22; squares 200, products
    /// 100 + 110 = 210; factor 1.05, offset 1; residuals 0.5, -1, 0.5; residual sqrt(1.5).
    #[test]
    fn three_pairs_by_hand() {
        let line = line(&pairs(&[(10.0, 12.0), (20.0, 21.0), (30.0, 33.0)])).unwrap();
        near(line.factor, 1.05);
        near(line.offset, 1.0);
        for (is, by_hand) in line.residuals.iter().zip([0.5, -1.0, 0.5]) {
            near(*is, by_hand);
        }
        let errors = line.errors.unwrap();
        near(errors.residual, 1.5_f64.sqrt());
        near(errors.factor, (1.5_f64 / 200.0).sqrt());
        near(errors.offset, (1.5_f64 * (1.0 / 3.0 + 400.0 / 200.0)).sqrt());
    }

    #[test]
    fn two_pairs_are_a_line_and_one_is_a_factor() {
        let two = line(&pairs(&[(4.0, 5.0), (24.0, 30.0)])).unwrap();
        near(two.factor, 1.25);
        assert!(two.offset.abs() < 1e-12 && two.errors.is_none());
        let one = line(&pairs(&[(40.0, 38.0)])).unwrap();
        assert_eq!((one.factor, one.offset, one.errors), (0.95, 0.0, None));
    }

    #[test]
    fn pairs_that_say_nothing_are_refused() {
        let refused = |values: &[(f64, f64)]| line(&pairs(values)).unwrap_err();
        assert_eq!(refused(&[]), NoLine::NoPair);
        assert_eq!(refused(&[(37.0, 38.0), (38.0, 40.0)]), NoLine::TooClose(37.0, 38.0));
        assert_eq!(refused(&[(20.0, 20.0), (20.0, 21.0)]), NoLine::TooClose(20.0, 20.0));
        assert_eq!(refused(&[(0.0, 0.5), (1.5, 2.0)]), NoLine::TooClose(0.0, 1.5));
        assert_eq!(refused(&[(0.0, 3.0)]), NoLine::TooSmall(0.0));
        assert_eq!(refused(&[(40.0, -40.0)]), NoLine::NotPositive(-1.0));
        assert_eq!(refused(&[(10.0, 30.0), (30.0, 10.0)]), NoLine::NotPositive(-1.0));
        assert_eq!(refused(&[(f64::NAN, 1.0)]), NoLine::NotANumber);
    }
}
