//! Arguments of the commands that deal with the lead's own files.

use super::files::{FileOptions, SettingsFiles};
use super::{Command, UsageError};
use lexopt::prelude::*;
use std::path::PathBuf;

/// `underbrush book`.
#[derive(Debug)]
pub(in crate::cli) struct BookArgs {
    pub(in crate::cli) book: PathBuf,
    pub(in crate::cli) out: Option<PathBuf>,
    pub(in crate::cli) semicolon: bool,
}

/// `underbrush new-site`.
#[derive(Debug)]
pub(in crate::cli) struct NewSiteArgs {
    pub(in crate::cli) folder: PathBuf,
    /// Take all defaults without asking.
    pub(in crate::cli) yes: bool,
}

pub(super) fn parse_check(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut files = FileOptions::default();
    while let Some(arg) = parser.next()? {
        match arg {
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                if !files.take(&name, parser)? {
                    return Err(Long(&name).unexpected().into());
                }
            }
            other => return Err(other.unexpected().into()),
        }
    }
    let files: SettingsFiles = files.settings()?;
    Ok(Command::Check(Box::new(files)))
}

pub(super) fn parse_book(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let (mut book, mut out, mut semicolon) = (None, None, false);
    while let Some(arg) = parser.next()? {
        match arg {
            Short('h') | Long("help") => return Ok(Command::Help),
            Long("out") => out = Some(PathBuf::from(parser.value()?)),
            Long("semicolon") => semicolon = true,
            Value(path) if book.is_none() => book = Some(PathBuf::from(path)),
            other => return Err(other.unexpected().into()),
        }
    }
    let missing = || UsageError("book needs the shift book, book.toml or book.csv".to_owned());
    let book = book.ok_or_else(missing)?;
    Ok(Command::Book(BookArgs { book, out, semicolon }))
}

pub(super) fn parse_new_site(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let (mut folder, mut yes) = (None, false);
    while let Some(arg) = parser.next()? {
        match arg {
            Short('h') | Long("help") => return Ok(Command::Help),
            Long("yes") => yes = true,
            Value(path) if folder.is_none() => folder = Some(PathBuf::from(path)),
            other => return Err(other.unexpected().into()),
        }
    }
    let folder = folder.unwrap_or_else(|| PathBuf::from("."));
    Ok(Command::NewSite(NewSiteArgs { folder, yes }))
}
