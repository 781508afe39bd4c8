//! The live file: a header and batches. `SPEC.md`, "Journal".
//!
//! ```text
//! batch
//! 0..4     sync word 55 42 4A B5
//! 4..8     body length L, u32 little endian, at most 65536
//! 8..12    batch number in this file from 0, u32 little endian
//! 12..20   base time in ms, u64 little endian
//! 20..24   CRC-32C of the file's salt and bytes 4..20, little endian
//! 24..24+L body: entries (see `log`)
//! +4       CRC-32C of the file's salt and bytes 4..24+L, little endian
//! ```
//!
//! Why two checksums: the length is believed only after the first one holds,
//! and a batch with a damaged body is then skipped whole, so that a scan takes
//! time in proportion to the file whatever stands in it.

use crate::checksum::log_crc;
use crate::log::{Entry, EntryOutcome, EntryWriter, read_entries};
use crate::note::Note;
use crate::reading::Reading;
use crate::time::BootMs;
use alloc::vec::Vec;
use core::ops::Range;

const SYNC: [u8; 4] = *b"UBJ\xB5";
const HEAD_LEN: usize = 24;
const CRC_LEN: usize = 4;
/// Where the first entry of a body has its step: behind its tag.
const FIRST_STEP: usize = 1;
/// Longest body of a batch, in bytes.
pub const MAX_BODY: usize = 65_536;

/// Collects entries and closes them into batches.
#[derive(Clone, Debug)]
pub struct BatchWriter {
    salt: [u8; 4],
    next_number: u32,
    base: BootMs,
    entries: EntryWriter,
    body: Vec<u8>,
}

impl BatchWriter {
    /// A writer for a file with this checksum seed.
    pub fn new(salt: [u8; 4]) -> Self {
        let base = BootMs(0);
        Self { salt, next_number: 0, base, entries: EntryWriter::new(base), body: Vec::new() }
    }

    /// Whether no entry waits.
    pub fn is_empty(&self) -> bool {
        self.body.is_empty()
    }

    /// Whether the batch should be closed before more is added.
    pub fn is_full(&self) -> bool {
        self.body.len() > MAX_BODY - 1024
    }

    /// Adds a reading.
    pub fn reading(&mut self, reading: Reading) {
        self.rebase(reading.at);
        self.entries.reading(&mut self.body, reading);
    }

    /// Adds a note: the longest takes far less than the room [`Self::is_full`] keeps free.
    pub fn note(&mut self, at: BootMs, note: &Note) {
        self.rebase(at);
        self.entries.note(&mut self.body, at, note);
    }

    fn rebase(&mut self, at: BootMs) {
        if self.body.is_empty() {
            self.base = at;
            self.entries = EntryWriter::new(at);
        }
    }

    /// Appends the finished batch to `out` and begins the next; nothing if empty.
    pub fn close(&mut self, out: &mut Vec<u8>) {
        if self.body.is_empty() {
            return;
        }
        let from = out.len();
        // The last byte is never zero: where the rest of a file shows as zeros, a batch
        // that is cut short could else pass for a whole one. A base a little earlier
        // gives other checksums for the same entries.
        for earlier_ms in 0..64 {
            out.truncate(from);
            self.put(earlier_ms, out);
            if out.last() != Some(&0) || self.base.0 <= u64::from(earlier_ms) {
                break;
            }
        }
        self.next_number = self.next_number.wrapping_add(1);
        self.body.clear();
    }

    /// One batch, with a base so much before the first entry (at most 127 ms: the step of
    /// the first entry is one byte, and 0 as collected).
    fn put(&mut self, earlier_ms: u8, out: &mut Vec<u8>) {
        if let Some(step) = self.body.get_mut(FIRST_STEP) {
            *step = earlier_ms;
        }
        out.extend_from_slice(&SYNC);
        let covered_from = out.len();
        out.extend_from_slice(&(self.body.len() as u32).to_le_bytes());
        out.extend_from_slice(&self.next_number.to_le_bytes());
        out.extend_from_slice(&(self.base.0 - u64::from(earlier_ms)).to_le_bytes());
        let head_crc = log_crc(&[&self.salt, &out[covered_from..]]);
        out.extend_from_slice(&head_crc.to_le_bytes());
        out.extend_from_slice(&self.body);
        let crc = log_crc(&[&self.salt, &out[covered_from..]]);
        out.extend_from_slice(&crc.to_le_bytes());
    }
}

/// What a scan of a journal's batches found.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Scan {
    /// Whole batches.
    pub batches: u32,
    /// Byte ranges between whole batches that are not batches.
    pub damaged: Vec<Range<usize>>,
    /// Batches whose head holds and whose body does not.
    pub bad_bodies: u32,
    /// Batch numbers missing between whole batches.
    pub missing_batches: u32,
    /// End of the last whole batch: what follows is the tail.
    pub whole_until: usize,
    /// Bytes in the tail that are not zero: a batch cut by the power.
    pub torn_bytes: usize,
    /// Sums over all batches.
    pub entries: EntryOutcome,
}

/// Reads all whole batches in `file[from..]`, going on behind damage.
///
/// The tail behind the last whole batch is expected: the power went while it was written.
pub fn scan(file: &[u8], from: usize, salt: [u8; 4], mut each: impl FnMut(Entry)) -> Scan {
    let mut found = Scan { whole_until: from, ..Scan::default() };
    let mut at = from;
    let mut expected = 0;
    while let Some(skip) = find_sync(file.get(at..).unwrap_or(&[])) {
        let start = at + skip;
        let batch = match open(&file[start..], salt) {
            // An older copy of a batch cannot follow a newer one in an append-only file.
            Opened::Whole(batch) if batch.number >= expected => batch,
            Opened::Whole(Batch { len, .. }) => {
                at = start + len;
                continue;
            }
            Opened::BadBody { len } => {
                found.bad_bodies += 1;
                at = start + len;
                continue;
            }
            Opened::NoHead => {
                at = start + 1;
                continue;
            }
        };
        if start > found.whole_until {
            found.damaged.push(found.whole_until..start);
        }
        found.missing_batches += batch.number - expected;
        expected = batch.number.saturating_add(1);
        let outcome = read_entries(batch.base, batch.body, &mut each);
        found.entries.unknown_notes += outcome.unknown_notes;
        found.entries.unread_bytes += outcome.unread_bytes;
        found.batches += 1;
        at = start + batch.len;
        found.whole_until = at;
    }
    let tail = file.get(found.whole_until..).unwrap_or(&[]);
    found.torn_bytes = tail.iter().rposition(|&b| b != 0).map_or(0, |last| last + 1);
    found
}

/// How often `bytes` look like the beginning of a batch, whatever the checksums say.
pub fn batch_marks(bytes: &[u8]) -> usize {
    bytes.windows(SYNC.len()).filter(|window| *window == SYNC).count()
}

struct Batch<'a> {
    number: u32,
    base: BootMs,
    body: &'a [u8],
    /// Bytes the whole batch takes.
    len: usize,
}

enum Opened<'a> {
    Whole(Batch<'a>),
    BadBody { len: usize },
    NoHead,
}

fn find_sync(bytes: &[u8]) -> Option<usize> {
    bytes.windows(SYNC.len()).position(|w| w == SYNC)
}

fn open(bytes: &[u8], salt: [u8; 4]) -> Opened<'_> {
    let Some(head) = bytes.first_chunk::<HEAD_LEN>() else { return Opened::NoHead };
    let word = |at: usize| u32::from_le_bytes([head[at], head[at + 1], head[at + 2], head[at + 3]]);
    let body_len = word(4) as usize;
    if log_crc(&[&salt, &head[4..20]]) != word(20) || body_len > MAX_BODY {
        return Opened::NoHead;
    }
    let len = HEAD_LEN + body_len + CRC_LEN;
    let Some(batch) = bytes.get(..len) else { return Opened::NoHead };
    let (covered, crc) = batch.split_at(len - CRC_LEN);
    if log_crc(&[&salt, &covered[4..]]).to_le_bytes() != crc {
        return Opened::BadBody { len };
    }
    let base = BootMs(u64::from(word(12)) | u64::from(word(16)) << 32);
    Opened::Whole(Batch { number: word(8), base, body: &covered[HEAD_LEN..], len })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::channel::Channel;
    use crate::log::{FileKind, Header, Identity};
    use alloc::string::ToString;
    use alloc::vec;

    fn sample() -> (Vec<u8>, Header, Vec<Entry>) {
        let identity =
            Identity { machine: "M1".to_string(), boot: 3, segment: 1, agent: "0".to_string() };
        let mut file = Header::write(FileKind::Journal, &identity);
        let header = Header::read(FileKind::Journal, &file).unwrap();
        let mut writer = BatchWriter::new(header.salt);
        let mut entries = vec![];
        for batch in 0..5_u64 {
            for i in 0..10 {
                let at = BootMs(batch * 1000 + i * 100);
                let reading = Reading { at, channel: Channel::SPEED, raw: i as i32 * 40 - 100 };
                writer.reading(reading);
                entries.push(Entry::Reading(reading));
            }
            writer.note(BootMs(batch * 1000 + 950), &Note::Started);
            entries.push(Entry::Note(BootMs(batch * 1000 + 950), Note::Started));
            writer.close(&mut file);
        }
        (file, header, entries)
    }

    fn read(file: &[u8], header: &Header) -> (Vec<Entry>, Scan) {
        let mut entries = vec![];
        let found = scan(file, header.len, header.salt, |e| entries.push(e));
        (entries, found)
    }

    #[test]
    fn round_trip() {
        let (file, header, entries) = sample();
        let (got, found) = read(&file, &header);
        assert_eq!(got, entries);
        assert_eq!((found.batches, found.torn_bytes, found.whole_until), (5, 0, file.len()));
    }

    #[test]
    fn no_batch_ends_in_zero_and_none_is_whole_without_its_last_byte() {
        let mut writer = BatchWriter::new([1, 2, 3, 4]);
        for raw in 0..3_000 {
            let reading = Reading { at: BootMs(1_000), channel: Channel::SPEED, raw };
            writer.reading(reading);
            let mut batch = vec![];
            writer.close(&mut batch);
            let mut entries = vec![];
            scan(&batch, 0, [1, 2, 3, 4], |entry| entries.push(entry));
            assert_eq!(entries, [Entry::Reading(reading)]);
            *batch.last_mut().unwrap() = 0;
            assert_eq!(scan(&batch, 0, [1, 2, 3, 4], |_| {}).batches, 0, "{raw}");
        }
    }

    #[test]
    fn cut_at_every_byte_keeps_a_prefix() {
        let (file, header, entries) = sample();
        for cut in header.len..file.len() {
            let (got, found) = read(&file[..cut], &header);
            assert_eq!(got, entries[..got.len()], "cut at {cut}");
            assert_eq!(got.len() % 11, 0);
            assert!(found.damaged.is_empty());
            let mut zeroed = file[..cut].to_vec();
            zeroed.resize(file.len() + 4096, 0);
            assert_eq!(read(&zeroed, &header).0, got, "zero tail from {cut}");
        }
    }

    #[test]
    fn one_flipped_byte_costs_one_batch() {
        let (file, header, entries) = sample();
        for at in header.len..file.len() {
            let mut bad = file.clone();
            bad[at] ^= 0x40;
            let (got, found) = read(&bad, &header);
            assert_eq!(got.len(), entries.len() - 11, "flip at {at}");
            assert_eq!(found.batches, 4);
            let last_batch_hit = found.torn_bytes > 0;
            assert_eq!(found.missing_batches, u32::from(!last_batch_hit));
            assert_eq!(found.damaged.len(), usize::from(!last_batch_hit));
        }
    }

    #[test]
    fn stale_batches_of_another_file_do_not_pass() {
        let (file, header, _) = sample();
        let other =
            Identity { machine: "M1".to_string(), boot: 4, segment: 1, agent: "0".to_string() };
        let mut reused = Header::write(FileKind::Journal, &other);
        let reused_header = Header::read(FileKind::Journal, &reused).unwrap();
        reused.extend_from_slice(&file[header.len..]);
        assert_eq!(read(&reused, &reused_header).0, vec![]);
    }
}
