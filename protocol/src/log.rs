//! What journal and archive files share: their header and their entries.
//!
//! ```text
//! file header
//! 0..8     magic, its last byte is the format version
//! 8..10    length H of the identity, u16 little endian, at most 512
//! 10..10+H identity, postcard
//! +4       CRC-32C of 0..10+H, little endian; it also seeds every later
//!          checksum of the file, so that stale bytes of another file in
//!          the same disk blocks never pass
//!
//! entry
//! 0        1..=127: channel of a reading; 128: a note
//! 1..      ms since the entry before it (the first: since the batch's base),
//!          varint u32
//! then     reading: raw value, zigzag varint i32
//!          note: length, varint u32; then the note, postcard
//! ```

use crate::channel::Channel;
use crate::checksum::log_crc;
use crate::note::Note;
use crate::reading::Reading;
use crate::time::BootMs;
use alloc::string::String;
use alloc::vec::Vec;
use serde::{Deserialize, Serialize};

/// Tag of a note entry.
const NOTE_TAG: u8 = 128;
/// Longest identity, in bytes.
const MAX_IDENTITY: usize = 512;
const HEADER_FIXED: usize = 10;

/// Whose log a file is part of, and which part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Identity {
    /// The machine's id, as in the machine file.
    pub machine: String,
    /// Power-on number of the board, from 1.
    pub boot: u32,
    /// Part of that boot, from 1.
    pub segment: u32,
    /// Version of the agent that wrote it.
    pub agent: String,
}

/// Which of the two file kinds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileKind {
    /// The live file.
    Journal,
    /// The sealed file.
    Archive,
}

impl FileKind {
    fn magic(self) -> &'static [u8; 8] {
        match self {
            Self::Journal => b"UBJRNL\n\x01",
            Self::Archive => b"UBARCH\n\x01",
        }
    }
}

/// Why a file header is not one.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum HeaderError {
    /// Nothing or less than a header was written before the power went.
    #[error("the file ends inside its header (byte {0})")]
    Truncated(usize),
    /// Some other file.
    #[error("bytes 0 to 7 are not those of a log file")]
    NotALog,
    /// A newer format.
    #[error("format version {0} is newer than this program reads (1): update it")]
    Version(u8),
    /// The checksum does not hold.
    #[error("the header is damaged (its checksum, at byte {0}, does not hold)")]
    Damaged(usize),
}

/// A header as read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Header {
    /// Whose file.
    pub identity: Identity,
    /// Bytes the header takes.
    pub len: usize,
    /// Seed of the file's checksums.
    pub salt: [u8; 4],
    /// One byte of it was damaged and could be put right by the checksum.
    pub mended: bool,
}

impl Header {
    /// The bytes of a header.
    pub fn write(kind: FileKind, identity: &Identity) -> Vec<u8> {
        let mut body = postcard::to_allocvec(identity).unwrap_or_default();
        if body.len() > MAX_IDENTITY {
            let short = Identity { machine: String::new(), agent: String::new(), ..*identity };
            body = postcard::to_allocvec(&short).unwrap_or_default();
        }
        let mut out = kind.magic().to_vec();
        out.extend_from_slice(&(body.len() as u16).to_le_bytes());
        out.extend_from_slice(&body);
        let crc = log_crc(&[&out]);
        out.extend_from_slice(&crc.to_le_bytes());
        out
    }

    /// The header of a file of this identity, for one whose own header is damaged.
    /// Only a checksum that holds under its salt shows that the guess is right.
    pub fn assumed(kind: FileKind, identity: &Identity) -> Self {
        let bytes = Self::write(kind, identity);
        let len = bytes.len();
        let salt = bytes.last_chunk().copied().unwrap_or_default();
        Self { identity: identity.clone(), len, salt, mended: false }
    }

    /// Reads the header at the start of `bytes`. One damaged byte costs nothing: the
    /// checksum tells which it was.
    pub fn read(kind: FileKind, bytes: &[u8]) -> Result<Self, HeaderError> {
        match Self::read_as_is(kind, bytes) {
            Err(error @ (HeaderError::NotALog | HeaderError::Damaged(_))) => {
                Self::mend(kind, bytes).ok_or(error)
            }
            other => other,
        }
    }

    /// Tries every change of one byte: some ten thousand short checksums.
    fn mend(kind: FileKind, bytes: &[u8]) -> Option<Self> {
        let fixed = bytes.get(..HEADER_FIXED)?;
        let told = usize::from(u16::from_le_bytes([fixed[8], fixed[9]]));
        // If the length is the damaged byte, only that one is worth a try.
        let upto = if told > MAX_IDENTITY { HEADER_FIXED } else { HEADER_FIXED + told + 4 };
        let longest = HEADER_FIXED + MAX_IDENTITY + 4;
        let mut head = bytes[..bytes.len().min(longest)].to_vec();
        for at in 0..upto.min(head.len()) {
            let is = head[at];
            for was in (0..=u8::MAX).filter(|was| *was != is) {
                head[at] = was;
                if let Ok(header) = Self::read_as_is(kind, &head) {
                    return Some(Self { mended: true, ..header });
                }
            }
            head[at] = is;
        }
        None
    }

    fn read_as_is(kind: FileKind, bytes: &[u8]) -> Result<Self, HeaderError> {
        let truncated = || HeaderError::Truncated(bytes.len());
        let fixed = bytes.get(..HEADER_FIXED).ok_or_else(truncated)?;
        if fixed[..7] != kind.magic()[..7] {
            return Err(HeaderError::NotALog);
        }
        let body_len = usize::from(u16::from_le_bytes([fixed[8], fixed[9]]));
        let body_end = HEADER_FIXED + body_len;
        if body_len > MAX_IDENTITY {
            return Err(HeaderError::Damaged(body_end));
        }
        let salt = bytes.get(body_end..body_end + 4).ok_or_else(truncated)?;
        if log_crc(&[&bytes[..body_end]]).to_le_bytes() != salt {
            return Err(HeaderError::Damaged(body_end));
        }
        if fixed[7] != kind.magic()[7] {
            return Err(HeaderError::Version(fixed[7]));
        }
        let identity = postcard::from_bytes(&bytes[HEADER_FIXED..body_end])
            .map_err(|_| HeaderError::Damaged(body_end))?;
        let salt = [salt[0], salt[1], salt[2], salt[3]];
        Ok(Self { identity, len: body_end + 4, salt, mended: false })
    }
}

/// One entry of a log.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Entry {
    /// A quantity.
    Reading(Reading),
    /// Something that happened.
    Note(BootMs, Note),
}

impl Entry {
    /// When.
    pub fn at(&self) -> BootMs {
        match self {
            Self::Reading(r) => r.at,
            Self::Note(at, _) => *at,
        }
    }
}

/// Appends entries to a buffer, each timed against the one before.
#[derive(Clone, Debug)]
pub struct EntryWriter {
    last: BootMs,
}

impl EntryWriter {
    /// A writer for a batch based at `base`.
    pub fn new(base: BootMs) -> Self {
        Self { last: base }
    }

    /// Appends a reading. Time never runs back within a batch: an earlier time is stored as the last one.
    pub fn reading(&mut self, out: &mut Vec<u8>, reading: Reading) {
        let head = (reading.channel.0 & Channel::MAX, self.step(reading.at), reading.raw);
        let mut buffer = [0; 11];
        if let Ok(bytes) = postcard::to_slice(&head, &mut buffer) {
            out.extend_from_slice(bytes);
        }
    }

    /// Appends a note.
    pub fn note(&mut self, out: &mut Vec<u8>, at: BootMs, note: &Note) {
        let body = postcard::to_allocvec(note).unwrap_or_default();
        let mut buffer = [0; 11];
        if let Ok(bytes) =
            postcard::to_slice(&(NOTE_TAG, self.step(at), body.len() as u32), &mut buffer)
        {
            out.extend_from_slice(bytes);
        }
        out.extend_from_slice(&body);
    }

    /// Ms since the entry before; a step of more than 49.7 days is stored as that much.
    fn step(&mut self, at: BootMs) -> u32 {
        let step = u32::try_from(at.since(self.last)).unwrap_or(u32::MAX);
        self.last = self.last.plus(u64::from(step));
        step
    }
}

/// What [`read_entries`] met.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct EntryOutcome {
    /// Notes of a kind this version does not know.
    pub unknown_notes: u32,
    /// Bytes at the end that are no entry (0 when whole).
    pub unread_bytes: usize,
}

/// Reads the entries of one batch body, whose checksum held.
pub fn read_entries(base: BootMs, mut body: &[u8], mut each: impl FnMut(Entry)) -> EntryOutcome {
    let mut outcome = EntryOutcome::default();
    let mut at = base;
    while let Some(&tag) = body.first() {
        outcome.unread_bytes = body.len();
        if (1..=Channel::MAX).contains(&tag) {
            let Ok(((_, step, raw), rest)) = postcard::take_from_bytes::<(u8, u32, i32)>(body)
            else {
                return outcome;
            };
            at = at.plus(u64::from(step));
            body = rest;
            each(Entry::Reading(Reading { at, channel: Channel(tag), raw }));
        } else {
            let Ok(((_, step, len), rest)) = postcard::take_from_bytes::<(u8, u32, u32)>(body)
            else {
                return outcome;
            };
            let Some((note, rest)) = rest.split_at_checked(len as usize) else {
                return outcome;
            };
            at = at.plus(u64::from(step));
            body = rest;
            match postcard::from_bytes(note) {
                Ok(note) if tag == NOTE_TAG => each(Entry::Note(at, note)),
                _ => outcome.unknown_notes += 1,
            }
        }
    }
    outcome.unread_bytes = 0;
    outcome
}
