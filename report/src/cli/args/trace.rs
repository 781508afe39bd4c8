//! The options of `underbrush trace`.

use super::browse::{BrowseArgs, BrowseAt, colours_wanted};
use super::look::Look;
use super::{Command, FileOptions, Files, UsageError};
use lexopt::prelude::*;
use std::path::PathBuf;

/// How an event is shown.
#[derive(Debug, PartialEq, Eq)]
pub(in crate::cli) enum TraceForm {
    /// For a terminal; a width, if one was given.
    Text(Option<usize>),
    Json,
    Pdf(PathBuf),
    Svg(PathBuf),
    Png(PathBuf),
}

/// Seconds before and after, at most.
const MOST_AROUND_S: u32 = 3_600;
const USUAL_AROUND_S: u32 = 30;

#[derive(Debug)]
pub(in crate::cli) struct TraceArgs {
    pub(in crate::cli) files: Files,
    /// The id, as typed.
    pub(in crate::cli) event: String,
    pub(in crate::cli) form: TraceForm,
    pub(in crate::cli) around_s: u32,
    pub(in crate::cli) look: Look,
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let (mut files, mut look) = (FileOptions::default(), Look::default());
    let (mut event, mut forms, mut width) = (None, Vec::new(), None);
    let (mut around_s, mut screen) = (USUAL_AROUND_S, false);
    while let Some(arg) = parser.next()? {
        match arg {
            Value(id) if event.is_none() => event = Some(id.string()?),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long("json") => forms.push(TraceForm::Json),
            Long("pdf") => forms.push(TraceForm::Pdf(parser.value()?.into())),
            Long("screen") => screen = true,
            Long("svg") => forms.push(TraceForm::Svg(parser.value()?.into())),
            Long("png") => forms.push(TraceForm::Png(parser.value()?.into())),
            Long("width") => width = Some(parser.value()?.parse()?),
            Long("around") => around_s = around(&parser.value()?.string()?)?,
            Long(name) => {
                let name = name.to_owned();
                if !files.take(&name, parser)? && !look.take(&name, parser)? {
                    return Err(Long(&name).unexpected().into());
                }
            }
            other => return Err(other.unexpected().into()),
        }
    }
    let event = event.ok_or_else(|| {
        UsageError("trace needs an event: `underbrush events` lists them".to_owned())
    })?;
    if screen {
        if !forms.is_empty() || width.is_some() {
            return Err(UsageError("--screen stands alone: no file, no width".to_owned()));
        }
        return Ok(Command::Browse(Box::new(BrowseArgs {
            files: files.find()?,
            at: BrowseAt::Event(event, around_s),
            machine: None,
            units: look.units,
            language: look.language,
            print: None,
            colours: colours_wanted(),
        })));
    }
    let form = forms.pop().unwrap_or(TraceForm::Text(width));
    if !forms.is_empty() {
        return Err(UsageError("give one of --json, --pdf, --svg and --png".to_owned()));
    }
    let files = files.find()?;
    Ok(Command::Trace(Box::new(TraceArgs { files, event, form, around_s, look })))
}

/// `30s`, `30` or `2min`.
fn around(text: &str) -> Result<u32, UsageError> {
    let wrong = || UsageError(format!("--around {text}: give 1 to 3600 s, like 30s or 2min"));
    let (number, times) = match text.strip_suffix("min") {
        Some(number) => (number, 60),
        None => (text.strip_suffix('s').unwrap_or(text), 1),
    };
    let number: u32 = number.trim().parse().map_err(|_| wrong())?;
    number.checked_mul(times).filter(|s| (1..=MOST_AROUND_S).contains(s)).ok_or_else(wrong)
}
