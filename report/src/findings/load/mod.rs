//! Brush motor load: against what is normal for this machine, tool and floor;
//! events; heat.
//!
//! Models: friction torque = k (I - I0) of a permanent-magnet DC motor, so that
//! current at full pressure tells contact and drag; what is normal: `baseline`;
//! events and their limits: `protocol::detect` (shared with the live alarm);
//! heat: the thermal replica of IEC 60255-149 (`protocol::detect`), cold at the
//! begin of the shift's record, cooling over each power-off by its length.
//!
//! Uncertainty: currents to the wire's 0.1 A plus the sensor's own error; edges
//! of events to one reading (0.1 s at ten a second); the normal current with
//! its standard error; heat as good as the time constant, which the motor's
//! maker knows best.
//!
//! A phase in which nothing tells what is normal is judged in a second pass by
//! the shift's own median.

mod baseline;
mod currents;
mod explain;
mod types;

pub(super) use baseline::Table;
pub use baseline::{NightLoad, Normal, Scope, Source};
pub(super) use explain::FIGURES;
pub use types::{
    AgainstNormal, DryLoad, Heat, LightCause, LoadFinding, LoadFindingEvent, LoadKind, MotorLoad,
    Onset,
};

use super::history::History;
use super::moment::{Moment, wall, wall_span};
use super::observed::Observed;
use super::types::Place;
use crate::logset::ClockMap;
use baseline::Baseline;
use chrono::NaiveDate;
use currents::Currents;
use underbrush_protocol::detect::{Expected, Interval, Limits, LoadEvent, LoadWatch, light_cause};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Amperes, Seconds};
use underbrush_protocol::time::BootMs;

/// What is normal where the machine is.
struct Here {
    place: Place,
    expected: Expected,
    normals: [Option<Normal>; MAX_MOTORS],
}

#[derive(Default)]
struct Motor {
    current: Currents,
    /// Sums over compared time, in A·ms and ms: current, normal current, normal spread.
    tonight: f64,
    normal: f64,
    spread: f64,
    compared_ms: f64,
    /// Most uncertain source in use, and its nights.
    weakest: Option<Normal>,
    /// Highest heat: share, when, current.
    heat: Option<(f64, BootMs, f32)>,
    highest: Option<Heat>,
}

pub(super) struct Loads {
    limits: Limits,
    machine: Machine,
    baseline: Baseline,
    here: Option<Here>,
    watch: LoadWatch<Place>,
    table: Table,
    motors: [Motor; MAX_MOTORS],
    events: Vec<LoadFindingEvent>,
    observed: Observed,
    compared: Observed,
    /// Sums over time without water: ms, and ratio x ms.
    dry: (f64, f64),
    /// End of the last step of this boot.
    reached: Option<BootMs>,
    /// UTC at which the record of the last boot ended, in ms.
    ended: Option<i64>,
}

impl Loads {
    /// For the shift of `date`; nights of `history` since the tool was fitted tell what is normal.
    pub(super) fn new(machine: &Machine, history: &History, fitted: Option<NaiveDate>) -> Self {
        let nights = history
            .nights
            .iter()
            .filter(|night| fitted.is_none_or(|on| night.date >= on))
            .map(|night| night.loads.as_slice());
        Self::with(machine, Baseline::learn(nights, &machine.load))
    }

    fn with(machine: &Machine, baseline: Baseline) -> Self {
        let limits = machine.limits();
        Self {
            limits,
            machine: machine.clone(),
            baseline,
            here: None,
            watch: LoadWatch::new(limits, machine.thermal_settings()),
            table: Table::default(),
            motors: std::array::from_fn(|_| Motor::default()),
            events: Vec::new(),
            observed: Observed::default(),
            compared: Observed::default(),
            dry: (0.0, 0.0),
            reached: None,
            ended: None,
        }
    }

    /// The same from the start with what this pass learned of the shift itself, where some
    /// work had nothing to be compared with.
    pub(super) fn second_pass(&self) -> Option<Self> {
        if self.compared.seen >= self.compared.of {
            return None;
        }
        let tonight = self.table.finish();
        let baseline = self.baseline.clone().with_tonight(&tonight, &self.machine.load);
        baseline.knows_tonight().then(|| Self::with(&self.machine, baseline))
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        let (interval, place) = (moment.interval, moment.place);
        if self.reached.is_none() {
            // Both clocks are only known so well: a boot may seem to begin before the last ended.
            let began = moment.clock.utc(interval.from).0;
            self.watch.rests(self.ended.map(|ended| (began - ended).max(0) as f64 / 1000.0));
        }
        self.reached = Some(interval.to);
        let same = |h: &Here| (h.place.section, h.place.phase) == (place.section, place.phase);
        if !self.here.as_ref().is_some_and(same) {
            let (expected, normals) = self.baseline.expected(place);
            self.here = Some(Here { place, expected, normals });
        }
        let Some(here) = &self.here else { return };
        let (events, limits) = (&mut self.events, &self.limits);
        self.watch.step(interval, &here.expected, place, |event| {
            events.push(finding(&event, limits, moment.clock));
        });
        let work = self.watch.work();
        self.table.step(interval, work, place);
        let ms = interval.ms();
        let turning = moment.turning == Some(true);
        let mut all_read = !interval.motors.is_empty();
        let (mut normal_work, mut known) = (false, true);
        for (number, state) in interval.motors.iter().enumerate() {
            let Some(current_a) = state.current_a else {
                all_read = false;
                continue;
            };
            let motor = &mut self.motors[number];
            if turning {
                motor.current.add(current_a, ms);
            }
            if work.normal(number, interval) {
                normal_work = true;
                known &= here.normals[number].is_some();
                motor.compare(current_a, here.normals[number], ms);
            }
            let heat = self.watch.heat(number).unwrap_or(0.0);
            if motor.heat.is_none_or(|(share, ..)| heat > share) {
                motor.heat = Some((heat, interval.to, current_a));
            }
        }
        if turning {
            self.observed.add(moment.length(), all_read);
        }
        if normal_work {
            self.compared.add(moment.length(), known);
        }
        if interval.states.solution_flow == Some(0) && moment.brush_speed().is_some() {
            self.step_dry(interval);
        }
    }

    fn step_dry(&mut self, interval: &Interval) {
        let Some(here) = &self.here else { return };
        let ms = interval.ms() as f64;
        for (number, state) in interval.motors.iter().enumerate() {
            let expected_a = here.expected.current_a[number];
            let started = self.watch.work().started(number);
            if let (Some(current_a), Some(expected_a), true) =
                (state.current_a, expected_a, started)
                && current_a < self.limits.over_pressure_a
            {
                self.dry.0 += ms;
                self.dry.1 += ms * f64::from(current_a / expected_a);
            }
        }
    }

    pub(super) fn boot_ends(&mut self, clock: &ClockMap) {
        let (events, limits) = (&mut self.events, &self.limits);
        self.watch.finish(|event| events.push(finding(&event, limits, clock)));
        if let Some(reached) = self.reached.take() {
            self.ended = Some(clock.utc(reached).0);
        }
        let thermal = self.machine.thermal_settings();
        for motor in &mut self.motors {
            let Some((share, at, current_a)) = motor.heat.take() else { continue };
            if motor.highest.is_none_or(|h| share > h.share) {
                let current = Amperes(f64::from(current_a));
                let to_limit =
                    time_to_limit(share, current, thermal.limit_a, thermal.time_constant_s);
                motor.highest = Some(Heat { share, at: wall(clock, at), current, to_limit });
            }
        }
    }

    pub(super) fn finish(mut self) -> LoadFinding {
        let mut found = LoadFinding {
            observed: self.observed,
            compared: self.compared,
            dry: (self.dry.0 > 0.0).then(|| DryLoad {
                time: Seconds(self.dry.0 / 1000.0 / self.seen_motors().max(1) as f64),
                more: self.dry.1 / self.dry.0 - 1.0,
            }),
            ..LoadFinding::default()
        };
        let seen = self.seen_motors();
        found.motors.extend(self.motors.iter().take(seen).map(Motor::finish));
        self.events.sort_by_key(|e| (e.span, e.motor));
        let lights: Vec<_> =
            self.events.iter().filter(|e| e.kind == LoadKind::Light).copied().collect();
        for mut event in self.events {
            if event.cause == Some(LightCause::OneBrush) && all_light(&event, &lights, seen) {
                event.cause = Some(LightCause::AllBrushes);
            }
            let list = match event.kind {
                LoadKind::Stall => &mut found.stalls,
                LoadKind::OverPressure => &mut found.over_pressure,
                _ => &mut found.others,
            };
            list.push(event);
        }
        found
    }
}

impl Loads {
    fn seen_motors(&self) -> usize {
        self.motors.iter().take_while(|m| m.current.time().0 > 0.0).count()
    }
}

impl Motor {
    fn compare(&mut self, current_a: f32, normal: Option<Normal>, ms: u64) {
        let Some(normal) = normal else { return };
        let ms = ms as f64;
        self.tonight += f64::from(current_a) * ms;
        self.normal += normal.current.0 * ms;
        self.spread += normal.spread.0 * ms;
        self.compared_ms += ms;
        if self.weakest.is_none_or(|w| (normal.source, w.nights) > (w.source, normal.nights)) {
            self.weakest = Some(normal);
        }
    }

    fn finish(&self) -> MotorLoad {
        let mean = |sum: f64| Amperes(sum / self.compared_ms);
        MotorLoad {
            mean: self.current.mean(),
            median: self.current.median(),
            p95: self.current.quantile(0.95),
            max: self.current.quantile(1.0),
            normal: self.weakest.map(|weakest| AgainstNormal {
                normal: Normal { current: mean(self.normal), spread: mean(self.spread), ..weakest },
                tonight: mean(self.tonight),
                time: Seconds(self.compared_ms / 1000.0),
            }),
            heat: self.highest,
        }
    }
}

/// Time from this share of the limit to the limit at a constant current, the replica's closed
/// form: t = tau ln((I² - share L²) / (I² - L²)), L the current that may flow for ever.
fn time_to_limit(share: f64, current: Amperes, limit_a: f64, tau_s: f64) -> Option<Seconds> {
    let heat = (current.0 / limit_a) * (current.0 / limit_a);
    if share >= 1.0 {
        return Some(Seconds(0.0));
    }
    (heat > 1.0).then(|| Seconds(tau_s * ((heat - share) / (heat - 1.0)).ln()))
}

/// Whether every other motor was light at the same time.
fn all_light(event: &LoadFindingEvent, lights: &[LoadFindingEvent], motors: usize) -> bool {
    let overlaps =
        |e: &&LoadFindingEvent| e.span.from < event.span.to && e.span.to > event.span.from;
    let light = |motor| lights.iter().filter(overlaps).any(|e| e.motor == motor);
    motors > 1 && (0..motors).filter(|m| *m != event.motor).all(light)
}

fn finding(event: &LoadEvent<Place>, limits: &Limits, clock: &ClockMap) -> LoadFindingEvent {
    let amperes = |a: f32| Amperes(f64::from(a));
    let ratio = if event.kind == LoadKind::Hot { event.ratio_max } else { event.ratio };
    LoadFindingEvent {
        kind: event.kind,
        span: wall_span(clock, event.run),
        cut_short: event.run.cut_short,
        motor: event.motor,
        peak: amperes(event.peak_a),
        mean: amperes(event.mean_a),
        ratio: ratio.map(f64::from),
        rise: event.rise_ms.map(|ms| Seconds::from_ms(ms.into())),
        onset: event.onset(&limits.load),
        cause: (event.kind == LoadKind::Light).then(|| light_cause(event, &limits.load, false)),
        place: event.tag,
    }
}
