//! Which archives go, in which order and why. No file is touched here.
//!
//! * order: that of boots and parts. It counts up with each start and does not depend
//!   on any clock, so it is the order in which things were recorded.
//! * age: judged by the dates in the archives. Clocks of boards lie: a dead battery puts
//!   them years back, a wrong setting or a roll-over of the GPS week number (1024 weeks)
//!   years ahead. So an archive is too old only if **all** dates in it and in the
//!   [`WITNESSES`] archives after it say so, and today is the **earliest** of the
//!   clock's time and the dates in the newest [`WITNESSES`] dated archives. Then, if of
//!   any [`WITNESSES`] archives in a row one has the right date, none goes before its
//!   time: its end is not after that of the right one behind it, which is older than
//!   `keep`; and today is not after the right one among the newest. (Our own reasoning.)
//!   The price: an archive may stay for twice [`WITNESSES`] archives longer.
//! * A clock that lies for longer than that still takes only [`BY_AGE_FOR_EACH_NEW`]
//!   archives for each that is recorded, which leaves a person weeks to see the warnings.
//! * copied: a copy of the archive elsewhere was verified.

use super::name::{FileUse, LogName};
use underbrush_protocol::time::UtcMs;

/// About a week of nights at an archive an hour.
pub const WITNESSES: usize = 64;
/// Removals by age that each new archive allows.
pub const BY_AGE_FOR_EACH_NEW: usize = 4;
/// The newest archives stay whatever happens: the sheet of last night is made of them.
pub const LAST_NIGHT: usize = 8;
/// Left free for a system that needs room too, where nothing else is set.
const USUAL_MIN_FREE: u64 = 200_000_000;

/// How much of the log is kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Limits {
    /// Archives older than this go; `None`: no age is too old.
    pub keep_ms: Option<i64>,
    /// All archives together take at most this; `None`: no limit.
    pub max_bytes: Option<u64>,
    /// So much of the file system stays free; `None`: 200 MB, or a tenth of what the
    /// log can have if that is less.
    pub min_free_bytes: Option<u64>,
    /// By age and size only archives go that were copied elsewhere.
    pub wait_for_copy: bool,
}

/// When an archive ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Nobody has looked yet.
    Unknown,
    /// There is no clock fix in it.
    Undated,
    /// By the clock of the board.
    At(UtcMs),
}

/// One sealed part of the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Archive {
    /// Which.
    pub name: LogName,
    /// Its length.
    pub bytes: u64,
    /// When it ends.
    pub end: End,
    /// Whether a copy elsewhere was verified.
    pub copied: bool,
    /// It must stay for now: its journal is still there, or removing it failed.
    pub fixed: bool,
}

/// What the policy judges by.
#[derive(Clone, Copy, Debug)]
pub struct Situation<'a> {
    /// In order.
    pub archives: &'a [Archive],
    /// Bytes that can be written; `None` where the system does not say.
    pub free_bytes: Option<u64>,
    /// What the clock says; `None` if it was never set.
    pub now: Option<UtcMs>,
    /// How many may go by age.
    pub age_allowance: usize,
}

/// Why an archive goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reason {
    /// It ended longer ago than logs are kept.
    TooOld,
    /// All archives together are too long.
    OverSize,
    /// Too little of the disk is free.
    DiskFull,
}

impl std::fmt::Display for Reason {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::TooOld => "too old",
            Self::OverSize => "the log is over its size",
            Self::DiskFull => "the disk is nearly full",
        })
    }
}

/// An archive that goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Removal {
    /// Which.
    pub name: LogName,
    /// Its length.
    pub bytes: u64,
    /// Why.
    pub reason: Reason,
    /// Whether a copy elsewhere was verified.
    pub copied: bool,
}

/// What is to be done.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Plan {
    /// What goes, in this order.
    pub removals: Vec<Removal>,
    /// Archives beyond age or size that stay because they were not copied.
    pub held_for_copy: u32,
    /// Bytes still missing from what should be free, with nothing left to remove.
    pub short_bytes: u64,
}

/// Plans the removals.
pub fn plan(limits: &Limits, situation: &Situation<'_>) -> Plan {
    let mut planning = Planning::new(limits, situation);
    planning.by_age();
    planning.by_size();
    planning.by_room();
    planning.plan
}

struct Planning<'a> {
    limits: &'a Limits,
    situation: &'a Situation<'a>,
    gone: Vec<bool>,
    held: Vec<bool>,
    bytes: u64,
    plan: Plan,
}

impl<'a> Planning<'a> {
    fn new(limits: &'a Limits, situation: &'a Situation<'a>) -> Self {
        let archives = situation.archives;
        debug_assert!(archives.is_sorted_by_key(|a| a.name));
        debug_assert!(archives.iter().all(|a| a.name.kind == FileUse::Archive));
        let bytes = archives.iter().map(|a| a.bytes).sum();
        let all = vec![false; archives.len()];
        Self { limits, situation, gone: all.clone(), held: all, bytes, plan: Plan::default() }
    }

    /// Older archives than the newest `stay`, with their places.
    fn older_than(&self, stay: usize) -> impl Iterator<Item = (usize, &'a Archive)> + use<'a> {
        let archives = self.situation.archives;
        archives.iter().enumerate().take(archives.len().saturating_sub(stay))
    }

    fn remove(&mut self, place: usize, archive: &Archive, reason: Reason) {
        let Archive { name, bytes, copied, .. } = *archive;
        self.gone[place] = true;
        self.bytes -= bytes;
        self.plan.removals.push(Removal { name, bytes, reason, copied });
    }

    /// Whether it must stay for want of a copy; counts it.
    fn hold(&mut self, place: usize, archive: &Archive) -> bool {
        let hold = self.limits.wait_for_copy && !archive.copied;
        if hold && !self.held[place] {
            self.held[place] = true;
            self.plan.held_for_copy += 1;
        }
        hold
    }

    fn by_age(&mut self) {
        let (Some(keep_ms), Some(today)) = (self.limits.keep_ms, self.today()) else { return };
        let old = |archive: &Archive| match archive.end {
            End::Unknown => false,
            // Says nothing about its neighbours; it goes by size only.
            End::Undated => true,
            End::At(utc) => utc.0 < today.0.saturating_sub(keep_ms),
        };
        let archives = self.situation.archives;
        let mut allowed = self.situation.age_allowance;
        for (place, archive) in self.older_than(WITNESSES) {
            if allowed == 0 {
                break;
            }
            if matches!(archive.end, End::At(_))
                && archives[place..=place + WITNESSES].iter().all(old)
                && !archive.fixed
                && !self.hold(place, archive)
            {
                allowed -= 1;
                self.remove(place, archive, Reason::TooOld);
            }
        }
    }

    /// The time that age is counted from.
    fn today(&self) -> Option<UtcMs> {
        let date = |a: &Archive| if let End::At(utc) = a.end { Some(utc) } else { None };
        let newest = self.situation.archives.iter().rev().filter_map(date).take(WITNESSES);
        let (count, earliest) =
            newest.fold((0, None), |(n, low), utc| (n + 1, Some(low.map_or(utc, |l| utc.min(l)))));
        let supported = earliest.filter(|_| count == WITNESSES)?;
        Some(supported.min(self.situation.now?))
    }

    fn by_size(&mut self) {
        let Some(max_bytes) = self.limits.max_bytes else { return };
        for (place, archive) in self.older_than(LAST_NIGHT) {
            if self.bytes <= max_bytes {
                break;
            }
            if !self.gone[place] && !archive.fixed && !self.hold(place, archive) {
                self.remove(place, archive, Reason::OverSize);
            }
        }
    }

    /// Room to record comes before what was recorded: copied archives go first, then others.
    fn by_room(&mut self) {
        let Some(free_bytes) = self.situation.free_bytes else { return };
        let log_bytes: u64 = self.situation.archives.iter().map(|a| a.bytes).sum();
        let at_most = free_bytes.saturating_add(log_bytes);
        // A wish for more than the disk has must not empty it.
        let wanted = match self.limits.min_free_bytes {
            Some(bytes) => bytes.min(at_most / 2),
            None => USUAL_MIN_FREE.min(at_most / 10),
        };
        let missing =
            |left: u64| wanted.saturating_sub(free_bytes.saturating_add(log_bytes - left));
        for copied in [true, false] {
            for (place, archive) in self.older_than(LAST_NIGHT) {
                if missing(self.bytes) == 0 {
                    return;
                }
                if !self.gone[place] && !archive.fixed && archive.copied == copied {
                    self.remove(place, archive, Reason::DiskFull);
                }
            }
        }
        self.plan.short_bytes = missing(self.bytes);
    }
}
