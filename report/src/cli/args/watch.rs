//! Arguments of `underbrush watch-folder`.

use super::{Command, FileOptions, Look, UsageError};
use lexopt::prelude::*;
use std::ffi::OsString;
use std::path::PathBuf;
use std::time::Duration;

#[derive(Debug)]
pub(in crate::cli) struct WatchArgs {
    /// Looked for anew each time: a folder that is not there yet may come.
    pub(in crate::cli) files: FileOptions,
    pub(in crate::cli) look: Look,
    pub(in crate::cli) out: Option<PathBuf>,
    pub(in crate::cli) printing: Option<Printing>,
    /// Print a sheet again that more logs have changed.
    pub(in crate::cli) reprint_changed: bool,
    /// Look one time and end.
    pub(in crate::cli) once: bool,
    pub(in crate::cli) every: Duration,
    /// How long the logs must not have changed.
    pub(in crate::cli) quiet: Duration,
    /// How long after the shift logs are waited for.
    pub(in crate::cli) wait: Duration,
}

/// The command that prints; the file is put at its end.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(in crate::cli) struct Printing {
    pub(in crate::cli) program: OsString,
    pub(in crate::cli) arguments: Vec<OsString>,
}

impl Printing {
    fn lp(printer: Option<OsString>) -> Self {
        let arguments = printer.into_iter().flat_map(|name| [OsString::from("-d"), name]);
        Self { program: "lp".into(), arguments: arguments.collect() }
    }

    fn command(words: &str) -> Result<Self, UsageError> {
        let mut words = words.split_whitespace().map(OsString::from);
        let program = words.next().ok_or_else(|| {
            UsageError("--print-command is empty: write it like \"lp -d office\"".to_owned())
        })?;
        Ok(Self { program, arguments: words.collect() })
    }
}

pub(super) fn parse(parser: &mut lexopt::Parser) -> Result<Command, UsageError> {
    let mut args = WatchArgs {
        files: FileOptions::default(),
        look: Look::default(),
        out: None,
        printing: None,
        reprint_changed: false,
        once: false,
        every: Duration::from_secs(60),
        quiet: Duration::from_secs(60),
        wait: Duration::from_secs(30 * 60),
    };
    while let Some(arg) = parser.next()? {
        match arg {
            Long("out") => args.out = Some(parser.value()?.into()),
            Long("print") => args.printing = Some(Printing::lp(printer(parser))),
            Long("print-command") => {
                args.printing = Some(Printing::command(&parser.value()?.string()?)?);
            }
            Long("reprint-changed") => args.reprint_changed = true,
            Long("once") => args.once = true,
            Long("every") => args.every = whole(parser, "--every", 1)?,
            Long("quiet") => args.quiet = whole(parser, "--quiet", 1)?,
            Long("wait") => args.wait = whole(parser, "--wait", 60)?,
            Short('h') | Long("help") => return Ok(Command::Help),
            Long(name) => {
                let name = name.to_owned();
                let taken = args.files.take(&name, parser)? || args.look.take(&name, parser)?;
                if !taken {
                    return Err(Long(&name).unexpected().into());
                }
            }
            other => return Err(other.unexpected().into()),
        }
    }
    args.every = args.every.max(Duration::from_secs(1));
    Ok(Command::Watch(Box::new(args)))
}

/// A name after `--print`, if the next word is none of the options.
fn printer(parser: &mut lexopt::Parser) -> Option<OsString> {
    if let Some(name) = parser.optional_value() {
        return Some(name);
    }
    let mut rest = parser.try_raw_args()?;
    let option = |word: &std::ffi::OsStr| word.to_string_lossy().starts_with('-');
    if rest.peek().is_none_or(option) { None } else { rest.next() }
}

/// A whole number of a unit that has so many seconds; at most a week.
fn whole(parser: &mut lexopt::Parser, name: &str, unit: u64) -> Result<Duration, UsageError> {
    let text = parser.value()?.string()?;
    let seconds = text.parse::<u64>().ok().and_then(|count| count.checked_mul(unit));
    seconds
        .filter(|seconds| *seconds <= 7 * 86_400)
        .map(Duration::from_secs)
        .ok_or_else(|| UsageError(format!("{name} {text}: write a whole number, at most a week")))
}
