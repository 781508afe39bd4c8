//! Brush motor load: statistics over brush time, stalls and over-pressure.
//!
//! Currents go into an HDR histogram in steps of 0.1 A (the wire's resolution),
//! weighted by ms. The detectors are the agent's (`protocol::detect`).

use super::moment::{Moment, wall_span};
use super::types::{LoadFinding, LoadFindingEvent, MotorLoad, Place};
use crate::logset::ClockMap;
use hdrhistogram::Histogram;
use underbrush_protocol::detect::{Limits, Load, LoadDetector, LoadEvent, OverPressure, Stall};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::si::Amperes;

struct Motor {
    current: Option<Histogram<u64>>,
    over_pressure: Watch<OverPressure>,
    stall: Watch<Stall>,
}

/// A detector and the place where its open run began.
struct Watch<R> {
    detector: LoadDetector<R>,
    open: bool,
    place: Place,
}

impl<R: Load> Watch<R> {
    fn new(rule: R, motor: usize) -> Self {
        Self { detector: LoadDetector::new(rule, motor), open: false, place: Place::default() }
    }

    fn step(&mut self, moment: &Moment<'_>) -> Option<(LoadEvent, Place)> {
        let ended = self.detector.step(moment.interval).map(|event| (event, self.place));
        let open = self.detector.is_open();
        if open && (!self.open || ended.is_some()) {
            self.place = moment.place;
        }
        self.open = open;
        ended
    }
}

pub(super) struct Loads {
    motors: [Motor; MAX_MOTORS],
    found: LoadFinding,
}

impl Loads {
    pub(super) fn new(limits: Limits) -> Self {
        let motor = |number| Motor {
            current: None,
            over_pressure: Watch::new(OverPressure(limits), number),
            stall: Watch::new(Stall(limits), number),
        };
        Self { motors: std::array::from_fn(motor), found: LoadFinding::default() }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        for (number, motor) in self.motors.iter_mut().enumerate() {
            if let Some(event) = motor.over_pressure.step(moment) {
                self.found.over_pressure.push(finding(event, number, moment.clock));
            }
            if let Some(event) = motor.stall.step(moment) {
                self.found.stalls.push(finding(event, number, moment.clock));
            }
            let state = moment.interval.motors.get(number);
            if let Some(current) =
                state.and_then(|s| s.current_a).filter(|_| moment.turning == Some(true))
            {
                // 3276.7 A is the largest current of the wire; constant bounds are valid.
                let histogram = motor.current.get_or_insert_with(|| {
                    Histogram::new_with_bounds(1, 32_768, 3).unwrap_or_else(|_| unreachable!())
                });
                histogram
                    .saturating_record_n((current.max(0.0) * 10.0).round() as u64, moment.ms());
            }
        }
    }

    pub(super) fn boot_ends(&mut self, clock: &ClockMap) {
        for (number, motor) in self.motors.iter_mut().enumerate() {
            let over =
                motor.over_pressure.detector.finish().map(|e| (e, motor.over_pressure.place));
            self.found.over_pressure.extend(over.map(|e| finding(e, number, clock)));
            let stall = motor.stall.detector.finish().map(|e| (e, motor.stall.place));
            self.found.stalls.extend(stall.map(|e| finding(e, number, clock)));
        }
    }

    pub(super) fn finish(mut self) -> LoadFinding {
        for motor in &self.motors {
            let Some(current) = &motor.current else { break };
            let at = |share| Amperes(current.value_at_quantile(share) as f64 / 10.0);
            self.found.motors.push(MotorLoad {
                mean: Amperes(current.mean() / 10.0),
                median: at(0.5),
                p95: at(0.95),
                max: at(1.0),
            });
        }
        self.found.stalls.sort_by_key(|e| e.span);
        self.found.over_pressure.sort_by_key(|e| e.span);
        self.found
    }
}

fn finding((event, place): (LoadEvent, Place), motor: usize, clock: &ClockMap) -> LoadFindingEvent {
    LoadFindingEvent {
        span: wall_span(clock, event.run),
        cut_short: event.run.cut_short,
        motor,
        peak: Amperes(f64::from(event.peak_a)),
        place,
    }
}
