//! The options of `underbrush browse`.

use super::values::{instant, language, shifts, units};
use super::{Command, FileOptions, Files, UsageError};
use crate::screen::LEAST;
use crate::settings::site::Language;
use crate::units::Units;
use chrono::{NaiveDate, NaiveDateTime};
use lexopt::prelude::*;
use std::path::Path;

/// No terminal is larger.
const MOST: u16 = 1_000;
/// Shown before and after an event, in s.
const AROUND_S: u32 = 30;

/// Where it opens.
#[derive(Debug, PartialEq, Eq)]
pub(in crate::cli) enum BrowseAt {
    /// The last night that the logs cover.
    Last,
    /// A night.
    Night(NaiveDate),
    /// A local time.
    Time(NaiveDateTime),
    /// An event, as typed, and seconds before and after it.
    Event(String, u32),
}

#[derive(Debug)]
pub(in crate::cli) struct BrowseArgs {
    pub(in crate::cli) files: Files,
    pub(in crate::cli) at: BrowseAt,
    /// Its id, as typed.
    pub(in crate::cli) machine: Option<String>,
    pub(in crate::cli) units: Option<Units>,
    pub(in crate::cli) language: Option<Language>,
    /// One picture of so many columns and rows instead of a screen.
    pub(in crate::cli) print: Option<(u16, u16)>,
    pub(in crate::cli) colours: bool,
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut files = FileOptions::default();
    let mut at: Vec<BrowseAt> = Vec::new();
    let (mut machine, mut asked_units, mut print) = (None, None, None);
    let mut colours = colours_wanted();
    let mut asked_language = None;
    while let Some(arg) = parser.next()? {
        match arg {
            Value(id) => at.push(BrowseAt::Event(id.string()?, AROUND_S)),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long("shift") => match shifts(&parser.value()?.string()?)? {
                (first, last) if first == last => at.push(BrowseAt::Night(first)),
                _ => return Err(UsageError("browse opens one night".to_owned())),
            },
            Long("at") => at.push(BrowseAt::Time(instant(&parser.value()?.string()?)?)),
            Long("print") => print = Some(size(&parser.value()?.string()?)?),
            Long("units") => asked_units = Some(units(&parser.value()?.string()?)?),
            Long("language") => asked_language = Some(language(&parser.value()?.string()?)?),
            Long("no-colour") => colours = false,
            // A machine file, or the machine whose nights are wanted.
            Long("machine") => {
                let value = parser.value()?;
                let path = Path::new(&value);
                if path.extension().is_some_and(|e| e == "toml") || path.is_file() {
                    files.add_machine(path.to_path_buf());
                } else {
                    machine = Some(value.string()?);
                }
            }
            Long(name) => {
                let name = name.to_owned();
                if !files.take(&name, parser)? {
                    return Err(Long(&name).unexpected().into());
                }
            }
            Short(other) => return Err(Short(other).unexpected().into()),
        }
    }
    let first = at.pop().unwrap_or(BrowseAt::Last);
    if !at.is_empty() {
        return Err(UsageError("give one of EVENT, --shift and --at".to_owned()));
    }
    if machine.is_some() && matches!(first, BrowseAt::Event(..)) {
        return Err(UsageError("an event's name tells its machine: leave --machine".to_owned()));
    }
    let files = files.find()?;
    Ok(Command::Browse(Box::new(BrowseArgs {
        files,
        at: first,
        machine,
        units: asked_units,
        language: asked_language,
        print,
        colours,
    })))
}

/// Not where the person asked all programs for none: <https://no-color.org>.
pub(super) fn colours_wanted() -> bool {
    std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// `100x30`.
fn size(text: &str) -> Result<(u16, u16), UsageError> {
    let (width, height) = LEAST;
    let wrong = || {
        UsageError(format!(
            "--print {text}: give columns x rows, from {width}x{height} to {MOST}x{MOST}"
        ))
    };
    let (columns, rows) = text.split_once(['x', 'X']).ok_or_else(wrong)?;
    let number = |text: &str, least: u16| {
        text.trim().parse().ok().filter(|number| (least..=MOST).contains(number)).ok_or_else(wrong)
    };
    Ok((number(columns, width)?, number(rows, height)?))
}
