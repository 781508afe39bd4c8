//! CSV by RFC 4180, in UTF-8 with CR LF, header included.
//!
//! Texts that people wrote are guarded against spreadsheets (`settings::table`): one that
//! could be a formula begins with an apostrophe. A missing value is an empty cell, an
//! empty text is `""` or, guarded, an apostrophe.

use super::text::{Clock, Encoded, Style, value};
use super::{Head, Sink};
use crate::export::ExportError;
use crate::export::batch::Batch;
use crate::export::column::Kind;
use crate::settings::table::guarded;
use std::io::Write;

const STYLE: Style = Style { none: "", quote: "" };

pub(super) struct CsvSink<W> {
    out: W,
    line: Vec<u8>,
    clock: Clock,
    words: Vec<Encoded>,
    by_people: Vec<bool>,
}

impl<W: Write> CsvSink<W> {
    pub(super) fn new(head: &Head<'_>, mut out: W) -> Result<Self, ExportError> {
        let columns = head.table.columns();
        let names: Vec<String> = columns.iter().map(|column| column.name(head.units)).collect();
        out.write_all(format!("{}\r\n", names.join(",")).as_bytes())?;
        Ok(Self {
            out,
            line: Vec::new(),
            clock: Clock::default(),
            words: columns.iter().map(|_| Encoded::default()).collect(),
            by_people: columns.iter().map(|column| column.kind == Kind::Text).collect(),
        })
    }
}

/// A cell of text: quoted where RFC 4180 wants it.
fn cell(text: &str, by_people: bool) -> Vec<u8> {
    let text = if by_people { guarded(text) } else { text.to_owned() };
    let plain = !text.is_empty() && !text.contains(['"', ',', '\r', '\n']);
    if plain {
        text.into_bytes()
    } else {
        format!("\"{}\"", text.replace('"', "\"\"")).into_bytes()
    }
}

impl<W: Write> Sink for CsvSink<W> {
    fn rows(&mut self, batch: &Batch) -> Result<(), ExportError> {
        for ((encoded, words), by_people) in
            self.words.iter_mut().zip(&batch.words).zip(&self.by_people)
        {
            encoded.follow(words, |text| cell(text, *by_people));
        }
        for row in 0..batch.rows() {
            for (place, (values, words)) in batch.columns.iter().zip(&self.words).enumerate() {
                if place > 0 {
                    self.line.push(b',');
                }
                value(values, row, (&mut self.clock, words), &STYLE, &mut self.line);
            }
            self.line.extend_from_slice(b"\r\n");
            if self.line.len() > 1 << 16 {
                self.out.write_all(&self.line)?;
                self.line.clear();
            }
        }
        Ok(())
    }

    fn finish(mut self: Box<Self>) -> Result<(), ExportError> {
        self.out.write_all(&self.line)?;
        Ok(self.out.flush()?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn texts_are_guarded_and_quoted() {
        let said = |text| String::from_utf8(cell(text, true)).unwrap();
        assert_eq!(said("=1+1"), "'=1+1");
        assert_eq!(said("@SUM(A1),\"x\""), "\"'@SUM(A1),\"\"x\"\"\"");
        assert_eq!(said("two\nlines"), "\"two\nlines\"");
        assert_eq!(said("Müller 雨"), "Müller 雨");
        assert_eq!(said(""), "'");
        assert_eq!(cell("2026-11-23.2", false), b"2026-11-23.2");
    }
}
