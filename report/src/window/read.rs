//! Windows from the logs.

use super::fine::Fine;
use super::state::{State, run_up_ms};
use super::{Quantity, Window};
use crate::findings::{Inputs, Span, possible};
use crate::logset::{BootLog, ClockMap};
use crate::timeline::{Reader, Walk, walk_span};
use chrono::Duration;
use underbrush_protocol::detect::{Expected, Interval};
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::settings::machine::SensorLimits;
use underbrush_protocol::time::UtcMs;

/// How long before a span is read for it: what heat and detectors depend on.
pub fn run_up(machine: &Machine, wanted: &[Quantity]) -> Duration {
    Duration::milliseconds(run_up_ms(machine, wanted))
}

/// The wanted quantities over `span`, in so many cells.
///
/// What of the logs cannot be read is told where they are judged, not here.
pub fn read(inputs: &Inputs<'_>, span: Span, cells: usize, wanted: &[Quantity]) -> Window {
    let mut windows = read_each(inputs, &[span], cells, wanted, None);
    windows.pop().unwrap_or_else(|| Window::empty(span, cells))
}

/// The same for several spans, read in one go. Heavy, light and dry load is judged by what
/// is `expected`, or by the machine file alone.
pub(crate) fn read_each(
    inputs: &Inputs<'_>,
    spans: &[Span],
    cells: usize,
    wanted: &[Quantity],
    expected: Option<Expected>,
) -> Vec<Window> {
    let windows = spans.iter().map(|span| Window::empty(*span, cells)).collect();
    let from = spans.iter().map(|span| span.from).min();
    let to = spans.iter().map(|span| span.to).max();
    let Some((from, to)) = from.zip(to) else { return windows };
    let mut filling = Filling { windows, wanted };
    read_steps(inputs, Span { from, to }, wanted, expected, |quantity, value, from, to| {
        filling.take(quantity, value, from, to);
    });
    for window in &mut filling.windows {
        window.sort_by(wanted);
    }
    filling.windows
}

struct Filling<'a> {
    windows: Vec<Window>,
    wanted: &'a [Quantity],
}

impl Filling<'_> {
    fn take(&mut self, quantity: Quantity, value: f32, from: i64, to: i64) {
        debug_assert!(self.wanted.contains(&quantity), "{quantity:?} was not asked for");
        for window in self.windows.iter_mut().filter(|window| window.touches(from, to)) {
            window.take(quantity, value, from, to);
        }
    }
}

/// Gives each wanted value of each step that touches `span`, with the time it holds in UTC ms.
pub(super) fn read_steps(
    inputs: &Inputs<'_>,
    span: Span,
    wanted: &[Quantity],
    expected: Option<Expected>,
    give: impl FnMut(Quantity, f32, i64, i64),
) {
    let Inputs { logs, machine, .. } = *inputs;
    let shown = (span.from.timestamp_millis(), span.to.timestamp_millis());
    let mut reading = Reading {
        give,
        wanted,
        shown,
        reached: i64::MIN,
        limits: machine.sensor_limits(),
        state: State::of(machine, wanted, expected),
        fine: Fine::read(inputs, span, wanted),
    };
    let from = span.from - run_up(machine, wanted);
    // A step counts where it ends: one that begins in the span may end after it.
    let to = span.to + Duration::milliseconds(machine.longest_gap_ms() as i64);
    walk_span(logs, Walk::of(machine, Span { from, to }), &mut reading);
}

struct Reading<'a, F> {
    give: F,
    wanted: &'a [Quantity],
    shown: (i64, i64),
    /// UTC up to which steps were given, in ms: time that two power-ons claim is counted once.
    reached: i64,
    limits: SensorLimits,
    state: Option<State>,
    fine: Fine,
}

impl<F: FnMut(Quantity, f32, i64, i64)> Reader for Reading<'_, F> {
    fn boot_begins(&mut self, _: &BootLog, _: &ClockMap) {}

    fn step(&mut self, interval: &Interval, clock: &ClockMap) {
        let (from, to) = (clock.utc(interval.from).0, clock.utc(interval.to).0);
        let shows = from < self.shown.1 && to > self.shown.0;
        if self.state.is_none() && !shows {
            return;
        }
        let cleaned = possible(interval, &self.limits);
        let interval = cleaned.as_ref().unwrap_or(interval);
        if let Some(state) = &mut self.state {
            state.step(interval, (from, to));
        }
        if !shows {
            return;
        }
        let from = from.max(self.reached);
        self.reached = self.reached.max(to);
        for quantity in self.wanted {
            if let Quantity::FineCurrent(motor) = *quantity {
                let normal = value(Quantity::Current(motor), interval, None);
                let give = &mut self.give;
                self.fine.give(motor, normal, (from, to), |value, from, to| {
                    give(*quantity, value, from, to);
                });
                continue;
            }
            if let Some(value) = value(*quantity, interval, self.state.as_ref()) {
                (self.give)(*quantity, value, from, to);
            }
        }
    }

    fn note(&mut self, _: UtcMs, _: &Note) {}

    fn boot_ends(&mut self, _: &ClockMap) {
        self.state.iter_mut().for_each(State::boot_ends);
    }
}

/// What is known of a quantity in a step.
fn value(quantity: Quantity, interval: &Interval, state: Option<&State>) -> Option<f32> {
    let switch = |on: bool| f32::from(u8::from(on));
    let states = &interval.states;
    match quantity {
        Quantity::Speed => interval.speed_m_s,
        Quantity::Current(motor) | Quantity::FineCurrent(motor) => {
            interval.motors.get(motor)?.current_a
        }
        Quantity::Rotation(motor) => interval.motors.get(motor)?.rotation_rpm,
        Quantity::Command => interval.command_on.map(switch),
        Quantity::HeadDown => states.head_down.map(switch),
        Quantity::Vacuum => states.vacuum_on.map(switch),
        Quantity::Water => states.solution_flow.map(f32::from),
        Quantity::Pressure => states.pressure_setting.map(f32::from),
        Quantity::Battery => states.battery_v,
        Quantity::BatteryCurrent => states.battery_a,
        Quantity::Heat(motor) => state?.heat(motor, interval),
        Quantity::Detector(kind) => Some(state?.detector(kind)),
    }
}
