//! The data of the chart around an event, in people's units.

use super::{Source, charts};
use crate::findings::{CELLS, Quantity, Trace, TraceCell, TraceLine};
use crate::sheet::document::{Axis, TraceChart, TraceLane, TraceShape};
use crate::sheet::figures::Figures;
use chrono::{DateTime, Utc};
use underbrush_protocol::si::MetresPerSecond;

/// Highest values an axis is made for; what is above is drawn at the top.
const HIGHEST_SPEED_M_S: f64 = 3.0;
const HIGHEST_CURRENT_A: f64 = 400.0;
/// Steps between times, in s; the first that needs few enough is taken.
const TIME_STEPS_S: [i64; 11] = [5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600];
const MOST_TIMES: i64 = 14;

/// All that is known around the event.
pub(super) fn chart(source: &Source, trace: &Trace) -> TraceChart {
    let all = trace.span.length().0.max(f64::MIN_POSITIVE);
    let share = |at: DateTime<Utc>| (at - trace.span.from).num_milliseconds() as f64 / 1000.0 / all;
    let local = trace.event.from.with_timezone(&source.findings.shift.zone);
    let at = local.format("%H:%M:%S %Z").to_string();
    TraceChart {
        event: (share(trace.event.from), share(trace.event.to)),
        times: times(trace),
        time_label: source.with("trace-time", &[("at", at.into())]),
        lanes: lanes(source, trace),
        legend: source.say("trace-legend"),
    }
}

/// Full steps of time from the event's begin on and back.
fn times(trace: &Trace) -> Vec<(f64, String)> {
    let seconds = |a: DateTime<Utc>, b: DateTime<Utc>| (b - a).num_seconds();
    let before = seconds(trace.span.from, trace.event.from);
    let after = seconds(trace.event.from, trace.span.to);
    let fits = |step: &i64| (before + after) / step <= MOST_TIMES;
    // Longer than any shift: a tick each 12 h.
    let step = TIME_STEPS_S.into_iter().find(fits).unwrap_or(43_200);
    let all = trace.span.length().0.max(f64::MIN_POSITIVE);
    let place = |s: i64| (before + s) as f64 / all;
    let text = |s: i64| if s < 0 { format!("–{}", -s) } else { s.to_string() };
    (-before / step..=after / step).map(|i| (place(i * step), text(i * step))).collect()
}

fn lanes(source: &Source, trace: &Trace) -> Vec<TraceLane> {
    let mut lanes = vec![speed(source, trace)];
    let brushes = usize::from(source.machine.deck.brushes);
    let motors = brushes.max(source.findings.load.motors.len());
    lanes.extend((0..motors).map(|motor| current(source, trace, motor)));
    lanes.extend(trace.line(Quantity::Battery).map(|line| battery(source, line)));
    for (quantity, id) in
        [(Quantity::Command, "trace-command"), (Quantity::HeadDown, "trace-head-down")]
    {
        let cells = trace.line(quantity).map(|line| values(line, f64::from));
        lanes.extend(cells.map(|cells| TraceLane {
            name: source.say(id),
            shape: TraceShape::Switch,
            unseen: unseen(trace, quantity),
            cells,
        }));
    }
    for (lane, quantity) in lanes.iter_mut().zip(quantities(motors)) {
        if matches!(lane.shape, TraceShape::Curve { .. }) {
            lane.unseen = unseen(trace, quantity);
        }
    }
    lanes
}

/// Of the curves, in their order.
fn quantities(motors: usize) -> impl Iterator<Item = Quantity> {
    let currents = (0..motors).map(Quantity::Current);
    std::iter::once(Quantity::Speed).chain(currents).chain([Quantity::Battery])
}

fn speed(source: &Source, trace: &Trace) -> TraceLane {
    let units = source.units;
    let people = |v: f32| units.speed(MetresPerSecond(f64::from(v)));
    let cells = trace.line(Quantity::Speed).map(|line| without_sign(values(line, people)));
    let cells = cells.unwrap_or_else(|| vec![None; CELLS]);
    let least = units.speed(source.site.bands.restoration.high);
    let most = units.speed(MetresPerSecond(HIGHEST_SPEED_M_S));
    let name = source.with("chart-speed", &[("unit", source.figures.speed_unit().into())]);
    let axis = charts::axis(&source.figures, name.clone(), highest(&cells, least).min(most), 3);
    let shape = TraceShape::Curve { base: 0.0, axis, limits: Vec::new() };
    TraceLane { name, shape, cells, unseen: Vec::new() }
}

fn current(source: &Source, trace: &Trace, motor: usize) -> TraceLane {
    let limits = source.machine.limits();
    let line = trace.line(Quantity::Current(motor));
    let cells = line.map_or_else(|| vec![None; CELLS], |line| values(line, f64::from));
    let named = |id: &str, a: f32| {
        let amperes = source.figures.limit(f64::from(a));
        (f64::from(a), source.with(id, &[("current", amperes.into())]))
    };
    let limits = vec![
        named("trace-over-pressure", limits.over_pressure_a),
        named("trace-stall", limits.stall_a),
    ];
    // A little above the limits, so that their lines lie inside.
    let least = 1.1 * limits.iter().map(|limit| limit.0).fold(10.0, f64::max);
    let name = source.with("trace-current", &[("motor", source.motor(motor).into())]);
    let top = highest(&cells, least).min(HIGHEST_CURRENT_A.max(least));
    let axis = charts::axis(&source.figures, name.clone(), top, 3);
    let shape = TraceShape::Curve { base: 0.0, axis, limits };
    TraceLane { name, shape, cells, unseen: Vec::new() }
}

fn battery(source: &Source, line: &TraceLine) -> TraceLane {
    let cells = values(line, f64::from);
    let name = source.say("trace-battery");
    let low = cells.iter().flatten().map(|range| range.0).fold(f64::INFINITY, f64::min);
    let high = highest(&cells, low);
    let (base, axis) = narrow(&source.figures, name.clone(), low, high);
    TraceLane {
        name,
        shape: TraceShape::Curve { base, axis, limits: Vec::new() },
        cells,
        unseen: Vec::new(),
    }
}

/// An axis in whole volts around what was seen: from zero a drop would hardly show.
fn narrow(figures: &Figures, label: String, low: f64, high: f64) -> (f64, Axis) {
    let base = low.floor();
    let step = ((high - base) / 3.0).ceil().max(1.0);
    let steps = ((high - base) / step).ceil().max(1.0);
    let value = |i: usize| base + i as f64 * step;
    let ticks = (0..=steps as usize).map(|i| (value(i), figures.limit(value(i)))).collect();
    (base, Axis { label, top: base + steps * step, ticks })
}

fn highest(cells: &[Option<(f64, f64)>], least: f64) -> f64 {
    cells.iter().flatten().map(|range| range.1).fold(least, f64::max)
}

fn values(line: &TraceLine, people: impl Fn(f32) -> f64) -> Vec<Option<(f64, f64)>> {
    let known = |cell: &TraceCell| cell.range.map(|(low, high)| (people(low), people(high)));
    line.cells.iter().map(known).collect()
}

/// How fast, in either direction.
fn without_sign(cells: Vec<Option<(f64, f64)>>) -> Vec<Option<(f64, f64)>> {
    let both = |(low, high): (f64, f64)| {
        let least = if low <= 0.0 && high >= 0.0 { 0.0 } else { low.abs().min(high.abs()) };
        (least, low.abs().max(high.abs()))
    };
    cells.into_iter().map(|cell| cell.map(both)).collect()
}

/// Stretches of cells that were seen for less than half of their length.
fn unseen(trace: &Trace, quantity: Quantity) -> Vec<(f64, f64)> {
    let Some(line) = trace.line(quantity) else { return vec![(0.0, 1.0)] };
    let half = trace.cell().0 / 2.0;
    let mut out: Vec<(f64, f64)> = Vec::new();
    let count = line.cells.len() as f64;
    for (i, _) in line.cells.iter().enumerate().filter(|(_, cell)| cell.seen.0 < half) {
        let (from, to) = (i as f64 / count, (i + 1) as f64 / count);
        match out.last_mut() {
            Some(open) if (open.1 - from).abs() < 1e-9 => open.1 = to,
            _ => out.push((from, to)),
        }
    }
    out
}
