//! The grid that everything on paper stands on.
//!
//! One measure, a line of 12 pt, rules the page: text lines are a line apart, white
//! between parts is whole or half lines, and charts are so many half lines high.
//! Baselines of text outside of charts stand on half lines below the top margin, so
//! that two columns beside each other agree. Across, the text is twelve columns
//! wide; halves, questions, names and axes begin at their edges, columns of tables
//! at eighths of them.

/// From one line of text to the next.
pub(super) const LINE: f64 = 12.0;
/// Smallest step down the page.
pub(super) const HALF: f64 = LINE / 2.0;
/// Baseline of any text below the top of its line.
pub(super) const BASE: f64 = 9.0;

/// Margins; a printer's own are smaller, and a hole punch needs the left one.
pub(super) const LEFT: f64 = 48.0;
pub(super) const RIGHT: f64 = 36.0;
pub(super) const TOP: f64 = 30.0;
pub(super) const BOTTOM: f64 = 42.0;

/// Columns across the page.
const COLUMNS: f64 = 12.0;
/// Columns of tables begin at eighths of a column.
pub(super) const PARTS: f64 = 8.0 * COLUMNS;
/// White between two columns of text.
pub(super) const GUTTER: f64 = 18.0;

/// Width of so many columns, the white right of them included.
pub(super) fn columns(page_width: f64, count: f64) -> f64 {
    (page_width - LEFT - RIGHT + GUTTER) * count / COLUMNS
}

/// Shares of a table's width, each as many whole parts as fit it best; their sum is
/// the whole width.
pub(super) fn parts(shares: &[f64]) -> Vec<f64> {
    let whole = shares.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    let mut reached = 0.0;
    let mut edge = 0.0;
    shares
        .iter()
        .map(|share| {
            reached += share / whole;
            let next = (reached * PARTS).round() / PARTS;
            let width = next - edge;
            edge = next;
            width
        })
        .collect()
}

/// The least whole number of half lines that is not less.
pub(super) fn whole(height: f64) -> f64 {
    (height / HALF - 1e-6).ceil() * HALF
}
