//! The quantities: sums over a shift, a phase or a section, against their true values.

use super::seeds::{Judged, Plan};
use underbrush_fixtures::Phase as TruePhase;
use underbrush_report::settings::Phase;

/// A number with its true value.
#[derive(Debug)]
pub(super) struct Quantity {
    pub(super) name: &'static str,
    /// Plans in which it is compared.
    pub(super) plans: &'static [Plan],
    /// Largest error as a share of the true value.
    pub(super) goal: f64,
    /// The goal is not reached yet: the row is printed and fails no test.
    pub(super) open: bool,
    /// Found and true, of each shift, phase or section that has one.
    pub(super) pairs: fn(&Judged) -> Vec<(f64, f64)>,
}

const EVENTS: &[Plan] = &[Plan::Events];
const BAD_LINE: &[Plan] = &[Plan::BadLine];

/// All quantities, in the order of the table.
pub(super) const QUANTITIES: &[Quantity] = &[
    Quantity { name: "distance", plans: EVENTS, goal: 0.005, open: false, pairs: distance },
    Quantity {
        name: "swept area",
        plans: EVENTS,
        goal: 0.005,
        open: false,
        pairs: |j| vec![(j.found.area.swept_area.0, j.truth.observed.swept_area_m2)],
    },
    Quantity { name: "brush time", plans: EVENTS, goal: 0.005, open: false, pairs: brush_time },
    Quantity {
        name: "observed time",
        plans: EVENTS,
        goal: 0.005,
        open: false,
        pairs: |j| vec![(j.found.data.observed.0, j.truth.observed_s)],
    },
    Quantity { name: "time in band", plans: EVENTS, goal: 0.005, open: false, pairs: in_band },
    Quantity {
        name: "swept area of a section",
        plans: EVENTS,
        goal: 0.02,
        open: false,
        pairs: section_area,
    },
    // The current sensors' offsets, up to 0.3 A of 15 to 20 A at the end, count twice.
    Quantity { name: "motor heat, highest", plans: EVENTS, goal: 0.05, open: false, pairs: heat },
    Quantity {
        name: "swept area, block",
        plans: &[Plan::Block],
        goal: 0.01,
        open: false,
        pairs: |j| vec![(j.found.area.swept_area.0, j.truth.observed.swept_area_m2)],
    },
    Quantity {
        name: "distinct area, block",
        plans: &[Plan::Block],
        goal: 0.03,
        open: true,
        pairs: distinct_area,
    },
    Quantity {
        name: "distance, bad line",
        plans: BAD_LINE,
        goal: 0.02,
        open: false,
        pairs: distance,
    },
    Quantity {
        name: "brush time, bad line",
        plans: BAD_LINE,
        goal: 0.02,
        open: false,
        pairs: brush_time,
    },
];

fn distance(j: &Judged) -> Vec<(f64, f64)> {
    vec![(j.found.area.distance.0, j.truth.observed.distance_m)]
}

fn brush_time(j: &Judged) -> Vec<(f64, f64)> {
    vec![(j.found.area.brush_time.0, j.truth.observed.brush_turning_s)]
}

/// By phase, where there is a minute of it.
fn in_band(j: &Judged) -> Vec<(f64, f64)> {
    let phases = j.truth.phases.iter().filter(|p| p.observed.in_band_s >= 60.0);
    let pair = |truth: &underbrush_fixtures::PhaseTruth| {
        let key = match truth.phase {
            TruePhase::Step(number) => Phase::Step(number),
            TruePhase::Maintenance => Phase::Maintenance,
        };
        let found = j.found.speed.by_phase.iter().find(|p| p.phase == Some(key));
        (found.map_or(0.0, |p| p.within.0), truth.observed.in_band_s)
    };
    phases.map(pair).collect()
}

/// By visit, where more than 20 m2 were swept.
fn section_area(j: &Judged) -> Vec<(f64, f64)> {
    let visits = j.truth.sections.iter().filter(|s| s.observed.swept_area_m2 > 20.0);
    let pair = |truth: &underbrush_fixtures::SectionTruth| {
        let index = j.site.section_by_id(&truth.id);
        let found = j.found.sections.iter().find(|s| s.place.section == index);
        (found.map_or(0.0, |s| s.swept_area.0), truth.observed.swept_area_m2)
    };
    visits.map(pair).collect()
}

/// Of the only section; the report's largest visit there.
fn distinct_area(j: &Judged) -> Vec<(f64, f64)> {
    let visits = &j.found.coverage.visits;
    let pair = |truth: &underbrush_fixtures::SectionTruth| {
        let index = j.site.section_by_id(&truth.id);
        let here = visits.iter().filter(|v| v.place.section == index);
        let found = here.map(|v| v.distinct.0).max_by(f64::total_cmp).unwrap_or(0.0);
        Some((found, truth.distinct_area_m2?))
    };
    j.truth.sections.iter().filter_map(pair).collect()
}

/// Of each motor.
fn heat(j: &Judged) -> Vec<(f64, f64)> {
    let found = |motor: usize| {
        let motors = j.found.load.motors.get(motor);
        motors.and_then(|m| m.heat).map_or(0.0, |heat| heat.share)
    };
    j.truth.heat_peak.iter().enumerate().map(|(m, truth)| (found(m), *truth)).collect()
}
