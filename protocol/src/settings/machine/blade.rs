//! The abrasive segments: lengths, how fast they wear, and when to order new ones.
//!
//! Length always means bonded abrasive. New ones are ordered at 1/4 in and are
//! used up at 1/16 in, before the holder comes near the floor; both, the
//! tolerances and the usual wear rate are common practice, no published source.
//! The rate is a guess until measured; the tool's own data sheet holds.

use crate::si::{Metres, MetresPerJoule, Seconds};
use serde::Deserialize;

/// The end if not given: 1/16 in.
const END: Metres = Metres(0.0254 / 16.0);

/// The table `[blade]`.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Blade {
    /// Bonded abrasive of a new segment.
    pub new_length: Metres,
    /// One standard deviation of the length of a new segment.
    pub new_length_tolerance: Metres,
    /// Order new ones at this length: 1/4 in.
    pub reorder_length: Metres,
    /// The bonded abrasive is used up at this length; see [`Blade::end`].
    pub end_length: Option<Metres>,
    /// Length lost per friction energy of one brush. A guess until measured.
    pub wear_rate: MetresPerJoule,
    /// One standard deviation of that rate, as a share of it.
    pub wear_rate_uncertainty: f64,
    /// One standard deviation of one measured length.
    pub measuring_error: Metres,
    /// Time from order to delivery.
    pub lead_time: Seconds,
    /// Time from one measurement to the next: weekly.
    pub measure_every: Seconds,
}

impl Default for Blade {
    fn default() -> Self {
        Self {
            new_length: Metres(0.0254),
            new_length_tolerance: Metres(0.0005),
            reorder_length: Metres(0.25 * 0.0254),
            end_length: None,
            wear_rate: MetresPerJoule(2.0e-11),
            wear_rate_uncertainty: 0.5,
            measuring_error: Metres(0.0004),
            lead_time: Seconds(14.0 * 86_400.0),
            measure_every: Seconds(7.0 * 86_400.0),
        }
    }
}

impl Blade {
    /// Length at which a segment is used up: the file's, or 1/16 in, at most half the order length.
    pub fn end(&self) -> Metres {
        let half = self.reorder_length / 2.0;
        self.end_length.unwrap_or(if half < END { half } else { END })
    }

    /// Key and value of each number that must be more than 0.
    pub(super) fn positive(&self) -> [(&'static str, f64); 3] {
        [
            ("blade.new_length", self.new_length.0),
            ("blade.wear_rate", self.wear_rate.0),
            ("blade.measure_every", self.measure_every.0),
        ]
    }

    /// Key and value of each number that must not be less than 0.
    pub(super) fn not_negative(&self) -> [(&'static str, f64); 6] {
        [
            ("blade.new_length_tolerance", self.new_length_tolerance.0),
            ("blade.reorder_length", self.reorder_length.0),
            ("blade.end_length", self.end().0),
            ("blade.wear_rate_uncertainty", self.wear_rate_uncertainty),
            ("blade.measuring_error", self.measuring_error.0),
            ("blade.lead_time", self.lead_time.0),
        ]
    }

    /// Lengths in an order that no segment can have.
    pub(super) fn impossible(&self) -> Option<(&'static str, &'static str)> {
        if self.reorder_length >= self.new_length {
            Some(("blade.reorder_length", "must be less than blade.new_length"))
        } else if self.end_length.is_some_and(|end| end >= self.reorder_length) {
            Some(("blade.end_length", "must be less than blade.reorder_length"))
        } else {
            None
        }
    }
}
