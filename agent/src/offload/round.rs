//! All files of one machine: archives first, then what is still written.

mod journals;

use super::copy::{CopyError, copy};
use super::place::{Place, is_leaving};
use super::report::{Offload, Stop};
use crate::record::{
    COPIED_LIST, FileUse, ListFile, Listed, LogName, PlainFiles, archive_end, measure,
};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, ErrorKind};
use underbrush_protocol::time::UtcMs;

/// Journals are sealed while others are copied; then the new archives are fetched too.
const ROUNDS: usize = 3;
/// Lists are written after so many copies: what is behind them is looked at again.
const LIST_EVERY: usize = 32;
/// A destination that fails so often in a row is given up.
const FAILURES: u32 = 3;

/// Why nothing can be copied.
#[derive(Debug)]
pub enum RoundError {
    /// The log directory cannot be read.
    Log(io::Error),
    /// The folder there is not ours, or cannot be read.
    Place(String),
}

/// Takes the lock of the list of copies.
type Lock<'a> = &'a dyn Fn() -> io::Result<Option<std::fs::File>>;

/// Copies the log in `source` to the folder `destination` of `machine`. `check` reads all
/// copies again; `fresh_number` names the folder if it has no list yet; `lock` is held
/// while the list of copies in `source` is changed.
pub fn copy_log<S: PlainFiles, D: PlainFiles>(
    source: &S,
    destination: &D,
    machine: &str,
    check: bool,
    fresh_number: u64,
    lock: Lock<'_>,
) -> Result<Offload, RoundError> {
    let place = Place::read(destination, machine, fresh_number).map_err(RoundError::Place)?;
    let mut names = log_names(source).map_err(RoundError::Log)?;
    let mut round = Round {
        source,
        destination,
        check,
        lock,
        known: BTreeMap::new(),
        place,
        tried: BTreeSet::new(),
        there: BTreeSet::new(),
        to_confirm: Vec::new(),
        to_withdraw: BTreeSet::new(),
        failures: 0,
        sealed_meanwhile: false,
        report: Offload::default(),
    };
    round.begin();
    for _ in 0..ROUNDS {
        round.archives(&names);
        round.write_lists();
        round.sealed_meanwhile = false;
        round.snapshots(&names);
        if !round.sealed_meanwhile || round.report.stopped.is_some() {
            break;
        }
        names = log_names(source).map_err(RoundError::Log)?;
    }
    round.drop_replaced();
    Ok(round.report)
}

fn log_names(files: &impl PlainFiles) -> io::Result<BTreeSet<LogName>> {
    Ok(files.list()?.iter().filter_map(|name| LogName::parse(name)).collect())
}

struct Round<'a, S, D> {
    source: &'a S,
    destination: &'a D,
    check: bool,
    lock: Lock<'a>,
    /// What the machine's list says of this place.
    known: BTreeMap<LogName, Listed>,
    place: Place,
    tried: BTreeSet<LogName>,
    /// Archives whose copy is whole.
    there: BTreeSet<LogName>,
    to_confirm: Vec<Listed>,
    to_withdraw: BTreeSet<LogName>,
    /// Of the destination, in a row.
    failures: u32,
    sealed_meanwhile: bool,
    report: Offload,
}

impl<S: PlainFiles, D: PlainFiles> Round<'_, S, D> {
    fn begin(&mut self) {
        match ListFile::read(self.source, COPIED_LIST) {
            Ok(list) => {
                let here = list.lines.iter().filter(|line| line.place == self.place.number);
                self.known = here.map(|line| (line.name, *line)).collect();
            }
            Err(error) => self.report.remarks.push(format!("{COPIED_LIST}: {error}")),
        }
        let listed = match self.destination.list() {
            Ok(listed) => listed,
            Err(error) => return self.failed("the list of files", CopyError::Destination(error)),
        };
        for name in listed.iter().filter(|name| is_leaving(name)) {
            if matches!(self.destination.plain_size(name), Ok(Some(_)))
                && self.destination.remove(name).is_ok()
            {
                self.report.cleaned += 1;
            }
        }
        // Says whose folder it is before anything is in it.
        if let Err(error) = self.place.write(self.destination) {
            tracing::debug!(%error, "the list there cannot be written yet");
        }
    }

    fn archives(&mut self, names: &BTreeSet<LogName>) {
        let archives = names.iter().filter(|name| name.kind == FileUse::Archive);
        let wanted: Vec<LogName> =
            archives.filter(|name| !self.tried.contains(name)).copied().collect();
        for (done, name) in wanted.iter().enumerate() {
            if self.report.stopped.is_some() {
                let left = format!("{} more archives", wanted.len() - done);
                self.report.left.push((left, "the destination is full or fails".to_owned()));
                break;
            }
            self.tried.insert(*name);
            self.archive(*name);
            if self.to_confirm.len() >= LIST_EVERY {
                self.write_lists();
            }
        }
    }

    fn archive(&mut self, name: LogName) {
        let text = name.to_string();
        let Some(len) = self.length(&text) else { return };
        match self.destination.plain_size(&text) {
            Err(error) if error.kind() == ErrorKind::NotFound => self.fetch(name, len),
            Err(error) => self.failed(&text, CopyError::Destination(error)),
            Ok(Some(there)) => self.compare(name, len, there),
            Ok(None) => {
                self.withdraw(name);
                self.left(&text, "something that is no regular file has this name there");
            }
        }
    }

    /// Length of a file of the machine; `None` if it is nothing to copy.
    fn length(&mut self, name: &str) -> Option<u64> {
        match self.source.plain_size(name) {
            Ok(Some(len)) => Some(len),
            Ok(None) => {
                self.left(name, "it is no regular file");
                None
            }
            Err(error) => {
                self.failed(name, CopyError::Source(error));
                None
            }
        }
    }

    fn fetch(&mut self, name: LogName, len: u64) {
        let text = name.to_string();
        self.withdraw(name);
        let end = match archive_end(self.source, &text, len) {
            Ok(end) => end,
            Err(error) => return self.failed(&text, CopyError::Source(error)),
        };
        match copy(self.source, self.destination, &text, len, &text) {
            Ok(crc) => {
                self.report.copied += 1;
                self.report.copied_bytes += len;
                if !end.readable {
                    self.report.damaged.push(text.clone());
                }
                // Of an earlier run, when something was in the way; it holds the same.
                let _ = self.destination.remove(&beside(&text, crc));
                self.is_there(name, len, crc, end.utc);
            }
            Err(error) => self.failed(&text, error),
        }
    }

    /// A file of that name is there.
    fn compare(&mut self, name: LogName, len: u64, there: u64) {
        let text = name.to_string();
        if !self.check
            && there == len
            && let (Some(listed), Some(known)) =
                (self.place.listed.get(&name), self.known.get(&name))
            && (listed.bytes, listed.crc) == (known.bytes, known.crc)
            && listed.bytes == len
        {
            self.report.already += 1;
            self.there.insert(name);
            return;
        }
        let ours = match measure(self.source, &text) {
            Ok((_, crc)) => crc,
            Err(error) => return self.failed(&text, CopyError::Source(error)),
        };
        let _ = self.destination.forget(&text);
        match measure(self.destination, &text) {
            Ok(theirs) if theirs == (len, ours) => {
                let end = archive_end(self.source, &text, len).ok().and_then(|end| end.utc);
                self.report.already += 1;
                self.report.reread += 1;
                self.is_there(name, len, ours, end);
            }
            Ok(_) => self.keep_both(name, len, ours),
            Err(error) => {
                self.withdraw(name);
                self.failed(&text, CopyError::Destination(error));
            }
        }
    }

    /// The file there is not ours, and stays; ours goes beside it.
    fn keep_both(&mut self, name: LogName, len: u64, crc: u32) {
        let text = name.to_string();
        self.withdraw(name);
        let beside = beside(&text, crc);
        let is_there = matches!(self.destination.plain_size(&beside), Ok(Some(l)) if l == len)
            && measure(self.destination, &beside).is_ok_and(|found| found == (len, crc));
        if !is_there && let Err(error) = copy(self.source, self.destination, &text, len, &beside) {
            return self.failed(&text, error);
        }
        self.failures = 0;
        self.report.conflicts.push((text, beside));
    }

    fn is_there(&mut self, name: LogName, bytes: u64, crc: u32, end: Option<UtcMs>) {
        let line = Listed { name, bytes, crc, end, place: self.place.number };
        self.failures = 0;
        self.there.insert(name);
        self.place.add(line);
        if self.known.get(&name) != Some(&line) {
            self.to_confirm.push(line);
        }
    }

    /// The machine must not go on believing in a copy that is not as it was.
    fn withdraw(&mut self, name: LogName) {
        self.place.changed |= self.place.listed.remove(&name).is_some();
        if self.known.remove(&name).is_some() {
            self.to_withdraw.insert(name);
        }
    }

    /// First the list there, then the machine's: it speaks only of copies that are safe.
    fn write_lists(&mut self) {
        if let Err(error) = self.place.write(self.destination) {
            self.remark(format!("the list of copies there cannot be written: {error}"));
        }
        if self.to_confirm.is_empty() && self.to_withdraw.is_empty() {
            return;
        }
        match self.confirm() {
            Ok(()) => {
                self.report.confirmed += self.to_confirm.len() as u32;
                self.known.extend(self.to_confirm.drain(..).map(|line| (line.name, line)));
                self.to_withdraw.clear();
            }
            Err(error) => self.remark(format!(
                "{COPIED_LIST}: cannot be written: {error}: the copies are whole, but the \
                 machine does not know of them"
            )),
        }
    }

    fn confirm(&self) -> io::Result<()> {
        let _held = (self.lock)()?;
        let mut list = ListFile::read(self.source, COPIED_LIST)?;
        let names = log_names(self.source)?;
        let new: BTreeSet<LogName> = self.to_confirm.iter().map(|line| line.name).collect();
        let replaced = |name: &LogName| new.contains(name) || self.to_withdraw.contains(name);
        list.lines.retain(|line| {
            names.contains(&line.name) && !(line.place == self.place.number && replaced(&line.name))
        });
        list.lines.extend_from_slice(&self.to_confirm);
        list.lines.sort_unstable_by_key(|line| (line.name, line.place));
        list.write(self.source, COPIED_LIST)
    }

    fn remark(&mut self, text: String) {
        if !self.report.remarks.contains(&text) {
            self.report.remarks.push(text);
        }
    }

    fn left(&mut self, name: &str, why: &str) {
        self.report.left.push((name.to_owned(), why.to_owned()));
    }

    fn failed(&mut self, name: &str, error: CopyError) {
        let why = match error {
            // The agent removed it meanwhile, by its own rules.
            CopyError::Source(error) if error.kind() == ErrorKind::NotFound => return,
            CopyError::Source(error) => format!("it cannot be read on the machine: {error}"),
            CopyError::Full => {
                self.report.stopped = Some(Stop::Full);
                "there is no room for it".to_owned()
            }
            CopyError::Destination(error) => {
                self.failures += 1;
                if self.failures >= FAILURES {
                    self.report.stopped = Some(Stop::Failed(error.to_string()));
                }
                error.to_string()
            }
            CopyError::Differs => {
                self.failures += 1;
                let why = "what was read back is not what was written: the stick may be failing";
                if self.failures >= FAILURES {
                    self.report.stopped = Some(Stop::Failed(why.to_owned()));
                }
                why.to_owned()
            }
        };
        self.report.left.push((name.to_owned(), why));
    }
}

/// Where ours goes if another file has its name.
fn beside(name: &str, crc: u32) -> String {
    format!("{name}.conflict-{crc:08x}")
}
