//! The options of `underbrush programme`.

use super::look::Look;
use super::{Command, Common, Files, UsageError};
use chrono::NaiveDate;
use lexopt::prelude::*;
use std::path::PathBuf;

/// How the programme is told.
#[derive(Debug, PartialEq, Eq)]
pub(in crate::cli) enum Form {
    /// For a terminal; a width, if one was given.
    Text(Option<usize>),
    Csv,
    Json,
    Pdf(PathBuf),
}

#[derive(Debug)]
pub(in crate::cli) struct ProgrammeArgs {
    pub(in crate::cli) files: Files,
    pub(in crate::cli) form: Form,
    /// `None`: the last night that the logs cover.
    pub(in crate::cli) date: Option<NaiveDate>,
    pub(in crate::cli) look: Look,
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut common = Common::default();
    let (mut forms, mut width) = (Vec::new(), None);
    while let Some(arg) = parser.next()? {
        match arg {
            Long("csv") => forms.push(Form::Csv),
            Long("json") => forms.push(Form::Json),
            Long("pdf") => forms.push(Form::Pdf(parser.value()?.into())),
            Long("width") => width = Some(parser.value()?.parse()?),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                common.take(&name, parser)?;
            }
            other => return Err(other.unexpected().into()),
        }
    }
    let date = match common.shifts {
        Some((first, last)) if first != last => {
            let message = "programme is told as of one night: give --shift one date";
            return Err(UsageError(message.to_owned()));
        }
        shifts => shifts.map(|(first, _)| first),
    };
    let form = forms.pop().unwrap_or(Form::Text(width));
    if !forms.is_empty() {
        return Err(UsageError("give one of --csv, --json and --pdf".to_owned()));
    }
    let Common { files, look, .. } = common;
    let files = files.find()?;
    Ok(Command::Programme(Box::new(ProgrammeArgs { files, form, date, look })))
}
