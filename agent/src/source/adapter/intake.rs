//! What an adapter says to log entries. Pure: the caller brings the time.

use super::clock::StampClock;
use super::line::{AdapterReader, AdapterSaid};
use crate::decode::{CanFrame, CanIntake};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Gap, GapReason, Note};
use underbrush_protocol::time::BootMs;

/// Status flags of lost frames: a full receive queue, an overrun of the controller.
/// Source: the common description of the protocol, from memory.
const LOST: u8 = 1 << 0 | 1 << 3;

/// Frames with times of their own arrive within this.
const ON_THE_WAY_MS: u64 = 500;

/// What an adapter answered to a command.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// It was carried out.
    Done,
    /// It was refused.
    Refused,
    /// It told its flags.
    Flags,
    /// It told something else, such as its version.
    Told(String),
}

/// The state of one adapter's bus.
#[derive(Debug)]
pub struct AdapterIntake {
    reader: AdapterReader,
    clock: StampClock,
    can: CanIntake,
    /// Frames count only when the channel was opened as the settings say.
    open: bool,
    /// Time of the newest entry before the adapter went away.
    away_from: Option<BootMs>,
}

impl AdapterIntake {
    /// An intake for a channel that is still closed.
    pub fn new(can: CanIntake) -> Self {
        let (reader, clock) = (AdapterReader::default(), StampClock::default());
        Self { reader, clock, can, open: false, away_from: None }
    }

    /// The channel was opened: from here on frames count.
    pub fn opened(&mut self) {
        self.open = true;
    }

    /// The adapter is gone, or its channel is about to be opened anew.
    pub fn closed(&mut self) {
        self.reader.restart();
        self.clock = StampClock::default();
        if std::mem::take(&mut self.open) {
            self.can.disconnected();
            self.away_from.get_or_insert(self.can.last());
        }
    }

    /// Takes bytes that arrived at `now`; appends readings to `out` and answers to `answers`.
    pub fn bytes(
        &mut self,
        now: BootMs,
        bytes: &[u8],
        out: &mut Vec<Entry>,
        answers: &mut Vec<Answer>,
    ) {
        let Self { reader, clock, can, open, away_from } = self;
        reader.push(bytes, &mut |said| match said {
            AdapterSaid::Done => answers.push(Answer::Done),
            AdapterSaid::Refused => answers.push(Answer::Refused),
            AdapterSaid::Told(text) => {
                answers.push(Answer::Told(String::from_utf8_lossy(text).into_owned()));
            }
            AdapterSaid::Flags(flags) => {
                answers.push(Answer::Flags);
                if *open && flags & LOST != 0 {
                    tracing::warn!(flags, "the adapter lost frames: how many it does not tell");
                    can.missed(1);
                }
            }
            // What was on its way when the channel was closed is no loss.
            _ if !*open => {}
            AdapterSaid::Frame { frame, stamp_ms } => {
                let at = stamp_ms.map_or(now, |stamp_ms| clock.place(now, stamp_ms));
                if let Some(from) = away_from.take() {
                    let gap = Gap { from, reason: GapReason::BridgeSilent, dropped: 0 };
                    can.note(at, Note::Gap(gap), out);
                }
                can.frame(at, &frame, out);
            }
            AdapterSaid::BusError { overrun } => {
                can.missed(u32::from(overrun));
                // Without a time of its own it must not overtake frames on their way.
                let at = if clock.in_use() { can.last() } else { now };
                can.frame(at, &CanFrame::Error, out);
            }
            AdapterSaid::Damaged(reason) => {
                tracing::debug!(reason, "damaged, left out");
                can.malformed();
            }
        });
    }

    /// Lets time pass; call about once a second.
    pub fn tick(&mut self, now: BootMs, out: &mut Vec<Entry>) {
        let on_the_way_ms = if self.clock.in_use() { ON_THE_WAY_MS } else { 0 };
        self.can.tick(BootMs(now.0.saturating_sub(on_the_way_ms)), out);
    }

    /// Appends the last counts.
    pub fn finish(&mut self, out: &mut Vec<Entry>) {
        self.can.finish(out);
    }

    /// Counts and the newest time.
    pub fn can(&self) -> &CanIntake {
        &self.can
    }
}
