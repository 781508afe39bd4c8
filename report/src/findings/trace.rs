//! Readings from shortly before a serious event to shortly after it.
//!
//! A *trace* cuts its span into [`CELLS`] equal cells, so that an event of hours takes
//! no more memory than one of seconds. A cell keeps the smallest and the largest of all
//! that was observed in it, and for how long that was. Up to a minute a cell is shorter
//! than two readings at 10 Hz, so each reading is still told apart. A reading speaks for
//! the same time as everywhere else (see `timeline`); what no sensor can give is left out.

use super::load::{LoadFindingEvent, LoadKind};
use super::quality::possible;
use super::shift::Inputs;
use super::stationary::{Severity, StationaryFinding};
use super::types::{Findings, Span};
use crate::logset::{BootLog, ClockMap};
use crate::timeline::{Reader, Walk, walk};
use chrono::Duration;
use underbrush_protocol::detect::Interval;
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::machine::SensorLimits;
use underbrush_protocol::si::Seconds;
use underbrush_protocol::time::UtcMs;

/// Cells of each trace.
pub const CELLS: usize = 600;
/// Traces of one machine and shift at most; the first ones.
pub const MOST_TRACES: usize = 12;
/// Shown before the event and after it, in s.
const AROUND_S: i64 = 30;

impl StationaryFinding {
    /// Whether the spot wants more than a glance.
    pub fn serious(&self) -> bool {
        self.severity > Severity::Slight
    }
}

impl LoadFindingEvent {
    /// Whether motor, brush or floor may have suffered.
    pub fn serious(&self) -> bool {
        use LoadKind::{Hot, OverPressure, Stall, Trip};
        matches!(self.kind, Stall | OverPressure | Trip | Hot)
    }
}

/// What a trace shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Quantity {
    /// Ground speed in m/s, forward positive.
    Speed,
    /// Current of a brush motor in A; motors from 0, left to right.
    Current(usize),
    /// Brushes switched on: 1, otherwise 0.
    Command,
    /// Brush head lowered: 1, otherwise 0.
    HeadDown,
    /// Battery voltage in V.
    Battery,
}

/// What was observed in one cell.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct TraceCell {
    /// Smallest and largest; `None`: nothing was observed.
    pub range: Option<(f32, f32)>,
    /// Time of the cell that the readings speak for.
    pub seen: Seconds,
}

/// One quantity over the span of a trace.
#[derive(Clone, Debug, PartialEq)]
pub struct TraceLine {
    /// Which.
    pub quantity: Quantity,
    /// [`CELLS`] cells of equal length.
    pub cells: Vec<TraceCell>,
}

/// Readings around one event; quantities that were never observed are left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// The event: its key among all traces of a machine.
    pub event: Span,
    /// From 30 s before it to 30 s after it.
    pub span: Span,
    /// In order of first reading.
    pub lines: Vec<TraceLine>,
}

impl Trace {
    /// A trace of what is yet to be read.
    fn around(event: Span) -> Self {
        let around = Duration::seconds(AROUND_S);
        let span = Span { from: event.from - around, to: event.to + around };
        Self { event, span, lines: Vec::new() }
    }

    /// Length of one cell.
    pub fn cell(&self) -> Seconds {
        Seconds(self.span.length().0 / CELLS as f64)
    }

    /// A quantity, if it was ever observed.
    pub fn line(&self, quantity: Quantity) -> Option<&TraceLine> {
        self.lines.iter().find(|line| line.quantity == quantity)
    }

    /// Smallest and largest of a quantity during the event; `None`: not observed.
    pub fn during_event(&self, quantity: Quantity) -> Option<(f32, f32)> {
        let cell_s = self.cell().0.max(f64::MIN_POSITIVE);
        let begins = (self.event.from - self.span.from).num_milliseconds() as f64 / 1000.0;
        let first = (begins / cell_s).ceil() as usize;
        let last = ((begins + self.event.length().0) / cell_s).floor() as usize;
        let cells = self.line(quantity)?.cells.get(first..last.min(CELLS))?;
        cells.iter().filter_map(|cell| cell.range).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    /// Takes a value that held from one time to another, in UTC ms.
    fn take(&mut self, quantity: Quantity, value: f32, from: i64, to: i64) {
        let (begin, end) = (self.span.from.timestamp_millis(), self.span.to.timestamp_millis());
        let (from, to) = (from.max(begin), to.min(end));
        if from >= to {
            return;
        }
        let count = CELLS as i64;
        let length = end - begin;
        let index = |i: usize| begin as f64 + i as f64 * length as f64 / CELLS as f64;
        let first = ((from - begin) * count / length) as usize;
        let last = ((to - begin) * count - 1).div_euclid(length) as usize;
        let place = self.lines.iter().position(|line| line.quantity == quantity);
        let place = place.unwrap_or_else(|| {
            self.lines.push(TraceLine { quantity, cells: vec![TraceCell::default(); CELLS] });
            self.lines.len() - 1
        });
        let Some(line) = self.lines.get_mut(place) else { return };
        for (i, cell) in line.cells.iter_mut().enumerate().take(last + 1).skip(first) {
            let (low, high) = cell.range.unwrap_or((value, value));
            cell.range = Some((low.min(value), high.max(value)));
            let seen_ms = index(i + 1).min(to as f64) - index(i).max(from as f64);
            cell.seen += Seconds(seen_ms.max(0.0) / 1000.0);
        }
    }
}

/// The spans of the serious events in order of begin, each once, at most [`MOST_TRACES`].
fn serious(findings: &Findings) -> Vec<Span> {
    let standing = findings.stationary.iter().filter(|e| e.serious()).map(|e| e.span);
    let loads = findings.load.all().filter(|e| e.serious()).map(|e| e.span);
    let mut spans: Vec<Span> = standing.chain(loads).collect();
    spans.sort_unstable();
    spans.dedup();
    spans.truncate(MOST_TRACES);
    spans
}

/// Traces of the serious events of a shift, read from the logs in one go.
pub fn traces(inputs: &Inputs<'_>, findings: &Findings) -> Vec<Trace> {
    let Inputs { logs, machine, .. } = *inputs;
    let traces: Vec<Trace> = serious(findings).into_iter().map(Trace::around).collect();
    let from = traces.iter().map(|t| t.span.from).min();
    let to = traces.iter().map(|t| t.span.to).max();
    let Some((from, to)) = from.zip(to) else { return traces };
    // A step counts where it ends: one that begins in the span may end after it.
    let to = to + Duration::milliseconds(machine.longest_gap_ms() as i64);
    let mut reader = Tracing { traces, limits: machine.sensor_limits() };
    // What cannot be read was told with the findings of the same logs.
    walk(logs, Walk::of(machine, Span { from, to }), &mut reader);
    reader.traces
}

struct Tracing {
    traces: Vec<Trace>,
    limits: SensorLimits,
}

impl Reader for Tracing {
    fn boot_begins(&mut self, _: &BootLog, _: &ClockMap) {}

    fn step(&mut self, interval: &Interval, clock: &ClockMap) {
        let (from, to) = (clock.utc(interval.from).0, clock.utc(interval.to).0);
        let within = |t: &&mut Trace| {
            from < t.span.to.timestamp_millis() && to > t.span.from.timestamp_millis()
        };
        let mut cleaned = None;
        for trace in self.traces.iter_mut().filter(within) {
            let cleaned = cleaned.get_or_insert_with(|| possible(interval, &self.limits));
            for (quantity, value) in observed(cleaned.as_ref().unwrap_or(interval)) {
                trace.take(quantity, value, from, to);
            }
        }
    }

    fn note(&mut self, _: UtcMs, _: &Note) {}

    fn boot_ends(&mut self, _: &ClockMap) {}
}

/// All that is known in a step.
fn observed(interval: &Interval) -> impl Iterator<Item = (Quantity, f32)> {
    let switch = |on: bool| f32::from(u8::from(on));
    let single = [
        (Quantity::Speed, interval.speed_m_s),
        (Quantity::Command, interval.command_on.map(switch)),
        (Quantity::HeadDown, interval.states.head_down.map(switch)),
        (Quantity::Battery, interval.states.battery_v),
    ];
    let motors = interval.motors.iter().enumerate();
    let currents = motors.map(|(i, motor)| (Quantity::Current(i), motor.current_a));
    let all = single.into_iter().chain(currents);
    all.filter_map(|(quantity, value)| Some((quantity, value?)))
}
