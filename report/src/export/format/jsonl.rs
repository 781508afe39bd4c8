//! JSON lines: one object a row, every column in each, `null` where nothing is known.

use super::text::{Clock, Encoded, Style, value};
use super::{Head, Sink};
use crate::export::ExportError;
use crate::export::batch::Batch;
use std::io::Write;

pub(super) const STYLE: Style = Style { none: "null", quote: "\"" };

pub(super) struct JsonSink<W> {
    out: W,
    lines: Vec<u8>,
    rows: JsonRows,
}

/// Rows as JSON objects.
pub(super) struct JsonRows {
    /// What stands before each value: `{"machine":`, `,"boot":`.
    keys: Vec<String>,
    clock: Clock,
    words: Vec<Encoded>,
}

/// A text in quotes, with escapes.
pub(super) fn quoted(text: &str) -> Vec<u8> {
    // A text is always valid JSON.
    serde_json::to_vec(text).unwrap_or_default()
}

impl JsonRows {
    pub(super) fn new(head: &Head<'_>) -> Self {
        let columns = head.table.columns();
        let key = |(place, column): (usize, &crate::export::Column)| {
            let sign = if place == 0 { '{' } else { ',' };
            format!("{sign}\"{}\":", column.name(head.units))
        };
        Self {
            keys: columns.iter().enumerate().map(key).collect(),
            clock: Clock::default(),
            words: columns.iter().map(|_| Encoded::default()).collect(),
        }
    }

    /// Takes the words of the batch whose rows come next.
    pub(super) fn follow(&mut self, batch: &Batch) {
        for (encoded, words) in self.words.iter_mut().zip(&batch.words) {
            encoded.follow(words, quoted);
        }
    }

    /// Writes one row.
    pub(super) fn write(&mut self, batch: &Batch, row: usize, out: &mut Vec<u8>) {
        for ((key, values), words) in self.keys.iter().zip(&batch.columns).zip(&self.words) {
            out.extend_from_slice(key.as_bytes());
            value(values, row, (&mut self.clock, words), &STYLE, out);
        }
        out.push(b'}');
    }
}

impl<W: Write> JsonSink<W> {
    pub(super) fn new(head: &Head<'_>, out: W) -> Self {
        Self { out, lines: Vec::new(), rows: JsonRows::new(head) }
    }
}

impl<W: Write> Sink for JsonSink<W> {
    fn rows(&mut self, batch: &Batch) -> Result<(), ExportError> {
        self.rows.follow(batch);
        for row in 0..batch.rows() {
            self.rows.write(batch, row, &mut self.lines);
            self.lines.push(b'\n');
            if self.lines.len() > 1 << 16 {
                self.out.write_all(&self.lines)?;
                self.lines.clear();
            }
        }
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> Result<(), ExportError> {
        self.out.write_all(&self.lines)?;
        Ok(self.out.flush()?)
    }
}
