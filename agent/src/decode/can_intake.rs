//! CAN frames to log entries. Pure: the caller brings the times.

use super::can::CanFrame;
use super::long::Assembler;
use super::signals::SignalReader;
use crate::loss::LossLedger;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{LinkLoss, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

/// What the frames of a bus were.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CanCounts {
    /// Data frames of messages in the signal map.
    pub mapped: u64,
    /// Data frames of other messages.
    pub not_mapped: u64,
    /// Remote frames.
    pub remote: u64,
    /// Error frames.
    pub error_frames: u64,
    /// Mapped frames that end before one of their signals.
    pub too_short: u64,
    /// Values that the channel cannot hold.
    pub out_of_range: u64,
    /// Values that the sender said it does not know.
    pub not_available: u64,
    /// Values instead of which the sender said that its sensor has an error, or a code.
    pub indicators: u64,
    /// Lines or objects of a capture that are no frames.
    pub malformed_lines: u64,
    /// Times of a capture that ran back and were held or begun anew.
    pub backward_times: u64,
    /// Frames of a capture without a time; they stand at that of the frame before.
    pub untimed: u64,
    /// Frames of the transport protocol of SAE J1939.
    pub transport: u64,
    /// Messages in the signal map that came in such frames.
    pub long_messages: u64,
    /// Messages in such frames that did not become whole.
    pub long_lost: u64,
    /// Messages of more than 1785 bytes, by the extended transport protocol: not read.
    pub long_extended: u64,
}

impl CanCounts {
    /// What should have been understood and was not.
    pub fn not_understood(&self) -> u64 {
        self.too_short
            + self.out_of_range
            + self.malformed_lines
            + self.backward_times
            + self.untimed
            + self.long_lost
    }
}

/// The state of one bus.
#[derive(Debug)]
pub struct CanIntake {
    reader: SignalReader,
    long: Assembler,
    counts: CanCounts,
    losses: LossLedger,
    last: BootMs,
}

impl CanIntake {
    /// An intake that records what `reader` maps.
    pub fn new(reader: SignalReader) -> Self {
        Self {
            reader,
            long: Assembler::default(),
            counts: CanCounts::default(),
            losses: LossLedger::default(),
            last: BootMs(0),
        }
    }

    /// Takes a frame of time `at` and appends its readings to `out`.
    pub fn frame(&mut self, at: BootMs, frame: &CanFrame<'_>, out: &mut Vec<Entry>) {
        self.last = self.last.max(at);
        let at = self.last;
        let before = self.counts.not_understood();
        let each = |channel, raw| out.push(Entry::Reading(Reading { at, channel, raw }));
        match *frame {
            CanFrame::Data { id, data }
                if Assembler::carries(id) && self.reader.wants_transport(id) =>
            {
                self.counts.transport += 1;
                if let Some(message) = self.long.push(at.0.saturating_mul(1_000), id, data) {
                    self.reader.read_long(&message, &mut self.counts, each);
                }
            }
            _ => self.reader.read(frame, &mut self.counts, each),
        }
        self.counts.long_lost = self.long.counts().lost();
        self.counts.long_extended = self.long.counts().extended;
        let not_understood = u32::from(self.counts.not_understood() > before);
        self.losses.add(LinkLoss { frames: 1, not_understood, ..LinkLoss::default() });
        self.losses.note_if_due(self.last, out);
    }

    /// Counts a line or an object that is no frame.
    pub fn malformed(&mut self) {
        self.counts.malformed_lines += 1;
        self.losses.add(LinkLoss { damaged: 1, ..LinkLoss::default() });
    }

    /// Counts a frame of a capture that has no time.
    pub fn untimed(&mut self) {
        self.counts.untimed += 1;
    }

    /// Counts a time stamp that ran back.
    pub fn backward_time(&mut self) {
        self.counts.backward_times += 1;
    }

    /// Counts frames that came and could not be taken.
    pub fn missed(&mut self, frames: u32) {
        self.losses.add(LinkLoss { lost: frames, ..LinkLoss::default() });
    }

    /// Counts a lost interface.
    pub fn disconnected(&mut self) {
        self.losses.add(LinkLoss { disconnects: 1, ..LinkLoss::default() });
    }

    /// Appends a note of time `at`, not before the newest entry.
    pub fn note(&mut self, at: BootMs, note: Note, out: &mut Vec<Entry>) {
        self.last = self.last.max(at);
        out.push(Entry::Note(self.last, note));
    }

    /// Lets time pass; call about once a second on a live bus.
    pub fn tick(&mut self, now: BootMs, out: &mut Vec<Entry>) {
        self.last = self.last.max(now);
        self.long.expire(self.last.0.saturating_mul(1_000));
        self.counts.long_lost = self.long.counts().lost();
        self.losses.note_if_due(self.last, out);
    }

    /// Appends the last counts.
    pub fn finish(&mut self, out: &mut Vec<Entry>) {
        self.losses.note(self.last, out);
    }

    /// Time of the newest entry.
    pub fn last(&self) -> BootMs {
        self.last
    }

    /// What the frames were.
    pub fn counts(&self) -> CanCounts {
        self.counts
    }

    /// The same in the terms of a link.
    pub fn losses(&self) -> LinkLoss {
        self.losses.total()
    }
}
