//! Dates and local times: TOML has its own; quoted ones are read too.

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Deserializer, de::Error};

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

pub(super) fn date<'de, D: Deserializer<'de>>(d: D) -> Result<NaiveDate, D::Error> {
    let text = DateText::deserialize(d)?.text();
    text.parse()
        .map_err(|_| D::Error::custom(format!("`{text}` is not a date; write it like 2026-11-23")))
}

pub(super) fn maybe_date<'de, D: Deserializer<'de>>(d: D) -> Result<Option<NaiveDate>, D::Error> {
    date(d).map(Some)
}

pub(super) fn date_time<'de, D: Deserializer<'de>>(d: D) -> Result<NaiveDateTime, D::Error> {
    let text = DateText::deserialize(d)?.text();
    let parsed = text.parse().or_else(|_| {
        ["%Y-%m-%d %H:%M:%S", "%Y-%m-%dT%H:%M", "%Y-%m-%d %H:%M"]
            .iter()
            .find_map(|form| NaiveDateTime::parse_from_str(&text, form).ok())
            .ok_or(())
    });
    parsed.map_err(|()| {
        let message = format!("`{text}` is not a local time; write it like 2026-11-23T22:05:00");
        D::Error::custom(message)
    })
}
