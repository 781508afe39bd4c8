//! Closed journals to archives. The journal goes only after the archive is safe.

use super::name::{FileUse, LogName};
use super::storage::Storage;
use std::io;
use underbrush_protocol::archive::Writer;
use underbrush_protocol::journal::{self, MAX_BODY};
use underbrush_protocol::log::{FileKind, Header, HeaderError};

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
    /// No batch in it is whole, and it is too long for one that the power cut.
    #[error("none of its {0} bytes can be read")]
    Unreadable(usize),
}

/// Makes the archive of a closed journal, and then removes the journal.
pub fn seal(storage: &impl Storage, name: LogName) -> Result<Sealed, SealError> {
    let journal = name.to_string();
    let file = storage.read(&journal)?;
    let header = match Header::read(FileKind::Journal, &file) {
        Ok(header) => header,
        // The power went while the file was begun.
        Err(HeaderError::Truncated(_)) => {
            return remove(
                storage,
                &journal,
                Lost { torn_bytes: file.len() as u64, ..Lost::default() },
            );
        }
        Err(_) if file.iter().all(|b| *b == 0) => {
            return remove(storage, &journal, Lost::default());
        }
        Err(error) => return Err(error.into()),
    };
    let mut writer = Writer::new(&header.identity)?;
    let unfinished = name.with(FileUse::Unfinished).to_string();
    // One may stand there from an attempt that failed.
    let _ = storage.remove(&unfinished);
    let mut out = storage.create(&unfinished)?;
    let mut written = Ok(());
    let found = journal::scan(&file, header.len, header.salt, |entry| {
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
        damaged_bytes: found.damaged.iter().map(|range| range.len() as u64).sum(),
    };
    if found.batches == 0 {
        storage.remove(&unfinished)?;
        if found.torn_bytes > 2 * MAX_BODY {
            return Err(SealError::Unreadable(file.len()));
        }
        return remove(storage, &journal, lost);
    }
    let outcome = writer.finish();
    let finished = written.and_then(|()| {
        out.append(&writer.take_bytes())?;
        out.sync()?;
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
    waiting: Vec<LogName>,
    report: SealReport,
}

impl<S: Storage> Sealer<S> {
    /// A sealer with nothing to do.
    pub fn new(storage: S) -> Self {
        Self { storage, waiting: Vec::new(), report: SealReport::default() }
    }

    /// Seals `name` and what could not be sealed before.
    pub fn seal(&mut self, name: LogName) {
        self.waiting.push(name);
        self.retry();
    }

    /// The end: what still cannot be sealed stays as a journal.
    pub fn finish(mut self) -> SealReport {
        self.retry();
        self.report.unsealed.extend(self.waiting.iter().map(ToString::to_string));
        self.report
    }

    fn retry(&mut self) {
        for name in std::mem::take(&mut self.waiting) {
            let journal = name.to_string();
            match seal(&self.storage, name) {
                Ok(sealed) => self.count(name, sealed),
                Err(error) => {
                    tracing::warn!(%error, journal, "cannot seal this journal: it stays");
                    match error {
                        SealError::Io(_) => self.waiting.push(name),
                        // Trying again cannot help.
                        SealError::Header(_) | SealError::Unreadable(_) => {
                            self.report.unsealed.push(journal);
                        }
                    }
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
