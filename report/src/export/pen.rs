//! Writes rows of one table to its file, a batch at a time.

use super::ExportError;
use super::batch::{BATCH_ROWS, Batch, Cell};
use super::column::Column;
use super::format::Sink;
use crate::units::Units;

/// Takes values one by one. After a failure it takes no more, and says so at the end.
pub(crate) struct Pen<'a> {
    batch: Batch,
    sink: Box<dyn Sink + 'a>,
    divisors: Vec<f64>,
    next: usize,
    rows: u64,
    failed: Option<ExportError>,
}

impl<'a> Pen<'a> {
    pub(super) fn new(columns: &[Column], units: Units, sink: Box<dyn Sink + 'a>) -> Self {
        Self {
            batch: Batch::new(columns),
            sink,
            divisors: columns.iter().map(|column| column.unit.divisor(units)).collect(),
            next: 0,
            rows: 0,
            failed: None,
        }
    }

    /// Whether nothing more can be written.
    pub(crate) fn failed(&self) -> bool {
        self.failed.is_some()
    }

    /// The number of a text of a column, for [`Cell::Word`].
    pub(super) fn word(&mut self, column: usize, text: &str) -> Cell<'static> {
        Cell::Word(self.batch.word(column, text))
    }

    /// The next value of the row, in SI units, in the order of the columns.
    pub(super) fn put(&mut self, cell: Cell<'_>) {
        let divisor = self.divisors.get(self.next).copied().unwrap_or(1.0);
        self.next = if self.next + 1 < self.divisors.len() { self.next + 1 } else { 0 };
        // Values in SI units stay as they are, to the last bit.
        let converted = (divisor - 1.0).abs() > f64::EPSILON;
        self.batch.put(match cell {
            Cell::Float(v) if converted => Cell::Float((f64::from(v) / divisor) as f32),
            Cell::Double(v) if converted => Cell::Double(v / divisor),
            cell => cell,
        });
        if self.batch.rows() >= BATCH_ROWS {
            self.flush();
        }
    }

    fn flush(&mut self) {
        if self.batch.rows() == 0 {
            return;
        }
        if self.failed.is_none() {
            match self.sink.rows(&self.batch) {
                Ok(()) => self.rows += self.batch.rows() as u64,
                Err(error) => self.failed = Some(error),
            }
        }
        self.batch.clear();
    }

    /// Ends the file; gives the number of rows.
    pub(super) fn finish(mut self) -> Result<u64, ExportError> {
        self.flush();
        if let Some(error) = self.failed {
            return Err(error);
        }
        self.sink.finish()?;
        Ok(self.rows)
    }
}
