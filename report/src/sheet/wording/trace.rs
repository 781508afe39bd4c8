//! The data of the chart around an event, in people's units.

use super::{Source, charts};
use crate::findings::{CELLS, Quantity, Trace, TraceCell, TraceLine};
use crate::sheet::document::{Axis, TraceChart, TraceLane, TraceShape};
use crate::sheet::figures::Figures;
use crate::window::DetectorKind;
use chrono::{DateTime, Utc};
use underbrush_protocol::si::MetresPerSecond;

/// Highest values an axis is made for; what is above is drawn at the top.
const HIGHEST_SPEED_M_S: f64 = 3.0;
const HIGHEST_CURRENT_A: f64 = 400.0;
const HIGHEST_RPM: f64 = 3_000.0;
const HIGHEST_HEAT: f64 = 400.0;
/// Steps between times, in s; the first that needs few enough is taken.
const TIME_STEPS_S: [i64; 11] = [5, 10, 20, 30, 60, 120, 300, 600, 1200, 1800, 3600];
const MOST_TIMES: i64 = 14;

/// All that is known around the event, with the state of the detector that found it.
pub(super) fn chart(source: &Source, trace: &Trace, detector: Option<DetectorKind>) -> TraceChart {
    let all = trace.span.length().0.max(f64::MIN_POSITIVE);
    let share = |at: DateTime<Utc>| (at - trace.span.from).num_milliseconds() as f64 / 1000.0 / all;
    let local = trace.event.from.with_timezone(&source.findings.shift.zone);
    let at = local.format("%H:%M:%S %Z").to_string();
    TraceChart {
        event: (share(trace.event.from), share(trace.event.to)),
        times: times(trace),
        time_label: source.with("trace-time", &[("at", at.into())]),
        lanes: lanes(source, trace, detector),
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

fn lanes(source: &Source, trace: &Trace, detector: Option<DetectorKind>) -> Vec<TraceLane> {
    let brushes = usize::from(source.machine.deck.brushes);
    let motors = brushes.max(source.findings.load.motors.len());
    let mut lanes = vec![speed(source, trace)];
    lanes.extend((0..motors).map(|motor| current(source, trace, motor)));
    lanes.extend((0..motors).filter_map(|motor| rotation(source, trace, motor)));
    lanes.extend(battery(source, trace));
    lanes.extend((0..motors).filter_map(|motor| heat(source, trace, motor)));
    for (quantity, id) in [(Quantity::Pressure, "trace-pressure"), (Quantity::Water, "trace-water")]
    {
        lanes.extend(plain(source, trace, quantity, id, TraceShape::Level));
    }
    for (quantity, id) in [
        (Quantity::Command, "trace-command"),
        (Quantity::HeadDown, "trace-head-down"),
        (Quantity::Vacuum, "trace-vacuum"),
    ] {
        lanes.extend(plain(source, trace, quantity, id, TraceShape::Switch));
    }
    let detector = detector.map(Quantity::Detector).filter(|quantity| acts(trace, *quantity));
    let shape = TraceShape::Switch;
    lanes.extend(detector.and_then(|q| plain(source, trace, q, "trace-detector", shape)));
    lanes
}

/// One that was judged with what a window does not know stays at 0 and says nothing.
fn acts(trace: &Trace, quantity: Quantity) -> bool {
    let ranges = trace.line(quantity).into_iter().flat_map(|line| &line.cells);
    ranges.filter_map(|cell| cell.range).any(|(_, high)| high > 0.0)
}

/// A lane without axis.
fn plain(
    source: &Source,
    trace: &Trace,
    quantity: Quantity,
    id: &str,
    shape: TraceShape,
) -> Option<TraceLane> {
    let cells = values(trace.line(quantity)?, f64::from);
    let (name, unseen) = (source.say(id), unseen(trace, quantity));
    Some(TraceLane { name, shape, cells, unseen })
}

fn speed(source: &Source, trace: &Trace) -> TraceLane {
    let units = source.units;
    let people = |v: f32| units.speed(MetresPerSecond(f64::from(v)));
    let cells = trace.line(Quantity::Speed).map(|line| without_sign(values(line, people)));
    let cells = cells.unwrap_or_else(|| vec![None; CELLS]);
    let least = units.speed(source.site.bands.restoration.high);
    let most = units.speed(MetresPerSecond(HIGHEST_SPEED_M_S));
    let unit = source.figures.speed_unit();
    let name = source.with("chart-speed", &[("unit", unit.clone().into())]);
    let axis = charts::axis(&source.figures, name.clone(), highest(&cells, least).min(most), 3);
    let standing = people(source.machine.limits().standing_m_s);
    let values = [("speed", source.figures.limit(standing).into()), ("unit", unit.into())];
    let limits = vec![(standing, source.with("trace-standing", &values))];
    let unseen = unseen(trace, Quantity::Speed);
    TraceLane { name, shape: TraceShape::Curve { base: 0.0, axis, limits }, cells, unseen }
}

/// At the full rate of the bridge where that was kept.
fn current(source: &Source, trace: &Trace, motor: usize) -> TraceLane {
    let limits = source.machine.limits();
    let [fine, usual] = [Quantity::FineCurrent(motor), Quantity::Current(motor)];
    let quantity = if trace.line(fine).is_some() { fine } else { usual };
    let line = trace.line(quantity);
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
    let unseen = unseen(trace, quantity);
    TraceLane { name, shape: TraceShape::Curve { base: 0.0, axis, limits }, cells, unseen }
}

/// Where it is measured.
fn rotation(source: &Source, trace: &Trace, motor: usize) -> Option<TraceLane> {
    let quantity = Quantity::Rotation(motor);
    let cells = without_sign(values(trace.line(quantity)?, f64::from));
    let name = source.with("trace-rotation", &[("motor", source.motor(motor).into())]);
    let top = highest(&cells, 100.0).min(HIGHEST_RPM);
    let axis = charts::axis(&source.figures, name.clone(), top, 3);
    let shape = TraceShape::Curve { base: 0.0, axis, limits: Vec::new() };
    Some(TraceLane { name, shape, cells, unseen: unseen(trace, quantity) })
}

/// Share of the thermal limit.
fn heat(source: &Source, trace: &Trace, motor: usize) -> Option<TraceLane> {
    let quantity = Quantity::Heat(motor);
    let cells = values(trace.line(quantity)?, |share| 100.0 * f64::from(share));
    let name = source.with("trace-heat", &[("motor", source.motor(motor).into())]);
    let top = highest(&cells, 110.0).min(HIGHEST_HEAT);
    let axis = charts::axis(&source.figures, name.clone(), top, 3);
    let warning = 100.0 * source.machine.thermal.warning;
    let percent = source.figures.limit(warning);
    let limits = vec![
        (100.0, source.say("trace-heat-limit")),
        (warning, source.with("trace-heat-warning", &[("percent", percent.into())])),
    ];
    let shape = TraceShape::Curve { base: 0.0, axis, limits };
    Some(TraceLane { name, shape, cells, unseen: unseen(trace, quantity) })
}

fn battery(source: &Source, trace: &Trace) -> Option<TraceLane> {
    let cells = values(trace.line(Quantity::Battery)?, f64::from);
    let name = source.say("trace-battery");
    let low = cells.iter().flatten().map(|range| range.0).fold(f64::INFINITY, f64::min);
    let high = highest(&cells, low);
    let (base, axis) = narrow(&source.figures, name.clone(), low, high);
    let empty = source.machine.battery.limits().under_load.0;
    // An axis of whole volts around what was seen shows it only when it is near.
    let limits = if (base..=axis.top).contains(&empty) {
        let voltage = source.figures.limit(empty);
        vec![(empty, source.with("trace-battery-empty", &[("voltage", voltage.into())]))]
    } else {
        Vec::new()
    };
    let unseen = unseen(trace, Quantity::Battery);
    Some(TraceLane { name, shape: TraceShape::Curve { base, axis, limits }, cells, unseen })
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
