//! Values as text: what CSV and JSON lines have in common.

use crate::export::batch::{NO_DATE, NO_FLAG, NO_WHOLE, NO_WORD, Values, Words};
use chrono::{DateTime, NaiveDate, TimeDelta};
use std::io::Write;

const DAY_MS: i64 = 86_400_000;

/// Writes instants, and remembers the day of the last one.
#[derive(Debug, Default)]
pub(super) struct Clock {
    day: Option<i64>,
    date: Vec<u8>,
}

impl Clock {
    /// RFC 3339 in UTC with milliseconds: `2026-11-24T04:00:00.100Z`.
    pub(super) fn write(&mut self, ms: i64, out: &mut Vec<u8>) {
        let (day, of_day) = (ms.div_euclid(DAY_MS), ms.rem_euclid(DAY_MS));
        if self.day != Some(day) {
            let date = DateTime::from_timestamp_millis(ms).unwrap_or_default().date_naive();
            self.date = date.format("%Y-%m-%d").to_string().into_bytes();
            self.day = Some(day);
        }
        out.extend_from_slice(&self.date);
        out.push(b'T');
        let seconds = of_day / 1000;
        for (number, sign) in
            [(seconds / 3600, b':'), (seconds / 60 % 60, b':'), (seconds % 60, b'.')]
        {
            digits(number, 2, out);
            out.push(sign);
        }
        digits(of_day % 1000, 3, out);
        out.push(b'Z');
    }
}

fn digits(number: i64, count: u32, out: &mut Vec<u8>) {
    for place in (0..count).rev() {
        out.push(b'0' + (number / 10_i64.pow(place) % 10) as u8);
    }
}

/// A date, `2026-11-24`.
pub(super) fn date(days: i32) -> String {
    let epoch = NaiveDate::default();
    let date = epoch.checked_add_signed(TimeDelta::days(i64::from(days)));
    date.unwrap_or_default().format("%Y-%m-%d").to_string()
}

/// The texts of one column as a format writes them, each encoded once.
#[derive(Debug, Default)]
pub(super) struct Encoded(Vec<Vec<u8>>);

impl Encoded {
    /// Takes the words that are new.
    pub(super) fn follow(&mut self, words: &Words, encode: impl Fn(&str) -> Vec<u8>) {
        let fresh = words.list().iter().skip(self.0.len());
        let fresh: Vec<Vec<u8>> = fresh.map(|text| encode(text)).collect();
        self.0.extend(fresh);
    }

    fn of(&self, word: u32) -> &[u8] {
        self.0.get(word as usize).map_or(&[], Vec::as_slice)
    }
}

/// How a format writes what is no number.
pub(super) struct Style {
    /// A missing value.
    pub(super) none: &'static str,
    /// What stands around times and dates.
    pub(super) quote: &'static str,
}

/// Writes the value of row `row`. Numbers are the shortest text that reads back the same; one
/// that may have a fraction shows so (`1200.0`), for programs guess types by the first rows.
pub(super) fn value(
    values: &Values,
    row: usize,
    (clock, words): (&mut Clock, &Encoded),
    style: &Style,
    out: &mut Vec<u8>,
) {
    let quote = style.quote.as_bytes();
    let mut none = true;
    // Writing into memory cannot fail.
    match values {
        Values::Time(list) => {
            if let Some(ms) = list.get(row).filter(|ms| **ms != NO_WHOLE) {
                out.extend_from_slice(quote);
                clock.write(*ms, out);
                out.extend_from_slice(quote);
                none = false;
            }
        }
        Values::Date(list) => {
            if let Some(days) = list.get(row).filter(|days| **days != NO_DATE) {
                out.extend_from_slice(quote);
                out.extend_from_slice(date(*days).as_bytes());
                out.extend_from_slice(quote);
                none = false;
            }
        }
        Values::Text(list) => {
            if let Some(word) = list.get(row).filter(|word| **word != NO_WORD) {
                out.extend_from_slice(words.of(*word));
                none = false;
            }
        }
        Values::Float(list) => {
            if let Some(v) = list.get(row).filter(|v| !v.is_nan()) {
                let _ = write!(out, "{v:?}");
                none = false;
            }
        }
        Values::Double(list) => {
            if let Some(v) = list.get(row).filter(|v| !v.is_nan()) {
                let _ = write!(out, "{v:?}");
                none = false;
            }
        }
        Values::Whole(list) => {
            if let Some(v) = list.get(row).filter(|v| **v != NO_WHOLE) {
                let _ = write!(out, "{v}");
                none = false;
            }
        }
        Values::Flag(list) => {
            if let Some(v) = list.get(row).filter(|v| **v != NO_FLAG) {
                out.extend_from_slice(if *v == 1 { b"true" } else { b"false" });
                none = false;
            }
        }
    }
    if none {
        out.extend_from_slice(style.none.as_bytes());
    }
}
