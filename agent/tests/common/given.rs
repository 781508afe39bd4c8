//! What one boot gave to its recorder, and what the recorder said of it.

use std::ops::Range;
use underbrush_agent::record::RecordCounts;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{LinkLoss, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

/// The number that an entry of the model carries.
pub(crate) fn number(entry: &Entry) -> Option<usize> {
    match entry {
        Entry::Reading(reading) => usize::try_from(reading.raw).ok(),
        Entry::Note(_, Note::LinkLoss(loss)) => Some(loss.frames as usize),
        Entry::Note(..) => None,
    }
}

/// Entries that the recorder keeps apart from others, in the order in which it got them.
#[derive(Clone, Default)]
pub(crate) struct Stream {
    pub(crate) entries: Vec<Entry>,
    /// When each was given: readings at full rate are given later than their time.
    given_at: Vec<BootMs>,
    /// Place in `entries` by number.
    places: Vec<Option<usize>>,
    /// So many of them the recorder has acknowledged, less those in `doubtful`.
    pub(crate) safe: usize,
    /// Written where a sync failed: they may be there or not.
    doubtful: Vec<Range<usize>>,
}

impl Stream {
    fn push(&mut self, now: BootMs, entry: Entry) {
        let number = number(&entry).unwrap();
        if self.places.len() <= number {
            self.places.resize(number + 1, None);
        }
        self.places[number] = Some(self.entries.len());
        self.entries.push(entry);
        self.given_at.push(now);
    }

    /// Takes the last ones out: the recorder did not take them.
    fn take_last(&mut self, count: usize) -> Vec<Entry> {
        let last = self.entries.split_off(self.entries.len() - count);
        self.given_at.truncate(self.entries.len());
        last.iter().filter_map(number).for_each(|number| self.places[number] = None);
        last
    }

    /// Its place, if exactly this entry was given.
    pub(crate) fn place(&self, entry: &Entry) -> Option<usize> {
        let place = (*self.places.get(number(entry)?)?)?;
        (self.entries[place] == *entry).then_some(place)
    }

    pub(crate) fn acknowledged(&self, place: usize) -> bool {
        place < self.safe && !self.doubtful.iter().any(|range| range.contains(&place))
    }

    fn nothing_safe(&self) -> bool {
        !(0..self.safe).any(|place| self.acknowledged(place))
    }

    fn acknowledge(&mut self, synced: u64, doubtful: u64) {
        let doubted: usize = self.doubtful.iter().map(ExactSizeIterator::len).sum();
        let more = doubtful as usize - doubted;
        let synced = synced as usize + doubted;
        if more > 0 {
            self.doubtful.push(synced..synced + more);
        }
        self.safe = self.safe.max(synced);
    }

    /// How long the oldest that a power cut could take has waited.
    fn oldest_waits_ms(&self, now: BootMs) -> u64 {
        self.given_at.get(self.safe).map_or(0, |at| now.since(*at))
    }
}

/// What one boot was given. Entry `i` at normal rate carries the number `i`; readings at full
/// rate carry the number of their measurement.
#[derive(Clone, Default)]
pub(crate) struct Given {
    pub(crate) rows: Stream,
    pub(crate) fine: Stream,
    /// Readings at full rate measured so far.
    measured: i32,
    /// Readings at full rate that the recorder counted as dropped when they came.
    pub(crate) dropped: Vec<Entry>,
    dropped_before: u64,
    /// It ended in good order with the disk in order: nothing was on its way.
    pub(crate) whole: bool,
}

impl Given {
    /// Whether a power cut may take all of it.
    pub(crate) fn nothing_safe(&self) -> bool {
        self.rows.nothing_safe() && self.fine.nothing_safe()
    }

    /// Whether a sync of this boot failed.
    pub(crate) fn in_doubt(&self) -> bool {
        !(self.rows.doubtful.is_empty() && self.fine.doubtful.is_empty())
    }

    /// Takes over what the recorder says of itself.
    pub(crate) fn acknowledge(&mut self, counts: RecordCounts) {
        self.rows.acknowledge(counts.synced, counts.doubtful);
        self.fine.acknowledge(counts.fine_synced, counts.fine_doubtful);
    }

    /// The same, of what it dropped of the entries given last. No history here has so many
    /// rows that one of them is dropped.
    pub(crate) fn drop_last(&mut self, counts: RecordCounts) {
        let more = (counts.dropped - self.dropped_before) as usize;
        self.dropped_before = counts.dropped;
        self.dropped.extend(self.fine.take_last(more));
    }

    /// The next row; each seventh is a note.
    pub(crate) fn next(&mut self, at: BootMs) -> Entry {
        let number = self.rows.entries.len() as u32;
        let entry = if number % 7 == 6 {
            Entry::Note(at, Note::LinkLoss(LinkLoss { frames: number, ..LinkLoss::default() }))
        } else {
            let channel = Channel(1 + (number % 3) as u8);
            Entry::Reading(Reading { at, channel, raw: number as i32 })
        };
        self.rows.push(at, entry.clone());
        entry
    }

    /// The next measurement at full rate, of the motors in turn.
    pub(crate) fn measure(&mut self, at: BootMs) -> Entry {
        let raw = self.measured;
        self.measured += 1;
        let normal = Channel::brush_current(raw as usize % 2).unwrap();
        Entry::Reading(Reading { at, channel: normal.fine().unwrap(), raw })
    }

    /// Notes which of these are at full rate: they are given to the recorder now.
    pub(crate) fn give_fine(&mut self, now: BootMs, entries: &[Entry]) {
        for entry in entries.iter().filter(|entry| is_fine(entry)) {
            self.fine.push(now, entry.clone());
        }
    }

    pub(crate) fn oldest_waits_ms(&self, now: BootMs) -> u64 {
        self.rows.oldest_waits_ms(now).max(self.fine.oldest_waits_ms(now))
    }
}

pub(crate) fn is_fine(entry: &Entry) -> bool {
    matches!(entry, Entry::Reading(reading) if reading.channel.is_fine())
}
