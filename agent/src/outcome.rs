//! What a run did, counted by kind.

use crate::decode::CanCounts;
use crate::record::SealReport;
use crate::ring::HighRateCounts;
use std::fmt;
use underbrush_protocol::note::LinkLoss;

/// How far a replay is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Bytes of the capture taken in.
    pub bytes_done: u64,
    /// Bytes it has.
    pub bytes_total: u64,
}

/// What was read, what was recorded, what was lost.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Outcome {
    /// Whether the source was a recording: its losses then set the exit code.
    pub replay: bool,
    /// Bytes from the source.
    pub source_bytes: u64,
    /// Frames understood.
    pub frames: u64,
    /// Readings put into the log, without those at full rate.
    pub readings: u64,
    /// What became of readings at full rate.
    pub high_rate: HighRateCounts,
    /// Readings that could not be stored.
    pub dropped: u64,
    /// Losses on the link. A damaged packet is also missing by its number.
    pub link: LinkLoss,
    /// What the CAN frames were; zero for a bridge.
    pub can: CanCounts,
    /// Archives written, and what was found in journals.
    pub sealed: SealReport,
}

impl Outcome {
    /// Whether anything of the source or the log was lost or not understood.
    pub fn any_loss(&self) -> bool {
        self.link.any_loss()
            || self.dropped > 0
            || self.high_rate.lost > 0
            || self.can.not_understood() > 0
            || self.sealed.any_loss()
    }

    /// 3 for a replay with losses, else 0: a live link always loses a frame or two.
    pub fn exit_code(&self) -> u8 {
        if self.replay && self.any_loss() { 3 } else { 0 }
    }
}

impl fmt::Display for Outcome {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "bytes read        {}", self.source_bytes)?;
        writeln!(f, "frames            {}", self.frames)?;
        writeln!(f, "readings recorded {}", self.readings)?;
        let fine = &self.high_rate;
        if fine.came > 0 {
            writeln!(
                f,
                "at full rate      {} of {}, {} events",
                fine.given, fine.came, fine.events
            )?;
        }
        for archive in &self.sealed.archives {
            writeln!(f, "archive           {archive}")?;
        }
        writeln!(f, "archive bytes     {}", self.sealed.archive_bytes)?;
        let link = &self.link;
        let losses: [(&str, u64); 23] = [
            ("frames missing by number", link.lost.into()),
            ("packets damaged", link.damaged.into()),
            ("packets not understood", link.not_understood.into()),
            ("packets doubled or late", link.doubled.into()),
            ("bridge restarts", link.restarts.into()),
            ("port lost", link.disconnects.into()),
            ("malformed lines", self.can.malformed_lines),
            ("CAN frames too short", self.can.too_short),
            ("values out of range", self.can.out_of_range),
            ("values not available", self.can.not_available),
            ("values with an error indicator", self.can.indicators),
            ("frames without a time", self.can.untimed),
            ("long messages put together", self.can.long_messages),
            ("long messages not whole", self.can.long_lost),
            ("messages over 1785 bytes, not read", self.can.long_extended),
            ("CAN frames not mapped", self.can.not_mapped),
            ("remote and error frames", self.can.remote + self.can.error_frames),
            ("readings not stored", self.dropped),
            ("readings at full rate lost", fine.lost),
            ("readings at full rate that left the memory early", fine.left_early),
            ("journal bytes torn", self.sealed.torn_bytes),
            ("journal bytes damaged", self.sealed.damaged_bytes),
            ("journals not sealed", self.sealed.unsealed.len() as u64),
        ];
        for (what, count) in losses.into_iter().filter(|(_, count)| *count > 0) {
            writeln!(f, "{what}: {count}")?;
        }
        Ok(())
    }
}
