//! The shift book: what people noted by hand.

use super::site::{Phase, Site};
use chrono::{NaiveDate, NaiveDateTime};
use serde::Deserialize;
use underbrush_protocol::settings::{SettingsError, error_at_entry, parse};
use underbrush_protocol::si::Metres;

/// The whole file.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Book {
    /// Tools fitted, in order of date.
    pub tool: Vec<Fitted>,
    /// Segment lengths measured, in order of date.
    pub measured: Vec<Measured>,
    /// Work begun, where the machine was not told.
    pub begun: Vec<Begun>,
    /// Anything else.
    pub remark: Vec<Remark>,
}

/// A set of brushes was fitted.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitted {
    /// Local date.
    #[serde(rename = "fitted", deserialize_with = "date")]
    pub on: NaiveDate,
    /// Grit as printed on the tool.
    pub grit: String,
    /// Bonded abrasive on that day, where the tool was not new.
    #[serde(default)]
    pub length: Option<Metres>,
}

/// The segments were measured.
///
/// `length` alone is the shortest of all brushes; with `brush = 1` (1: left) that of
/// one brush; `lengths` are those of all brushes from left to right.
#[derive(Clone, Debug, Deserialize)]
#[serde(try_from = "MeasuredEntry")]
pub struct Measured {
    /// Local date.
    pub date: NaiveDate,
    /// Bonded abrasive found.
    pub found: Lengths,
}

/// Which brushes were measured.
#[derive(Clone, Debug, PartialEq)]
pub enum Lengths {
    /// The shortest segment of all brushes.
    Shortest(Metres),
    /// The shortest segment of one brush, from 0, left to right.
    Brush(usize, Metres),
    /// The shortest segment of each brush, left to right.
    Each(Vec<Metres>),
}

impl Measured {
    /// What is known of one brush, from 0; `None` where only the shortest of all is known.
    pub fn of_brush(&self, brush: usize) -> Option<Metres> {
        match &self.found {
            Lengths::Brush(number, length) => (*number == brush).then_some(*length),
            Lengths::Each(lengths) => lengths.get(brush).copied(),
            Lengths::Shortest(_) => None,
        }
    }

    /// The shortest length of the entry.
    pub fn shortest(&self) -> Metres {
        match &self.found {
            Lengths::Shortest(length) | Lengths::Brush(_, length) => *length,
            Lengths::Each(lengths) => {
                let least = lengths.iter().map(|length| length.0).reduce(f64::min);
                Metres(least.unwrap_or(f64::NAN))
            }
        }
    }
}

/// The keys of `[[measured]]`.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct MeasuredEntry {
    #[serde(deserialize_with = "date")]
    date: NaiveDate,
    length: Option<Metres>,
    lengths: Option<Vec<Metres>>,
    brush: Option<usize>,
}

impl TryFrom<MeasuredEntry> for Measured {
    type Error = String;

    fn try_from(entry: MeasuredEntry) -> Result<Self, String> {
        let date = entry.date;
        let found = match (entry.length, entry.lengths, entry.brush) {
            (Some(length), None, None) => Lengths::Shortest(length),
            (Some(length), None, Some(brush @ 1..=4)) => Lengths::Brush(brush - 1, length),
            (Some(_), None, Some(brush)) => {
                return Err(format!(
                    "measured on {date}: brush {brush} is none; 1 is the left one"
                ));
            }
            (None, Some(lengths), None) if !lengths.is_empty() => Lengths::Each(lengths),
            _ => {
                return Err(format!(
                    "measured on {date}: give `length` (shortest of all), `length` with `brush`, \
                     or `lengths` (one of each brush, left to right)"
                ));
            }
        };
        let measured = Self { date, found };
        let length = measured.shortest().0;
        if length >= 0.0 && length.is_finite() {
            Ok(measured)
        } else {
            Err(format!("measured on {date}: a length must not be less than 0"))
        }
    }
}

/// Work on a section began.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Begun {
    /// Local time.
    #[serde(deserialize_with = "date_time")]
    pub at: NaiveDateTime,
    /// Section id.
    pub section: String,
    /// Step or maintenance.
    pub phase: Phase,
}

/// A remark.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remark {
    /// Local date of the shift's start.
    #[serde(deserialize_with = "date")]
    pub date: NaiveDate,
    /// What was noted.
    pub text: String,
}

impl Book {
    /// Reads a shift book. `file` is its name for messages.
    pub fn parse(file: &str, text: &str) -> Result<Self, SettingsError> {
        let mut book: Self = parse(file, text)?;
        let none = |tool: &Fitted| tool.length.is_some_and(|length| length.0 <= 0.0);
        if let Some(entry) = book.tool.iter().position(none) {
            let message = "must be more than 0; leave it out for a new tool";
            return Err(error_at_entry(file, text, "tool.length", entry, message));
        }
        book.tool.sort_by_key(|t| t.on);
        book.measured.sort_by_key(|m| m.date);
        book.begun.sort_by_key(|b| b.at);
        Ok(book)
    }

    /// The tool that was on the machine on `date`: the last one fitted by then.
    pub fn tool_on(&self, date: NaiveDate) -> Option<&Fitted> {
        self.tool.iter().rev().find(|tool| tool.on <= date)
    }

    /// Sections in `begun` that the site does not have.
    pub fn unknown_sections<'a>(&'a self, site: &'a Site) -> impl Iterator<Item = &'a Begun> {
        self.begun.iter().filter(|b| site.section_by_id(&b.section).is_none())
    }
}

/// TOML has dates of its own; a quoted date is accepted too.
#[derive(Deserialize)]
#[serde(untagged)]
enum DateText {
    Toml(underbrush_protocol::settings::Datetime),
    Text(String),
}

impl DateText {
    fn text(self) -> String {
        match self {
            Self::Toml(d) => d.to_string(),
            Self::Text(s) => s,
        }
    }
}

fn date<'de, D: serde::Deserializer<'de>>(d: D) -> Result<NaiveDate, D::Error> {
    let text = DateText::deserialize(d)?.text();
    text.parse().map_err(|_| {
        serde::de::Error::custom(format!("`{text}` is not a date; write it like 2026-11-23"))
    })
}

fn date_time<'de, D: serde::Deserializer<'de>>(d: D) -> Result<NaiveDateTime, D::Error> {
    let text = DateText::deserialize(d)?.text();
    let parsed = text.parse().or_else(|_| {
        ["%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]
            .iter()
            .find_map(|form| NaiveDateTime::parse_from_str(&text, form).ok())
            .ok_or(())
    });
    parsed.map_err(|()| {
        let message = format!("`{text}` is not a local time; write it like 2026-11-23T22:05:00");
        serde::de::Error::custom(message)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn measured(entry: &str) -> Result<Measured, String> {
        let text = format!("[[measured]]\ndate = 2026-11-20\n{entry}\n");
        let book = Book::parse("book.toml", &text).map_err(|e| e.to_string())?;
        Ok(book.measured[0].clone())
    }

    #[test]
    fn lengths_of_all_or_of_one_brush() {
        let inch = Metres(0.0254);
        assert_eq!(measured("length = \"1 in\"").unwrap().found, Lengths::Shortest(inch));
        let right = measured("brush = 2\nlength = \"1 in\"").unwrap();
        assert_eq!((right.of_brush(0), right.of_brush(1)), (None, Some(inch)));
        let both = measured("lengths = [\"1.5 in\", \"1 in\"]").unwrap();
        assert_eq!((both.of_brush(1), both.of_brush(2)), (Some(inch), None));
        assert_eq!(both.shortest(), inch);
    }

    #[test]
    fn unclear_lengths_are_refused_with_their_line() {
        for entry in [
            "",
            "brush = 1",
            "lengths = []",
            "length = \"1 in\"\nlengths = [\"1 in\"]",
            "lengths = [\"1 in\"]\nbrush = 1",
            "length = \"1 in\"\nbrush = 0",
            "length = \"1 in\"\nbrush = 5",
            "length = \"-1 in\"",
            "length = \"1 in\"\nwidth = 3",
        ] {
            let said = measured(entry).expect_err(entry);
            assert!(said.starts_with("book.toml, line "), "{said}");
        }
    }
}
