//! Closed journals to archives. The journal goes only after the archive is safe.

use super::name::{FileUse, LogName};
use super::storage::{Appender, Storage};
use std::io;
use underbrush_protocol::archive::Writer;
use underbrush_protocol::journal;
use underbrush_protocol::log::{Entry, FileKind, Header, HeaderError, Identity};
use underbrush_protocol::note::{Note, Repaired};
use underbrush_protocol::time::BootMs;

/// A power cut can tear the batches since the last sync: one, or a few if many readings came.
const TORN_AT_MOST: u32 = 4;

/// What became of one journal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sealed {
    /// It is an archive.
    Archive {
        /// Size of the archive.
        bytes: u64,
        /// Readings and notes in it.
        entries: u64,
        /// What of the journal could not be read.
        lost: Lost,
    },
    /// Nothing was in it, and it is removed.
    Empty(Lost),
}

/// What of a journal could not be read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Lost {
    /// Bytes of a batch that the power cut.
    pub torn_bytes: u64,
    /// Bytes between whole batches that are none.
    pub damaged_bytes: u64,
}

/// Why a journal was left as it is.
#[derive(Debug, thiserror::Error)]
pub enum SealError {
    /// Reading or writing failed.
    #[error("{0}")]
    Io(#[from] io::Error),
    /// Its header cannot be read, so nothing in it can.
    #[error("{0}")]
    Header(#[from] HeaderError),
    /// There are batches in it, this many, but none is whole.
    #[error("none of its {0} batches can be read")]
    Unreadable(u32),
}

/// Makes the archive of a closed journal of `machine`, and then removes the journal.
pub fn seal(storage: &impl Storage, machine: &str, name: LogName) -> Result<Sealed, SealError> {
    let journal = name.to_string();
    let file = storage.read(&journal)?;
    let (header, header_bytes_lost) = match Header::read(FileKind::Journal, &file) {
        Ok(header) => (Some(header), 0),
        Err(error) => {
            let header = without_header(&file, machine, name, error)?;
            let lost = header.as_ref().map_or(0, |header| header.len);
            (header, lost)
        }
    };
    let Some(header) = header else {
        let lost = Lost { torn_bytes: last_nonzero(&file), ..Lost::default() };
        return remove(storage, &journal, lost);
    };
    let mut writer = Writer::new(&header.identity)?;
    let unfinished = name.with(FileUse::Unfinished).to_string();
    // One may stand there from an attempt that failed.
    let _ = storage.remove(&unfinished);
    let mut out = Appender::new(storage.create(&unfinished)?);
    let mut written = Ok(());
    let mut last = BootMs(0);
    let found = journal::scan(&file, header.len, header.salt, |entry| {
        last = entry.at();
        if written.is_ok() {
            writer.push(entry);
            let ready = writer.take_bytes();
            if !ready.is_empty() {
                written = out.append(&ready);
            }
        }
    });
    let lost = Lost {
        torn_bytes: found.torn_bytes as u64,
        damaged_bytes: found.damaged.iter().map(|range| range.len() as u64).sum::<u64>()
            + header_bytes_lost as u64,
    };
    if found.batches == 0 {
        storage.remove(&unfinished)?;
        if found.bad_bodies > TORN_AT_MOST {
            return Err(SealError::Unreadable(found.bad_bodies));
        }
        return remove(storage, &journal, lost);
    }
    let repaired = Repaired {
        torn_bytes: small(lost.torn_bytes),
        damaged_bytes: small(lost.damaged_bytes),
        missing_batches: found.missing_batches,
        unknown_notes: small(found.entries.unknown_notes.into()),
    };
    if repaired != Repaired::default() {
        writer.push(Entry::Note(last, Note::Repaired(repaired)));
    }
    let outcome = writer.finish();
    let finished = written.and_then(|()| {
        out.append(&writer.take_bytes())?;
        out.sync()?;
        // Where names reach the disk in any order, an unfinished file of an earlier
        // attempt could else be the one that is renamed.
        storage.sync_dir()?;
        storage.rename(&unfinished, &name.with(FileUse::Archive).to_string())?;
        storage.sync_dir()
    });
    if let Err(error) = finished {
        // Best effort: on a full disk this gives its room back. The start does it too.
        let _ = storage.remove(&unfinished);
        return Err(error.into());
    }
    storage.remove(&journal)?;
    Ok(Sealed::Archive { bytes: outcome.bytes, entries: outcome.entries, lost })
}

/// The header that a file without a readable one must have had; `None` if there is
/// nothing in it: the power went while it was begun.
fn without_header(
    file: &[u8],
    machine: &str,
    name: LogName,
    error: HeaderError,
) -> Result<Option<Header>, SealError> {
    if matches!(error, HeaderError::Version(_)) {
        return Err(error.into());
    }
    if matches!(error, HeaderError::Truncated(_)) {
        return Ok(None);
    }
    let identity = Identity {
        machine: machine.to_owned(),
        boot: name.boot,
        segment: name.part,
        agent: env!("CARGO_PKG_VERSION").to_owned(),
    };
    let header = Header::assumed(FileKind::Journal, &identity);
    let found = journal::scan(file, header.len, header.salt, |_| {});
    match (found.batches, journal::batch_marks(file)) {
        (0, marks) if marks > TORN_AT_MOST as usize => Err(error.into()),
        (0, _) => Ok(None),
        _ => Ok(Some(header)),
    }
}

fn last_nonzero(file: &[u8]) -> u64 {
    file.iter().rposition(|byte| *byte != 0).map_or(0, |last| last as u64 + 1)
}

fn small(count: u64) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn remove(storage: &impl Storage, journal: &str, lost: Lost) -> Result<Sealed, SealError> {
    storage.remove(journal)?;
    Ok(Sealed::Empty(lost))
}

/// What sealing came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SealReport {
    /// Names of the archives written.
    pub archives: Vec<String>,
    /// Their size.
    pub archive_bytes: u64,
    /// Empty journals removed.
    pub empty_removed: u32,
    /// Bytes of batches that the power cut.
    pub torn_bytes: u64,
    /// Bytes that were damaged otherwise.
    pub damaged_bytes: u64,
    /// Journals that could not be sealed and stay.
    pub unsealed: Vec<String>,
}

impl SealReport {
    /// Whether anything of a journal is lost or waits.
    pub fn any_loss(&self) -> bool {
        self.torn_bytes > 0 || self.damaged_bytes > 0 || !self.unsealed.is_empty()
    }
}

/// Seals one journal after the other, and tries those again that failed.
#[derive(Debug)]
pub struct Sealer<S> {
    storage: S,
    machine: String,
    waiting: Vec<LogName>,
    report: SealReport,
}

impl<S: Storage> Sealer<S> {
    /// A sealer for the logs of `machine`, with nothing to do.
    pub fn new(storage: S, machine: &str) -> Self {
        let machine = machine.to_owned();
        Self { storage, machine, waiting: Vec::new(), report: SealReport::default() }
    }

    /// Seals `name` and what could not be sealed before.
    pub fn seal(&mut self, name: LogName) {
        self.waiting.push(name);
        self.retry();
    }

    /// What sealing came to so far.
    pub fn report(&self) -> &SealReport {
        &self.report
    }

    /// Journals that wait for another try.
    pub fn waiting(&self) -> usize {
        self.waiting.len()
    }

    /// The end: what still cannot be sealed stays as a journal.
    pub fn finish(mut self) -> SealReport {
        self.retry();
        self.report.unsealed.extend(self.waiting.iter().map(ToString::to_string));
        self.report
    }

    /// Tries those again that could not be sealed.
    pub fn retry(&mut self) {
        for name in std::mem::take(&mut self.waiting) {
            let journal = name.to_string();
            match seal(&self.storage, &self.machine, name) {
                Ok(sealed) => self.count(name, sealed),
                Err(error @ SealError::Io(_)) => {
                    tracing::warn!(%error, journal, "cannot seal this journal: it stays");
                    self.waiting.push(name);
                }
                Err(error @ SealError::Header(HeaderError::Version(_))) => {
                    tracing::warn!(%error, journal, "this journal is left to a newer agent");
                    self.report.unsealed.push(journal);
                }
                // Trying again cannot help, so that it is put out of the way.
                Err(error) => {
                    let aside = name.with(FileUse::Unread).to_string();
                    tracing::warn!(%error, journal, aside, "cannot read this journal: put aside");
                    let _ = self.storage.rename(&journal, &aside);
                    self.report.unsealed.push(aside);
                }
            }
        }
    }

    fn count(&mut self, name: LogName, sealed: Sealed) {
        let journal = name.to_string();
        let lost = match sealed {
            Sealed::Archive { bytes, entries, lost } => {
                let archive = name.with(FileUse::Archive).to_string();
                tracing::info!(archive, bytes, entries, "sealed");
                self.report.archives.push(archive);
                self.report.archive_bytes += bytes;
                lost
            }
            Sealed::Empty(lost) => {
                tracing::info!(journal, "removed a journal with nothing in it");
                self.report.empty_removed += 1;
                lost
            }
        };
        if lost != Lost::default() {
            let Lost { torn_bytes, damaged_bytes } = lost;
            tracing::warn!(journal, torn_bytes, damaged_bytes, "part of this journal is lost");
        }
        self.report.torn_bytes += lost.torn_bytes;
        self.report.damaged_bytes += lost.damaged_bytes;
    }
}
