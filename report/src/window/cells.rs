//! Cells of equal length that keep the smallest and the largest.

use super::Quantity;
use crate::findings::Span;
use underbrush_protocol::si::Seconds;

/// What was observed in one cell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Cell {
    /// Smallest and largest; `None`: nothing was observed.
    pub range: Option<(f32, f32)>,
    /// Time of the cell that the readings speak for.
    pub seen: Seconds,
}

/// One quantity over the span of a window.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// Which.
    pub quantity: Quantity,
    /// Cells of equal length.
    pub cells: Vec<Cell>,
}

/// Readings of a span; quantities that were never observed in it are left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// From when to when.
    pub span: Span,
    /// How many cells each line has.
    pub cells: usize,
    /// In the order in which they were asked for.
    pub lines: Vec<Line>,
}

impl Window {
    /// A window into which nothing was read yet.
    pub(crate) fn empty(span: Span, cells: usize) -> Self {
        Self { span, cells, lines: Vec::new() }
    }

    /// Length of one cell.
    pub fn cell(&self) -> Seconds {
        Seconds(self.span.length().0 / self.cells.max(1) as f64)
    }

    /// A quantity, if it was ever observed.
    pub fn line(&self, quantity: Quantity) -> Option<&Line> {
        self.lines.iter().find(|line| line.quantity == quantity)
    }

    /// Begin and end of the span in UTC ms.
    fn edges(&self) -> (i64, i64) {
        (self.span.from.timestamp_millis(), self.span.to.timestamp_millis())
    }

    /// Whether a stretch, in UTC ms, lies in the span at least in part.
    pub(super) fn touches(&self, from: i64, to: i64) -> bool {
        let (begin, end) = self.edges();
        from < end && to > begin
    }

    /// Takes a value that held from one time to another, in UTC ms.
    pub(super) fn take(&mut self, quantity: Quantity, value: f32, from: i64, to: i64) {
        let (begin, end) = self.edges();
        let (from, to) = (from.max(begin), to.min(end));
        if from >= to || self.cells == 0 || !value.is_finite() {
            return;
        }
        let all = self.cells;
        let (count, length) = (all as i64, end - begin);
        let index = |i: usize| begin as f64 + i as f64 * length as f64 / all as f64;
        let place =
            |at: i64| (i128::from(at - begin) * i128::from(count)).div_euclid(i128::from(length));
        let first = place(from) as usize;
        // The last cell that begins before the end of the stretch.
        let before = i128::from(to - begin) * i128::from(count) - 1;
        let last = before.div_euclid(i128::from(length)) as usize;
        let line = self.lines.iter().position(|line| line.quantity == quantity);
        let line = line.unwrap_or_else(|| {
            self.lines.push(Line { quantity, cells: vec![Cell::default(); all] });
            self.lines.len() - 1
        });
        let Some(line) = self.lines.get_mut(line) else { return };
        for (i, cell) in line.cells.iter_mut().enumerate().take(last + 1).skip(first) {
            let (low, high) = cell.range.unwrap_or((value, value));
            cell.range = Some((low.min(value), high.max(value)));
            let seen_ms = index(i + 1).min(to as f64) - index(i).max(from as f64);
            cell.seen += Seconds(seen_ms.max(0.0) / 1000.0);
        }
    }

    /// Brings the lines into the order in which they were asked for.
    pub(super) fn sort_by(&mut self, wanted: &[Quantity]) {
        self.lines.sort_by_key(|line| wanted.iter().position(|q| *q == line.quantity));
    }
}
