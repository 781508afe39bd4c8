//! The bytes of a sealed file to blocks, going on behind damage.

use super::block::{Block, BlockView};
use super::index::{BlockEntry, Index};
use super::write::{CRC_LEN, HEAD_LEN, MAX_BODY, SYNC};
use crate::checksum::log_crc;
use crate::log::{FileKind, Header, HeaderError};
use crate::note::Note;
use crate::time::BootMs;
use alloc::vec::Vec;
use core::ops::Range;

/// Why an archive gives nothing at all.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ArchiveError {
    /// The header is not one.
    #[error(transparent)]
    Header(#[from] HeaderError),
}

/// What an archive lost.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Damage {
    /// Byte ranges that should be blocks and are not.
    pub ranges: Vec<Range<usize>>,
    /// The index was missing or damaged and was rebuilt by scanning.
    pub index_rebuilt: bool,
}

/// An archive whose index is known.
#[derive(Clone, Debug)]
pub struct Reader<'a> {
    file: &'a [u8],
    header: Header,
    index: Index,
    damage: Damage,
}

impl<'a> Reader<'a> {
    /// Opens the bytes of an archive file. Blocks are checked when they are read.
    pub fn open(file: &'a [u8]) -> Result<Self, ArchiveError> {
        let header = Header::read(FileKind::Archive, file)?;
        let mut reader = Self { file, header, index: Index::default(), damage: Damage::default() };
        let salt = reader.header.salt;
        let at = Index::offset(file, salt).and_then(|at| usize::try_from(at).ok());
        match at.and_then(|at| file.get(at..)).and_then(|bytes| Index::read(bytes, salt)) {
            Some(index) => reader.index = index,
            None => reader.rebuild(),
        }
        Ok(reader)
    }

    /// Whose file.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// Where the blocks are.
    pub fn index(&self) -> &Index {
        &self.index
    }

    /// What was found damaged when the file was opened.
    pub fn damage(&self) -> &Damage {
        &self.damage
    }

    /// Reads one block of the index; the error is the byte range that is lost.
    pub fn block(&self, entry: &BlockEntry) -> Result<Block, Range<usize>> {
        let start = usize::try_from(entry.offset).unwrap_or(usize::MAX);
        let lost = start..start.saturating_add(entry.len as usize);
        self.file
            .get(lost.clone())
            .and_then(|bytes| read_block(bytes, self.header.salt))
            .ok_or(lost)
    }

    fn rebuild(&mut self) {
        self.damage.index_rebuilt = true;
        let mut whole_until = self.header.len;
        let mut at = whole_until;
        while let Some(skip) = find_sync(self.file.get(at..).unwrap_or(&[])) {
            let start = at + skip;
            match open(&self.file[start..], self.header.salt) {
                Opened::NoHead => at = start + 1,
                Opened::BadBody { len } => at = start + len,
                Opened::Whole { head, body } => {
                    if start > whole_until {
                        self.damage.ranges.push(whole_until..start);
                    }
                    let len = HEAD_LEN + body.len() + CRC_LEN;
                    at = start + len;
                    whole_until = at;
                    let block = BlockView::find(head.first, body).and_then(|v| v.block());
                    let block = block.unwrap_or_default();
                    self.index.clock_fixes.extend(block.notes.iter().filter_map(|(t, note)| {
                        if let Note::ClockFix(fix) = note { Some((*t, *fix)) } else { None }
                    }));
                    self.index.blocks.push(BlockEntry {
                        offset: start as u64,
                        len: len as u32,
                        ..head
                    });
                }
            }
        }
        if whole_until < self.file.len() {
            self.damage.ranges.push(whole_until..self.file.len());
        }
    }
}

/// Reads the bytes of one block, as an index entry points at them; `None` if they are damaged.
pub fn read_block(bytes: &[u8], salt: [u8; 4]) -> Option<Block> {
    view_block(bytes, salt)?.block()
}

/// The same, with the columns decoded when they are asked for. The checksum holds for all.
pub fn view_block(bytes: &[u8], salt: [u8; 4]) -> Option<BlockView<'_>> {
    match open(bytes, salt) {
        Opened::Whole { head, body } => BlockView::find(head.first, body),
        Opened::BadBody { .. } | Opened::NoHead => None,
    }
}

enum Opened<'a> {
    Whole { head: BlockEntry, body: &'a [u8] },
    BadBody { len: usize },
    NoHead,
}

fn find_sync(bytes: &[u8]) -> Option<usize> {
    bytes.windows(SYNC.len()).position(|w| w == SYNC)
}

fn open(bytes: &[u8], salt: [u8; 4]) -> Opened<'_> {
    let Some(head) = bytes.first_chunk::<HEAD_LEN>() else { return Opened::NoHead };
    let word = |at: usize| u32::from_le_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]);
    let long = |at: usize| BootMs(u64::from(word(at)) | u64::from(word(at + 4)) << 32);
    let body_len = word(4) as usize;
    if head[..4] != SYNC || log_crc(&[&salt, &head[4..28]]) != word(28) || body_len > MAX_BODY {
        return Opened::NoHead;
    }
    let len = HEAD_LEN + body_len + CRC_LEN;
    let Some(block) = bytes.get(..len) else { return Opened::NoHead };
    let (covered, crc) = block.split_at(len - CRC_LEN);
    if log_crc(&[&salt, &covered[4..]]).to_le_bytes() != crc {
        return Opened::BadBody { len };
    }
    let head =
        BlockEntry { offset: 0, len: len as u32, first: long(8), last: long(16), rows: word(24) };
    Opened::Whole { head, body: &covered[HEAD_LEN..] }
}

#[cfg(test)]
mod tests {
    use super::super::Writer;
    use super::*;
    use crate::channel::Channel;
    use crate::log::{Entry, Identity};
    use crate::note::{ClockFix, ClockSource};
    use crate::reading::Reading;
    use crate::time::UtcMs;
    use alloc::string::ToString;

    fn sample() -> (Vec<u8>, Vec<Entry>) {
        let identity =
            Identity { machine: "M1".to_string(), boot: 1, segment: 2, agent: "0".to_string() };
        let mut writer = Writer::new(&identity).unwrap();
        let mut entries = Vec::new();
        let fix =
            ClockFix { utc: UtcMs(1_000_000), source: ClockSource::Network, uncertainty_ms: 50 };
        entries.push(Entry::Note(BootMs(40), Note::ClockFix(fix)));
        for i in 0..6_000_u64 {
            let at = BootMs(50 + i * 100 + i % 3);
            let noise = (i * 7919 % 17) as i32;
            for (channel, raw) in [(Channel::SPEED, 600 + noise), (Channel::BRUSH_COMMAND, 1)] {
                entries.push(Entry::Reading(Reading { at, channel, raw }));
            }
        }
        let mut file = Vec::new();
        for entry in &entries {
            writer.push(entry.clone());
            file.extend(writer.take_bytes());
        }
        let outcome = writer.finish();
        file.extend(writer.take_bytes());
        assert_eq!(outcome.bytes, file.len() as u64);
        (file, entries)
    }

    fn readings(reader: &Reader<'_>) -> (Vec<(u64, u8, i32)>, usize) {
        let mut rows = Vec::new();
        let mut lost = 0;
        for entry in &reader.index().blocks {
            let Ok(block) = reader.block(entry) else {
                lost += 1;
                continue;
            };
            for column in &block.columns {
                for (at, raw) in column.at.iter().zip(&column.raw) {
                    rows.push((entry.first.0 + *at as u64, column.channel.0, *raw));
                }
            }
        }
        rows.sort_unstable();
        (rows, lost)
    }

    #[test]
    fn round_trip_with_and_without_index() {
        let (file, entries) = sample();
        let mut expected: Vec<_> = entries
            .iter()
            .filter_map(|e| match e {
                Entry::Reading(r) => Some((r.at.0, r.channel.0, r.raw)),
                Entry::Note(..) => None,
            })
            .collect();
        expected.sort_unstable();
        let whole = Reader::open(&file).unwrap();
        assert_eq!(whole.damage(), &Damage::default());
        assert_eq!(readings(&whole), (expected.clone(), 0));
        assert_eq!(whole.index().clock_fixes.len(), 1);

        let cut = &file[..file.len() - 1];
        let rebuilt = Reader::open(cut).unwrap();
        assert!(rebuilt.damage().index_rebuilt);
        assert_eq!(readings(&rebuilt), (expected, 0));
        assert_eq!(rebuilt.index(), whole.index());
    }

    #[test]
    fn a_flipped_byte_costs_one_block_at_most() {
        let (file, _) = sample();
        let blocks = Reader::open(&file).unwrap().index().blocks.len();
        for at in (0..file.len()).step_by(7) {
            let mut bad = file.clone();
            bad[at] ^= 0x10;
            let Ok(reader) = Reader::open(&bad) else {
                assert!(at < 40, "only damage to the header may hide the file, not byte {at}");
                continue;
            };
            let (_, lost) = readings(&reader);
            let kept = reader.index().blocks.len() - lost;
            assert!(kept + 1 >= blocks, "byte {at}: {kept} of {blocks} blocks");
        }
    }
}
