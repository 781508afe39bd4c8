//! What a window can show.

use underbrush_protocol::detect::{CareRule, LoadKind};
use underbrush_protocol::frame::MAX_MOTORS;

/// What a line is of. Motors count from 0, left to right.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Ground speed in m/s, forward positive.
    Speed,
    /// Current of a brush motor in A.
    Current(usize),
    /// The same at the full rate of the bridge, where that was kept.
    FineCurrent(usize),
    /// Rotation of a brush in r/min.
    Rotation(usize),
    /// Brushes switched on: 1, otherwise 0.
    Command,
    /// Brush head lowered: 1, otherwise 0.
    HeadDown,
    /// Vacuum on: 1, otherwise 0.
    Vacuum,
    /// Solution flow in percent.
    Water,
    /// Down-pressure setting in percent.
    Pressure,
    /// Battery voltage in V.
    Battery,
    /// Battery current in A, drawn positive.
    BatteryCurrent,
    /// Heat of a brush motor by its thermal replica: 0 cold, 1 at its limit.
    Heat(usize),
    /// State of a detector: 1 while its event goes on, 0.5 while what it looks for holds
    /// but not for long enough yet, otherwise 0.
    Detector(DetectorKind),
}

/// A detector that the live alarm and the report share.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum DetectorKind {
    /// A brush turns while the machine stands.
    Stationary,
    /// Load of the brush motors; of all motors the one that is furthest.
    Load(LoadKind),
    /// A switch in the wrong place.
    Care(CareRule),
}

impl DetectorKind {
    /// All of them.
    pub const ALL: [Self; 15] = [
        Self::Stationary,
        Self::Load(LoadKind::Stall),
        Self::Load(LoadKind::NearStall),
        Self::Load(LoadKind::Trip),
        Self::Load(LoadKind::OverPressure),
        Self::Load(LoadKind::Heavy),
        Self::Load(LoadKind::Light),
        Self::Load(LoadKind::Uneven),
        Self::Load(LoadKind::Dry),
        Self::Load(LoadKind::Hot),
        Self::Care(CareRule::Vacuum),
        Self::Care(CareRule::Water),
        Self::Care(CareRule::Pressure),
        Self::Care(CareRule::Head),
        Self::Care(CareRule::Forbidden),
    ];
}

impl Quantity {
    /// Everything that a window can show of a machine.
    pub fn all() -> Vec<Self> {
        let motors =
            (0..MAX_MOTORS).flat_map(|m| [Self::Current(m), Self::Rotation(m), Self::Heat(m)]);
        let single = [
            Self::Speed,
            Self::Command,
            Self::HeadDown,
            Self::Vacuum,
            Self::Water,
            Self::Pressure,
            Self::Battery,
            Self::BatteryCurrent,
        ];
        single.into_iter().chain(motors).chain(DetectorKind::ALL.map(Self::Detector)).collect()
    }
}
