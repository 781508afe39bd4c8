//! Sensors to doubt: what no machine can do, what never changes, what is not zero at rest.
//!
//! *Impossible*: a value beyond the machine file's `[sensors]`. It is taken as
//! not observed, so that it spoils no sum, and told. *Stuck*: a live sensor has
//! noise, so that a value which stays the same to its last digit for longer
//! than `sensors.stuck_time` while the machine works is none; a speed of exactly
//! 0 is one only if the machine turned more than a whole turn meanwhile, or a
//! brush turned all the time for twice as long. *Offset*: what a current sensor
//! shows with the brushes off. Each stay with the brushes switched off gives its
//! median; the offset is the median of these, its drift the Theil-Sen line
//! through them over the shift, less what its 95 % interval leaves open. Limits:
//! common practice, no published source.

mod figures;

pub(super) use figures::FIGURES;

use super::load::LoadFinding;
use super::moment::{Moment, wall};
use super::robust::{Thinned, median, theil_sen};
use super::types::Span;
use crate::logset::ClockMap;
use chrono::{DateTime, Utc};
pub use underbrush_protocol::detect::Sensor;
pub(crate) use underbrush_protocol::detect::possible;
use underbrush_protocol::detect::{Interval, all_possible, impossible};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::settings::machine::SensorLimits;
use underbrush_protocol::si::{Amperes, Seconds};
use underbrush_protocol::time::BootMs;

/// A machine that turned by this much was not standing, in rad.
const WHOLE_TURN_RAD: f64 = std::f64::consts::TAU;
/// Slower turns are a gyro's bias, in rad/s.
const TURNING_RAD_S: f32 = 0.1;
/// A motor comes to rest, and its sensor settles, within this time after switching off.
const SETTLED_MS: u64 = 3_000;
/// Readings of a stay with brushes off that are enough for its median.
const FEWEST_READINGS: usize = 20;
/// Stays that are enough for a drift.
const FEWEST_STAYS: usize = 4;

/// Everything found about the sensors.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct QualityFinding {
    /// Sensors that said what cannot be, or always the same; in order of begin.
    pub doubts: Vec<SensorDoubt>,
    /// What each current sensor shows with the brushes off, left to right.
    pub offsets: Vec<Option<Offset>>,
}

/// Why a sensor is doubted.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Doubt {
    /// No machine can do that.
    Impossible,
    /// It always said the same.
    Stuck,
}

/// A sensor that is doubted.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct SensorDoubt {
    /// Which.
    pub sensor: Sensor,
    /// Why.
    pub doubt: Doubt,
    /// When: the stuck stretch; of impossible values the first to the last.
    pub span: Span,
    /// The time that it concerns.
    pub time: Seconds,
    /// The value that stays, or the one furthest off, in the sensor's unit.
    pub value: f64,
}

/// What a current sensor shows with the brushes off.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Offset {
    /// To be taken off every reading: median over the stays with brushes off.
    pub offset: Amperes,
    /// How much it changed from the first stay to the last, at least; `None`: too few stays.
    pub drift: Option<Amperes>,
    /// Stays with brushes off.
    pub stays: usize,
    /// Either is above the limit.
    pub exceeds: bool,
    /// The offset as a share of the motor's mean current beyond no load: by about so much its
    /// load, friction energy and wear are too high (below 0: too low). `None` without load.
    pub load_share: Option<f64>,
}

impl QualityFinding {
    /// Current sensors whose offset is above the limit, with their motor.
    pub fn drifting(&self) -> impl Iterator<Item = (usize, &Offset)> {
        let known = self.offsets.iter().enumerate().filter_map(|(i, o)| Some((i, o.as_ref()?)));
        known.filter(|(_, offset)| offset.exceeds)
    }
}

/// A stretch with the same value.
#[derive(Clone, Copy, Debug)]
struct Same {
    value: f32,
    from: BootMs,
    to: BootMs,
    /// Whole angle turned in it, in rad.
    turned: f64,
    /// Time in it with a brush turning, in ms.
    brush_ms: u64,
}

/// Impossible values of one sensor.
#[derive(Clone, Copy, Debug)]
struct Beyond {
    span: Span,
    time: Seconds,
    worst: f32,
}

#[derive(Debug, Default)]
struct Zero {
    off_since: Option<BootMs>,
    readings: Thinned<f64>,
    /// Hours since the shift's begin, and median.
    stays: Thinned<(f64, f64)>,
    count: usize,
}

/// Of these a stuck value is looked for: speed, turn rate, currents.
const LIVE: usize = 2 + MAX_MOTORS;

pub(super) struct Qualities {
    limits: SensorLimits,
    no_load: Amperes,
    turning_a: f32,
    begin: DateTime<Utc>,
    last: BootMs,
    beyond: [Option<Beyond>; Sensor::COUNT],
    same: [Option<Same>; LIVE],
    zeros: [Zero; MAX_MOTORS],
    found: QualityFinding,
}

impl Qualities {
    pub(super) fn new(machine: &Machine, shift: Span) -> Self {
        Self {
            limits: machine.sensor_limits(),
            no_load: machine.motor.no_load_current,
            turning_a: machine.limits().turning.current_a,
            begin: shift.from,
            last: BootMs(0),
            beyond: [None; Sensor::COUNT],
            same: [None; LIVE],
            zeros: Default::default(),
            found: QualityFinding::default(),
        }
    }

    pub(super) fn limits(&self) -> &SensorLimits {
        &self.limits
    }

    /// Takes an interval as it was read.
    pub(super) fn read(&mut self, interval: &Interval, clock: &ClockMap) {
        if all_possible(interval, &self.limits) {
            return;
        }
        for (sensor, value) in impossible(interval, &self.limits) {
            let (from, to) = (wall(clock, interval.from), wall(clock, interval.to));
            let known = &mut self.beyond[sensor.place()];
            let beyond = known.get_or_insert(Beyond {
                span: Span { from, to },
                time: Seconds(0.0),
                worst: value,
            });
            beyond.span.to = to;
            beyond.time += Seconds::from_ms(interval.ms());
            let further = value.abs() > beyond.worst.abs();
            // Of voltages too low ones are the usual fault: the lowest tells.
            let lower = sensor == Sensor::Battery && value < beyond.worst;
            if lower || further && sensor != Sensor::Battery {
                beyond.worst = value;
            }
        }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        let interval = moment.interval;
        self.last = interval.to;
        let turning = moment.turning == Some(true);
        // Standing still, a gyro without noise may well show the same bias for long.
        let turn = interval.turn_rad_s.filter(|rate| rate.abs() > TURNING_RAD_S);
        self.live(0, interval.speed_m_s, moment, turning);
        self.live(1, turn, moment, turning);
        for m in 0..MAX_MOTORS {
            let motor = interval.motors.get(m);
            if motor.is_none() && self.same[2 + m].is_none() {
                break;
            }
            let current = motor.and_then(|motor| motor.current_a);
            // A motor at rest may show the same offset for long: only one that runs must change.
            let rotates = motor.and_then(|motor| motor.rotation_rpm).is_some_and(|rpm| rpm > 20.0);
            let runs = rotates || current.is_some_and(|a| a.abs() > self.turning_a);
            self.live(2 + m, current.filter(|_| runs), moment, turning);
            self.zero(m, current, rotates, moment);
        }
    }

    fn live(&mut self, place: usize, value: Option<f32>, moment: &Moment<'_>, turning: bool) {
        let Interval { from, to, turn_rad_s, .. } = *moment.interval;
        if let Some(same) = &mut self.same[place] {
            let goes_on = same.to == from
                && value.is_some_and(|value| value.to_bits() == same.value.to_bits());
            if goes_on {
                same.to = to;
                if place == 0 {
                    let rate = turn_rad_s.filter(|rate| rate.abs() > TURNING_RAD_S).unwrap_or(0.0);
                    same.turned += f64::from(rate.abs()) * moment.length().0;
                    same.brush_ms += if turning { moment.ms() } else { 0 };
                }
                return;
            }
            if same.to.since(same.from) > self.limits.stuck_ms {
                self.end(place, moment.clock);
            }
        }
        self.same[place] = value.map(|value| Same { value, from, to, turned: 0.0, brush_ms: 0 });
    }

    fn end(&mut self, place: usize, clock: &ClockMap) {
        let Some(same) = self.same[place].take() else { return };
        let ms = same.to.since(same.from);
        let drove = same.turned > WHOLE_TURN_RAD || same.brush_ms > 2 * self.limits.stuck_ms;
        let at_zero = place == 0 && same.value == 0.0;
        if ms <= self.limits.stuck_ms || (at_zero && !drove) {
            return;
        }
        let sensor = match place {
            0 => Sensor::Speed,
            1 => Sensor::TurnRate,
            p => Sensor::Current(p - 2),
        };
        self.found.doubts.push(SensorDoubt {
            sensor,
            doubt: Doubt::Stuck,
            span: Span { from: wall(clock, same.from), to: wall(clock, same.to) },
            time: Seconds::from_ms(ms),
            value: f64::from(same.value),
        });
    }

    /// Brushes switched off and at rest: the sensor should show nothing.
    fn zero(&mut self, motor: usize, current: Option<f32>, rotates: bool, moment: &Moment<'_>) {
        let off = moment.interval.command_on == Some(false) && !rotates;
        let zero = &mut self.zeros[motor];
        let Some(current) = current.filter(|_| off) else {
            if zero.off_since.is_some() && moment.interval.command_on == Some(true) {
                zero.end_stay(wall(moment.clock, moment.interval.from), self.begin);
            }
            return;
        };
        let since = *zero.off_since.get_or_insert(moment.interval.from);
        if moment.interval.from.since(since) >= SETTLED_MS {
            zero.readings.push(f64::from(current));
        }
    }

    pub(super) fn boot_ends(&mut self, clock: &ClockMap) {
        for place in 0..LIVE {
            self.end(place, clock);
        }
        for zero in &mut self.zeros {
            zero.end_stay(wall(clock, self.last), self.begin);
        }
    }

    pub(super) fn finish(mut self, load: &LoadFinding) -> QualityFinding {
        for (place, beyond) in self.beyond.iter().enumerate() {
            self.found.doubts.extend(beyond.map(|beyond| SensorDoubt {
                sensor: Sensor::at(place),
                doubt: Doubt::Impossible,
                span: beyond.span,
                time: beyond.time,
                value: f64::from(beyond.worst),
            }));
        }
        self.found.doubts.sort_by_key(|doubt| (doubt.span, doubt.sensor));
        for (motor, zero) in self.zeros.iter().enumerate() {
            let mean = load.motors.get(motor).map(|m| m.mean);
            self.found.offsets.push(zero.offset(&self.limits, mean, self.no_load));
        }
        while self.found.offsets.last().is_some_and(Option::is_none) {
            self.found.offsets.pop();
        }
        self.found
    }
}

impl Zero {
    fn end_stay(&mut self, at: DateTime<Utc>, begin: DateTime<Utc>) {
        self.off_since = None;
        if self.readings.kept().len() >= FEWEST_READINGS {
            let hours = (at - begin).num_milliseconds() as f64 / 3_600_000.0;
            self.stays.push((hours, median(self.readings.kept()).unwrap_or(0.0)));
            self.count += 1;
        }
        self.readings.clear();
    }

    fn offset(
        &self,
        limits: &SensorLimits,
        mean: Option<Amperes>,
        no_load: Amperes,
    ) -> Option<Offset> {
        let stays = self.stays.kept();
        let levels: Vec<f64> = stays.iter().map(|(_, level)| *level).collect();
        let offset = median(&levels)?;
        let hours = stays.last()?.0 - stays.first()?.0;
        let line = theil_sen(stays).filter(|_| stays.len() >= FEWEST_STAYS);
        // What is sure of the slope: its nearer end, or nothing if the ends differ in sign.
        let drift = line.map(|line| match (line.low > 0.0, line.high < 0.0) {
            (true, _) => line.low * hours,
            (_, true) => line.high * hours,
            _ => 0.0,
        });
        let limit = f64::from(limits.offset_a);
        let beyond = |a: f64| a.abs() > limit;
        let loaded = mean.map(|mean| mean.0 - offset - no_load.0).filter(|net| *net > 0.0);
        Some(Offset {
            offset: Amperes(offset),
            drift: drift.map(Amperes),
            stays: self.count,
            exceeds: beyond(offset) || drift.is_some_and(beyond),
            load_share: loaded.map(|net| offset / net),
        })
    }
}
