//! The plain model of a log through power cuts: what is there, and whether it may be so.

use super::disk::Disk;
use super::given::{Given, Stream, is_fine, number};
use std::collections::{BTreeMap, BTreeSet};
use underbrush_agent::record::{FileUse, LogName};
use underbrush_protocol::archive::Reader;
use underbrush_protocol::journal::scan;
use underbrush_protocol::log::{Entry, FileKind, Header};
use underbrush_protocol::note::{Gap, GapReason, Note, Repaired};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

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
/// The same of readings at full rate, which have an order of their own; and what was dropped
/// is counted in the log.
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
    let gaps: Vec<(BootMs, Gap)> = entries
        .iter()
        .filter_map(|entry| match entry {
            Entry::Note(at, Note::Gap(gap)) => Some((*at, *gap)),
            _ => None,
        })
        .collect();
    let told = |at: BootMs| holed || gaps.iter().any(|(to, gap)| (gap.from..=*to).contains(&at));
    let numbered = entries.iter().filter(|entry| number(entry).is_some());
    let (fine, rows): (Vec<_>, Vec<_>) = numbered.partition(|entry| is_fine(entry));
    judge_stream(rows, &given.rows, told)?;
    judge_stream(fine, &given.fine, told).map_err(|message| format!("full rate: {message}"))?;
    judge_count(&gaps, holed, given)
}

/// `there` is of one stream.
fn judge_stream(
    there: Vec<&Entry>,
    given: &Stream,
    told: impl Fn(BootMs) -> bool,
) -> Result<(), String> {
    let mut places = Vec::with_capacity(there.len());
    for entry in there {
        places.push(given.place(entry).ok_or_else(|| format!("{entry:?} was never given"))?);
    }
    // An archive keeps columns apart; the numbers give the order back.
    places.sort_unstable();
    let mut next = 0;
    for place in places {
        if place < next {
            return Err(format!("entry {place} is there twice"));
        }
        for (skipped, missing) in given.entries[..place].iter().enumerate().skip(next) {
            let told = told(missing.at());
            if given.acknowledged(skipped) || !told {
                let safe = given.safe;
                return Err(format!(
                    "entry {skipped} is missing; {safe} were acknowledged; told: {told}"
                ));
            }
        }
        next = place + 1;
    }
    match (next..given.safe).find(|entry| given.acknowledged(*entry)) {
        Some(missing) => Err(format!("entry {missing} was acknowledged, {next} are there")),
        None => Ok(()),
    }
}

/// The log never counts more as dropped than was; of a boot that ended well it counts all of
/// it, and the time of each is in a gap.
fn judge_count(gaps: &[(BootMs, Gap)], holed: bool, given: &Given) -> Result<(), String> {
    let counted = |gap: &&(BootMs, Gap)| gap.1.reason == GapReason::Storage && gap.1.dropped > 0;
    let counted: Vec<_> = gaps.iter().filter(counted).collect();
    let (told, dropped) =
        (counted.iter().map(|(_, gap)| gap.dropped as usize).sum::<usize>(), given.dropped.len());
    if told > dropped {
        return Err(format!("{told} are told as dropped, {dropped} were"));
    }
    if !given.whole || given.in_doubt() || holed {
        return Ok(());
    }
    if told < dropped {
        return Err(format!("{dropped} were dropped, {told} are told"));
    }
    let inside = |at: BootMs| counted.iter().any(|(to, gap)| (gap.from..=*to).contains(&at));
    match given.dropped.iter().find(|entry| !inside(entry.at())) {
        Some(entry) => Err(format!("{entry:?} was dropped outside of any gap told")),
        None => Ok(()),
    }
}
