//! Statistics that the findings need: least squares, and the distributions behind intervals.

mod distributions;
mod least_squares;
#[cfg(test)]
mod tests;

pub(crate) use distributions::{Belief, chi_squared_quantile};
pub(super) use least_squares::{Fit, least_squares};
