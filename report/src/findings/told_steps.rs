//! The steps of a span one by one, as the findings see them: for those who count on their own.

use super::place::Places;
use super::quality::possible;
use super::shift::Inputs;
use super::types::{Place, Problem, Span};
use super::whereabouts::AssumedMark;
use crate::logset::{BootLog, ClockMap};
use crate::settings::Band;
use crate::timeline::{Reader, Walk, walk};
use underbrush_protocol::detect::{Interval, TurningLimits, brush_turning};
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::machine::SensorLimits;
use underbrush_protocol::time::UtcMs;

/// A step with what the findings know of it.
pub(crate) struct ToldStep<'a> {
    /// Number of its power-on.
    pub(crate) boot: u32,
    /// What was observed; impossible values are left out.
    pub(crate) interval: &'a Interval,
    /// Its times in UTC.
    pub(crate) clock: &'a ClockMap,
    /// Whether a brush turns; `None`: not observed.
    pub(crate) turning: Option<bool>,
    /// Where.
    pub(crate) place: Place,
    /// Band of the phase in force.
    pub(crate) band: Option<Band>,
}

struct Teller<'a> {
    inputs: Inputs<'a>,
    boot: u32,
    turning: TurningLimits,
    sensors: SensorLimits,
    places: Places<'a>,
    take: &'a mut dyn FnMut(&ToldStep<'_>),
}

impl Reader for Teller<'_> {
    fn boot_begins(&mut self, boot: &BootLog, _: &ClockMap) {
        self.boot = boot.boot;
    }

    fn step(&mut self, interval: &Interval, clock: &ClockMap) {
        let cleaned = possible(interval, &self.sensors);
        let interval = cleaned.as_ref().unwrap_or(interval);
        let place = self.places.at(clock.utc(interval.from).0);
        (self.take)(&ToldStep {
            boot: self.boot,
            interval,
            clock,
            turning: brush_turning(interval, self.turning),
            place,
            band: place.phase.map(|phase| self.inputs.site.band(phase)),
        });
    }

    fn note(&mut self, at: UtcMs, note: &Note) {
        self.places.note(at, note);
    }

    fn boot_ends(&mut self, _: &ClockMap) {}
}

/// Gives every step of `span` to `take`, in order; returns what could not be read. Where nobody
/// told a place, `assumed` does, in order of time.
pub(crate) fn told_steps(
    inputs: Inputs<'_>,
    span: Span,
    assumed: &[AssumedMark],
    take: &mut dyn FnMut(&ToldStep<'_>),
) -> Vec<Problem> {
    let machine = inputs.machine;
    let mut teller = Teller {
        inputs,
        boot: 0,
        turning: machine.limits().turning,
        sensors: machine.sensor_limits(),
        places: Places::new(inputs.site, inputs.book, assumed),
        take,
    };
    walk(inputs.logs, Walk::of(machine, span), &mut teller)
}
