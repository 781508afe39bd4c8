//! Linear least squares by Householder reflections.
//!
//! Model: y = X b + e; b makes the sum of squared residuals smallest. X is
//! reduced to a triangle R by reflections, which is backward stable, where the
//! normal equations would square its condition. Golub and Van Loan, Matrix
//! Computations, chapter 5 (from memory). One step of refinement with residuals
//! in doubled precision (Björck 1967, from memory) takes the rounding of the
//! triangle out of the coefficients.
//! With a known reading error each row is divided by it; a prior is a row more,
//! so that the same arithmetic gives the posterior of a Bayesian regression
//! whose prior is normal.

/// Coefficients with what is needed for their uncertainty.
#[derive(Clone, Debug)]
pub(crate) struct Fit<const P: usize> {
    pub(crate) coefficients: [f64; P],
    /// Inverse of R, upper triangle.
    inverse: [[f64; P]; P],
    /// Sum of squared residuals.
    pub(crate) residual_sum: f64,
    /// Rows less coefficients.
    pub(crate) degrees: usize,
}

impl<const P: usize> Fit<P> {
    /// Element of (X'X)^-1: the covariance of two coefficients where rows were divided by their error.
    pub(crate) fn covariance(&self, i: usize, j: usize) -> f64 {
        match (self.inverse.get(i), self.inverse.get(j)) {
            (Some(a), Some(b)) => dot(a, b),
            _ => 0.0,
        }
    }

    /// x'(X'X)^-1 x: the variance of the line at `x` where rows were divided by their error.
    pub(crate) fn variance_at(&self, x: &[f64; P]) -> f64 {
        let mut sum = 0.0;
        for column in 0..P {
            let part: f64 = (0..=column).map(|row| x[row] * self.inverse[row][column]).sum();
            sum += part * part;
        }
        sum
    }

    /// The line at `x`.
    pub(crate) fn at(&self, x: &[f64; P]) -> f64 {
        dot(&self.coefficients, x)
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// Fits `y` to `rows`; `None` where they do not determine all coefficients.
// All places are below P or below the number of rows, checked once at the begin.
pub(crate) fn least_squares<const P: usize>(rows: &[[f64; P]], y: &[f64]) -> Option<Fit<P>> {
    if rows.len() < P || rows.len() != y.len() {
        return None;
    }
    let triangle = Triangle::of(rows)?;
    let mut inverse = [[0.0; P]; P];
    for column in 0..P {
        let mut unit = [0.0; P];
        unit[column] = 1.0;
        let solved = triangle.solve(&unit);
        for row in 0..P {
            inverse[row][column] = solved[row];
        }
    }
    let (mut coefficients, mut residuals) = ([0.0; P], vec![0.0; y.len()]);
    // The first round solves, each later one takes the error of the one before out.
    for _ in 0..3 {
        triangle.refine(rows, y, &mut coefficients, &mut residuals);
    }
    let residual_sum = dot(&residuals, &residuals);
    let whole = coefficients.iter().chain(inverse.iter().flatten()).all(|v| v.is_finite());
    (whole && residual_sum.is_finite()).then(|| Fit {
        coefficients,
        inverse,
        residual_sum,
        degrees: rows.len() - P,
    })
}

/// X as reflections and R.
struct Triangle<const P: usize> {
    /// Reflected columns: each holds its reflection's direction from the diagonal on.
    directions: Vec<[f64; P]>,
    /// 2 / |direction|^2 of each column.
    weights: [f64; P],
    r: [[f64; P]; P],
}

impl<const P: usize> Triangle<P> {
    fn of(rows: &[[f64; P]]) -> Option<Self> {
        let mut a = rows.to_vec();
        let (mut weights, mut r) = ([0.0; P], [[0.0; P]; P]);
        for k in 0..P {
            let size = a.iter().map(|row| row[k] * row[k]).sum::<f64>().sqrt();
            let norm = a[k..].iter().map(|row| row[k] * row[k]).sum::<f64>().sqrt();
            // What is left of the column is rounding only: it depends on those before it.
            if !norm.is_finite() || norm <= 1e-14 * size {
                return None;
            }
            let diagonal = if a[k][k] > 0.0 { -norm } else { norm };
            a[k][k] -= diagonal;
            let squares: f64 = a[k..].iter().map(|row| row[k] * row[k]).sum();
            weights[k] = 2.0 / squares;
            for column in k + 1..P {
                let along: f64 = a[k..].iter().map(|row| row[k] * row[column]).sum();
                for row in &mut a[k..] {
                    row[column] -= weights[k] * along * row[k];
                }
                r[k][column] = a[k][column];
            }
            r[k][k] = diagonal;
        }
        Some(Self { directions: a, weights, r })
    }

    /// R x = b.
    fn solve(&self, b: &[f64; P]) -> [f64; P] {
        let mut x = *b;
        for row in (0..P).rev() {
            let known: f64 = (row + 1..P).map(|column| self.r[row][column] * x[column]).sum();
            x[row] = (x[row] - known) / self.r[row][row];
        }
        x
    }

    /// R' x = b.
    fn solve_transposed(&self, b: &[f64; P]) -> [f64; P] {
        let mut x = *b;
        for row in 0..P {
            let known: f64 = (0..row).map(|column| self.r[column][row] * x[column]).sum();
            x[row] = (x[row] - known) / self.r[row][row];
        }
        x
    }

    fn reflect(&self, k: usize, y: &mut [f64]) {
        let rows = &self.directions[k..];
        let along: f64 = rows.iter().zip(&y[k..]).map(|(row, y)| row[k] * y).sum();
        for (row, y) in rows.iter().zip(&mut y[k..]) {
            *y -= self.weights[k] * along * row[k];
        }
    }

    /// One step on the system r + X b = y, X' r = 0 towards its solution.
    fn refine(&self, rows: &[[f64; P]], y: &[f64], b: &mut [f64; P], r: &mut [f64]) {
        let mut f: Vec<f64> = rows
            .iter()
            .zip(y)
            .zip(r.iter())
            .map(|((row, y), r)| {
                let mut sum = Doubled::from(*y);
                sum.add(-r);
                row.iter().zip(b.iter()).for_each(|(x, b)| sum.add_product(-x, *b));
                sum.value()
            })
            .collect();
        let mut g = [0.0; P];
        for (k, g) in g.iter_mut().enumerate() {
            let mut sum = Doubled::from(0.0);
            rows.iter().zip(r.iter()).for_each(|(row, r)| sum.add_product(-row[k], *r));
            *g = sum.value();
        }
        for k in 0..P {
            self.reflect(k, &mut f);
        }
        let h = self.solve_transposed(&g);
        let mut top = [0.0; P];
        for k in 0..P {
            top[k] = f[k] - h[k];
            f[k] = h[k];
        }
        let step = self.solve(&top);
        for k in (0..P).rev() {
            self.reflect(k, &mut f);
        }
        b.iter_mut().zip(&step).for_each(|(b, step)| *b += step);
        r.iter_mut().zip(&f).for_each(|(r, step)| *r += step);
    }
}

/// A sum kept as two floats (Dekker 1971; Ogita, Rump and Oishi 2005; from memory).
struct Doubled {
    high: f64,
    low: f64,
}

impl From<f64> for Doubled {
    fn from(high: f64) -> Self {
        Self { high, low: 0.0 }
    }
}

impl Doubled {
    fn add(&mut self, b: f64) {
        let sum = self.high + b;
        let part = sum - self.high;
        self.low += (self.high - (sum - part)) + (b - part);
        self.high = sum;
    }

    fn add_product(&mut self, a: f64, b: f64) {
        let product = a * b;
        self.add(product);
        self.low += a.mul_add(b, -product);
    }

    fn value(&self) -> f64 {
        self.high + self.low
    }
}
