//! Full-rate readings around events.
//!
//! ```text
//! entries -> HighRate::sort_out -> all others -> Watch -> Alarm -> HighRate::fired
//!                   | full-rate                                          |
//!                   v                                                    v
//!                 Store, bounded ----------------------------------> release -> log
//! ```
//!
//! Words: a *full-rate reading* is one of a fine channel, a sample of a Burst frame. A
//! *window* is the time around an event of which all of them go into the log: from
//! `before` ahead of the event's begin to `after` behind the moment at which its detector
//! fired. What began more than [`LEAD_MS`] before that counts as begun then, since the store
//! must end somewhere. Windows that touch are one, and no reading goes into the log twice.
//!
//! Outside of windows a motor has its readings at normal rate, which the bridge sends as
//! Brush frames, each the mean since the one before. Where it sends none, the mean of the
//! full-rate readings takes their place: see `thin.rs`. A peak shorter than the normal
//! interval is in the log only inside a window.

mod settings;
mod store;
mod thin;
mod windows;

pub use settings::HighRateSettings;

use crate::watch::{Alarm, Stage};
use serde::{Deserialize, Serialize};
use store::Store;
use thin::Thin;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Gap, GapReason, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;
use windows::{Span, Windows};

/// Detectors fire at most so long after the begin that a window knows, in ms: the longest
/// usual limit of a load (3 s of over-pressure), and the way of the readings.
pub const LEAD_MS: u64 = 5_000;
/// Losses that go on are told this often, in ms.
const TELL_EVERY_MS: u64 = 10_000;

/// What became of full-rate readings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct HighRateCounts {
    /// They came.
    pub came: u64,
    /// They were given to the log.
    pub given: u64,
    /// Events that opened or lengthened a window.
    pub events: u64,
    /// Rows at normal rate made of them.
    pub thinned: u64,
    /// They left the store sooner than a window may ask for them: the memory is too small.
    pub left_early: u64,
    /// They belong into a window and are lost.
    pub lost: u64,
}

/// Keeps full-rate readings until it is known whether they are wanted. Pure: the times are
/// those of the readings.
#[derive(Debug)]
pub struct HighRate {
    settings: HighRateSettings,
    store: Store,
    windows: Windows,
    thin: Thin,
    counts: HighRateCounts,
    /// Time of the newest reading at full rate, and of the newest other.
    newest: BootMs,
    others: BootMs,
    /// Lost and not told yet: how many, since when.
    untold: Option<(BootMs, u32)>,
    told: BootMs,
}

impl HighRate {
    /// Nothing has come yet, from a machine of so many brush motors.
    pub fn new(settings: HighRateSettings, motors: usize) -> Self {
        Self {
            settings,
            store: Store::new(settings.readings(motors), settings.promised_ms()),
            windows: Windows::default(),
            thin: Thin::new(settings.normal_ms),
            counts: HighRateCounts::default(),
            newest: BootMs(0),
            others: BootMs(0),
            untold: None,
            told: BootMs(0),
        }
    }

    /// Takes the full-rate readings out of `entries`; all others stay, in their order.
    pub fn sort_out(&mut self, entries: &mut Vec<Entry>) {
        let is_fine =
            |entry: &Entry| matches!(entry, Entry::Reading(reading) if reading.channel.is_fine());
        // Most bridges send none.
        if self.counts.came == 0 && !entries.iter().any(is_fine) {
            return;
        }
        for entry in std::mem::take(entries) {
            match entry {
                Entry::Reading(reading) if reading.channel.is_fine() => {
                    self.keep(reading);
                    let row = self.thin.fine(reading);
                    self.counts.thinned += u64::from(row.is_some());
                    // Its samples are a little older than their frame: times never run back.
                    let row = row.map(|row| Reading { at: row.at.max(self.others), ..row });
                    entries.extend(row.map(Entry::Reading));
                }
                Entry::Reading(reading) => {
                    self.thin.normal(reading);
                    self.others = reading.at;
                    entries.push(entry);
                }
                Entry::Note(..) => entries.push(entry),
            }
        }
    }

    /// A detector speaks; an event that begins opens a window.
    pub fn fired(&mut self, alarm: &Alarm) {
        // A bridge that sends none has no windows.
        if !alarm.on || alarm.stage != Stage::Event || self.counts.came == 0 {
            return;
        }
        let HighRateSettings { before_ms, after_ms, .. } = self.settings;
        let began = alarm.began.0.max(alarm.at.0.saturating_sub(LEAD_MS));
        let window =
            Span { from: BootMs(began.saturating_sub(before_ms)), to: alarm.at.plus(after_ms) };
        self.counts.events += 1;
        let gone = self.store.take_left_early(window.from);
        self.lose(window.from, gone);
        self.windows.open(window);
    }

    /// Appends at most `most` readings of the windows to `out`, and what was lost of them.
    pub fn release(&mut self, most: usize, out: &mut Vec<Entry>) {
        let mut left = most;
        while let Some(window) = self.windows.first() {
            let given = self.store.take(window.from, window.to, left, |reading| {
                out.push(Entry::Reading(reading));
            });
            self.counts.given += given as u64;
            left -= given;
            if left == 0 {
                break;
            }
            // All of it that came is given. More may come as long as it is not over.
            if self.newest <= window.to {
                break;
            }
            self.windows.close_first();
        }
        if self.newest.since(self.told) >= TELL_EVERY_MS || self.windows.first().is_none() {
            self.tell(out);
        }
    }

    /// The source has ended: gives all that is wanted of what came.
    pub fn finish(&mut self, out: &mut Vec<Entry>) {
        self.release(usize::MAX, out);
        self.tell(out);
    }

    /// Whether [`Self::release`] has something to give.
    pub fn has_more(&self) -> bool {
        let waits = |window: Span| self.store.has(window.from, window.to);
        self.windows.first().is_some_and(waits)
    }

    /// Counts since the start.
    pub fn counts(&self) -> HighRateCounts {
        self.counts
    }

    fn keep(&mut self, reading: Reading) {
        self.counts.came += 1;
        // A link's clock is fitted, and may be put back by some ms from one frame to the next.
        self.newest = self.newest.max(reading.at);
        let Some(gone) = self.store.push(Reading { at: self.newest, ..reading }) else { return };
        if self.windows.holds(gone.at) {
            self.lose(gone.at, 1);
        } else if self.store.left_early(gone.at, self.newest) {
            self.counts.left_early += 1;
        }
    }

    fn lose(&mut self, from: BootMs, count: u32) {
        if count > 0 {
            let (_, untold) = self.untold.get_or_insert((from, 0));
            *untold = untold.saturating_add(count);
            self.counts.lost += u64::from(count);
        }
    }

    fn tell(&mut self, out: &mut Vec<Entry>) {
        let Some((from, dropped)) = self.untold.take() else { return };
        tracing::error!(
            dropped,
            "full-rate readings of an event are lost: the memory for them (high_rate.memory) is too small"
        );
        self.told = self.newest;
        let gap = Gap { from, reason: GapReason::Overload, dropped };
        out.push(Entry::Note(self.newest, Note::Gap(gap)));
    }
}
