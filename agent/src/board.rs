//! What the threads know, put together into a [`Status`].

use crate::record::{RecordCounts, SealReport, Tended};
use crate::ring::HighRateCounts;
use crate::status::{AlarmOn, ClockState, DiskState, SourceState, Status};
use crate::watch::{Alarm, HookCounts};
use std::io;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};
use underbrush_protocol::note::{ClockFix, LinkLoss, Note, Told};

/// A source that gave nothing for longer is silent.
const SILENCE: Duration = Duration::from_secs(5);
/// The writer comes round at least once a second; if it does not, the disk holds it.
const STUCK: Duration = Duration::from_secs(10);
/// An overload is shown so long.
const OVERLOAD_SHOWN: Duration = Duration::from_secs(10);
/// A leap of the clock is shown so long.
const JUMP_SHOWN: Duration = Duration::from_secs(600);
/// Marks told by hand that may wait for the writer.
const MOST_TOLD: usize = 16;

/// Shared by the threads of a live agent. Each tells its part; none ever waits long.
#[derive(Clone, Debug)]
pub(crate) struct Board(Arc<Mutex<Facts>>);

#[derive(Debug)]
struct Facts {
    status: Status,
    started: Instant,
    writer_seen: Instant,
    open: bool,
    heard: Option<Instant>,
    second: SourceCounts,
    damaged_in_second: u64,
    overload: Option<Instant>,
    overload_dropped: u64,
    jumped: Option<Instant>,
    /// Notes of other threads for the log.
    notes: Vec<Note>,
    /// Marks told by hand, for the log.
    told: Vec<Told>,
    /// Marks that were told so far, and those that the writer took.
    told_given: u64,
    told_taken: u64,
    /// Whether those that the writer took last are safe.
    told_safe: bool,
}

/// Counts of a source since the start.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct SourceCounts {
    pub(crate) frames: u64,
    pub(crate) losses: LinkLoss,
}

impl Board {
    pub(crate) fn new(machine: &str, source_name: &str) -> Self {
        let now = Instant::now();
        let status = Status {
            version: env!("CARGO_PKG_VERSION").to_owned(),
            process: std::process::id(),
            machine: machine.to_owned(),
            source_name: source_name.to_owned(),
            ..Status::default()
        };
        Self(Arc::new(Mutex::new(Facts {
            status,
            started: now,
            writer_seen: now,
            open: false,
            heard: None,
            second: SourceCounts::default(),
            damaged_in_second: 0,
            overload: None,
            overload_dropped: 0,
            jumped: None,
            notes: Vec::new(),
            told: Vec::new(),
            told_given: 0,
            told_taken: 0,
            told_safe: false,
        })))
    }

    fn facts(&self) -> MutexGuard<'_, Facts> {
        // Plain counts: a thread that panicked left nothing half done that matters.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The writer's part, each time it comes round.
    pub(crate) fn writer(
        &self,
        boot: Option<u32>,
        waiting: usize,
        counts: RecordCounts,
        failure: Option<&io::Error>,
    ) {
        let mut facts = self.facts();
        facts.writer_seen = Instant::now();
        let dropped = counts.dropped + facts.overload_dropped;
        let status = &mut facts.status;
        status.boot = boot;
        status.waiting_entries = waiting as u64;
        status.readings_stored = counts.readings;
        status.readings_dropped = dropped;
        status.entries_synced = counts.synced;
        status.disk_failures = counts.failures;
        status.disk = failure.map_or(DiskState::Working, |error| DiskState::of(error.kind()));
        status.disk_error = failure.map(ToString::to_string);
    }

    /// The sealer's part.
    pub(crate) fn sealer(&self, report: &SealReport, waiting: usize) {
        let status = &mut self.facts().status;
        status.archives = report.archives.len() as u64;
        status.torn_bytes = report.torn_bytes;
        status.damaged_bytes = report.damaged_bytes;
        status.journals_waiting = (waiting + report.unsealed.len()) as u64;
    }

    /// An archive was removed; the log says so too.
    pub(crate) fn removed(&self, removed: underbrush_protocol::note::Removed) {
        let mut facts = self.facts();
        facts.status.removed += 1;
        facts.status.removed_uncopied += u64::from(!removed.copied);
        facts.notes.push(Note::Removed(removed));
    }

    /// What keeping the log within its limits came to.
    pub(crate) fn kept(&self, tended: &Tended) {
        let status = &mut self.facts().status;
        status.log_archives = tended.archives as u64;
        status.log_bytes = tended.archive_bytes;
        status.held_for_copy = tended.held_for_copy.into();
        status.short_bytes = tended.short_bytes;
    }

    /// Notes of other threads, for the writer.
    pub(crate) fn take_notes(&self) -> Vec<Note> {
        std::mem::take(&mut self.facts().notes)
    }

    /// Somebody tells where the machine is; the number to ask for it by, or `None` if too
    /// many wait for the writer.
    pub(crate) fn tell(&self, told: Told) -> Option<u64> {
        let mut facts = self.facts();
        if facts.told.len() >= MOST_TOLD {
            return None;
        }
        facts.told.push(told);
        facts.told_given += 1;
        Some(facts.told_given)
    }

    /// Marks told by hand, for the writer.
    pub(crate) fn take_told(&self) -> Vec<Told> {
        std::mem::take(&mut self.facts().told)
    }

    /// The writer has written marks, and they are safe from a power cut or are not.
    pub(crate) fn told_stored(&self, count: usize, safe: bool) {
        let mut facts = self.facts();
        facts.told_taken += count as u64;
        facts.told_safe = safe;
    }

    /// Whether the mark of this number is safe; `None` while the writer has not come to it.
    pub(crate) fn told_safe(&self, number: u64) -> Option<bool> {
        let facts = self.facts();
        (facts.told_taken >= number).then_some(facts.told_safe)
    }

    /// The port or interface was opened or lost.
    pub(crate) fn open(&self, open: bool) {
        self.facts().open = open;
    }

    /// The source's counts, once a second.
    pub(crate) fn second(&self, counts: SourceCounts) {
        let mut facts = self.facts();
        let before = std::mem::replace(&mut facts.second, counts);
        let damaged = |counts: &SourceCounts| {
            u64::from(counts.losses.damaged) + u64::from(counts.losses.not_understood)
        };
        facts.damaged_in_second = damaged(&counts).saturating_sub(damaged(&before));
        let frames = counts.frames.saturating_sub(before.frames);
        if frames > 0 {
            facts.heard = Some(Instant::now());
        }
        let status = &mut facts.status;
        status.frames = counts.frames;
        status.frames_per_s = frames;
        status.frames_missing = counts.losses.lost.into();
        status.packets_damaged = damaged(&counts);
        status.port_losses = counts.losses.disconnects.into();
        status.bridge_restarts = counts.losses.restarts.into();
    }

    /// What became of readings at full rate.
    pub(crate) fn high_rate(&self, counts: HighRateCounts) {
        self.facts().status.high_rate = counts;
    }

    /// Readings were dropped on the way to the writer.
    pub(crate) fn overload(&self, dropped_so_far: u64) {
        let mut facts = self.facts();
        facts.overload = Some(Instant::now());
        facts.overload_dropped = dropped_so_far;
    }

    /// What the clock says; `jumped` if it leapt since it was last asked.
    pub(crate) fn clock(&self, fix: Option<&ClockFix>, jumped: bool) {
        let mut facts = self.facts();
        if jumped {
            facts.jumped = Some(Instant::now());
            facts.status.clock_jumps += 1;
        }
        facts.status.clock_uncertainty_ms = fix.map(|fix| fix.uncertainty_ms);
    }

    /// An alarm begins or ends.
    pub(crate) fn alarm(&self, alarm: &Alarm) {
        let status = &mut self.facts().status;
        status.alarms.retain(|on| !on.is_of(alarm));
        if alarm.on {
            status.alarms.push(AlarmOn::of(alarm));
            status.alarms_told += 1;
        }
    }

    /// A warning was not heard, after too many false ones.
    pub(crate) fn warning_hushed(&self, alarm: &Alarm) {
        self.facts().status.warnings_hushed += u64::from(alarm.on);
    }

    /// A program of the owner's ended, or was left out.
    pub(crate) fn hook(&self, count: impl FnOnce(&mut HookCounts)) {
        count(&mut self.facts().status.alarm_commands);
    }

    /// The alarm relay could not be switched.
    pub(crate) fn relay_failed(&self) {
        self.facts().status.relay_failures += 1;
    }

    /// Words for the bridge could not be sent.
    pub(crate) fn bridge_deaf(&self) {
        self.facts().status.bridge_unsent += 1;
    }

    /// Everything at this moment.
    pub(crate) fn status(&self) -> Status {
        let facts = self.facts();
        let mut status = facts.status.clone();
        let recent = |at: Option<Instant>, within| at.is_some_and(|at| at.elapsed() < within);
        status.up_s = facts.started.elapsed().as_secs();
        if facts.writer_seen.elapsed() > STUCK {
            status.disk = DiskState::Stuck;
        }
        status.source = match () {
            () if !facts.open => SourceState::Waiting,
            () if recent(facts.overload, OVERLOAD_SHOWN) => SourceState::Overload,
            () if facts.damaged_in_second > status.frames_per_s => SourceState::Noise,
            () if recent(facts.heard, SILENCE) => SourceState::Receiving,
            () => SourceState::Silent,
        };
        status.clock = match status.clock_uncertainty_ms {
            None => ClockState::Unset,
            Some(_) if recent(facts.jumped, JUMP_SHOWN) => ClockState::Jumped,
            Some(_) => ClockState::Set,
        };
        status
    }
}
