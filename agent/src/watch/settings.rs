//! Which alarms are given and how early. The limits of the events are the machine file's.

use super::hook::HookSettings;
use super::kind::AlarmKind;
use std::path::PathBuf;

/// What is told live. All times are common practice, no published source.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AlarmSettings {
    /// Kinds that are not told.
    pub off: Vec<AlarmKind>,
    /// Kinds with a warning before the event, and how long the condition holds by then, in ms.
    pub warn_ms: Vec<(AlarmKind, u64)>,
    /// Of each kind so many false warnings in a row are heard.
    pub warnings_in_a_row: u32,
    /// After that one more each such time, in ms; 0: all are.
    pub warning_rest_ms: u64,
    /// Whether the bridge is told, for its buzzer. A bridge that cannot hear needs nothing sent.
    pub bridge_buzzer: bool,
    /// The line that is switched.
    pub relay: Option<RelaySettings>,
    /// The program that is run.
    pub command: Option<HookSettings>,
}

/// A line of a GPIO chip that a relay, lamp or horn hangs on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RelaySettings {
    /// The chip's device, for instance `/dev/gpiochip0`.
    pub chip: PathBuf,
    /// The line's number on it.
    pub line: u32,
    /// The relay is on while the line is low.
    pub active_low: bool,
    /// It is on for at least this, in ms.
    pub hold_ms: u64,
    /// It is switched by warnings as well.
    pub warnings: bool,
}

impl Default for AlarmSettings {
    fn default() -> Self {
        Self {
            off: Vec::new(),
            // Standing: heard within 1 s, with the time that the readings take. A held motor
            // overheats within seconds: with the first reading.
            warn_ms: vec![
                (AlarmKind::Stationary, 500),
                (AlarmKind::Stall, 0),
                (AlarmKind::OverPressure, 1_000),
            ],
            warnings_in_a_row: 3,
            warning_rest_ms: 10_000,
            bridge_buzzer: false,
            relay: None,
            command: None,
        }
    }
}

impl AlarmSettings {
    /// Whether that kind is told.
    pub fn tells(&self, kind: AlarmKind) -> bool {
        !self.off.contains(&kind)
    }

    /// How long it holds before a warning, in ms; `None`: there is no warning.
    pub fn warns_after_ms(&self, kind: AlarmKind) -> Option<u64> {
        self.warn_ms.iter().find(|(other, _)| *other == kind).map(|(_, ms)| *ms)
    }
}
