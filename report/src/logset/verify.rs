//! Every file of a log directory, block by block: what is whole and what is not.
//!
//! Nothing is written. The tail behind a journal's last whole batch is the
//! normal end of a file whose power went; it is told, but is no damage.

use super::catalogue::{LogError, log_paths};
use std::ops::Range;
use std::path::{Path, PathBuf};
use underbrush_protocol::archive::Reader;
use underbrush_protocol::journal;
use underbrush_protocol::log::{Entry, FileKind, Header, HeaderError};
use underbrush_protocol::time::BootMs;

/// What was found of one file.
#[derive(Clone, Debug)]
pub struct FileState {
    /// Which.
    pub path: PathBuf,
    /// Readings in whole blocks or batches, those at full rate included.
    pub readings: u64,
    /// Of these, readings at full rate around events.
    pub fine: u64,
    /// First and last time of them.
    pub span: Option<(BootMs, BootMs)>,
    /// Bytes that should hold data and do not.
    pub damaged: Vec<Hole>,
    /// Bytes behind a journal's last whole batch: what the power cut.
    pub torn_bytes: usize,
    /// The archive's index is missing or damaged; its blocks can be found all the same.
    pub index_missing: bool,
    /// Why nothing of the file could be read.
    pub unreadable: Option<String>,
}

/// A damaged stretch of a file.
#[derive(Clone, Debug)]
pub struct Hole {
    /// Where.
    pub bytes: Range<usize>,
    /// First and last time of what is lost, where the index tells.
    pub time: Option<(BootMs, BootMs)>,
}

impl FileState {
    /// Nothing is missing from it.
    pub fn is_whole(&self) -> bool {
        self.damaged.is_empty() && !self.index_missing && self.unreadable.is_none()
    }
}

/// Looks at every log file in `directory`.
pub fn verify(directory: &Path) -> Result<Vec<FileState>, LogError> {
    let paths = log_paths(directory)?;
    Ok(paths.into_iter().map(|(path, kind)| look_at(path, kind)).collect())
}

fn look_at(path: PathBuf, kind: FileKind) -> FileState {
    let mut state = FileState {
        path,
        readings: 0,
        fine: 0,
        span: None,
        damaged: Vec::new(),
        torn_bytes: 0,
        index_missing: false,
        unreadable: None,
    };
    let bytes = match std::fs::read(&state.path) {
        Ok(bytes) => bytes,
        Err(error) => {
            state.unreadable = Some(error.to_string());
            return state;
        }
    };
    let looked = match kind {
        FileKind::Journal => journal_state(&bytes, &mut state),
        FileKind::Archive => archive_state(&bytes, &mut state),
    };
    state.unreadable = looked.err().map(|error| error.to_string());
    state
}

fn untimed(bytes: Range<usize>) -> Hole {
    Hole { bytes, time: None }
}

/// Whether a journal without its header is one that the power cut before anything was
/// in it: the normal end of a file, as the tail of a longer one.
pub(super) fn cut_at_birth(error: &HeaderError, bytes: &[u8]) -> bool {
    match error {
        HeaderError::Truncated(_) => true,
        HeaderError::Version(_) => false,
        // Room set aside, and nothing written into it yet.
        HeaderError::NotALog => bytes.iter().all(|byte| *byte == 0),
        HeaderError::Damaged(_) => journal::batch_marks(bytes) == 0,
    }
}

fn journal_state(bytes: &[u8], state: &mut FileState) -> Result<(), HeaderError> {
    let header = match Header::read(FileKind::Journal, bytes) {
        Ok(header) => header,
        Err(error) if cut_at_birth(&error, bytes) => {
            state.torn_bytes = bytes.iter().filter(|byte| **byte != 0).count();
            return Ok(());
        }
        Err(error) => return Err(error),
    };
    let found = journal::scan(bytes, header.len, header.salt, |entry| {
        let at = entry.at();
        let (first, last) = state.span.unwrap_or((at, at));
        state.span = Some((first.min(at), last.max(at)));
        if let Entry::Reading(reading) = entry {
            state.readings += 1;
            state.fine += u64::from(reading.channel.is_fine());
        }
    });
    state.damaged = found.damaged.into_iter().map(untimed).collect();
    state.torn_bytes = found.torn_bytes;
    Ok(())
}

fn archive_state(bytes: &[u8], state: &mut FileState) -> Result<(), HeaderError> {
    let reader = match Reader::open(bytes) {
        Ok(reader) => reader,
        Err(underbrush_protocol::archive::ArchiveError::Header(error)) => return Err(error),
    };
    state.index_missing = reader.damage().index_rebuilt;
    state.damaged = reader.damage().ranges.iter().cloned().map(untimed).collect();
    for entry in &reader.index().blocks {
        match reader.block(entry) {
            Ok(block) => {
                let (first, last) = state.span.unwrap_or((entry.first, entry.last));
                state.span = Some((first.min(entry.first), last.max(entry.last)));
                state.readings += block.rows() as u64;
                let fine = block.columns.iter().filter(|column| column.channel.is_fine());
                state.fine += fine.map(|column| column.raw.len() as u64).sum::<u64>();
            }
            Err(bytes) => {
                let time = Some((entry.first, entry.last));
                state.damaged.push(Hole { bytes, time });
            }
        }
    }
    Ok(())
}
