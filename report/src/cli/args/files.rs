//! Which files a command works on: named one by one, or found in one folder.

use super::UsageError;
use lexopt::prelude::*;
use std::path::{Path, PathBuf};

use super::values::{Boot, boot};

/// What was given; the rest is looked for in the folder.
#[derive(Clone, Debug, Default)]
pub(in crate::cli) struct FileOptions {
    folder: Option<PathBuf>,
    log: Option<PathBuf>,
    site: Option<PathBuf>,
    machines: Vec<PathBuf>,
    book: Option<PathBuf>,
    boots: Vec<Boot>,
}

/// All files of a command.
#[derive(Debug)]
pub(in crate::cli) struct Files {
    /// Folder of log files, or of one folder for each machine.
    pub(in crate::cli) log: PathBuf,
    pub(in crate::cli) site: PathBuf,
    /// At least one.
    pub(in crate::cli) machines: Vec<PathBuf>,
    pub(in crate::cli) book: Option<PathBuf>,
    pub(in crate::cli) boots: Vec<Boot>,
}

/// The files that people write.
#[derive(Debug)]
pub(in crate::cli) struct SettingsFiles {
    pub(in crate::cli) site: PathBuf,
    /// At least one.
    pub(in crate::cli) machines: Vec<PathBuf>,
    pub(in crate::cli) book: Option<PathBuf>,
}

impl FileOptions {
    /// Takes the option `name`; `false` if it is none of files.
    pub(super) fn take(
        &mut self,
        name: &str,
        parser: &mut lexopt::Parser,
    ) -> Result<bool, UsageError> {
        match name {
            "in" => self.folder = Some(parser.value()?.into()),
            "log" => self.log = Some(parser.value()?.into()),
            "site" => self.site = Some(parser.value()?.into()),
            "machine" => self.machines.push(parser.value()?.into()),
            "book" => self.book = Some(parser.value()?.into()),
            "boot" => self.boots.push(boot(&parser.value()?.string()?)?),
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// Takes a machine file.
    pub(super) fn add_machine(&mut self, path: PathBuf) {
        self.machines.push(path);
    }

    /// The folder in which files are looked for that are not given.
    pub(in crate::cli) fn folder(&self) -> PathBuf {
        self.folder.clone().unwrap_or_else(|| PathBuf::from("."))
    }

    /// The files that people write; those not given are looked for in the folder.
    pub(super) fn settings(self) -> Result<SettingsFiles, UsageError> {
        let folder = self.folder();
        let machines =
            if self.machines.is_empty() { machine_files(&folder)? } else { self.machines };
        Ok(SettingsFiles {
            site: found(self.site, &folder, "site.toml", "--site")?,
            machines,
            book: match self.book {
                Some(book) => Some(book),
                None => book_file(&folder)?,
            },
        })
    }

    /// All files; those not given are looked for in the folder.
    pub(in crate::cli) fn find(mut self) -> Result<Files, UsageError> {
        let folder = self.folder();
        let log = found(self.log.take(), &folder, "log", "--log")?;
        let boots = std::mem::take(&mut self.boots);
        let SettingsFiles { site, machines, book } = self.settings()?;
        if machines.len() > 1 && !boots.is_empty() {
            let wrong = "--boot is of one machine: give its file with --machine";
            return Err(UsageError(wrong.to_owned()));
        }
        Ok(Files { log, site, machines, book, boots })
    }
}

fn found(
    given: Option<PathBuf>,
    folder: &Path,
    name: &str,
    option: &str,
) -> Result<PathBuf, UsageError> {
    if let Some(path) = given {
        return Ok(path);
    }
    let path = folder.join(name);
    if path.exists() {
        return Ok(path);
    }
    Err(UsageError(format!(
        "{option} is missing, and there is no {}: give {option}, or --in with the folder that has it",
        path.display()
    )))
}

/// `machine.toml` and every other `machine*.toml`, in order of name.
fn machine_files(folder: &Path) -> Result<Vec<PathBuf>, UsageError> {
    let is_one = |path: &PathBuf| {
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        name.starts_with("machine") && path.extension().is_some_and(|e| e == "toml")
    };
    let entries = std::fs::read_dir(folder).into_iter().flatten();
    let mut files: Vec<PathBuf> =
        entries.filter_map(|entry| Some(entry.ok()?.path())).filter(is_one).collect();
    files.sort();
    if files.is_empty() {
        return Err(UsageError(format!(
            "--machine is missing, and {} has no machine*.toml: give --machine, or --in with the folder that has it",
            folder.display()
        )));
    }
    Ok(files)
}

fn book_file(folder: &Path) -> Result<Option<PathBuf>, UsageError> {
    let mut there = ["book.toml", "book.csv"].map(|name| folder.join(name)).into_iter();
    let mut there = there.by_ref().filter(|path| path.exists());
    match (there.next(), there.next()) {
        (Some(one), Some(other)) => Err(UsageError(format!(
            "there are both {} and {}: say with --book which one counts",
            one.display(),
            other.display()
        ))),
        (one, _) => Ok(one),
    }
}
