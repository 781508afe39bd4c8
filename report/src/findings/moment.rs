//! One step of the timeline with what all findings need to know of it.

use super::types::{Place, Span};
use crate::logset::ClockMap;
use crate::settings::Band;
use chrono::{DateTime, Utc};
use underbrush_protocol::detect::Interval;
use underbrush_protocol::detect::Run;
use underbrush_protocol::si::{MetresPerSecond, Seconds};
use underbrush_protocol::time::BootMs;

/// A step, judged once.
pub(super) struct Moment<'a> {
    pub(super) interval: &'a Interval,
    pub(super) clock: &'a ClockMap,
    /// Whether a brush turns; `None`: not observed.
    pub(super) turning: Option<bool>,
    /// Friction energy of each brush in J; `None`: not observed.
    pub(super) friction_j: Option<&'a [f64]>,
    pub(super) place: Place,
    /// How the place is known.
    pub(super) stay: Stay,
    /// Band of the phase in force.
    pub(super) band: Option<Band>,
}

/// How the place in force is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Stay {
    /// How sure an assumed place is, 0 to 1; `None`: it was told.
    pub(super) confidence: Option<f64>,
    /// Time of the last mark that somebody told, in UTC ms.
    pub(super) told_at: Option<i64>,
}

impl Moment<'_> {
    pub(super) fn ms(&self) -> u64 {
        self.interval.ms()
    }

    pub(super) fn length(&self) -> Seconds {
        Seconds::from_ms(self.ms())
    }

    /// Speed without sign.
    pub(super) fn speed(&self) -> Option<MetresPerSecond> {
        self.interval.speed_m_s.map(|v| MetresPerSecond(f64::from(v).abs()))
    }

    /// Both speed and brush are known.
    pub(super) fn observed(&self) -> bool {
        self.turning.is_some() && self.interval.speed_m_s.is_some()
    }

    /// Brush time: observed, and a brush turns.
    pub(super) fn brush_speed(&self) -> Option<MetresPerSecond> {
        self.speed().filter(|_| self.turning == Some(true))
    }
}

/// An instant of a boot in wall time.
pub(super) fn wall(clock: &ClockMap, at: BootMs) -> DateTime<Utc> {
    DateTime::from_timestamp_millis(clock.utc(at).0).unwrap_or_default()
}

/// A run of a boot in wall time.
pub(super) fn wall_span(clock: &ClockMap, run: Run) -> Span {
    Span { from: wall(clock, run.from), to: wall(clock, run.to) }
}
