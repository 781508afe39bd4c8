//! The kinds of events: where each stands in the truth and in the findings.

use super::seeds::{Judged, Plan};
use underbrush_fixtures::{MotorSpan, Span};
use underbrush_report::findings::{LoadFindingEvent, Span as WallSpan};

/// A stretch of time in s from the shift's start.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mark {
    pub(super) from_s: f64,
    pub(super) to_s: f64,
    /// Marks with different numbers are never the same: the motor from 1, or 0.
    pub(super) number: usize,
}

/// One sort of event.
#[derive(Debug)]
pub(super) struct Kind {
    pub(super) name: &'static str,
    /// Plans in which it is looked for.
    pub(super) plans: &'static [Plan],
    /// Least precision and recall.
    pub(super) goal: f64,
    /// How far the edges may be off, in s.
    pub(super) edge_s: f64,
    pub(super) truth: fn(&Judged) -> Vec<Mark>,
    pub(super) found: fn(&Judged) -> Vec<Mark>,
}

/// Edges of events that rates of ten readings a second tell.
const EDGE_S: f64 = 0.3;
const EVENTS: &[Plan] = &[Plan::Events];

/// All kinds, in the order of the table.
pub(super) const KINDS: &[Kind] = &[
    Kind {
        name: "stationary brush",
        plans: EVENTS,
        goal: 1.0,
        edge_s: EDGE_S,
        truth: |j| spans(&j.truth.stationary),
        found: |j| j.found.stationary.iter().map(|e| wall(j, e.span, 0)).collect(),
    },
    Kind {
        name: "stall",
        plans: EVENTS,
        goal: 1.0,
        edge_s: EDGE_S,
        truth: |j| motor_spans(&j.truth.stalls),
        found: |j| loads(j, &j.found.load.stalls),
    },
    Kind {
        name: "over-pressure",
        plans: EVENTS,
        goal: 1.0,
        edge_s: EDGE_S,
        truth: |j| motor_spans(&j.truth.over_pressure),
        found: |j| loads(j, &j.found.load.over_pressure),
    },
];

fn seconds(ms: u64) -> f64 {
    ms as f64 / 1000.0
}

fn spans(spans: &[Span]) -> Vec<Mark> {
    spans
        .iter()
        .map(|s| Mark { from_s: seconds(s.from_ms), to_s: seconds(s.to_ms), number: 0 })
        .collect()
}

fn motor_spans(spans: &[MotorSpan]) -> Vec<Mark> {
    let mark = |s: &MotorSpan| Mark {
        from_s: seconds(s.from_ms),
        to_s: seconds(s.to_ms),
        number: s.motor + 1,
    };
    spans.iter().map(mark).collect()
}

fn wall(judged: &Judged, span: WallSpan, number: usize) -> Mark {
    Mark { from_s: judged.seconds(span.from), to_s: judged.seconds(span.to), number }
}

fn loads(judged: &Judged, events: &[LoadFindingEvent]) -> Vec<Mark> {
    events.iter().map(|e| wall(judged, e.span, e.motor + 1)).collect()
}
