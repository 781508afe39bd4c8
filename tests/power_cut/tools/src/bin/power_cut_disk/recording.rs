//! The file that a recording is kept in: events in the order in which they were answered.
//!
//! ```text
//! 0      kind, one letter
//! 1..9   offset on the disk, u64 little endian; 0 where there is none
//! 9..17  us since the recording began, u64 little endian
//! 17..21 length of what follows, u32 little endian
//! ```

use crate::Outcome;
use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;
use std::time::Instant;

/// What happened.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A write into the cache.
    Write,
    /// A write that was safe when it was answered.
    SafeWrite,
    /// All writes before it are safe.
    Flush,
    /// A line on the guest's console.
    Console,
    /// The virtual machine was killed: its disk goes on as it was, cache and all.
    Killed,
}

impl Kind {
    const LETTERS: [(Self, u8); 5] = [
        (Self::Write, b'w'),
        (Self::SafeWrite, b's'),
        (Self::Flush, b'f'),
        (Self::Console, b'c'),
        (Self::Killed, b'k'),
    ];

    fn letter(self) -> u8 {
        Self::LETTERS.iter().find(|(kind, _)| *kind == self).map_or(b'?', |(_, letter)| *letter)
    }

    fn of(letter: u8) -> Option<Self> {
        Self::LETTERS.iter().find(|(_, l)| *l == letter).map(|(kind, _)| *kind)
    }
}

/// One event, read back.
#[derive(Clone, Debug)]
pub(crate) struct Event {
    pub(crate) kind: Kind,
    pub(crate) offset: usize,
    pub(crate) at_us: u64,
    pub(crate) bytes: Vec<u8>,
}

const HEAD_LEN: usize = 21;

/// Writes a recording.
pub(crate) struct Recording {
    file: BufWriter<File>,
    began: Instant,
}

impl Recording {
    pub(crate) fn create(path: &Path) -> io::Result<Self> {
        Ok(Self { file: BufWriter::new(File::create(path)?), began: Instant::now() })
    }

    pub(crate) fn add(&mut self, kind: Kind, offset: u64, bytes: &[u8]) -> io::Result<()> {
        let at_us = self.began.elapsed().as_micros() as u64;
        self.file.write_all(&[kind.letter()])?;
        self.file.write_all(&offset.to_le_bytes())?;
        self.file.write_all(&at_us.to_le_bytes())?;
        self.file.write_all(&(bytes.len() as u32).to_le_bytes())?;
        self.file.write_all(bytes)
    }

    pub(crate) fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

/// Reads a recording.
pub(crate) fn read(path: &Path) -> Outcome<Vec<Event>> {
    let bytes = std::fs::read(path)?;
    let mut rest = bytes.as_slice();
    let mut events = Vec::new();
    while let Some((head, behind)) = rest.split_at_checked(HEAD_LEN) {
        let number = |from: usize, to: usize| {
            head[from..to].iter().rev().fold(0_u64, |number, byte| number << 8 | u64::from(*byte))
        };
        let at = bytes.len() - rest.len();
        let kind = Kind::of(head[0]).ok_or_else(|| format!("{}: byte {at}", path.display()))?;
        let Some((body, behind)) = behind.split_at_checked(number(17, 21) as usize) else { break };
        events.push(Event {
            kind,
            offset: number(1, 9) as usize,
            at_us: number(9, 17),
            bytes: body.to_vec(),
        });
        rest = behind;
    }
    Ok(events)
}

/// What the agent said to be safe: the newest count of each of its starts.
#[derive(Clone, Debug, Default)]
pub(crate) struct Acknowledged {
    boots: Vec<Synced>,
}

/// One line `synced boot=1 part=1 readings=2 notes=3 ...`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Synced {
    pub(crate) boot: u32,
    pub(crate) readings: u64,
    pub(crate) notes: u64,
}

impl Synced {
    /// Reads a line of the console; `None` if it is another one.
    pub(crate) fn parse(line: &[u8]) -> Option<Self> {
        let line = std::str::from_utf8(line).ok()?;
        let (_, counts) = line.split_once("synced boot=")?;
        let (boot, counts) = counts.split_once(" part=")?;
        let (_, counts) = counts.split_once(" readings=")?;
        let (readings, notes) = counts.split_once(" notes=")?;
        Some(Self {
            boot: boot.parse().ok()?,
            readings: readings.parse().ok()?,
            // Further counts may follow.
            notes: notes.split_whitespace().next()?.parse().ok()?,
        })
    }
}

impl Acknowledged {
    /// Takes the line in; whether it was one of a sync.
    pub(crate) fn line(&mut self, line: &[u8]) -> bool {
        let Some(synced) = Synced::parse(line) else { return false };
        self.boots.retain(|before| before.boot != synced.boot);
        self.boots.push(synced);
        true
    }

    /// `boot:readings:notes` of each start, with commas.
    pub(crate) fn text(&self) -> String {
        let each = |s: &Synced| format!("{}:{}:{}", s.boot, s.readings, s.notes);
        self.boots.iter().map(each).collect::<Vec<_>>().join(",")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_newest_sync_of_each_boot_counts() {
        let mut found = Acknowledged::default();
        assert!(!found.line(b"INFO recording boot=3"));
        assert!(found.line(b"T DEBUG synced boot=3 part=1 readings=10 notes=2"));
        assert!(found.line(b"T DEBUG synced boot=3 part=2 readings=20 notes=2 doubtful=0\r"));
        assert!(found.line(b"T DEBUG synced boot=4 part=1 readings=1 notes=1"));
        assert_eq!(found.text(), "3:20:2,4:1:1");
    }
}
