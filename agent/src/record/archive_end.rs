//! Whether an archive can be read, and when it ends: from its header and index alone.

use super::plain::PlainFiles;
use std::io;
use underbrush_protocol::archive::{Index, TRAILER_LEN};
use underbrush_protocol::log::{FileKind, Header};
use underbrush_protocol::time::UtcMs;

/// A header takes less.
const HEAD: usize = 1024;
/// Usually holds the whole index: some 30 bytes for four minutes of log.
const TAIL: usize = 8 * 1024;
/// An index longer than this is not one of ours: it would be of a month in one file.
const LONGEST_INDEX: u64 = 1 << 20;
/// 2025-01-01 and 2100-01-01, UTC: the clock of a board that is outside was never set.
/// `date -u -d 2025-01-01T00:00:00Z +%s` (GNU coreutils) prints 1735689600, and
/// 4102444800 for 2100.
const BELIEVED_MS: std::ops::Range<i64> = 1_735_689_600_000..4_102_444_800_000;

/// What an archive's header and index tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct ArchiveEnd {
    /// Both can be read.
    pub(crate) readable: bool,
    /// Time of the last entry, where a clock fix in the archive places it.
    pub(crate) utc: Option<UtcMs>,
}

/// Looks at an archive of `len` bytes. An error means that reading failed.
pub(crate) fn archive_end(files: &impl PlainFiles, name: &str, len: u64) -> io::Result<ArchiveEnd> {
    let index = index(files, name, len)?;
    let utc = index.as_ref().and_then(end_of);
    Ok(ArchiveEnd { readable: index.is_some(), utc })
}

fn index(files: &impl PlainFiles, name: &str, len: u64) -> io::Result<Option<Index>> {
    let Ok(header) = Header::read(FileKind::Archive, &files.read_at(name, 0, HEAD)?) else {
        return Ok(None);
    };
    let tail_at = len.saturating_sub(TAIL as u64);
    let tail = files.read_at(name, tail_at, TAIL)?;
    let longest = LONGEST_INDEX + TRAILER_LEN as u64;
    let Some(at) = Index::offset(&tail, header.salt).filter(|at| *at <= len && len - at <= longest)
    else {
        return Ok(None);
    };
    let bytes = match at.checked_sub(tail_at).and_then(|skip| tail.get(skip as usize..)) {
        Some(bytes) => bytes.to_vec(),
        None => files.read_at(name, at, (len - at) as usize)?,
    };
    Ok(Index::read(&bytes, header.salt))
}

/// The fix of the best source counts, of several the last.
fn end_of(index: &Index) -> Option<UtcMs> {
    let believed = |utc: &i64| BELIEVED_MS.contains(utc);
    let fixes = index.clock_fixes.iter().filter(|(_, fix)| believed(&fix.utc.0));
    let (at, fix) = fixes.max_by_key(|(at, fix)| (fix.source, *at))?;
    let last = index.blocks.iter().map(|block| block.last).max()?;
    let after = i64::try_from(last.since(*at)).ok()?;
    fix.utc.0.checked_add(after).filter(believed).map(UtcMs)
}
