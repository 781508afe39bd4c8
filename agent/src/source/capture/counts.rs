//! What a recording held.

use std::fmt;

/// How a recording is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CaptureFormat {
    /// Text of can-utils.
    Candump,
    /// Text of measurement programs.
    Asc,
    /// Their binary log.
    Blf,
    /// Text of CAN viewers.
    Trc,
}

/// Where in a file something stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// A line, counted from 1.
    Line(u64),
    /// A byte, counted from 0.
    Byte(u64),
}

/// Something that is no frame and should be one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Damage {
    /// Where.
    pub place: Place,
    /// Why it is not taken.
    pub reason: &'static str,
}

/// What a recording held.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct CaptureCounts {
    /// How it is written; `None` if it is none of the known formats.
    pub format: Option<CaptureFormat>,
    /// Bytes read.
    pub bytes: u64,
    /// Frames given.
    pub frames: u64,
    /// Lines or objects that are damaged and left out.
    pub damaged: u64,
    /// The first of them.
    pub damage: Vec<Damage>,
    /// Frames without a time, given at the time of the one before.
    pub untimed: u64,
    /// Frames whose time is before that of the frame before.
    pub backward: u64,
    /// The beginning as the head of the file says it, without a time zone.
    pub local_start: Option<String>,
}

impl CaptureCounts {
    /// As many damages are kept with their places.
    pub const KEPT: usize = 10;

    pub(super) fn damaged(&mut self, place: Place, reason: &'static str) {
        self.damaged += 1;
        if self.damage.len() < Self::KEPT {
            tracing::warn!(%place, reason, "damaged, left out");
            self.damage.push(Damage { place, reason });
        } else if self.damaged == Self::KEPT as u64 + 1 {
            tracing::warn!("further damages are only counted");
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Line(line) => write!(f, "line {line}"),
            Self::Byte(byte) => write!(f, "byte {byte}"),
        }
    }
}

impl fmt::Display for CaptureFormat {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Candump => "candump",
            Self::Asc => "ASC",
            Self::Blf => "BLF",
            Self::Trc => "TRC",
        })
    }
}
