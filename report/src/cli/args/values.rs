//! Values of options: dates, units, paper.

use super::UsageError;
use crate::settings::site::{Language, Paper};
use crate::timeline::parse_shift_date;
use crate::units::Units;
use chrono::{NaiveDate, NaiveDateTime};

/// A power-on and the local time of it.
pub(in crate::cli) type Boot = (u32, NaiveDateTime);

/// One shift, or the first and the last of several.
pub(super) fn shifts(text: &str) -> Result<(NaiveDate, NaiveDate), UsageError> {
    let (first, last) = text.split_once("..").unwrap_or((text, text));
    let (first, last) = (parse_shift_date(first)?, parse_shift_date(last)?);
    if last < first {
        return Err(UsageError(format!("--shift {text}: the last date is before the first")));
    }
    Ok((first, last))
}

pub(super) fn paper(text: &str) -> Result<Paper, UsageError> {
    match text {
        "a4" => Ok(Paper::A4),
        "letter" => Ok(Paper::Letter),
        _ => Err(UsageError(format!("--paper {text}: use letter or a4"))),
    }
}

pub(super) fn language(text: &str) -> Result<Language, UsageError> {
    let wrong = || UsageError(format!("--language {text}: use en, es or de"));
    Language::ALL.into_iter().find(|language| language.tag() == text).ok_or_else(wrong)
}

pub(super) fn units(text: &str) -> Result<Units, UsageError> {
    match text {
        "us" => Ok(Units::Us),
        "si" => Ok(Units::Si),
        _ => Err(UsageError(format!("--units {text}: use us or si"))),
    }
}

/// A local time with its date.
pub(super) fn instant(text: &str) -> Result<NaiveDateTime, UsageError> {
    let wrong = || UsageError(format!("--at {text}: write it like 2026-11-24T01:23:45"));
    let text = text.trim().replacen(' ', "T", 1);
    let forms = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%dT%H:%M:%S%.f"];
    let read = |form: &&str| NaiveDateTime::parse_from_str(&text, form).ok();
    forms.iter().find_map(read).ok_or_else(wrong)
}

pub(super) fn boot(text: &str) -> Result<Boot, UsageError> {
    let wrong = || UsageError(format!("--boot {text}: write it like 12=2026-11-23T22:00"));
    let (number, time) = text.split_once('=').ok_or_else(wrong)?;
    let time = ["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S"]
        .iter()
        .find_map(|form| NaiveDateTime::parse_from_str(time, form).ok())
        .ok_or_else(wrong)?;
    Ok((number.parse().map_err(|_| wrong())?, time))
}
