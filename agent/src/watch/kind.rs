//! What an alarm says.

use serde::{Deserialize, Serialize};
use std::fmt;
use underbrush_protocol::time::BootMs;

/// What is wrong at the machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AlarmKind {
    /// A brush turns while the machine stands.
    Stationary,
    /// The load holds a brush motor.
    Stall,
    /// A motor's current is above the machine's limit.
    OverPressure,
    /// A motor's current vanished at high load: a breaker.
    Trip,
    /// Brushes turn on the floor with the vacuum off.
    Vacuum,
    /// Brushes turn on the floor with no or too little water.
    Water,
    /// Brushes turn on the floor with less than full pressure.
    Pressure,
    /// Brushes turn with the head up.
    Head,
}

impl AlarmKind {
    /// All of them, the most urgent first.
    pub const ALL: [Self; 8] = [
        Self::Stationary,
        Self::Stall,
        Self::OverPressure,
        Self::Trip,
        Self::Vacuum,
        Self::Water,
        Self::Pressure,
        Self::Head,
    ];

    /// The word for it in settings, status and commands.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stationary => "stationary",
            Self::Stall => "stall",
            Self::OverPressure => "over_pressure",
            Self::Trip => "trip",
            Self::Vacuum => "vacuum",
            Self::Water => "water",
            Self::Pressure => "pressure",
            Self::Head => "head",
        }
    }

    /// Whether it is of one motor rather than of the machine.
    pub fn has_motor(self) -> bool {
        matches!(self, Self::Stall | Self::OverPressure | Self::Trip)
    }

    /// For a person at the machine.
    pub fn says(self) -> &'static str {
        match self {
            Self::Stationary => "brush turns, machine stands",
            Self::Stall => "brush motor held",
            Self::OverPressure => "brush motor current too high",
            Self::Trip => "brush motor without current",
            Self::Vacuum => "vacuum off",
            Self::Water => "water off or too low",
            Self::Pressure => "pressure too low",
            Self::Head => "brushes turn with the head up",
        }
    }
}

/// How sure it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// It has begun; the report does not call it an event yet.
    Warning,
    /// The report will tell of it.
    Event,
}

/// An alarm that begins or ends.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Alarm {
    /// Up to when the machine was judged.
    pub at: BootMs,
    /// What.
    pub kind: AlarmKind,
    /// How sure.
    pub stage: Stage,
    /// Motor from 0, where it is of one.
    pub motor: Option<u8>,
    /// Since when it holds.
    pub began: BootMs,
    /// It begins; else it ends.
    pub on: bool,
}

impl fmt::Display for Alarm {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let stage = if self.stage == Stage::Event { "alarm" } else { "warning" };
        write!(f, "{stage} {}: {}", if self.on { "on" } else { "off" }, self.kind.says())?;
        match self.motor {
            Some(motor) => write!(f, ", motor {}", motor + 1),
            None => Ok(()),
        }
    }
}
