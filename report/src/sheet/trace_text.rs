//! Readings around an event in block characters, for terminals.

use super::document::{TraceChart, TraceLane, TraceShape};
use super::text::bar;

/// Room for names.
const NAMES: usize = 28;

/// A row for the event, one for each quantity (largest values; `/` is not observed) and
/// one for the time.
pub(super) fn lines(chart: &TraceChart, width: usize) -> Vec<String> {
    let columns = width.saturating_sub(NAMES).max(1);
    let (from, to) = chart.event;
    let inside = |i: usize| {
        let (left, right) = (i as f64 / columns as f64, (i + 1) as f64 / columns as f64);
        left < to && right > from
    };
    let event: String = (0..columns).map(|i| if inside(i) { '#' } else { ' ' }).collect();
    let mut out = vec![named("", &event)];
    out.extend(chart.lanes.iter().map(|lane| self::lane(lane, columns)));
    out.push(named("s", &times(chart, columns)));
    out
}

fn named(name: &str, line: &str) -> String {
    let name: String = name.chars().take(NAMES - 1).collect();
    format!("{name:<NAMES$}{line}")
}

fn lane(lane: &TraceLane, columns: usize) -> String {
    let largest = |i: usize| {
        let count = lane.cells.len();
        let from = i * count / columns;
        let to = ((i + 1) * count / columns).max(from + 1).min(count);
        let cells = lane.cells.get(from..to).unwrap_or_default();
        cells.iter().flatten().map(|range| range.1).reduce(f64::max)
    };
    match &lane.shape {
        TraceShape::Curve { base, axis, .. } => {
            let ends = [axis.ticks.first(), axis.ticks.last()].map(|t| t.map_or("", |t| &t.1));
            let values = (0..columns).map(|i| largest(i).map(|v| v - base));
            let line: String = values.map(|v| bar(v, axis.top - base)).collect();
            named(&format!("{} ({}–{})", lane.name, ends[0], ends[1]), &line)
        }
        TraceShape::Level => {
            let line: String = (0..columns).map(|i| bar(largest(i), 100.0)).collect();
            named(&format!("{} (0–100)", lane.name), &line)
        }
        TraceShape::Switch => {
            let line: String = (0..columns).map(|i| bar(largest(i), 1.0)).collect();
            named(&lane.name, &line)
        }
    }
}

/// Times, each at its place, as many as there is room for.
fn times(chart: &TraceChart, columns: usize) -> String {
    let mut line: Vec<char> = Vec::new();
    for (share, text) in &chart.times {
        let at = (share * columns as f64) as usize;
        if at >= line.len() && at + text.chars().count() <= columns {
            line.resize(at, ' ');
            line.extend(text.chars());
            line.push(' ');
        }
    }
    line.into_iter().collect()
}
