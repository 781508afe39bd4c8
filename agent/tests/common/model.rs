//! The plain model of a log through power cuts: what was given, what a sync acknowledged.

use super::disk::Disk;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;
use underbrush_agent::record::{FileUse, LogName, RecordCounts};
use underbrush_protocol::archive::Reader;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::journal::scan;
use underbrush_protocol::log::{Entry, FileKind, Header};
use underbrush_protocol::note::{LinkLoss, Note, Repaired};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

/// What one boot was given, in order. Entry `i` carries the number `i`.
#[derive(Clone, Default)]
pub(crate) struct Given {
    pub(crate) entries: Vec<Entry>,
    /// So many of them the recorder has acknowledged, less those in `doubtful`.
    pub(crate) safe: usize,
    /// Written where a sync failed: they may be there or not.
    pub(crate) doubtful: Vec<Range<usize>>,
}

impl Given {
    /// Whether a power cut may take all of it.
    pub(crate) fn nothing_safe(&self) -> bool {
        !(0..self.safe).any(|entry| self.acknowledged(entry))
    }

    fn acknowledged(&self, entry: usize) -> bool {
        entry < self.safe && !self.doubtful.iter().any(|range| range.contains(&entry))
    }

    /// Takes over what the recorder says of itself.
    pub(crate) fn acknowledge(&mut self, counts: RecordCounts) {
        let doubted: usize = self.doubtful.iter().map(ExactSizeIterator::len).sum();
        let more = counts.doubtful as usize - doubted;
        let synced = counts.synced as usize + doubted;
        if more > 0 {
            self.doubtful.push(synced..synced + more);
        }
        self.safe = self.safe.max(synced);
    }
}

impl Given {
    /// The next entry; each seventh is a note.
    pub(crate) fn next(&mut self, at: BootMs) -> Entry {
        let number = self.entries.len() as u32;
        let entry = if number % 7 == 6 {
            Entry::Note(at, Note::LinkLoss(LinkLoss { frames: number, ..LinkLoss::default() }))
        } else {
            let channel = Channel(1 + (number % 3) as u8);
            Entry::Reading(Reading { at, channel, raw: number as i32 })
        };
        self.entries.push(entry.clone());
        entry
    }
}

fn number(entry: &Entry) -> Option<i64> {
    match entry {
        Entry::Reading(reading) => Some(reading.raw.into()),
        Entry::Note(_, Note::LinkLoss(loss)) => Some(loss.frames.into()),
        Entry::Note(..) => None,
    }
}

/// What is on the disk.
#[derive(Default)]
pub(crate) struct Found {
    pub(crate) boots: BTreeMap<u32, Vec<Entry>>,
    pub(crate) journals: usize,
    /// Unfinished archives and journals put aside.
    pub(crate) leftovers: usize,
    /// What the journals have of cut batches, by part, if they hold anything whole.
    pub(crate) torn: BTreeMap<(u32, u32), usize>,
    pub(crate) repaired: BTreeMap<(u32, u32), Repaired>,
    /// Boots of which a batch is missing by its number.
    holed: BTreeSet<u32>,
    /// Bytes between whole batches or blocks that are none.
    pub(crate) damaged: usize,
}

/// Reads everything; a file that cannot be read counts as damage.
pub(crate) fn read(disk: &Disk) -> Found {
    let mut found = Found::default();
    let mut parts: BTreeMap<(u32, u32), Vec<Entry>> = BTreeMap::new();
    // Archives sort before journals: where both are there, the archive counts.
    for (name, bytes) in disk.contents() {
        let Some(name) = LogName::parse(&name) else { continue };
        let part = (name.boot, name.part);
        let entries = match name.kind {
            FileUse::Archive => found.archive(part, &bytes),
            FileUse::Journal => {
                found.journals += 1;
                found.journal(part, &bytes)
            }
            FileUse::Unfinished | FileUse::Unread => {
                found.leftovers += 1;
                continue;
            }
        };
        parts.entry(part).or_insert(entries);
    }
    for ((boot, _), mut entries) in parts {
        found.boots.entry(boot).or_default().append(&mut entries);
    }
    found
}

impl Found {
    fn archive(&mut self, part: (u32, u32), bytes: &[u8]) -> Vec<Entry> {
        let Ok(reader) = Reader::open(bytes) else {
            self.damaged += bytes.len();
            return Vec::new();
        };
        self.damaged += reader.damage().ranges.iter().map(ExactSizeIterator::len).sum::<usize>();
        let mut entries = Vec::new();
        for entry in &reader.index().blocks {
            let Ok(block) = reader.block(entry) else {
                self.damaged += entry.len as usize;
                continue;
            };
            for column in &block.columns {
                for (at, raw) in column.at.iter().zip(&column.raw) {
                    let at = BootMs(entry.first.0 + *at as u64);
                    entries.push(Entry::Reading(Reading {
                        at,
                        channel: column.channel,
                        raw: *raw,
                    }));
                }
            }
            for (at, note) in block.notes {
                if let Note::Repaired(repaired) = note {
                    if repaired.missing_batches > 0 {
                        self.holed.insert(part.0);
                    }
                    self.repaired.insert(part, repaired);
                } else {
                    entries.push(Entry::Note(at, note));
                }
            }
        }
        // An archive keeps columns apart; the numbers give the order back.
        entries.sort_by_key(|entry| number(entry).unwrap_or(-1));
        entries
    }

    fn journal(&mut self, part: (u32, u32), bytes: &[u8]) -> Vec<Entry> {
        let mut entries = Vec::new();
        // Without a header it was cut at its birth.
        if let Ok(header) = Header::read(FileKind::Journal, bytes) {
            let scanned = scan(bytes, header.len, header.salt, |entry| entries.push(entry));
            self.damaged += scanned.damaged.iter().map(ExactSizeIterator::len).sum::<usize>();
            if scanned.missing_batches > 0 {
                self.holed.insert(part.0);
            }
            if scanned.batches > 0 && scanned.torn_bytes > 0 {
                self.torn.insert(part, scanned.torn_bytes);
            }
        }
        entries
    }
}

/// Everything acknowledged is there; what is there is what was given, in order, once;
/// a hole before something later is told: by a note of the recorder, or by batch numbers.
pub(crate) fn judge(found: &Found, given: &BTreeMap<u32, Given>) -> Result<(), String> {
    let nothing = Given::default();
    for (boot, entries) in &found.boots {
        let holed = found.holed.contains(boot);
        judge_boot(entries, holed, given.get(boot).unwrap_or(&nothing))
            .map_err(|message| format!("boot {boot}: {message}"))?;
    }
    for (boot, given) in given.iter().filter(|(boot, _)| !found.boots.contains_key(boot)) {
        judge_boot(&[], false, given).map_err(|message| format!("boot {boot}: {message}"))?;
    }
    Ok(())
}

fn judge_boot(entries: &[Entry], holed: bool, given: &Given) -> Result<(), String> {
    let gaps: Vec<(BootMs, BootMs)> = entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Note(at, Note::Gap(gap)) => Some((gap.from, *at)),
            _ => None,
        })
        .collect();
    let mut next = 0;
    for entry in entries {
        let Some(number) = number(entry) else { continue };
        let number = number as usize;
        if given.entries.get(number) != Some(entry) {
            return Err(format!("{entry:?} was never given"));
        }
        if number < next {
            return Err(format!("entry {number} comes after entry {}", next - 1));
        }
        for (skipped, missing) in given.entries[..number].iter().enumerate().skip(next) {
            let told = holed || gaps.iter().any(|(from, to)| (*from..=*to).contains(&missing.at()));
            if given.acknowledged(skipped) || !told {
                let safe = given.safe;
                return Err(format!(
                    "entry {skipped} is missing; {safe} were acknowledged; told: {told}"
                ));
            }
        }
        next = number + 1;
    }
    match (next..given.safe).find(|entry| given.acknowledged(*entry)) {
        Some(missing) => Err(format!("entry {missing} was acknowledged, {next} are there")),
        None => Ok(()),
    }
}
