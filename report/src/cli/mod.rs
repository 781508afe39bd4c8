//! The commands of `underbrush`: arguments to calls, results to exit codes.

mod args;
mod asked_event;
mod book_command;
mod browse_command;
mod check_command;
mod compare_command;
mod events_command;
mod export_command;
mod loaded;
mod new_site;
mod press;
mod programme_command;
mod range_command;
mod sheet_command;
mod terminal;
mod trace_command;
mod trends_command;
mod verify_command;
mod watch;
mod why_command;

pub use args::UsageError;

use std::ffi::OsString;
use std::io::{ErrorKind, Write};
use std::path::Path;
use std::process::ExitCode;
use underbrush_protocol::settings::SettingsError;

/// How a command ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// All done, nothing missing.
    Whole,
    /// Done, but data were lost or nothing was recorded; the sheet says what.
    WithLoss,
    /// Something failed and was told; running it again goes on with it.
    Undone,
    /// Looked through, and something is to be corrected by people.
    ToCorrect,
}

/// Why a command did nothing.
#[derive(Debug, thiserror::Error)]
pub enum CliError {
    /// The arguments are off.
    #[error(transparent)]
    Usage(#[from] UsageError),
    /// A settings file is off.
    #[error(transparent)]
    Settings(#[from] underbrush_protocol::settings::SettingsError),
    /// A file cannot be read or written.
    #[error("{path}: {source}")]
    File {
        /// Which.
        path: String,
        /// Why.
        source: std::io::Error,
    },
    /// Two machine files name the same machine.
    #[error("{file}: machine `{id}` is given twice; give each machine an id of its own")]
    TwoMachines {
        /// The id.
        id: String,
        /// The second file.
        file: String,
    },
    /// No log says when it was written, and no shift was asked for.
    #[error("no log has a date: say with --shift which night it was, and with --boot when")]
    NoDate,
    /// Another process works in the folder.
    #[error("{folder} is watched already by another underbrush{holder}; stop that one first")]
    Watched {
        /// The folder.
        folder: String,
        /// Who, where known.
        holder: String,
    },
    /// The file that says what was printed cannot be used.
    #[error(
        "{path}: {why}. It says what was printed: without it nothing is. Put a copy back, or move it away to begin anew with the last night"
    )]
    State {
        /// The file.
        path: String,
        /// What is wrong.
        why: String,
    },
    /// A figure is explained for one machine at a time.
    #[error("there are {0} machines: say with --machine whose figure it is")]
    WhichMachine(usize),
    /// A shift book has no form as a table.
    #[error(transparent)]
    Table(#[from] crate::settings::table::TableError),
    /// No new site was written.
    #[error("{0}")]
    NewSite(String),
    /// There is no such machine.
    #[error("there is no machine `{id}`; there are: {known}")]
    NoMachine {
        /// What was asked for.
        id: String,
        /// Those there are.
        known: String,
    },
    /// No table was exported.
    #[error(transparent)]
    Export(#[from] crate::export::ExportError),
    /// The logs cannot be used.
    #[error(transparent)]
    Log(#[from] crate::logset::LogError),
    /// The shift is none.
    #[error(transparent)]
    Shift(#[from] crate::timeline::ShiftError),
    /// There is no such figure.
    #[error(transparent)]
    Why(#[from] crate::why::WhyError),
    /// There is no such event.
    #[error(transparent)]
    Event(#[from] crate::events::IdError),
    /// The sheet cannot be made.
    #[error(transparent)]
    Sheet(#[from] crate::sheet::SheetError),
}

/// Runs the program. Exit codes: 0 whole, 1 wrong use or settings, 2 failed, 3 done with loss.
pub fn main(args: impl Iterator<Item = OsString>) -> ExitCode {
    let command = match args::parse(args) {
        Ok(command) => command,
        Err(error) => {
            eprintln!("underbrush: {error}");
            return ExitCode::from(1);
        }
    };
    let result = match command {
        args::Command::Help => say(args::HELP).map(|()| Outcome::Whole),
        args::Command::Version => {
            say(concat!("underbrush ", env!("CARGO_PKG_VERSION"), "\n")).map(|()| Outcome::Whole)
        }
        args::Command::Sheet(sheet) => sheet_command::run(&sheet),
        args::Command::Programme(programme) => programme_command::run(&programme),
        args::Command::Range(range) => range_command::run(&range),
        args::Command::Trace(trace) => trace_command::run(&trace),
        args::Command::Events(events) => events_command::run(&events),
        args::Command::Browse(browse) => browse_command::run(&browse),
        args::Command::Compare(compare) => compare_command::run(&compare),
        args::Command::Trends(trends) => trends_command::run(&trends),
        args::Command::Why(why) => why_command::run(&why),
        args::Command::Watch(watch) => watch::run(&watch),
        args::Command::Export(export) => export_command::run(&export),
        args::Command::Verify(directory) => verify_command::run(&directory),
        args::Command::Check(files) => check_command::run(&files),
        args::Command::Book(book) => book_command::run(&book),
        args::Command::NewSite(site) => new_site::run(&site),
    };
    match result {
        Ok(Outcome::Whole) => ExitCode::SUCCESS,
        Ok(Outcome::WithLoss) => ExitCode::from(3),
        Ok(Outcome::Undone) => ExitCode::from(2),
        Ok(Outcome::ToCorrect) => ExitCode::from(1),
        Err(error) => {
            eprintln!("underbrush: {error}");
            let wrong_use = matches!(
                error,
                CliError::Usage(_)
                    | CliError::Settings(_)
                    | CliError::Shift(_)
                    | CliError::Log(_)
                    | CliError::Why(_)
                    | CliError::Event(_)
                    | CliError::TwoMachines { .. }
                    | CliError::Table(_)
                    | CliError::NewSite(_)
                    | CliError::NoDate
                    | CliError::WhichMachine(_)
                    | CliError::NoMachine { .. }
            ) || matches!(&error, CliError::Export(error) if error.wrong_use());
            ExitCode::from(if wrong_use { 1 } else { 2 })
        }
    }
}

/// Prints to standard output. A reader that has seen enough and closed its end is no error.
fn say(text: &str) -> Result<(), CliError> {
    match std::io::stdout().write_all(text.as_bytes()) {
        Err(source) if source.kind() != ErrorKind::BrokenPipe => {
            Err(CliError::File { path: "standard output".to_owned(), source })
        }
        _ => Ok(()),
    }
}

/// Reads a file that people wrote.
fn read_text(path: &Path) -> Result<String, CliError> {
    let bytes = std::fs::read(path)
        .map_err(|source| CliError::File { path: path.display().to_string(), source })?;
    String::from_utf8(bytes).map_err(|error| {
        let at = error.utf8_error().valid_up_to();
        let line = error.as_bytes().iter().take(at).filter(|b| **b == b'\n').count() + 1;
        CliError::Settings(SettingsError {
            file: path.display().to_string(),
            line: Some(line),
            key: None,
            message: "it is not text in UTF-8; save it as UTF-8 (in a spreadsheet: CSV UTF-8)"
                .to_owned(),
        })
    })
}

/// Writes a file that is not there yet.
fn write_fresh(path: &Path, text: &str) -> Result<(), CliError> {
    let failed = |source| CliError::File { path: path.display().to_string(), source };
    let mut file = std::fs::File::create_new(path).map_err(failed)?;
    file.write_all(text.as_bytes()).map_err(failed)
}
