//! Some rows of a table, column by column.
//!
//! Words: a *word* is a text by its number in the list of its column: machines,
//! channels and sections come again in many rows. A value that is missing has the
//! number that its type never needs: see [`Values`].

use super::column::{Column, Kind};
use chrono::NaiveDate;
use std::collections::HashMap;

/// Rows that are held before they are written: bounds memory and the row groups of Parquet.
pub(super) const BATCH_ROWS: usize = 122_880;

/// A missing time or whole number.
pub(super) const NO_WHOLE: i64 = i64::MIN;
/// A missing date.
pub(super) const NO_DATE: i32 = i32::MIN;
/// A missing text.
pub(super) const NO_WORD: u32 = u32::MAX;
/// A missing flag.
pub(super) const NO_FLAG: u8 = 2;

/// The values of one column.
#[derive(Debug)]
pub(super) enum Values {
    /// ms since 1970 UTC.
    Time(Vec<i64>),
    /// Days since 1970.
    Date(Vec<i32>),
    /// Numbers of words.
    Text(Vec<u32>),
    /// NaN is missing.
    Float(Vec<f32>),
    /// NaN is missing.
    Double(Vec<f64>),
    Whole(Vec<i64>),
    /// 0 or 1.
    Flag(Vec<u8>),
}

/// One value on its way into a batch.
#[derive(Clone, Copy, Debug)]
pub(super) enum Cell<'a> {
    Empty,
    Time(i64),
    Date(NaiveDate),
    Text(&'a str),
    /// A word by the number that [`Batch::word`] gave.
    Word(u32),
    Float(f32),
    Double(f64),
    Whole(i64),
    Flag(bool),
}

impl<'a> Cell<'a> {
    /// The cell of a value that may be missing.
    pub(super) fn of<T>(value: Option<T>, cell: impl FnOnce(T) -> Cell<'a>) -> Self {
        value.map_or(Self::Empty, cell)
    }
}

/// The texts of one column, each once.
#[derive(Debug, Default)]
pub(super) struct Words {
    list: Vec<String>,
    places: HashMap<String, u32>,
}

impl Words {
    pub(super) fn list(&self) -> &[String] {
        &self.list
    }

    fn number(&mut self, text: &str) -> u32 {
        if let Some(number) = self.places.get(text) {
            return *number;
        }
        // More than 4 billion different texts do not fit into memory.
        let number = self.list.len() as u32;
        // A NUL ends a text in many programs: it must not hide what follows it.
        self.list.push(text.replace('\0', "\u{FFFD}"));
        self.places.insert(text.to_owned(), number);
        number
    }
}

/// Rows of one table.
#[derive(Debug)]
pub(super) struct Batch {
    pub(super) columns: Vec<Values>,
    /// One for each column; empty but for texts.
    pub(super) words: Vec<Words>,
    next: usize,
    rows: usize,
}

impl Batch {
    pub(super) fn new(columns: &[Column]) -> Self {
        let values = |column: &Column| match column.kind {
            Kind::Time => Values::Time(Vec::new()),
            Kind::Date => Values::Date(Vec::new()),
            Kind::Text | Kind::Word => Values::Text(Vec::new()),
            Kind::Float => Values::Float(Vec::new()),
            Kind::Double => Values::Double(Vec::new()),
            Kind::Whole => Values::Whole(Vec::new()),
            Kind::Flag => Values::Flag(Vec::new()),
        };
        Self {
            columns: columns.iter().map(values).collect(),
            words: columns.iter().map(|_| Words::default()).collect(),
            next: 0,
            rows: 0,
        }
    }

    /// Whole rows in it.
    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    /// The number of a text of column `column`.
    pub(super) fn word(&mut self, column: usize, text: &str) -> u32 {
        self.words.get_mut(column).map_or(NO_WORD, |words| words.number(text))
    }

    /// The next value of the row, in the order of the columns.
    pub(super) fn put(&mut self, cell: Cell<'_>) {
        let Some(values) = self.columns.get_mut(self.next) else { return };
        match (values, cell) {
            (Values::Time(list) | Values::Whole(list), Cell::Empty) => list.push(NO_WHOLE),
            (Values::Date(list), Cell::Empty) => list.push(NO_DATE),
            (Values::Text(list), Cell::Empty) => list.push(NO_WORD),
            (Values::Float(list), Cell::Empty) => list.push(f32::NAN),
            (Values::Double(list), Cell::Empty) => list.push(f64::NAN),
            (Values::Flag(list), Cell::Empty) => list.push(NO_FLAG),
            (Values::Time(list), Cell::Time(ms)) => list.push(sayable(ms)),
            (Values::Date(list), Cell::Date(date)) => list.push(days(date)),
            (Values::Text(list), Cell::Word(word)) => list.push(word),
            (Values::Text(list), Cell::Text(text)) => {
                let words = self.words.get_mut(self.next);
                list.push(words.map_or(NO_WORD, |words| words.number(text)));
            }
            (Values::Float(list), Cell::Float(v)) => list.push(finite32(v)),
            (Values::Double(list), Cell::Double(v)) => list.push(finite64(v)),
            (Values::Whole(list), Cell::Whole(v)) => list.push(v),
            (Values::Flag(list), Cell::Flag(v)) => list.push(u8::from(v)),
            // Each table's test writes every column of it.
            (values, cell) => unreachable!("{cell:?} is no value of {values:?}"),
        }
        self.next += 1;
        if self.next == self.columns.len() {
            self.next = 0;
            self.rows += 1;
        }
    }

    /// Forgets the rows; words keep their numbers.
    pub(super) fn clear(&mut self) {
        for values in &mut self.columns {
            match values {
                Values::Time(list) | Values::Whole(list) => list.clear(),
                Values::Date(list) => list.clear(),
                Values::Text(list) => list.clear(),
                Values::Float(list) => list.clear(),
                Values::Double(list) => list.clear(),
                Values::Flag(list) => list.clear(),
            }
        }
        (self.next, self.rows) = (0, 0);
    }
}

/// What is not a number is not known: JSON and people know neither infinity nor NaN. Adding
/// 0 makes -0 to 0, which some programs take for another value.
fn finite32(v: f32) -> f32 {
    if v.is_finite() { v + 0.0 } else { f32::NAN }
}

fn finite64(v: f64) -> f64 {
    if v.is_finite() { v + 0.0 } else { f64::NAN }
}

/// 0000-01-01 to the end of 9999: what RFC 3339 can say. A log that lies may say more.
fn sayable(ms: i64) -> i64 {
    if (-62_167_219_200_000..253_402_300_800_000).contains(&ms) { ms } else { NO_WHOLE }
}

fn days(date: NaiveDate) -> i32 {
    (date - NaiveDate::default()).num_days() as i32
}
