//! The files that a command works on.

use super::args::Files;
use super::{CliError, read_text};
use crate::findings::{Inputs, KeptNights};
use crate::ledger::{Building, logged_dates};
use crate::logset::{LogError, LogSet, OpenSettings};
use crate::settings::{Book, Site};
use crate::timeline::utc_of;
use crate::why::SettingsText;
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::UtcMs;

/// A settings file as it was written.
struct Text {
    name: String,
    text: String,
}

impl Text {
    fn read(path: &Path) -> Result<Self, CliError> {
        Ok(Self { name: path.display().to_string(), text: read_text(path)? })
    }

    fn both(&self) -> (&str, &str) {
        (&self.name, &self.text)
    }
}

/// One machine and what belongs to it.
pub(super) struct LoadedMachine {
    pub(super) machine: Machine,
    pub(super) logs: LogSet,
    /// The entries of the shift book that concern it.
    pub(super) book: Book,
    text: Text,
}

/// All files of one run, read and checked.
pub(super) struct Loaded {
    pub(super) site: Site,
    /// The whole shift book.
    pub(super) book: Book,
    /// In order of their files; at least one.
    pub(super) machines: Vec<LoadedMachine>,
    /// What earlier runs kept of each machine; empty where nothing is kept.
    kept: Vec<Arc<KeptNights>>,
    site_text: Text,
    book_text: Option<Text>,
}

impl Loaded {
    pub(super) fn open(files: &Files) -> Result<Self, CliError> {
        let site_text = Text::read(&files.site)?;
        let site = Site::parse(&site_text.name, &site_text.text)?;
        let book_text = files.book.as_deref().map(Text::read).transpose()?;
        let book = match &book_text {
            Some(book) => Book::parse(&book.name, &book.text)?,
            None => Book::default(),
        };
        let mut read = Vec::new();
        for path in &files.machines {
            let text = Text::read(path)?;
            let machine = Machine::parse(&text.name, &text.text)?;
            if let Some((other, _)) =
                read.iter().find(|(m, _): &&(Machine, Text)| m.id == machine.id)
            {
                return Err(CliError::TwoMachines { id: other.id.clone(), file: text.name });
            }
            read.push((machine, text));
        }
        let known: Vec<&Machine> = read.iter().map(|(machine, _)| machine).collect();
        // The sheet goes on without what is not there; its first machine's data page says so.
        let mut doubts = doubts(&book, &site, &known);
        let ids: Vec<String> = read.iter().map(|(machine, _)| machine.id.clone()).collect();
        let start = |(boot, local): &(u32, chrono::NaiveDateTime)| {
            Some((*boot, UtcMs(utc_of(site.zone, *local, false)?.timestamp_millis())))
        };
        let boot_starts: BTreeMap<u32, UtcMs> = files.boots.iter().filter_map(start).collect();
        let mut machines = Vec::new();
        for (machine, text) in read {
            let settings = OpenSettings {
                machine: machine.id.clone(),
                boot_starts: boot_starts.clone(),
                others: ids.clone(),
            };
            let logs = match LogSet::open(&files.log, &settings) {
                // One of several machines may have had no night yet.
                Err(error @ LogError::Nothing { .. }) if ids.len() > 1 => {
                    LogSet::empty(format!("Machine {}: {error}", machine.id))
                }
                other => other?,
            };
            let mut book = book.for_machine(&machine.id);
            book.doubts = std::mem::take(&mut doubts);
            machines.push(LoadedMachine { machine, logs, book, text });
        }
        let mut loaded = Self { site, book, machines, kept: Vec::new(), site_text, book_text };
        loaded.kept = loaded.kept_nights(&files.log);
        Ok(loaded)
    }

    /// What each machine is judged by.
    pub(super) fn inputs(&self) -> Vec<Inputs<'_>> {
        self.machines.iter().map(|machine| self.inputs_of(machine)).collect()
    }

    /// What one machine is judged by.
    pub(super) fn inputs_of<'a>(&'a self, machine: &'a LoadedMachine) -> Inputs<'a> {
        let LoadedMachine { machine, logs, book, .. } = machine;
        Inputs { logs, machine, site: &self.site, book }
    }

    /// All machines, and what is kept of them.
    pub(super) fn building<'a>(&'a self, machines: &'a [Inputs<'a>]) -> Building<'a> {
        Building { site: &self.site, book: &self.book, machines, kept: &self.kept }
    }

    /// What was kept of each machine's logs in `log`.
    fn kept_nights(&self, log: &Path) -> Vec<Arc<KeptNights>> {
        let folder = match std::env::var_os(KEEP_IN) {
            Some(folder) if folder.is_empty() => None,
            Some(folder) => Some(PathBuf::from(folder)),
            None => dirs::cache_dir().map(|cache| cache.join("underbrush")),
        };
        let few = self.inputs().iter().all(|inputs| logged_dates(inputs).len() < FEW_NIGHTS);
        let log = std::fs::canonicalize(log);
        let (Some(folder), Ok(log), false) = (folder, log, few) else { return Vec::new() };
        let of = |LoadedMachine { machine, book, .. }: &LoadedMachine| {
            let mut name = DefaultHasher::new();
            (&log, &machine.id).hash(&mut name);
            let path = folder.join(format!("{:016x}.nights", name.finish()));
            Arc::new(KeptNights::open(&path, machine, &self.site, book, &self.book))
        };
        self.machines.iter().map(of).collect()
    }

    /// The local date of the last shift that any log reaches into.
    pub(super) fn last_night(&self) -> Result<NaiveDate, CliError> {
        let last = self.machines.iter().filter_map(|m| Some(m.logs.utc_span()?.1)).max();
        let last = last.and_then(|last| chrono::DateTime::from_timestamp_millis(last.0));
        last.map(|at| self.site.shift_date(at)).ok_or(CliError::NoDate)
    }

    /// The settings files of one machine as they were written.
    pub(super) fn texts<'a>(&'a self, machine: &'a LoadedMachine) -> SettingsText<'a> {
        let book = self.book_text.as_ref().map(Text::both);
        SettingsText { machine: machine.text.both(), site: self.site_text.both(), book }
    }
}

/// Of logs of fewer nights nothing is kept: they are read again as fast.
const FEW_NIGHTS: usize = 20;

/// Where nights are kept; empty: they are not.
const KEEP_IN: &str = "UNDERBRUSH_NIGHTS";

/// More doubts than this are only counted.
const MOST_DOUBTS: usize = 5;

/// Names in the shift book that neither the site nor the machines have. Sections of `begun` are
/// told where the work is placed.
fn doubts(book: &Book, site: &Site, machines: &[&Machine]) -> Vec<String> {
    let found = book.against(site, machines);
    let told = found.iter().filter(|error| error.key.as_deref() != Some("begun.section"));
    let mut doubts: Vec<String> = told
        .map(|error| {
            let said = error.to_string();
            if said.ends_with('?') { said } else { format!("{said}.") }
        })
        .collect();
    let more = doubts.len().saturating_sub(MOST_DOUBTS);
    if more > 0 {
        doubts.truncate(MOST_DOUBTS);
        doubts.push(format!(
            "{more} more entries of the shift book are to be corrected: `underbrush check-files` lists them."
        ));
    }
    doubts
}
