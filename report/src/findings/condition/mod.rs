//! What one night says of the machine's own condition, apart from its work.
//!
//! Words: *no load* is a brush switched on in the air and started; *coasting* a
//! brush whose power went; the *winding* is a motor with its leads, carbon brushes
//! and plugs; *drive current* is what the battery gives beyond the brush motors
//! while the machine drives with the vacuum on: traction, vacuum, electronics, and
//! the squeegee's drag within the traction.
//!
//! Models. No load: median current, less what the sensor shows with the brushes
//! off. Coasting: time in which the rotation falls from its value at the switch to
//! half of it, with the head up throughout, as on the floor the floor stops it; a
//! rotor under constant drag slows down evenly, so that the time is linear between
//! readings and is set in proportion to the nominal rotation, U / k over the gear.
//! Winding: median of (U - k w) / I at half the rated current and above, of a
//! permanent-magnet DC motor (U = R I + k w, any textbook on machines), the
//! voltage being that of the battery. Drive current: median within a speed band.
//! All are medians over a night, so that a few odd minutes do not count; a night
//! with too few readings has no value. Common practice, no published source.

mod coasting;
mod samples;

use super::history::span_of;
use super::moment::wall;
use super::quality::possible;
use super::robust::median;
use super::shift::Inputs;
use super::types::Span;
use crate::logset::{BootLog, ClockMap};
use crate::settings::Band;
use crate::timeline::{Reader, Walk, walk};
use chrono::NaiveDate;
use coasting::Coasting;
use samples::{Samples, part_of};
use underbrush_protocol::detect::{Interval, MotorState, Work};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::settings::machine::SensorLimits;
use underbrush_protocol::si::{Amperes, Ohms, Seconds};
use underbrush_protocol::time::UtcMs;

/// A motor has settled so long after it was switched, in ms.
const SETTLED_MS: u64 = 3_000;
/// Readings in the air, or with the brushes off, that are enough: half a minute at 10 Hz
/// holds them ten times.
const FEWEST_NO_LOAD: usize = 30;
/// Readings at work that are enough.
const FEWEST_AT_WORK: usize = 60;
/// Coastings that are enough.
const FEWEST_COASTS: usize = 2;
/// The winding is measured from this share of the rated current: below, its drop is lost in
/// the voltmeter's steps.
const LEAST_LOAD_SHARE: f64 = 0.5;
/// A speed within this share of a band's middle counts for the drive current.
const NEAR_BAND: f64 = 0.2;

/// One motor in one night. `None`: not seen, or too little.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct MotorCondition {
    /// Current with the brush in the air.
    pub no_load: Option<Amperes>,
    /// Time from nominal to half the nominal rotation without power, in the air.
    pub run_down: Option<Seconds>,
    /// Resistance of the winding with its leads.
    pub winding: Option<Ohms>,
}

/// One machine in one night.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Condition {
    /// Local date on which the shift starts.
    pub date: NaiveDate,
    /// Each brush motor, left to right.
    pub motors: Vec<MotorCondition>,
    /// Drive current near the middle of the restoration band.
    pub drive_restoring: Option<Amperes>,
    /// Drive current near the middle of the maintenance band.
    pub drive_maintaining: Option<Amperes>,
}

/// Reads the condition of a machine in the night of `date`: from the begin of its shift to
/// that of the next.
pub fn read_condition(inputs: &Inputs<'_>, date: NaiveDate) -> Condition {
    match span_of(inputs.site, date) {
        Some(span) => read_condition_of(inputs, date, span),
        None => Condition { date, ..Condition::default() },
    }
}

/// The same for any span.
pub fn read_condition_of(inputs: &Inputs<'_>, date: NaiveDate, span: Span) -> Condition {
    let machine = inputs.machine;
    let mut reader = ConditionReader {
        machine,
        sensors: machine.sensor_limits(),
        work: Work::new(machine.limits()),
        bands: [inputs.site.bands.restoration, inputs.site.bands.maintenance],
        off_since: None,
        air_since: None,
        motors: std::array::from_fn(|_| MotorSamples::default()),
        drive: [Samples::default(), Samples::default()],
        seen: 0,
    };
    // What cannot be read is told with the findings of the same night.
    walk(inputs.logs, Walk::of(machine, span), &mut reader);
    reader.finish(date)
}

#[derive(Debug, Default)]
struct MotorSamples {
    off: Samples,
    no_load: Samples,
    winding: Samples,
    coasting: Coasting,
}

struct ConditionReader<'a> {
    machine: &'a Machine,
    sensors: SensorLimits,
    work: Work,
    bands: [Band; 2],
    /// Since when the brushes are switched off, in ms of the boot.
    off_since: Option<u64>,
    /// Since when they are switched on with the head up, in ms of the boot.
    air_since: Option<u64>,
    motors: [MotorSamples; MAX_MOTORS],
    drive: [Samples; 2],
    /// Motors that were ever read.
    seen: usize,
}

impl Reader for ConditionReader<'_> {
    fn boot_begins(&mut self, _: &BootLog, _: &ClockMap) {
        self.work = Work::new(self.machine.limits());
        (self.off_since, self.air_since) = (None, None);
        self.motors.iter_mut().for_each(|motor| motor.coasting.broken());
    }

    fn note(&mut self, _: UtcMs, _: &Note) {}

    fn boot_ends(&mut self, _: &ClockMap) {}

    fn step(&mut self, interval: &Interval, clock: &ClockMap) {
        let cleaned = possible(interval, &self.sensors);
        let interval = cleaned.as_ref().unwrap_or(interval);
        self.work.step(interval);
        self.seen = self.seen.max(interval.motors.len());
        let part = part_of(wall(clock, interval.to));
        match interval.command_on {
            Some(false) => _ = self.off_since.get_or_insert(interval.from.0),
            _ => self.off_since = None,
        }
        if interval.command_on == Some(true) && interval.states.head_down == Some(false) {
            self.air_since.get_or_insert(interval.from.0);
        } else {
            self.air_since = None;
        }
        self.motors(interval, part);
        self.drive(interval, part);
    }
}

impl ConditionReader<'_> {
    fn motors(&mut self, interval: &Interval, part: i64) {
        let settled = |since: Option<u64>| {
            since.is_some_and(|since| interval.from.0.saturating_sub(since) >= SETTLED_MS)
        };
        let (off, in_the_air) = (settled(self.off_since), settled(self.air_since));
        let head_up = interval.states.head_down == Some(false);
        for (number, state) in interval.motors.iter().enumerate() {
            let Some(samples) = self.motors.get_mut(number) else { continue };
            let started = self.work.started(number);
            if let Some(current) = state.current_a.map(f64::from) {
                if off {
                    samples.off.push(part, current);
                } else if in_the_air && turns(state, started) {
                    samples.no_load.push(part, current);
                }
            }
            if started && let Some(ohms) = winding(self.machine, interval, number) {
                samples.winding.push(part, ohms);
            }
            samples.coasting.step(interval, state.rotation_rpm.map(f64::from), head_up);
        }
    }

    fn drive(&mut self, interval: &Interval, part: i64) {
        let states = &interval.states;
        let (Some(battery), Some(speed)) = (states.battery_a, interval.speed_m_s) else { return };
        if states.vacuum_on == Some(false) {
            return;
        }
        let mut brushes = 0.0;
        for state in &interval.motors {
            let Some(current) = state.current_a else { return };
            brushes += f64::from(current);
        }
        let speed = f64::from(speed).abs();
        for (band, samples) in self.bands.iter().zip(&mut self.drive) {
            let middle = 0.5 * (band.low.0 + band.high.0);
            if (speed - middle).abs() <= NEAR_BAND * middle {
                samples.push(part, f64::from(battery) - brushes);
            }
        }
    }

    fn finish(self, date: NaiveDate) -> Condition {
        let spec = &self.machine.motor;
        let nominal_rad_s = self.machine.battery.nominal_voltage.0 / spec.torque_constant.0;
        let nominal_rpm = nominal_rad_s / spec.gear_ratio * 60.0 / std::f64::consts::TAU;
        let motor = |samples: &MotorSamples| {
            // What the sensor shows without current is taken off.
            let off = samples.off.median(FEWEST_NO_LOAD).unwrap_or(0.0);
            let coasts = samples.coasting.times_per_rpm();
            // So long from the nominal rotation, by rotation lost in a second.
            let coasts: Vec<f64> = coasts.iter().map(|per_rpm| per_rpm * nominal_rpm).collect();
            MotorCondition {
                no_load: samples.no_load.median(FEWEST_NO_LOAD).map(|a| Amperes(a - off)),
                run_down: median(&coasts).filter(|_| coasts.len() >= FEWEST_COASTS).map(Seconds),
                winding: samples.winding.median(FEWEST_AT_WORK).map(Ohms),
            }
        };
        let [restoring, maintaining] = &self.drive;
        Condition {
            date,
            motors: self.motors.iter().take(self.seen).map(motor).collect(),
            drive_restoring: restoring.median(FEWEST_AT_WORK).map(Amperes),
            drive_maintaining: maintaining.median(FEWEST_AT_WORK).map(Amperes),
        }
    }
}

/// Whether a motor switched on turns. A light one draws less in the air than what tells turning
/// from its current alone, so the rotation counts where it is read.
fn turns(state: &MotorState, started: bool) -> bool {
    state.rotation_rpm.map_or(started, |rpm| rpm > 0.0)
}

/// Resistance of a motor at work; `None` where something of it is not read, or too small.
fn winding(machine: &Machine, interval: &Interval, motor: usize) -> Option<f64> {
    let state = interval.motors.get(motor)?;
    let (current, rpm) = (f64::from(state.current_a?), f64::from(state.rotation_rpm?));
    let volts = f64::from(interval.states.battery_v?);
    let spec = &machine.motor;
    let radians = rpm * std::f64::consts::TAU / 60.0 * spec.gear_ratio;
    let enough = interval.command_on == Some(true)
        && current >= LEAST_LOAD_SHARE * spec.rated_current.0
        && radians > 0.0;
    enough.then(|| (volts - spec.torque_constant.0 * radians) / current)
}
