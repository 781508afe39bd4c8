//! Entries to the bytes of a sealed file.
//!
//! ```text
//! block
//! 0..4     sync word 55 42 41 B5
//! 4..8     body length L, u32 little endian, at most 8388608
//! 8..16    base time in ms, u64 little endian: time of the first entry
//! 16..24   time of the last entry in ms, u64 little endian
//! 24..28   readings in the block, u32 little endian
//! 28..32   CRC-32C of the salt and bytes 4..28
//! 32..32+L body (see `block`)
//! +4       CRC-32C of the salt and bytes 4..32+L
//! ```

use super::block::Block;
use super::index::{BlockEntry, Index};
use crate::channel::Channel;
use crate::checksum::log_crc;
use crate::log::{Entry, FileKind, Header, HeaderError, Identity};
use crate::note::Note;
use crate::reading::Reading;
use crate::time::BootMs;
use alloc::vec::Vec;

pub(super) const SYNC: [u8; 4] = *b"UBA\xB5";
pub(super) const HEAD_LEN: usize = 32;
pub(super) const CRC_LEN: usize = 4;
pub(super) const MAX_BODY: usize = 8 << 20;
/// A block holds at most this much time, in ms.
pub const BLOCK_MS: u64 = 240_000;
/// A block is closed early at this many entries: some 2 MB while it is built, which
/// a small board can spare. Two minutes of 500 readings a second still fit.
const BLOCK_ENTRIES: usize = super::block::MAX_ENTRIES;
/// One of readings at full rate is closed at half of that: it comes on top.
const FINE_ENTRIES: usize = BLOCK_ENTRIES / 2;

/// Builds an archive. `take_bytes` gives what is ready, so memory stays at one block, and one
/// of readings at full rate.
#[derive(Debug)]
pub struct Writer {
    salt: [u8; 4],
    ready: Vec<u8>,
    written: u64,
    pending: Vec<Entry>,
    fine: Vec<Entry>,
    /// Time of the newest of each fine channel in `fine`.
    fine_last: [BootMs; Channel::FINE as usize],
    index: Index,
    entries: u64,
}

/// What went into a sealed file.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SealOutcome {
    /// Readings and notes.
    pub entries: u64,
    /// Blocks.
    pub blocks: usize,
    /// Length of the file.
    pub bytes: u64,
}

impl Writer {
    /// Begins an archive of `identity`.
    pub fn new(identity: &Identity) -> Result<Self, HeaderError> {
        let ready = Header::write(FileKind::Archive, identity);
        let header = Header::read(FileKind::Archive, &ready)?;
        Ok(Self {
            salt: header.salt,
            written: 0,
            ready,
            pending: Vec::new(),
            fine: Vec::new(),
            fine_last: [BootMs(0); Channel::FINE as usize],
            index: Index::default(),
            entries: 0,
        })
    }

    /// Adds an entry; entries come in the order of a journal.
    pub fn push(&mut self, entry: Entry) {
        if let Entry::Reading(reading) = &entry
            && reading.channel.is_fine()
        {
            return self.push_fine(*reading);
        }
        let base = self.pending.first().map_or(entry.at(), Entry::at);
        let last = self.pending.last().map_or(entry.at(), Entry::at);
        // Times inside a block never run back; between the batches of a journal they may.
        if entry.at() < last
            || entry.at().since(base) >= BLOCK_MS
            || self.pending.len() >= BLOCK_ENTRIES
        {
            self.close_block();
        }
        if let Entry::Note(at, Note::ClockFix(fix)) = &entry {
            self.index.clock_fixes.push((*at, *fix));
        }
        self.entries += 1;
        self.pending.push(entry);
    }

    /// Readings at full rate come later than their time: they get blocks of their own, so that
    /// the others stay in order and together.
    fn push_fine(&mut self, reading: Reading) {
        let Reading { at, channel, .. } = reading;
        let base = self.fine.first().map_or(at, Entry::at);
        let place = usize::from(channel.normal().0);
        // Channels come in turn, so times of one alone tell that they run back.
        let runs_back = self.fine_last.get(place).is_some_and(|last| at < *last);
        let apart_ms = at.since(base).max(base.since(at));
        if runs_back || apart_ms >= BLOCK_MS / 2 || self.fine.len() >= FINE_ENTRIES {
            self.close_fine();
        }
        if let Some(last) = self.fine_last.get_mut(place) {
            *last = at;
        }
        self.entries += 1;
        self.fine.push(Entry::Reading(reading));
    }

    /// Takes the bytes that are ready to be written.
    pub fn take_bytes(&mut self) -> Vec<u8> {
        self.written += self.ready.len() as u64;
        core::mem::take(&mut self.ready)
    }

    /// Closes the last block and appends the index; `take_bytes` then gives the rest.
    pub fn finish(&mut self) -> SealOutcome {
        self.close_block();
        self.close_fine();
        let offset = self.written + self.ready.len() as u64;
        let tail = self.index.write(offset, self.salt);
        self.ready.extend_from_slice(&tail);
        SealOutcome {
            entries: self.entries,
            blocks: self.index.blocks.len(),
            bytes: offset + tail.len() as u64,
        }
    }

    fn close_block(&mut self) {
        let mut entries = core::mem::take(&mut self.pending);
        self.write_block(&entries);
        entries.clear();
        self.pending = entries;
    }

    fn close_fine(&mut self) {
        self.fine_last = [BootMs(0); Channel::FINE as usize];
        let mut entries = core::mem::take(&mut self.fine);
        entries.sort_by_key(Entry::at);
        self.write_block(&entries);
    }

    fn write_block(&mut self, entries: &[Entry]) {
        let (Some(first), Some(last)) = (entries.first(), entries.last()) else {
            return;
        };
        let (base, last): (BootMs, BootMs) = (first.at(), last.at());
        let block = Block::from_entries(base, entries);
        let body = block.write(base);
        let offset = self.written + self.ready.len() as u64;
        let rows = block.rows() as u32;
        let covered_from = self.ready.len() + SYNC.len();
        self.ready.extend_from_slice(&SYNC);
        self.ready.extend_from_slice(&(body.len() as u32).to_le_bytes());
        self.ready.extend_from_slice(&base.0.to_le_bytes());
        self.ready.extend_from_slice(&last.0.to_le_bytes());
        self.ready.extend_from_slice(&rows.to_le_bytes());
        let head_crc = log_crc(&[&self.salt, &self.ready[covered_from..]]);
        self.ready.extend_from_slice(&head_crc.to_le_bytes());
        self.ready.extend_from_slice(&body);
        let crc = log_crc(&[&self.salt, &self.ready[covered_from..]]);
        self.ready.extend_from_slice(&crc.to_le_bytes());
        let len = (HEAD_LEN + body.len() + CRC_LEN) as u32;
        self.index.blocks.push(BlockEntry { offset, len, first: base, last, rows });
    }
}
