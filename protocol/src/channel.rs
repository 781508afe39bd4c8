//! Which quantity a reading is of.
//!
//! Numbers are for good: a channel is only ever added. A reader keeps channels
//! that it does not know.
//!
//! A *fine* channel holds the full-rate readings of another around an event. Its number is
//! that of the other and [`Channel::FINE`]; its readings are written after their time, in
//! batches and blocks of their own, and the other channel is whole without them.

use crate::frame::MAX_MOTORS;
use serde::{Deserialize, Serialize};

/// Number of a quantity in the log.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct Channel(pub u8);

impl Channel {
    /// Ground speed, [`crate::wire_units::SpeedRaw`].
    pub const SPEED: Self = Self(1);
    /// Turn rate, [`crate::wire_units::TurnRateRaw`].
    pub const TURN_RATE: Self = Self(2);
    /// Brushes switched on, 0 or 1.
    pub const BRUSH_COMMAND: Self = Self(3);
    /// Down-pressure setting in percent.
    pub const PRESSURE_SETTING: Self = Self(4);
    const BRUSH_CURRENT_0: u8 = 8;
    const BRUSH_ROTATION_0: u8 = 12;
    /// Brush head lowered, 0 or 1.
    pub const HEAD_DOWN: Self = Self(16);
    /// Vacuum on, 0 or 1.
    pub const VACUUM_ON: Self = Self(17);
    /// Solution flow setting in percent.
    pub const SOLUTION_FLOW: Self = Self(18);
    /// Battery voltage, [`crate::wire_units::VoltageRaw`].
    pub const BATTERY_VOLTAGE: Self = Self(20);
    /// Battery current, [`crate::wire_units::CurrentRaw`].
    pub const BATTERY_CURRENT: Self = Self(21);
    /// Hour meter of the key in s.
    pub const KEY_ON_METER: Self = Self(24);
    /// Hour meter of the brushes in s.
    pub const BRUSH_ON_METER: Self = Self(25);
    /// Hour meter of the traction drive in s.
    pub const TRACTION_METER: Self = Self(26);
    /// From this number on channels are fine: this much above the channel of the same quantity.
    pub const FINE: u8 = 64;
    /// The highest number a log may hold; 128 and above mark other entries.
    pub const MAX: u8 = 127;

    /// Current of brush motor `motor` (0 to 3), [`crate::wire_units::CurrentRaw`].
    pub fn brush_current(motor: usize) -> Option<Self> {
        (motor < MAX_MOTORS).then(|| Self(Self::BRUSH_CURRENT_0 + motor as u8))
    }

    /// Rotation of brush `motor` (0 to 3), [`crate::wire_units::RotationRaw`].
    pub fn brush_rotation(motor: usize) -> Option<Self> {
        (motor < MAX_MOTORS).then(|| Self(Self::BRUSH_ROTATION_0 + motor as u8))
    }

    /// The motor (0 to 3) whose current this is.
    pub fn motor_of_current(self) -> Option<usize> {
        (0..MAX_MOTORS).find(|motor| Self::brush_current(*motor) == Some(self))
    }

    /// The brush (0 to 3) whose rotation this is.
    pub fn brush_of_rotation(self) -> Option<usize> {
        (0..MAX_MOTORS).find(|brush| Self::brush_rotation(*brush) == Some(self))
    }

    /// The channel for full-rate readings of this one; `None` for switches, settings and meters,
    /// of which each change is in the log anyway, and for a fine channel.
    pub fn fine(self) -> Option<Self> {
        matches!(self.0, 1 | 2 | 8..=15 | 20 | 21).then_some(Self(self.0 + Self::FINE))
    }

    /// Whether its readings are full-rate ones around an event.
    pub fn is_fine(self) -> bool {
        self.0 >= Self::FINE
    }

    /// The channel of the same quantity at normal rate: itself, if it is not fine.
    #[must_use]
    pub fn normal(self) -> Self {
        Self(self.0 % Self::FINE)
    }

    /// What a person or a machine file calls the channel.
    pub fn name(self) -> &'static str {
        NAMES.iter().find(|(channel, _)| *channel == self).map_or("unknown", |(_, name)| name)
    }

    /// The channel of that name.
    pub fn by_name(name: &str) -> Option<Self> {
        NAMES.iter().find(|(_, n)| *n == name).map(|(channel, _)| *channel)
    }

    /// All names, for messages that list them.
    pub fn names() -> impl Iterator<Item = &'static str> {
        NAMES.iter().map(|(_, name)| *name)
    }

    /// The SI value (or r/min, percent, 0/1) of one raw step.
    pub fn resolution(self) -> f64 {
        use crate::wire_units::{CurrentRaw, RotationRaw, SpeedRaw, TurnRateRaw, VoltageRaw};
        match self.normal().0 {
            1 => SpeedRaw::RESOLUTION,
            2 => TurnRateRaw::RESOLUTION,
            8..=11 | 21 => CurrentRaw::RESOLUTION,
            12..=15 => RotationRaw::RESOLUTION_RPM,
            20 => VoltageRaw::RESOLUTION,
            _ => 1.0,
        }
    }

    /// The unit of its values, `0/1` of a switch; `None`: a channel that this program does not
    /// know, whose values are raw.
    pub fn unit(self) -> Option<&'static str> {
        Some(match self.normal().0 {
            1 => "m/s",
            2 => "rad/s",
            8..=11 | 21 => "A",
            12..=15 => "r/min",
            20 => "V",
            4 | 18 => "%",
            24..=26 => "s",
            3 | 16 | 17 => "0/1",
            _ => return None,
        })
    }

    /// Smallest and largest raw value that the wire type can hold.
    pub fn raw_range(self) -> (i32, i32) {
        match self.normal().0 {
            1 | 2 | 8..=11 | 21 => (i32::from(i16::MIN), i32::from(i16::MAX)),
            12..=15 | 20 => (0, i32::from(u16::MAX)),
            3 | 16 | 17 => (0, 1),
            4 | 18 => (0, 100),
            24..=26 => (0, i32::MAX),
            _ => (i32::MIN, i32::MAX),
        }
    }
}

const NAMES: [(Channel, &str); 32] = [
    (Channel::SPEED, "speed"),
    (Channel::TURN_RATE, "turn_rate"),
    (Channel::BRUSH_COMMAND, "brush_command"),
    (Channel::PRESSURE_SETTING, "pressure_setting"),
    (Channel(8), "brush_current_1"),
    (Channel(9), "brush_current_2"),
    (Channel(10), "brush_current_3"),
    (Channel(11), "brush_current_4"),
    (Channel(12), "brush_rotation_1"),
    (Channel(13), "brush_rotation_2"),
    (Channel(14), "brush_rotation_3"),
    (Channel(15), "brush_rotation_4"),
    (Channel::HEAD_DOWN, "head_down"),
    (Channel::VACUUM_ON, "vacuum_on"),
    (Channel::SOLUTION_FLOW, "solution_flow"),
    (Channel::BATTERY_VOLTAGE, "battery_voltage"),
    (Channel::BATTERY_CURRENT, "battery_current"),
    (Channel::KEY_ON_METER, "key_on_meter"),
    (Channel::BRUSH_ON_METER, "brush_on_meter"),
    (Channel::TRACTION_METER, "traction_meter"),
    (Channel(65), "speed_fine"),
    (Channel(66), "turn_rate_fine"),
    (Channel(72), "brush_current_fine_1"),
    (Channel(73), "brush_current_fine_2"),
    (Channel(74), "brush_current_fine_3"),
    (Channel(75), "brush_current_fine_4"),
    (Channel(76), "brush_rotation_fine_1"),
    (Channel(77), "brush_rotation_fine_2"),
    (Channel(78), "brush_rotation_fine_3"),
    (Channel(79), "brush_rotation_fine_4"),
    (Channel(84), "battery_voltage_fine"),
    (Channel(85), "battery_current_fine"),
];
