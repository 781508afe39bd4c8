//! What a bridge can say: one type a frame kind.
//!
//! A body is the `postcard` form of its struct. Fields are only ever appended,
//! never changed or reordered (see [`crate::link::version`]).
//!
//! A rate (speed, current, rotation) is the mean since the frame of the same
//! kind before it; a state (command, setting, switch) is that at the tick. Any kind may
//! be sent as fast as the link carries it; [`Burst`] carries currents in fewer bytes.

mod burst;

pub use burst::{Burst, BurstSample, MAX_BURST_VALUES};

use crate::wire_units::{
    CurrentRaw, HourMeterRaw, Percent, RotationRaw, SpeedRaw, TurnRateRaw, VoltageRaw,
};
use heapless::Vec;
use serde::{Deserialize, Serialize};

/// The most brush motors a frame can carry.
pub const MAX_MOTORS: usize = 4;

/// One message on the link.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Frame {
    /// Who the bridge is; sent at its start and every 10 s.
    Hello(Hello),
    /// How the machine moves.
    Motion(Motion),
    /// What the brush motors do.
    Brush(Brush),
    /// The machine's hour meters.
    Runtime(Runtime),
    /// The battery.
    Power(Power),
    /// Switches and valves.
    Controls(Controls),
    /// Something a person or a tag told the bridge.
    Mark(Mark),
    /// A fault code of a controller.
    Fault(Fault),
    /// The motor currents at full rate.
    Burst(Burst),
}

/// Bridge identity.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Hello {
    /// Serial number of the bridge.
    pub bridge_id: u32,
    /// Firmware version: major, minor, patch.
    pub firmware: (u8, u8, u8),
    /// What the bridge can send.
    pub capabilities: Capabilities,
    /// Number of brush motors measured apart, 0 to 4.
    pub brush_motors: u8,
    /// Time between two Motion frames in ms.
    pub period_ms: u16,
}

/// A set of things a bridge can send, one bit each; unknown bits are kept.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Capabilities(pub u32);

impl Capabilities {
    /// Motion frames carry the turn rate.
    pub const TURN_RATE: Self = Self(1);
    /// Brush frames carry the rotation of each brush.
    pub const ROTATION: Self = Self(1 << 1);
    /// Brush frames carry the deck pressure setting.
    pub const PRESSURE_SETTING: Self = Self(1 << 2);
    /// Power frames carry the battery current.
    pub const BATTERY_CURRENT: Self = Self(1 << 3);
    /// Controls frames are sent.
    pub const CONTROLS: Self = Self(1 << 4);
    /// The bridge has buttons or a tag reader.
    pub const MARKS: Self = Self(1 << 5);
    /// Burst frames are sent.
    pub const BURST: Self = Self(1 << 6);

    /// Whether all bits of `other` are set.
    pub fn has(self, other: Self) -> bool {
        self.0 & other.0 == other.0
    }

    /// Both sets together.
    #[must_use]
    pub fn with(self, other: Self) -> Self {
        Self(self.0 | other.0)
    }
}

/// How the machine moves.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Motion {
    /// Ground speed, forward positive.
    pub speed: SpeedRaw,
    /// Turn rate, anticlockwise from above positive.
    pub turn_rate: Option<TurnRateRaw>,
}

/// What the brush motors do.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Brush {
    /// Whether the brushes are switched on.
    pub command_on: bool,
    /// One entry a motor, left to right seen from the operator.
    pub motors: Vec<BrushMotor, MAX_MOTORS>,
    /// Down-pressure setting in percent of its maximum.
    pub pressure_setting: Option<Percent>,
}

/// One brush motor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BrushMotor {
    /// Motor current.
    pub current: CurrentRaw,
    /// Rotation of the brush shaft, without sign.
    pub rotation: Option<RotationRaw>,
}

/// The machine's own hour meters, 0 to 2^31 - 1 s.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Runtime {
    /// Time with the key on.
    pub key_on: Option<HourMeterRaw>,
    /// Time with the brushes on.
    pub brush_on: Option<HourMeterRaw>,
    /// Time with the traction drive on.
    pub traction: Option<HourMeterRaw>,
}

/// The battery.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Power {
    /// Voltage at the terminals.
    pub voltage: VoltageRaw,
    /// Current out of the battery; charging is negative.
    pub current: Option<CurrentRaw>,
}

/// Switches and valves.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Controls {
    /// Brush head lowered.
    pub head_down: Option<bool>,
    /// Vacuum motor on.
    pub vacuum_on: Option<bool>,
    /// Solution (water) flow setting in percent of its maximum.
    pub solution_flow: Option<Percent>,
}

/// A mark given at the machine.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Mark {
    /// A button of the bridge, by its number.
    Button(u8),
    /// A tag that the bridge read, by its number.
    Tag(u64),
}

/// A fault code of a controller.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Fault {
    /// Which controller on the machine.
    pub controller: u8,
    /// Its code, as its manual prints it.
    pub code: u32,
    /// `true` when it appears, `false` when it clears.
    pub active: bool,
}

/// Number of a frame kind in the link header.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Kind(pub u8);

impl Kind {
    /// [`Hello`]
    pub const HELLO: Self = Self(1);
    /// [`Motion`]
    pub const MOTION: Self = Self(2);
    /// [`Brush`]
    pub const BRUSH: Self = Self(3);
    /// [`Runtime`]
    pub const RUNTIME: Self = Self(4);
    /// [`Power`]
    pub const POWER: Self = Self(5);
    /// [`Controls`]
    pub const CONTROLS: Self = Self(6);
    /// [`Mark`]
    pub const MARK: Self = Self(7);
    /// [`Fault`]
    pub const FAULT: Self = Self(8);
    /// [`Burst`]
    pub const BURST: Self = Self(9);
}

/// Why a body could not be read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BodyError {
    /// A kind this version does not know: sent by a newer bridge.
    UnknownKind,
    /// The bytes are not a body of that kind.
    Malformed,
}

impl Frame {
    /// The number of this frame's kind.
    pub fn kind(&self) -> Kind {
        match self {
            Self::Hello(_) => Kind::HELLO,
            Self::Motion(_) => Kind::MOTION,
            Self::Brush(_) => Kind::BRUSH,
            Self::Runtime(_) => Kind::RUNTIME,
            Self::Power(_) => Kind::POWER,
            Self::Controls(_) => Kind::CONTROLS,
            Self::Mark(_) => Kind::MARK,
            Self::Fault(_) => Kind::FAULT,
            Self::Burst(_) => Kind::BURST,
        }
    }

    /// Writes the body into `buffer` and returns its length, or `None` if it does not fit.
    pub fn write_body(&self, buffer: &mut [u8]) -> Option<usize> {
        let used = match self {
            Self::Hello(b) => postcard::to_slice(b, buffer),
            Self::Motion(b) => postcard::to_slice(b, buffer),
            Self::Brush(b) => postcard::to_slice(b, buffer),
            Self::Runtime(b) => postcard::to_slice(b, buffer),
            Self::Power(b) => postcard::to_slice(b, buffer),
            Self::Controls(b) => postcard::to_slice(b, buffer),
            Self::Mark(b) => postcard::to_slice(b, buffer),
            Self::Fault(b) => postcard::to_slice(b, buffer),
            Self::Burst(b) => postcard::to_slice(b, buffer),
        };
        used.ok().map(|bytes| bytes.len())
    }

    /// Reads a body. Bytes after the last known field are left: a newer bridge appended them.
    pub fn read_body(kind: Kind, body: &[u8]) -> Result<Self, BodyError> {
        fn take<'a, T: Deserialize<'a>>(body: &'a [u8]) -> Result<T, BodyError> {
            postcard::take_from_bytes(body)
                .map(|(value, _)| value)
                .map_err(|_| BodyError::Malformed)
        }
        match kind {
            Kind::HELLO => take(body).map(Self::Hello),
            Kind::MOTION => take(body).map(Self::Motion),
            Kind::BRUSH => take(body).map(Self::Brush),
            Kind::RUNTIME => take(body).map(Self::Runtime),
            Kind::POWER => take(body).map(Self::Power),
            Kind::CONTROLS => take(body).map(Self::Controls),
            Kind::MARK => take(body).map(Self::Mark),
            Kind::FAULT => take(body).map(Self::Fault),
            Kind::BURST => take(body).map(Self::Burst),
            _ => Err(BodyError::UnknownKind),
        }
    }
}
