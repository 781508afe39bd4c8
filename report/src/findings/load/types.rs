//! What is found about the brush motors.

use super::baseline::Normal;
use crate::findings::observed::Observed;
use crate::findings::types::{Place, Span};
use chrono::{DateTime, Utc};
use underbrush_protocol::detect::Expected;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Amperes, Seconds};

pub use underbrush_protocol::detect::{LightCause, LoadKind, Onset};

/// Brush motor load.
#[derive(Clone, Debug, Default, serde::Serialize, serde::Deserialize)]
pub struct LoadFinding {
    /// Each motor, left to right.
    pub motors: Vec<MotorLoad>,
    /// Stalls in order.
    pub stalls: Vec<LoadFindingEvent>,
    /// Over-pressure in order.
    pub over_pressure: Vec<LoadFindingEvent>,
    /// All other load events in order.
    pub others: Vec<LoadFindingEvent>,
    /// What brushes drew without water against with it; `None`: no such time, or no normal current.
    pub dry: Option<DryLoad>,
    /// Brush time in which every motor's current was read.
    pub observed: Observed,
    /// Time of normal work in which it was known what each motor should draw.
    pub compared: Observed,
}

impl LoadFinding {
    /// Events of one kind in order.
    pub fn of(&self, kind: LoadKind) -> impl Iterator<Item = &LoadFindingEvent> {
        self.all().filter(move |event| event.kind == kind)
    }

    /// What each motor should have drawn at the time of an event: by the event's own ratio
    /// where it has one, else on the whole of the night, else by the machine file.
    pub(crate) fn expected(&self, machine: &Machine, at: Span) -> Expected {
        use LoadKind::{Hot, Uneven};
        let own = self.all().find(|e| e.span == at && !matches!(e.kind, Hot | Uneven));
        let of = |motor: usize| {
            let own = own.filter(|e| e.motor == motor);
            let own = own.and_then(|e| Some(e.mean.0 / e.ratio.filter(|ratio| *ratio > 0.0)?));
            let night = || Some(self.motors.get(motor)?.normal?.normal.current.0);
            let file = || machine.load.expected_current.map(|current| current.0);
            own.or_else(night).or_else(file).map(|current_a| current_a as f32)
        };
        Expected { current_a: std::array::from_fn(of), spread: 0.0 }
    }

    /// All events; those of one kind in order.
    pub fn all(&self) -> impl Iterator<Item = &LoadFindingEvent> {
        self.stalls.iter().chain(&self.over_pressure).chain(&self.others)
    }
}

/// Current of one motor over its brush time.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct MotorLoad {
    /// Time-weighted mean.
    pub mean: Amperes,
    /// Time-weighted median.
    pub median: Amperes,
    /// 95 % of the time it was not above this.
    pub p95: Amperes,
    /// Largest reading.
    pub max: Amperes,
    /// Normal work against what is normal there; `None` where that is not known.
    pub normal: Option<AgainstNormal>,
    /// Heat; `None` where no current was read.
    pub heat: Option<Heat>,
}

/// Normal work of a motor against what is normal at each place.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct AgainstNormal {
    /// Where most of the time was compared with: its current is the mean over all places.
    pub normal: Normal,
    /// Mean current of the same time.
    pub tonight: Amperes,
    /// That time.
    pub time: Seconds,
}

/// Heat of a motor at its highest, by the thermal replica.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Heat {
    /// Share of the limit, 1 at the limit.
    pub share: f64,
    /// When.
    pub at: DateTime<Utc>,
    /// Current at that moment.
    pub current: Amperes,
    /// Time from there to the limit at that current; `None`: it would never be reached.
    pub to_limit: Option<Seconds>,
}

impl Heat {
    /// What was left to the limit, as a share of it; below 0 beyond the limit.
    pub fn headroom(&self) -> f64 {
        1.0 - self.share
    }
}

/// Brushes without water against what is normal with it.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct DryLoad {
    /// Time on the floor, moving, with the flow reported as 0.
    pub time: Seconds,
    /// Mean of current over normal current, less 1.
    pub more: f64,
}

/// A load event.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct LoadFindingEvent {
    /// What.
    pub kind: LoadKind,
    /// When.
    pub span: Span,
    /// The data ended there.
    pub cut_short: bool,
    /// Which motor, from 0, left to right; of uneven load the one that drew most.
    pub motor: usize,
    /// Largest current; of a trip: before it.
    pub peak: Amperes,
    /// Mean current.
    pub mean: Amperes,
    /// Mean of current over normal current; of uneven load largest over smallest; of heat its
    /// largest share.
    pub ratio: Option<f64>,
    /// Time from the last normal current to the limit.
    pub rise: Option<Seconds>,
    /// How it came, by that time.
    pub onset: Option<Onset>,
    /// What is behind light contact, by what is known.
    pub cause: Option<LightCause>,
    /// Where.
    pub place: Place,
}
