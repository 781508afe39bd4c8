//! One file from the machine to the destination: written, synced, read again, renamed.
//!
//! What reading again proves: that the destination's file system gives back the bytes that
//! were written, after the system was asked to drop its own copy of them. It does not prove
//! that the medium holds them: a stick may answer from memory of its own, and a system may
//! keep what it was asked to drop. `offload --check` after the stick was pulled and put in
//! again proves more.

use crate::record::{Appender, PIECE, PlainFiles, measure};
use std::io::{self, ErrorKind};
use underbrush_protocol::checksum::LogCrc;

/// Ending of a file that is not whole yet; the report does not take it for a log.
pub(super) const UNFINISHED: &str = ".part";
/// Room that is left for the list of copies.
const SPARE: u64 = 1 << 20;

/// Why a file was not copied.
#[derive(Debug)]
pub(super) enum CopyError {
    /// The machine's file cannot be read.
    Source(io::Error),
    /// The destination failed.
    Destination(io::Error),
    /// There is no room for it.
    Full,
    /// What was read again is not what was written.
    Differs,
}

impl CopyError {
    fn at_destination(error: io::Error) -> Self {
        match error.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
                Self::Full
            }
            _ => Self::Destination(error),
        }
    }
}

/// Copies the first `len` bytes of `name` to `to`, which is replaced in one step, and gives
/// their checksum. After `Ok` the copy survives a power cut, or the pulling of the stick.
pub(super) fn copy(
    source: &impl PlainFiles,
    destination: &impl PlainFiles,
    name: &str,
    len: u64,
    to: &str,
) -> Result<u32, CopyError> {
    let free = destination.free_bytes().map_err(CopyError::Destination)?;
    if free < len.saturating_add(SPARE) {
        return Err(CopyError::Full);
    }
    let unfinished = format!("{to}{UNFINISHED}");
    let copied = write(source, destination, name, len, &unfinished).and_then(|crc| {
        let finish = || {
            destination.rename(&unfinished, to)?;
            destination.sync_dir()
        };
        finish().map_err(CopyError::at_destination).map(|()| crc)
    });
    if copied.is_err() {
        // Best effort: the next run does it too.
        let _ = destination.remove(&unfinished);
    }
    copied
}

fn write(
    source: &impl PlainFiles,
    destination: &impl PlainFiles,
    name: &str,
    len: u64,
    unfinished: &str,
) -> Result<u32, CopyError> {
    match destination.remove(unfinished) {
        Err(error) if error.kind() != ErrorKind::NotFound => {
            return Err(CopyError::at_destination(error));
        }
        _ => {}
    }
    let file = destination.create(unfinished).map_err(CopyError::at_destination)?;
    let mut out = Appender::new(file);
    let mut crc = LogCrc::new();
    let mut done = 0;
    while done < len {
        let wanted = usize::try_from(len - done).unwrap_or(PIECE).min(PIECE);
        let piece = source.read_at(name, done, wanted).map_err(CopyError::Source)?;
        if piece.is_empty() {
            let message = format!("it ends at byte {done}, {len} were there before");
            return Err(CopyError::Source(io::Error::new(ErrorKind::UnexpectedEof, message)));
        }
        crc.update(&piece);
        done += piece.len() as u64;
        out.append(&piece).map_err(CopyError::at_destination)?;
    }
    out.sync().map_err(CopyError::at_destination)?;
    // Without it the comparison below is weaker, which is no reason not to copy.
    let _ = destination.forget(unfinished);
    let crc = crc.finish();
    let there = measure(destination, unfinished).map_err(CopyError::Destination)?;
    if there == (len, crc) { Ok(crc) } else { Err(CopyError::Differs) }
}
