//! Bytes to objects: a window over what is not yet read.

use std::ops::Range;

const SIGNATURE: &[u8] = b"LOBJ";
/// Signature, length and version of the head, length, type.
const BASE: usize = 16;
/// Longer than any object of a program (a container: 128 KiB of content).
const OBJECT_MAX: usize = 16 << 20;
/// Bytes that may fill the room between two objects.
const FILL_MAX: usize = 3;
/// Read bytes are thrown away when they are so many.
const COMPACT_AT: usize = 256 * 1024;

/// What stands next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Found {
    /// A whole object.
    Object { kind: u32, range: Range<usize> },
    /// An object whose end is not there and never comes.
    Cut { kind: u32, range: Range<usize> },
    /// Bytes that are no object, left out up to the next signature.
    Damaged { at: usize, reason: &'static str },
    /// More bytes are needed.
    Nothing,
}

#[derive(Debug, Default)]
pub(super) struct Stream {
    bytes: Vec<u8>,
    /// How many of them are read.
    done: usize,
    /// How many bytes came before them.
    before: u64,
    /// Within damaged bytes, which are told already.
    lost: bool,
    /// After an object, where fill may stand.
    after: bool,
}

impl Stream {
    pub(super) fn append(&mut self, more: &[u8]) {
        if self.done >= COMPACT_AT || self.done == self.bytes.len() {
            self.bytes.drain(..self.done);
            self.before += self.done as u64;
            self.done = 0;
        }
        self.bytes.extend_from_slice(more);
    }

    /// The place in the whole of a place in the window.
    pub(super) fn place(&self, at: usize) -> u64 {
        self.before + at as u64
    }

    pub(super) fn bytes(&self, range: Range<usize>) -> &[u8] {
        self.bytes.get(range).unwrap_or(&[])
    }

    /// What is not yet read.
    pub(super) fn waiting(&self) -> &[u8] {
        self.bytes.get(self.done..).unwrap_or(&[])
    }

    /// Leaves out up to `most` bytes; how many there were.
    pub(super) fn skip(&mut self, most: usize) -> usize {
        let skipped = most.min(self.bytes.len() - self.done);
        self.done += skipped;
        skipped
    }

    /// The next object. A range holds until the next call of `append`.
    pub(super) fn next(&mut self, ended: bool) -> Found {
        loop {
            let after = self.after;
            let waiting = self.bytes.get(self.done..).unwrap_or(&[]);
            if after && waiting.len() < FILL_MAX + SIGNATURE.len() && !ended {
                return Found::Nothing;
            }
            let reach = if after { FILL_MAX } else { 0 };
            self.after = false;
            let fill = (0..=reach)
                .find(|fill| waiting.get(*fill..).is_some_and(|rest| rest.starts_with(SIGNATURE)));
            let Some(fill) = fill else {
                // Only fill before the end.
                if waiting.len() <= reach && waiting.iter().all(|b| *b == 0) && ended {
                    self.done = self.bytes.len();
                    return Found::Nothing;
                }
                match self.look_further(ended) {
                    Some(found) => return found,
                    None => continue,
                }
            };
            self.done += fill;
            self.lost = false;
            return self.object(ended);
        }
    }

    /// From bytes that are no signature to the next one. `None`: it is found.
    fn look_further(&mut self, ended: bool) -> Option<Found> {
        let at = self.done;
        let waiting = self.waiting();
        if waiting.is_empty() || (waiting.len() < SIGNATURE.len() && !ended) {
            return Some(Found::Nothing);
        }
        let found = memchr::memmem::find(waiting, SIGNATURE);
        let kept = if ended { 0 } else { SIGNATURE.len() - 1 };
        let skip = found.unwrap_or(waiting.len() - kept);
        self.done += skip;
        let told = std::mem::replace(&mut self.lost, true);
        match (told, found) {
            (false, _) => Some(Found::Damaged { at, reason: "no object begins here" }),
            (true, Some(_)) => None,
            (true, None) => Some(Found::Nothing),
        }
    }

    fn object(&mut self, ended: bool) -> Found {
        let (at, room) = (self.done, self.bytes.len() - self.done);
        let word = |place: usize| {
            let bytes = self.bytes.get(at + place..at + place + 4)?;
            Some(u32::from_le_bytes(bytes.try_into().ok()?))
        };
        let (Some(length), Some(kind)) = (word(8), word(12)) else {
            if !ended {
                return Found::Nothing;
            }
            self.done = self.bytes.len();
            return Found::Damaged { at, reason: "the head of an object is cut off" };
        };
        let length = length as usize;
        if !(BASE..=OBJECT_MAX).contains(&length) {
            self.done += SIGNATURE.len();
            self.lost = true;
            return Found::Damaged { at, reason: "an object has an impossible length" };
        }
        if length > room {
            if !ended {
                return Found::Nothing;
            }
            // What it hides may be whole: look on behind its signature.
            self.done += SIGNATURE.len();
            self.lost = true;
            return Found::Cut { kind, range: at..self.bytes.len() };
        }
        self.done += length;
        self.after = true;
        Found::Object { kind, range: at..at + length }
    }
}
