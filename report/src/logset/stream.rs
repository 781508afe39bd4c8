//! The entries of one boot in order, a few minutes at a time.

use super::catalogue::{BootLog, Part, read_range};
use crate::findings::Problem;
use std::collections::VecDeque;
use std::fs::File;
use underbrush_protocol::archive::{BLOCK_MS, Block, BlockEntry, read_block};
use underbrush_protocol::journal;
use underbrush_protocol::log::{Entry, FileKind};
use underbrush_protocol::time::BootMs;

/// A few minutes of a boot.
#[derive(Clone, Debug)]
pub struct Chunk {
    /// What the times in `block` count from.
    pub base: BootMs,
    /// Readings and notes.
    pub block: Block,
}

/// Decodes the bytes of a block of a file with this salt; `None` if they are damaged.
pub(crate) type Decode<'a> = &'a dyn Fn(&[u8], [u8; 4]) -> Option<Block>;

/// Streams a boot's chunks that end at or after `from` and begin before `to`.
pub struct Chunks<'a> {
    parts: std::slice::Iter<'a, Part>,
    open: Option<(&'a Part, File, std::slice::Iter<'a, BlockEntry>)>,
    decoded: VecDeque<Chunk>,
    from: BootMs,
    to: BootMs,
    problems: Vec<Problem>,
    decode: Decode<'a>,
}

impl<'a> Chunks<'a> {
    /// Chunks of `boot` that touch `from..to`.
    pub fn new(boot: &'a BootLog, from: BootMs, to: BootMs) -> Self {
        Self::decoded_by(&read_block, boot, from, to)
    }

    /// The same, where `decode` decides what of an archive's blocks is decoded.
    pub(crate) fn decoded_by(
        decode: Decode<'a>,
        boot: &'a BootLog,
        from: BootMs,
        to: BootMs,
    ) -> Self {
        Self {
            parts: boot.parts.iter(),
            open: None,
            decoded: VecDeque::new(),
            from,
            to,
            problems: Vec::new(),
            decode,
        }
    }

    /// What could not be read so far; empties the list.
    pub fn take_problems(&mut self) -> Vec<Problem> {
        std::mem::take(&mut self.problems)
    }

    fn wanted(&self, entry: &BlockEntry) -> bool {
        entry.last >= self.from && entry.first < self.to
    }

    fn lost(&mut self, part: &Part, what: &str) {
        let name = part.path.file_name().unwrap_or_default().to_string_lossy();
        self.problems.push(Problem { data_lost: true, message: format!("{name}: {what}") });
    }

    /// Opens the next file that has wanted blocks.
    fn next_part(&mut self) -> bool {
        while let Some(part) = self.parts.next() {
            if !part.blocks.iter().any(|b| self.wanted(b)) {
                continue;
            }
            match File::open(&part.path) {
                Ok(file) if part.kind == FileKind::Archive => {
                    self.open = Some((part, file, part.blocks.iter()));
                    return true;
                }
                Ok(file) => {
                    self.read_journal(part, file);
                    return true;
                }
                Err(e) => self.lost(part, &format!("{e}.")),
            }
        }
        false
    }

    fn read_journal(&mut self, part: &Part, mut file: File) {
        let bytes = match read_range(&mut file, 0, u64::MAX) {
            Ok(bytes) => bytes,
            Err(e) => return self.lost(part, &format!("{e}.")),
        };
        let mut pending: Vec<Entry> = Vec::new();
        let mut chunks = VecDeque::new();
        let mut close = |pending: &mut Vec<Entry>| {
            if let Some(base) = pending.first().map(Entry::at) {
                chunks.push_back(Chunk { base, block: Block::from_entries(base, pending) });
                pending.clear();
            }
        };
        journal::scan(&bytes, part.header.len, part.header.salt, |entry| {
            let base = pending.first().map_or(entry.at(), Entry::at);
            if entry.at() < base || entry.at().since(base) >= BLOCK_MS {
                close(&mut pending);
            }
            pending.push(entry);
        });
        close(&mut pending);
        self.decoded.append(&mut chunks);
    }

    fn next_block(&mut self) -> Option<Chunk> {
        let decode = self.decode;
        loop {
            let (part, file, blocks) = self.open.as_mut()?;
            let part = *part;
            let Some(entry) = blocks.next() else {
                self.open = None;
                return None;
            };
            if !(entry.last >= self.from && entry.first < self.to) {
                continue;
            }
            let bytes = read_range(file, entry.offset, u64::from(entry.len));
            let block = bytes.ok().and_then(|bytes| decode(&bytes, part.header.salt));
            if let Some(block) = block {
                return Some(Chunk { base: entry.first, block });
            }
            let (start, end) = (entry.offset, entry.offset + u64::from(entry.len));
            let seconds = entry.last.since(entry.first) / 1000;
            let what = format!("bytes {start} to {end} are damaged: {seconds} s are lost.");
            self.lost(part, &what);
        }
    }
}

impl Iterator for Chunks<'_> {
    type Item = Chunk;

    fn next(&mut self) -> Option<Chunk> {
        loop {
            if let Some(chunk) = self.decoded.pop_front() {
                return Some(chunk);
            }
            if let Some(chunk) = self.next_block() {
                return Some(chunk);
            }
            if !self.next_part() {
                return None;
            }
        }
    }
}
