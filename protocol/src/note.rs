//! What happened, beside the readings: things with a time but no resolution.
//!
//! Variants are only ever appended; a reader skips and counts those it does not know.

use crate::frame::{Fault, Hello, Mark};
use crate::time::{BootMs, UtcMs};
use serde::{Deserialize, Serialize};

/// An entry of the log that is not a reading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Note {
    /// The bridge introduced itself.
    Hello(Hello),
    /// Someone marked a section or a step at the machine.
    Mark(Mark),
    /// A controller reported a fault.
    Fault(Fault),
    /// The board learned the time.
    ClockFix(ClockFix),
    /// Link totals since the last such note.
    LinkLoss(LinkLoss),
    /// The agent had to drop readings, or saw none.
    Gap(Gap),
    /// The agent began to record.
    Started,
    /// The agent ended in good order.
    Stopped,
    /// This part was sealed from a journal that could not be read whole.
    Repaired(Repaired),
    /// The agent removed a part of the log.
    Removed(Removed),
    /// Someone told the agent by hand where the machine is.
    Told(Told),
}

/// The most bytes of a section's id in a [`Told`].
pub const MAX_SECTION_ID: usize = 32;

/// A section's id as somebody wrote it. It is not checked against the site file, which the
/// board does not have.
pub type SectionId = heapless::String<MAX_SECTION_ID, u8>;

/// A mark given by hand. What it does not name stays as it was.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Told {
    /// The section that begins.
    pub section: Option<SectionId>,
    /// The phase that begins.
    pub phase: Option<ToldPhase>,
}

/// A phase of work told by hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum ToldPhase {
    /// The regular run over a finished floor.
    Maintenance,
    /// The grinding step of this number, from 1.
    Step(u8),
}

/// What the clock was at an instant of the board's clock.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ClockFix {
    /// The time learned.
    pub utc: UtcMs,
    /// Where from.
    pub source: ClockSource,
    /// Half width of the interval that holds the true time, in ms.
    pub uncertainty_ms: u32,
}

/// Who told the time; later ones are trusted more.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum ClockSource {
    /// The board's system clock, not known to be set.
    System,
    /// A person set it, or it was given for a replay.
    Operator,
    /// A battery-backed clock.
    RealTimeClock,
    /// The time stamps of a capture.
    Capture,
    /// The network.
    Network,
    /// A satellite receiver.
    Satellite,
}

/// What the link lost in a while.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct LinkLoss {
    /// Frames that arrived.
    pub frames: u32,
    /// Frames missing by their sequence numbers.
    pub lost: u32,
    /// Packets whose checksum or framing did not hold.
    pub damaged: u32,
    /// Packets of unknown kind, version or body.
    pub not_understood: u32,
    /// Packets that came twice or late.
    pub doubled: u32,
    /// Times the bridge began anew.
    pub restarts: u32,
    /// Times the port was lost.
    pub disconnects: u32,
}

impl LinkLoss {
    /// Whether anything but frames was counted.
    pub fn any_loss(&self) -> bool {
        *self != Self { frames: self.frames, ..Self::default() }
    }

    /// Adds the counts of `other`.
    pub fn add(&mut self, other: &Self) {
        self.frames = self.frames.saturating_add(other.frames);
        self.lost = self.lost.saturating_add(other.lost);
        self.damaged = self.damaged.saturating_add(other.damaged);
        self.not_understood = self.not_understood.saturating_add(other.not_understood);
        self.doubled = self.doubled.saturating_add(other.doubled);
        self.restarts = self.restarts.saturating_add(other.restarts);
        self.disconnects = self.disconnects.saturating_add(other.disconnects);
    }
}

/// A stretch without readings that the agent knows of. It ends at the note's time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Gap {
    /// When it began.
    pub from: BootMs,
    /// Why.
    pub reason: GapReason,
    /// Readings that had to be dropped, where known.
    pub dropped: u32,
}

/// What of a journal could not be read when it was sealed.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Repaired {
    /// Bytes of a batch at the end that the power cut.
    pub torn_bytes: u32,
    /// Bytes between whole batches that are none.
    pub damaged_bytes: u32,
    /// Batches missing by their numbers.
    pub missing_batches: u32,
    /// Notes of a newer version that could not be carried over.
    pub unknown_notes: u32,
}

/// A part of the log that was removed to keep the log within its limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Removed {
    /// Its boot.
    pub boot: u32,
    /// Its number in that boot.
    pub part: u32,
    /// Its length in bytes.
    pub bytes: u64,
    /// Whether a copy of it had been confirmed.
    pub copied: bool,
}

/// Why readings are missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum GapReason {
    /// The bridge sent nothing, or the port was gone.
    BridgeSilent,
    /// More came than the board could store.
    Overload,
    /// The disk was full or failed.
    Storage,
    /// The bridge restarted; how long it was away is not known.
    BridgeRestarted,
}
