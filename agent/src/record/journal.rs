//! Writes entries into journal parts; the state of the disk is a state here.
//!
//! * part: one journal file. A part ends after a time, at a size, or when a write
//!   to it fails; the next entries begin a new one.
//! * pending: entries that are in no file yet. They are bounded: while the disk
//!   fails, the oldest are kept, later readings are dropped and counted.
//! * fine: pending readings at full rate. They come later than their time, so they are
//!   kept and written apart, in batches of their own.
//! * boot: the number of this start. It is found with the first part, since the disk
//!   may be away until then; journals of earlier boots then wait to be sealed.

use super::name::{FileUse, LogName};
use super::recover::survey;
use super::storage::{Appender, Storage};
use std::io;
use underbrush_protocol::journal::BatchWriter;
use underbrush_protocol::log::{Entry, FileKind, Header, Identity};
use underbrush_protocol::note::{Gap, GapReason, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

/// When written bytes are made to survive a power cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Durability {
    /// Each such time, in ms: a live source, whose data exist nowhere else.
    Every(u64),
    /// When a part ends: a replay, which can be run again.
    AtPartEnd,
}

/// When a part ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rotation {
    /// It holds entries of at most this time, in ms.
    pub after_ms: u64,
    /// It is closed at this size.
    pub bytes: u64,
}

/// Pending entries are written at this number even if no sync is due.
const WRITE_AT: usize = 4_096;
/// While the disk fails, at most this many entries are kept: some 3 MB.
const KEEP: usize = 65_536;
/// Of readings at full rate, half of that: they are detail.
const KEEP_FINE: usize = KEEP / 2;
/// Notes are few and say more; they get this much room besides.
const KEEP_NOTES: usize = KEEP + 4_096;
/// A failed disk is tried again after this time.
const RETRY_MS: u64 = 5_000;
/// Room is set aside in such steps. Measured on ext4, an allocated file costs the disk
/// less than half the bytes per sync of one that grows.
const RESERVE_STEP: u64 = 256 * 1024;
/// A batch holds at most this time, far below what an entry's time step can (2^32 ms).
const BATCH_MS: u64 = 3_600_000;

/// What was recorded.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct RecordCounts {
    /// Readings written, without those at full rate.
    pub readings: u64,
    /// Readings at full rate written.
    pub fine: u64,
    /// Notes written.
    pub notes: u64,
    /// Readings dropped while the disk failed.
    pub dropped: u64,
    /// Of these notes: gaps that the recorder itself told.
    pub gaps: u64,
    /// Entries given to the recorder that a sync made safe from a power cut, without
    /// those at full rate.
    pub synced: u64,
    /// Entries written to a file that could not be synced: safe only once it is sealed;
    /// again without those at full rate.
    pub doubtful: u64,
    /// The same two of readings at full rate.
    pub fine_synced: u64,
    /// See `fine_synced`.
    pub fine_doubtful: u64,
    /// Bytes of journals.
    pub journal_bytes: u64,
    /// Times that writing failed.
    pub failures: u32,
}

/// Records one boot.
pub struct Recorder<S> {
    storage: S,
    /// Boot 0 until the disk could be looked at.
    identity: Identity,
    durability: Durability,
    rotation: Rotation,
    part: Option<Part>,
    failed: Option<Failed>,
    pending: Vec<Entry>,
    fine: Vec<Reading>,
    buffer: Vec<u8>,
    /// Since when entries are in files that could not be synced, until a sync works.
    doubt_from: Option<BootMs>,
    last: BootMs,
    next_sync: BootMs,
    closed: Vec<LogName>,
    counts: RecordCounts,
}

struct Part {
    name: LogName,
    file: Appender,
    batches: BatchWriter,
    from: BootMs,
    /// What was written since the last sync.
    unsynced: Option<Unsynced>,
}

#[derive(Clone, Copy)]
struct Unsynced {
    /// Earliest and latest time: readings at full rate are older than the rows beside them.
    from: BootMs,
    to: BootMs,
    entries: u64,
    fine: u64,
}

struct Failed {
    error: io::Error,
    retry_at: BootMs,
    /// Earliest time of a dropped reading, and how many.
    dropped: Option<(BootMs, u32)>,
}

impl Failed {
    fn drop(&mut self, at: BootMs) {
        let (from, dropped) = self.dropped.get_or_insert((at, 0));
        *from = at.min(*from);
        *dropped = dropped.saturating_add(1);
    }
}

impl<S: Storage> Recorder<S> {
    /// A recorder for one start of `machine`; the first file is made with the first entry.
    pub fn new(storage: S, machine: &str, durability: Durability, rotation: Rotation) -> Self {
        let identity = Identity {
            machine: machine.to_owned(),
            boot: 0,
            segment: 0,
            agent: env!("CARGO_PKG_VERSION").to_owned(),
        };
        Self {
            storage,
            identity,
            durability,
            rotation,
            part: None,
            failed: None,
            pending: Vec::new(),
            fine: Vec::new(),
            buffer: Vec::new(),
            doubt_from: None,
            last: BootMs(0),
            next_sync: BootMs(0),
            closed: Vec::new(),
            counts: RecordCounts::default(),
        }
    }

    /// Takes entries, empties `entries`, and writes when it is time.
    pub fn push(&mut self, now: BootMs, entries: &mut Vec<Entry>) {
        for entry in entries.drain(..) {
            if let Entry::Reading(reading) = entry
                && reading.channel.is_fine()
            {
                self.push_fine(reading);
                continue;
            }
            let entry = self.in_order(entry);
            match &mut self.failed {
                Some(failed) if self.pending.len() >= KEEP => {
                    if let Entry::Reading(reading) = entry {
                        failed.drop(reading.at);
                        self.counts.dropped += 1;
                    } else if self.pending.len() < KEEP_NOTES {
                        self.pending.push(entry);
                    }
                }
                _ => self.pending.push(entry),
            }
        }
        if self.waiting() >= WRITE_AT && self.failed.is_none() {
            self.write(now, false);
        }
        self.advance(now);
    }

    /// Lets time pass: writes, syncs, ends parts and tries a failed disk again.
    pub fn advance(&mut self, now: BootMs) {
        let due = match (&self.failed, self.durability) {
            (Some(failed), _) => now >= failed.retry_at,
            (None, Durability::Every(_)) => now >= self.next_sync,
            (None, Durability::AtPartEnd) => false,
        };
        if due {
            if let Durability::Every(every_ms) = self.durability {
                self.next_sync = now.plus(every_ms);
            }
            self.write(now, true);
        }
        // A part also ends when nothing more comes into it.
        if let Durability::Every(_) = self.durability
            && self.part.as_ref().is_some_and(|p| now.since(p.from) >= self.rotation.after_ms)
            && self.waiting() == 0
            && let Err(error) = self.end_part()
        {
            self.fail(now, error);
        }
    }

    /// Writes and syncs at once, unless the disk failed; whether all that was given since
    /// the last call that held is safe from a power cut.
    pub fn sync_now(&mut self, now: BootMs) -> bool {
        if self.failed.is_none() {
            self.write(now, true);
        }
        self.waiting() == 0 && self.failed.is_none()
    }

    /// Writes and closes everything; afterwards `take_closed` names the last part.
    pub fn finish(&mut self, now: BootMs) {
        self.write(now, true);
        // A disk that works again is told of in a note of its own.
        if self.failed.is_none() && self.waiting() > 0 {
            self.write(now, true);
        }
        if let Err(error) = self.end_part() {
            self.fail(now, error);
        }
        let left = self.pending.iter().filter(|e| matches!(e, Entry::Reading(_))).count();
        self.counts.dropped += (left + self.fine.len()) as u64;
        self.pending.clear();
        self.fine.clear();
    }

    /// When `advance` has something to do next.
    pub fn next_due(&self) -> BootMs {
        self.failed.as_ref().map_or(self.next_sync, |failed| failed.retry_at)
    }

    /// Parts that are complete and wait to be sealed.
    pub fn take_closed(&mut self) -> Vec<LogName> {
        std::mem::take(&mut self.closed)
    }

    /// Why nothing can be written, while that is so.
    pub fn failure(&self) -> Option<&io::Error> {
        self.failed.as_ref().map(|failed| &failed.error)
    }

    /// Entries that wait in memory.
    pub fn waiting(&self) -> usize {
        self.pending.len() + self.fine.len()
    }

    /// Number of this start, once the disk could be looked at.
    pub fn boot(&self) -> Option<u32> {
        (self.identity.boot > 0).then_some(self.identity.boot)
    }

    /// What was recorded so far.
    pub fn counts(&self) -> RecordCounts {
        self.counts
    }

    fn push_fine(&mut self, reading: Reading) {
        match &mut self.failed {
            Some(failed) if self.fine.len() >= KEEP_FINE => {
                failed.drop(reading.at);
                self.counts.dropped += 1;
            }
            _ => self.fine.push(reading),
        }
    }

    /// Times of a log never run back; an archive block could not be read if they did.
    fn in_order(&mut self, mut entry: Entry) -> Entry {
        self.last = self.last.max(entry.at());
        match &mut entry {
            Entry::Reading(reading) => reading.at = self.last,
            Entry::Note(at, _) => *at = self.last,
        }
        entry
    }

    fn write(&mut self, now: BootMs, sync: bool) {
        match self.write_pending(sync) {
            Ok(()) => self.recovered(now),
            Err(error) => self.fail(now, error),
        }
    }

    fn write_pending(&mut self, sync: bool) -> io::Result<()> {
        while let Some(first) = self.pending.first() {
            let at = first.at();
            if self.part.as_ref().is_some_and(|part| self.must_end(part, at)) {
                self.end_part()?;
            }
            self.write_batch(at)?;
        }
        while !self.fine.is_empty() {
            // Its time says nothing of the part's: it is an earlier one.
            if self.part.as_ref().is_some_and(|part| part.file.len() >= self.rotation.bytes) {
                self.end_part()?;
            }
            self.write_fine_batch()?;
        }
        if let Some(part) = &mut self.part
            && sync
            && part.sync()?
        {
            self.say_synced();
        }
        Ok(())
    }

    /// Everything counted is safe; whoever tests power cuts compares with this line.
    fn say_synced(&mut self) {
        self.doubt_from = None;
        let counts = &mut self.counts;
        counts.synced = counts.readings + counts.notes - counts.gaps - counts.doubtful;
        counts.fine_synced = counts.fine - counts.fine_doubtful;
        let Identity { boot, segment: part, .. } = &self.identity;
        let RecordCounts { readings, notes, doubtful, fine, .. } = self.counts;
        tracing::debug!(
            "synced boot={boot} part={part} readings={readings} notes={notes} doubtful={doubtful} fine={fine}"
        );
    }

    fn must_end(&self, part: &Part, at: BootMs) -> bool {
        part.file.len() >= self.rotation.bytes || at.since(part.from) >= self.rotation.after_ms
    }

    /// Moves the entries of one batch from `pending` into the file.
    fn write_batch(&mut self, from: BootMs) -> io::Result<()> {
        let mut part = match self.part.take() {
            Some(part) => part,
            None => self.begin_part(from)?,
        };
        let longest = self.rotation.after_ms.saturating_sub(from.since(part.from)).min(BATCH_MS);
        let (mut to, mut taken) = (from, RecordCounts::default());
        for entry in &self.pending {
            if part.batches.is_full() || (entry.at().since(from) >= longest && entry.at() > from) {
                break;
            }
            to = entry.at();
            match entry {
                Entry::Reading(reading) => {
                    part.batches.reading(*reading);
                    taken.readings += 1;
                }
                Entry::Note(at, note) => {
                    part.batches.note(*at, note);
                    taken.notes += 1;
                    let told_here =
                        matches!(note, Note::Gap(gap) if gap.reason == GapReason::Storage);
                    taken.gaps += u64::from(told_here);
                }
            }
        }
        self.append_batch(part, (from, to), taken)?;
        self.pending.drain(..(taken.readings + taken.notes) as usize);
        Ok(())
    }

    /// Moves the readings of one batch from `fine` into the file. Times never run back in it.
    fn write_fine_batch(&mut self) -> io::Result<()> {
        let mut part = match self.part.take() {
            Some(part) => part,
            None => self.begin_part(self.last)?,
        };
        let from = self.fine.first().map_or(self.last, |reading| reading.at);
        let (mut last, mut taken) = (from, RecordCounts::default());
        for reading in &self.fine {
            let apart = reading.at < last || reading.at.since(from) >= BATCH_MS;
            if part.batches.is_full() || apart {
                break;
            }
            last = reading.at;
            part.batches.reading(*reading);
            taken.fine += 1;
        }
        self.append_batch(part, (from, last), taken)?;
        self.fine.drain(..taken.fine as usize);
        Ok(())
    }

    /// Closes the batch that was collected, and appends it to the file.
    fn append_batch(
        &mut self,
        mut part: Part,
        (from, to): (BootMs, BootMs),
        taken: RecordCounts,
    ) -> io::Result<()> {
        self.buffer.clear();
        part.batches.close(&mut self.buffer);
        part.file.reserve(self.buffer.len() as u64, RESERVE_STEP.min(self.rotation.bytes));
        // After an error the batch is torn: its entries stay pending, for a new part.
        let appended = part.file.append(&self.buffer);
        if appended.is_ok() {
            let nothing = Unsynced { from, to, entries: 0, fine: 0 };
            let unsynced = part.unsynced.get_or_insert(nothing);
            unsynced.from = unsynced.from.min(from);
            unsynced.to = unsynced.to.max(to);
            unsynced.entries += taken.readings + taken.notes - taken.gaps;
            unsynced.fine += taken.fine;
        }
        self.part = Some(part);
        appended?;
        self.counts.journal_bytes += self.buffer.len() as u64;
        self.counts.readings += taken.readings;
        self.counts.notes += taken.notes;
        self.counts.gaps += taken.gaps;
        self.counts.fine += taken.fine;
        Ok(())
    }

    fn begin_part(&mut self, from: BootMs) -> io::Result<Part> {
        if self.identity.boot == 0 {
            let found = survey(&self.storage)?;
            self.identity.boot = found.boot;
            self.closed.extend(found.journals);
            tracing::info!(boot = found.boot, "recording");
        }
        // Counted up before anything can fail: a half-made file keeps its number.
        self.identity.segment += 1;
        let name = LogName {
            boot: self.identity.boot,
            part: self.identity.segment,
            kind: FileUse::Journal,
        };
        let bytes = Header::write(FileKind::Journal, &self.identity);
        let header = Header::read(FileKind::Journal, &bytes).map_err(io::Error::other)?;
        let created = self.storage.create(&name.to_string());
        if created.as_ref().is_err_and(|error| error.kind() == io::ErrorKind::AlreadyExists) {
            // Not the directory it was, but one with a history of its own: look again.
            self.identity.boot = 0;
        }
        let mut file = Appender::new(created?);
        let begun = file.append(&bytes).and_then(|()| self.storage.sync_dir());
        if let Err(error) = begun {
            self.closed.push(name);
            return Err(error);
        }
        Ok(Part { name, file, batches: BatchWriter::new(header.salt), from, unsynced: None })
    }

    fn end_part(&mut self) -> io::Result<()> {
        let Some(part) = &mut self.part else { return Ok(()) };
        let synced = part.sync()?;
        self.closed.push(part.name);
        self.part = None;
        if synced {
            self.say_synced();
        }
        Ok(())
    }

    fn fail(&mut self, now: BootMs, error: io::Error) {
        // After a failed sync the same file is not trusted again: the system may
        // have dropped the bytes and yet report the next sync as done.
        if let Some(part) = self.part.take() {
            self.closed.push(part.name);
            if let Some(unsynced) = part.unsynced {
                self.counts.doubtful += unsynced.entries;
                self.counts.fine_doubtful += unsynced.fine;
                self.doubt(unsynced);
            }
        }
        self.counts.failures += 1;
        let before = self.failed.take();
        if before.is_none() {
            let kept = self.waiting();
            tracing::error!(%error, kept, "recording stopped: the log cannot be written");
        }
        let dropped = before.and_then(|failed| failed.dropped);
        self.failed = Some(Failed { error, retry_at: now.plus(RETRY_MS), dropped });
    }

    /// These entries are in a file that could not be synced. Sealing may still
    /// save them; a power cut before that takes them, and then the log must say so.
    fn doubt(&mut self, unsynced: Unsynced) {
        // The note about an earlier doubt may be in the same plight.
        let from = self.doubt_from.map_or(unsynced.from, |before| before.min(unsynced.from));
        self.doubt_from = Some(from);
        // Readings at full rate may be newer than the last row; none that comes is older.
        self.last = self.last.max(unsynced.to);
        let gap = Gap { from, reason: GapReason::Storage, dropped: 0 };
        let at = self.pending.first().map_or(self.last, Entry::at);
        self.pending.insert(0, Entry::Note(at, Note::Gap(gap)));
    }

    fn recovered(&mut self, now: BootMs) {
        let Some(failed) = self.failed.take() else { return };
        let dropped = failed.dropped.map_or(0, |(_, count)| count);
        tracing::warn!(dropped, part = self.identity.segment, "recording again");
        if let Some((from, dropped)) = failed.dropped {
            let gap = Gap { from, reason: GapReason::Storage, dropped };
            let note = self.in_order(Entry::Note(now, Note::Gap(gap)));
            self.pending.push(note);
        }
    }
}

impl Part {
    /// Whether there was something to sync.
    fn sync(&mut self) -> io::Result<bool> {
        if self.unsynced.is_none() {
            return Ok(false);
        }
        self.file.sync()?;
        self.unsynced = None;
        Ok(true)
    }
}
