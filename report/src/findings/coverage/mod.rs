//! Distinct area, overlap and missed strips, visit by visit.
//!
//! Words: *swept* area counts overlap twice, *distinct* area once. A *visit* is
//! work at one place (section and phase) from its mark to the next. Overlap is
//! 1 - distinct / swept.
//!
//! Model. The brush deck is a line of the path's width across the machine,
//! `deck_offset` ahead of the axle whose speed and turn are read; what the line
//! passes while a brush turns on the floor is brushed (`raster`). The union of it
//! is the distinct area. Two visits cannot be placed against each other: the
//! distinct area of a section in a phase is that of its largest visit.
//!
//! Uncertainty. A path that drifts by s sideways moves the sides of the outline:
//! with the filter's standard deviations across and along the lanes the area has
//! one of sqrt(2) (length x across) and sqrt(2) (breadth x along), added in
//! squares; 80 % is 1.2816 of them to either side.
//! Limits: memory is bounded; a visit beyond 5000 m² says that it is not whole.

#[cfg(test)]
mod driver;
mod figures;
mod floor;
mod map;
mod raster;
mod strips;
#[cfg(test)]
mod tests;
mod visits;

pub(super) use figures::FIGURES;
pub(super) use floor::CoverageModel;
pub use map::{CoverageMap, Square};
pub(super) use visits::Visits;

use super::observed::Observed;
use super::path::Drift;
use super::types::{Place, Span};
use underbrush_protocol::si::{Metres, SquareMetres};

/// What is known of the path of a shift.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct CoverageFinding {
    /// Brush time on the floor, and how much of it has speed and turn rate.
    pub observed: Observed,
    /// Visits with brush work whose path is known, in order.
    pub visits: Vec<Visit>,
    /// Brush way whose path is known.
    pub swept_way: Metres,
    /// Brush way without turn rate, or too short to have a path.
    pub pathless_way: Metres,
}

/// One visit.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Visit {
    /// Where.
    pub place: Place,
    /// From the first to the last brushing.
    pub span: Span,
    /// Swept area: overlap counts each time.
    pub swept: SquareMetres,
    /// Distinct area: overlap counts once.
    pub distinct: SquareMetres,
    /// Half of the 80 % interval of the distinct area, by drift.
    pub distinct_bound: SquareMetres,
    /// Position across the lanes, half of its 80 % interval.
    pub drift: Metres,
    /// Floor between lanes that no brush touched.
    pub missed: SquareMetres,
    /// Length of the longest such strip.
    pub longest_missed: Metres,
    /// Narrowest strip that was looked for.
    pub least_strip: Metres,
    /// Lanes in the floor's directions, and lanes in others.
    pub lanes: (u32, u32),
    /// Ends of sweeps at the known sides of the floor.
    pub sides_seen: u32,
    /// Some floor was left out: the visit is too large.
    pub cut_short: bool,
    /// Readings failed in between: it goes on from a visit before that could not be joined.
    pub goes_on: bool,
    /// For the sheet; only for the largest visits.
    pub map: Option<CoverageMap>,
}

/// With a bound larger than this share of the distinct area, that area is not told.
const WORST_BOUND: f64 = 0.25;

impl CoverageFinding {
    /// Overlap of all visits whose path holds, if they make up most of the brush way.
    pub fn overlap(&self) -> Option<f64> {
        let held = self.visits.iter().filter(|v| v.holds());
        let (swept, distinct) =
            held.fold((0.0, 0.0), |sum, v| (sum.0 + v.swept.0, sum.1 + v.distinct.0));
        let all: f64 = self.visits.iter().map(|v| v.swept.0).sum();
        let way = self.swept_way + self.pathless_way;
        let known = self.swept_way.0 * swept >= super::ENOUGH * way.0 * all;
        (swept > 0.0 && known).then(|| (1.0 - distinct / swept).max(0.0))
    }
}

impl Visit {
    /// Whether the path is good enough to tell an area: it did not drift too far, and it is whole.
    pub fn holds(&self) -> bool {
        !self.cut_short && self.distinct_bound.0 <= WORST_BOUND * self.distinct.0
    }

    /// Share of the swept area that was swept before in this visit; `None` if the path does not hold.
    pub fn overlap(&self) -> Option<f64> {
        self.times().map(|times| (1.0 - 1.0 / times).max(0.0))
    }

    /// How often the floor was swept on the mean; `None` if the path does not hold.
    pub fn times(&self) -> Option<f64> {
        (self.holds() && self.distinct.0 > 0.0).then(|| self.swept / self.distinct)
    }
}

/// z of an 80 % interval of the normal distribution.
const Z80: f64 = 1.281_551_565_544_8;

/// Half of the 80 % interval of the area of an outline of this size.
fn area_bound(length_m: f64, breadth_m: f64, drift: &Drift) -> SquareMetres {
    let across = length_m * drift.across_m;
    let along = breadth_m * drift.along_m;
    SquareMetres(Z80 * (2.0 * (across * across + along * along)).sqrt())
}
