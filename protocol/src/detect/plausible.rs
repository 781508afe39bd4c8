//! What no machine can do is not observed.
//!
//! A value beyond the machine file's `[sensors]` is taken out of its interval before
//! any detector sees it, by the live watch as by the report.

use super::Interval;
use crate::frame::MAX_MOTORS;

/// What each signal can be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SensorLimits {
    /// Fastest, in m/s.
    pub speed_m_s: f32,
    /// Fastest turn, in rad/s.
    pub turn_rad_s: f32,
    /// Largest brush motor current either way, in A.
    pub current_a: f32,
    /// Fastest brush, in r/min.
    pub rotation_rpm: f32,
    /// Lowest and highest battery voltage, in V.
    pub battery_v: (f32, f32),
    /// Same reading for longer than this, in ms.
    pub stuck_ms: u64,
    /// Largest offset, in A.
    pub offset_a: f32,
}

/// A sensor.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub enum Sensor {
    /// Ground speed, in m/s.
    Speed,
    /// Turn rate, in rad/s.
    TurnRate,
    /// Current of this motor, from 0, in A.
    Current(usize),
    /// Rotation of this brush, from 0, in r/min.
    Rotation(usize),
    /// Battery voltage, in V.
    Battery,
}

impl Sensor {
    /// How many there are.
    pub const COUNT: usize = 3 + 2 * MAX_MOTORS;

    /// The sensor at a place in a row of all of them.
    pub fn at(place: usize) -> Self {
        match place {
            0 => Self::Speed,
            1 => Self::TurnRate,
            2 => Self::Battery,
            p if p < 3 + MAX_MOTORS => Self::Current(p - 3),
            p => Self::Rotation(p - 3 - MAX_MOTORS),
        }
    }

    /// Its place in a row of all sensors.
    pub fn place(self) -> usize {
        match self {
            Self::Speed => 0,
            Self::TurnRate => 1,
            Self::Battery => 2,
            Self::Current(motor) => 3 + motor,
            Self::Rotation(motor) => 3 + MAX_MOTORS + motor,
        }
    }
}

/// The interval without impossible values; `None` where it has none.
pub fn possible(interval: &Interval, limits: &SensorLimits) -> Option<Interval> {
    if all_possible(interval, limits) {
        return None;
    }
    let mut cleaned = interval.clone();
    for (sensor, _) in impossible(interval, limits) {
        match sensor {
            Sensor::Speed => cleaned.speed_m_s = None,
            Sensor::TurnRate => cleaned.turn_rad_s = None,
            Sensor::Battery => cleaned.states.battery_v = None,
            Sensor::Current(m) => {
                cleaned.motors.get_mut(m).into_iter().for_each(|motor| motor.current_a = None);
            }
            Sensor::Rotation(m) => {
                cleaned.motors.get_mut(m).into_iter().for_each(|motor| motor.rotation_rpm = None);
            }
        }
    }
    Some(cleaned)
}

/// Whether nothing in the interval is impossible: the usual case, quickly.
pub fn all_possible(interval: &Interval, limits: &SensorLimits) -> bool {
    let within = |value: Option<f32>, most: f32| value.is_none_or(|v| v.abs() <= most);
    let (least_v, most_v) = limits.battery_v;
    within(interval.speed_m_s, limits.speed_m_s)
        && within(interval.turn_rad_s, limits.turn_rad_s)
        && interval.states.battery_v.is_none_or(|v| v >= least_v && v <= most_v)
        && interval.motors.iter().all(|motor| {
            within(motor.current_a, limits.current_a)
                && within(motor.rotation_rpm, limits.rotation_rpm)
        })
}

/// Each sensor with an impossible value, and that value.
pub fn impossible<'a>(
    interval: &'a Interval,
    limits: &'a SensorLimits,
) -> impl Iterator<Item = (Sensor, f32)> + 'a {
    let beyond = |value: Option<f32>, most: f32| value.filter(|v| v.abs() > most);
    let (least_v, most_v) = limits.battery_v;
    let battery = interval.states.battery_v.filter(|v| !(least_v..=most_v).contains(v));
    let motors = interval.motors.iter().enumerate();
    let of_motors = motors.flat_map(move |(m, motor)| {
        [
            beyond(motor.current_a, limits.current_a).map(|v| (Sensor::Current(m), v)),
            beyond(motor.rotation_rpm, limits.rotation_rpm).map(|v| (Sensor::Rotation(m), v)),
        ]
    });
    [
        beyond(interval.speed_m_s, limits.speed_m_s).map(|v| (Sensor::Speed, v)),
        beyond(interval.turn_rad_s, limits.turn_rad_s).map(|v| (Sensor::TurnRate, v)),
        battery.map(|v| (Sensor::Battery, v)),
    ]
    .into_iter()
    .chain(of_motors)
    .flatten()
}
