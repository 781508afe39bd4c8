//! Readings from shortly before a serious event to shortly after it.
//!
//! A *trace* is a window (see [`crate::window`]) of [`CELLS`] cells, so that an event of
//! hours takes no more memory than one of seconds. Up to a minute a cell is shorter than
//! two readings at 10 Hz, so each reading is still told apart.

use super::load::{LoadFindingEvent, LoadKind};
use super::shift::Inputs;
use super::stationary::{Severity, StationaryFinding};
use super::types::{Findings, Span};
use crate::window::{DetectorKind, Line as TraceLine, Quantity, Window, read_each};
use chrono::Duration;
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::si::Seconds;

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

/// Readings around one event; quantities that were never observed are left out.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// The event: its key among all traces of a machine.
    pub event: Span,
    /// From 30 s before it to 30 s after it.
    pub span: Span,
    /// One for each quantity.
    pub lines: Vec<TraceLine>,
}

impl Trace {
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
}

/// From a little before an event to a little after it.
fn around(event: Span, around: Duration) -> Span {
    Span { from: event.from - around, to: event.to + around }
}

/// Readings from so long before any event to so long after it. Heavy, light and dry load is
/// judged by what the night's own findings call normal, or by the machine file without them.
pub fn trace(
    inputs: &Inputs<'_>,
    findings: Option<&Findings>,
    event: Span,
    before_and_after: Duration,
) -> Trace {
    let span = around(event, before_and_after);
    let expected = findings.map(|found| found.load.expected(inputs.machine, event));
    let windows = read_each(inputs, &[span], CELLS, &shown(), expected);
    let window = windows.into_iter().next().unwrap_or_else(|| Window::empty(span, CELLS));
    Trace { event, span: window.span, lines: window.lines }
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
    let events = serious(findings);
    let spans: Vec<Span> =
        events.iter().map(|event| around(*event, Duration::seconds(AROUND_S))).collect();
    let windows = read_each(inputs, &spans, CELLS, &shown(), None);
    let trace =
        |(event, window): (Span, Window)| Trace { event, span: window.span, lines: window.lines };
    events.into_iter().zip(windows).map(trace).collect()
}

/// What a trace shows.
fn shown() -> Vec<Quantity> {
    let single = [
        Quantity::Speed,
        Quantity::Command,
        Quantity::HeadDown,
        Quantity::Vacuum,
        Quantity::Water,
        Quantity::Pressure,
        Quantity::Battery,
        Quantity::BatteryCurrent,
    ];
    let of_motor = |motor| {
        let fine = Quantity::FineCurrent(motor);
        [Quantity::Current(motor), fine, Quantity::Rotation(motor), Quantity::Heat(motor)]
    };
    let detectors = DetectorKind::ALL.map(Quantity::Detector);
    single.into_iter().chain((0..MAX_MOTORS).flat_map(of_motor)).chain(detectors).collect()
}
