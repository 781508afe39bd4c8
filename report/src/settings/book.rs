//! The shift book: what people noted by hand.

use super::site::{Phase, Site};
use chrono::{NaiveDate, NaiveDateTime};
use serde::Deserialize;
use underbrush_protocol::settings::{SettingsError, parse};
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
}

/// The segments were measured.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Local date.
    #[serde(deserialize_with = "date")]
    pub date: NaiveDate,
    /// Shortest bonded abrasive found.
    pub length: Metres,
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
        book.tool.sort_by_key(|t| t.on);
        book.measured.sort_by_key(|m| m.date);
        book.begun.sort_by_key(|b| b.at);
        Ok(book)
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
