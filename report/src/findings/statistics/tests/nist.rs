//! Least squares against the certified values of NIST's Statistical Reference Datasets.
//!
//! Data and certified values are read from NIST's own files; see the README beside them. Agreement
//! is counted in digits, as NIST does: LRE = -log10 of the relative error, at most 15.

use super::super::{Fit, least_squares};

/// A file of NIST.
pub(super) struct Certified {
    pub(super) x: Vec<f64>,
    pub(super) y: Vec<f64>,
    /// Coefficient and its standard deviation.
    coefficients: Vec<(f64, f64)>,
    residual_sd: f64,
}

pub(super) fn read(name: &str) -> Certified {
    let path = format!("{}/../fixtures/data/nist_strd/{name}.dat", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"));
    let numbers = |line: &str| -> Vec<f64> {
        line.split_whitespace().filter_map(|word| word.parse().ok()).collect()
    };
    let mut found =
        Certified { x: Vec::new(), y: Vec::new(), coefficients: Vec::new(), residual_sd: f64::NAN };
    for (i, line) in text.lines().enumerate() {
        let first = line.split_whitespace().next().unwrap_or_default();
        match numbers(line)[..] {
            [y, x] if i >= 60 => {
                found.y.push(y);
                found.x.push(x);
            }
            [value, sd] if first.starts_with('B') && i < 60 => found.coefficients.push((value, sd)),
            [sd] if line.trim().starts_with("Standard Deviation") => found.residual_sd = sd,
            _ => {}
        }
    }
    assert!(found.x.len() >= 3 && found.residual_sd.is_finite(), "{name}");
    found
}

/// Digits in which `found` agrees; digits of the plain error where the certified value is 0.
fn digits(found: f64, certified: f64) -> f64 {
    let error = (found - certified).abs();
    let relative = if certified == 0.0 { error } else { error / certified.abs() };
    if relative == 0.0 { 15.0 } else { (-relative.log10()).clamp(0.0, 15.0) }
}

/// Fewest digits over the coefficients, and over their standard deviations and that of the residuals.
fn agreement<const P: usize>(name: &str, row: fn(f64) -> [f64; P]) -> (f64, f64) {
    let data = read(name);
    assert_eq!(data.coefficients.len(), P, "{name}");
    let rows: Vec<[f64; P]> = data.x.iter().map(|x| row(*x)).collect();
    let fit: Fit<P> = least_squares(&rows, &data.y).unwrap();
    let residual_sd = (fit.residual_sum / fit.degrees as f64).sqrt();
    let (mut of_values, mut of_spreads) = (15.0_f64, digits(residual_sd, data.residual_sd));
    for (i, (value, sd)) in data.coefficients.iter().enumerate() {
        of_values = of_values.min(digits(fit.coefficients[i], *value));
        of_spreads = of_spreads.min(digits(residual_sd * fit.covariance(i, i).sqrt(), *sd));
    }
    println!("{name}: coefficients {of_values:.1} digits, deviations {of_spreads:.1} digits");
    (of_values, of_spreads)
}

fn line(x: f64) -> [f64; 2] {
    [1.0, x]
}

fn origin(x: f64) -> [f64; 1] {
    [x]
}

fn polynomial(x: f64) -> [f64; 6] {
    [1.0, x, x.powi(2), x.powi(3), x.powi(4), x.powi(5)]
}

#[test]
fn lines_to_the_certified_digits() {
    for (values, spreads) in
        [agreement("Norris", line), agreement("NoInt1", origin), agreement("NoInt2", origin)]
    {
        assert!(values >= 12.0 && spreads >= 12.0, "{values} {spreads}");
    }
}

// Polynomials of degree 5, condition about 5e6: made to break the normal equations.
#[test]
fn ill_conditioned_polynomials() {
    for name in ["Wampler1", "Wampler2", "Wampler3", "Wampler4", "Wampler5"] {
        let (values, spreads) = agreement(name, polynomial);
        assert!(values >= 9.0, "{name}: {values}");
        assert!(spreads >= 7.0, "{name}: {spreads}");
    }
}

#[test]
fn what_is_not_determined_is_refused() {
    assert!(least_squares::<2>(&[[1.0, 2.0]], &[1.0]).is_none(), "fewer rows than coefficients");
    let twice = [[1.0, 2.0], [2.0, 4.0], [3.0, 6.0]];
    assert!(least_squares(&twice, &[1.0, 2.0, 3.0]).is_none(), "one column twice the other");
    assert!(least_squares(&[[0.0], [0.0]], &[1.0, 2.0]).is_none(), "a column of zeros");
    assert!(least_squares(&[[f64::NAN], [1.0]], &[1.0, 2.0]).is_none());
    assert!(least_squares(&[[1.0], [1.0]], &[f64::INFINITY, 2.0]).is_none());
}
