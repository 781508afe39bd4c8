//! The options of `underbrush events`.

use super::{Command, FileOptions, Files, UsageError};
use crate::events::{EventKind, Severity};
use crate::timeline::parse_shift_date;
use chrono::{NaiveDate, NaiveTime};
use lexopt::prelude::*;
use std::path::Path;

use super::values::shifts;

/// How the list is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::cli) enum ListForm {
    /// For a terminal; a width, if one was given.
    Text(Option<usize>),
    Csv,
    Json,
}

#[derive(Debug)]
pub(in crate::cli) struct EventsArgs {
    pub(in crate::cli) files: Files,
    pub(in crate::cli) form: ListForm,
    /// The first and the last; `None`: the last night that the logs cover.
    pub(in crate::cli) from: Option<NaiveDate>,
    pub(in crate::cli) to: Option<NaiveDate>,
    pub(in crate::cli) kinds: Vec<EventKind>,
    pub(in crate::cli) severity: Option<Severity>,
    pub(in crate::cli) between: Option<(NaiveTime, NaiveTime)>,
    /// Ids, as typed.
    pub(in crate::cli) sections: Vec<String>,
    pub(in crate::cli) machines: Vec<String>,
}

#[derive(Default)]
struct Options {
    files: FileOptions,
    forms: Vec<ListForm>,
    width: Option<usize>,
    shifts: Option<(NaiveDate, NaiveDate)>,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
    kinds: Vec<EventKind>,
    severity: Option<Severity>,
    between: Option<(NaiveTime, NaiveTime)>,
    sections: Vec<String>,
    machines: Vec<String>,
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut options = Options::default();
    while let Some(arg) = parser.next()? {
        match arg {
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                options.take(&name, parser)?;
            }
            other => return Err(other.unexpected().into()),
        }
    }
    options.finish()
}

impl Options {
    fn take(&mut self, name: &str, parser: &mut lexopt::Parser) -> Result<(), UsageError> {
        match name {
            "csv" => self.forms.push(ListForm::Csv),
            "json" => self.forms.push(ListForm::Json),
            "width" => self.width = Some(width(&parser.value()?.string()?)?),
            "shift" => self.shifts = Some(shifts(&parser.value()?.string()?)?),
            "from" => self.from = Some(parse_shift_date(&parser.value()?.string()?)?),
            "to" => self.to = Some(parse_shift_date(&parser.value()?.string()?)?),
            "kind" => {
                for word in parser.value()?.string()?.split(',').filter(|w| !w.trim().is_empty()) {
                    self.kinds.extend(EventKind::named(word).map_err(UsageError)?);
                }
            }
            "severity" => {
                let word = parser.value()?.string()?;
                self.severity = Some(Severity::named(&word).map_err(UsageError)?);
            }
            "section" => self.sections.push(parser.value()?.string()?),
            "between" => self.between = Some(between(parser)?),
            // A machine file, or the machine whose events are wanted.
            "machine" => {
                let value = parser.value()?;
                let path = Path::new(&value);
                if path.extension().is_some_and(|e| e == "toml") || path.is_file() {
                    self.files.add_machine(path.to_path_buf());
                } else {
                    self.machines.push(value.string()?);
                }
            }
            other if self.files.take(other, parser)? => {}
            other => return Err(Long(other).unexpected().into()),
        }
        Ok(())
    }

    fn finish(mut self) -> Result<Command, UsageError> {
        let wrong = |words: &str| Err(UsageError(words.to_owned()));
        if self.shifts.is_some() && (self.from.is_some() || self.to.is_some()) {
            return wrong("give --shift, or --from and --to");
        }
        let (from, to) = match self.shifts {
            Some((first, last)) => (Some(first), Some(last)),
            None => (self.from, self.to),
        };
        if from.zip(to).is_some_and(|(from, to)| to < from) {
            return wrong("--to is before --from");
        }
        if from.is_none() && to.is_some() {
            return wrong("--to needs --from: from which night on?");
        }
        let form = self.forms.pop().unwrap_or(ListForm::Text(self.width));
        if !self.forms.is_empty() {
            return wrong("give one of --csv and --json");
        }
        Ok(Command::Events(Box::new(EventsArgs {
            files: self.files.find()?,
            form,
            from,
            to,
            kinds: self.kinds,
            severity: self.severity,
            between: self.between,
            sections: self.sections,
            machines: self.machines,
        })))
    }
}

fn width(text: &str) -> Result<usize, UsageError> {
    let width = text.parse().ok().filter(|width| *width > 0);
    width.ok_or_else(|| UsageError(format!("--width {text}: give a number of characters")))
}

/// `22:00 01:30`, or `22:00..01:30` in one.
fn between(parser: &mut lexopt::Parser) -> Result<(NaiveTime, NaiveTime), UsageError> {
    let first = parser.value()?.string()?;
    let (from, to) = if let Some((from, to)) = first.split_once("..") {
        (from.to_owned(), to.to_owned())
    } else {
        let second = parser.value().ok().and_then(|second| second.string().ok());
        // The next option is none.
        let second = second.filter(|second| !second.starts_with('-'));
        let one = || UsageError(format!("--between {first}: give two times, like 22:00 01:30"));
        let second = second.ok_or_else(one)?;
        (first, second)
    };
    let time = |text: &str| {
        let wrong = || UsageError(format!("--between: `{text}` is no time; write it like 01:30"));
        NaiveTime::parse_from_str(text.trim(), "%H:%M").map_err(|_| wrong())
    };
    Ok((time(&from)?, time(&to)?))
}
