//! The options of `underbrush compare`.

use super::{Command, FileOptions, Files, UsageError};
use lexopt::prelude::*;

/// Looked back so far where nobody says.
const USUAL_DAYS: u16 = 90;

#[derive(Debug)]
pub(in crate::cli) struct CompareArgs {
    pub(in crate::cli) files: Files,
    /// The id, as typed.
    pub(in crate::cli) event: String,
    pub(in crate::cli) json: bool,
    pub(in crate::cli) width: Option<usize>,
    /// Nights looked back.
    pub(in crate::cli) days: u16,
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut files = FileOptions::default();
    let (mut event, mut json, mut width, mut days) = (None, false, None, USUAL_DAYS);
    while let Some(arg) = parser.next()? {
        match arg {
            Value(id) if event.is_none() => event = Some(id.string()?),
            Short('h') | Long("help") => return Ok(Command::Help),
            Long("json") => json = true,
            Long("width") => width = Some(parser.value()?.parse()?),
            Long("days") => days = parser.value()?.parse()?,
            Long(name) => {
                let name = name.to_owned();
                if !files.take(&name, parser)? {
                    return Err(Long(&name).unexpected().into());
                }
            }
            other => return Err(other.unexpected().into()),
        }
    }
    if !(1..=800).contains(&days) {
        return Err(UsageError(format!("--days {days}: give 1 to 800 nights")));
    }
    let event = event.ok_or_else(|| {
        UsageError("compare needs an event: `underbrush events` lists them".to_owned())
    })?;
    let files = files.find()?;
    Ok(Command::Compare(Box::new(CompareArgs { files, event, json, width, days })))
}
