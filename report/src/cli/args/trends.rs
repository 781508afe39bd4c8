//! The options of `underbrush trends`.

use super::look::Look;
use super::{Command, Common, Files, UsageError};
use crate::timeline::parse_shift_date;
use chrono::NaiveDate;
use lexopt::prelude::*;
use std::path::PathBuf;

/// How trends are told.
#[derive(Debug, PartialEq, Eq)]
pub(in crate::cli) enum TrendsForm {
    /// For a terminal; a width, if one was given.
    Text(Option<usize>),
    Csv,
    Json,
    Pdf(PathBuf),
}

#[derive(Debug)]
pub(in crate::cli) struct TrendsArgs {
    pub(in crate::cli) files: Files,
    pub(in crate::cli) form: TrendsForm,
    /// Of the page.
    pub(in crate::cli) look: Look,
    /// `None`: 90 days before the last.
    pub(in crate::cli) from: Option<NaiveDate>,
    /// `None`: the last night that the logs cover.
    pub(in crate::cli) to: Option<NaiveDate>,
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut common = Common::default();
    let (mut forms, mut width, mut look) = (Vec::new(), None, Look::default());
    let (mut from, mut to) = (None, None);
    while let Some(arg) = parser.next()? {
        match arg {
            Long("csv") => forms.push(TrendsForm::Csv),
            Long("json") => forms.push(TrendsForm::Json),
            Long("pdf") => forms.push(TrendsForm::Pdf(parser.value()?.into())),
            Long("width") => width = Some(parser.value()?.parse()?),
            Long("from") => from = Some(parse_shift_date(&parser.value()?.string()?)?),
            Long("to") => to = Some(parse_shift_date(&parser.value()?.string()?)?),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                if !look.take(&name, parser)? {
                    common.take(&name, parser)?;
                }
            }
            other => return Err(other.unexpected().into()),
        }
    }
    if common.shifts.is_some() {
        let words = "trends are of many nights: give --from and --to instead of --shift";
        return Err(UsageError(words.to_owned()));
    }
    if from.zip(to).is_some_and(|(from, to)| to < from) {
        return Err(UsageError("--to is before --from".to_owned()));
    }
    let form = forms.pop().unwrap_or(TrendsForm::Text(width));
    if !forms.is_empty() {
        return Err(UsageError("give one of --csv, --json and --pdf".to_owned()));
    }
    let files = common.files.find()?;
    Ok(Command::Trends(Box::new(TrendsArgs { files, form, look, from, to })))
}
