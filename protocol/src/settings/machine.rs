//! The machine file: what one scrubber is, and what its limits are.
//!
//! Every limit has a default of common practice (no published source). The
//! machine's own manual always comes first.

mod battery;
mod blade;
mod care;
mod drift;
mod load;
mod path;
mod pdo;
mod sensors;

pub use battery::{Battery, BatteryLimits};
pub use blade::Blade;
pub use care::CareSettings;
pub use drift::DriftSettings;
pub use load::{LoadSettings, Thermal};
pub use path::PathSettings;
pub use pdo::{PdoForm, PdoMap, PdoObject, PdoType};
pub use sensors::{SensorLimits, SensorSettings};

use super::{SettingsError, did_you_mean, error_at, error_at_entry, parse, parse_all};
use crate::channel::Channel;
use crate::detect::{CareLimits, Limits, ThermalSettings, TurningLimits};
use crate::si::{Amperes, Metres, MetresPerSecond, NewtonMetresPerAmpere, Ohms, Seconds};
use serde::Deserialize;

/// The whole file.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Machine {
    /// Short id; log files carry it.
    pub id: String,
    /// What people call the machine.
    pub name: String,
    /// The brush deck.
    pub deck: Deck,
    /// The brush motors, all alike.
    pub motor: Motor,
    /// The abrasive segments.
    #[serde(default)]
    pub blade: Blade,
    /// The battery.
    pub battery: Battery,
    /// When something is an event.
    #[serde(default)]
    pub limits: LimitSettings,
    /// Care of machine and floor.
    #[serde(default)]
    pub care: CareSettings,
    /// What a brush motor should draw.
    #[serde(default)]
    pub load: LoadSettings,
    /// How a brush motor heats.
    #[serde(default)]
    pub thermal: Thermal,
    /// When a slow change is told.
    #[serde(default)]
    pub drift: DriftSettings,
    /// Path and coverage.
    #[serde(default)]
    pub path: PathSettings,
    /// What the sensors can say.
    #[serde(default)]
    pub sensors: SensorSettings,
    /// How the speed signal becomes ground speed.
    #[serde(default)]
    pub speed: SpeedSettings,
    /// CAN signals, where the machine has no bridge of ours.
    #[serde(default, rename = "signal")]
    pub signals: Vec<SignalMap>,
    /// Frames of `CANopen` nodes, where the machine has such a bus.
    #[serde(default, rename = "pdo")]
    pub pdos: Vec<PdoMap>,
}

/// The brush deck.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Deck {
    /// Number of brushes, each with its own motor, 1 to 4.
    pub brushes: u8,
    /// Width that the brushes work, across the direction of travel.
    pub path_width: Metres,
    /// Length of floor under the brushes in the direction of travel.
    pub contact_length: Metres,
}

/// One brush motor: permanent-magnet DC with a gear.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Motor {
    /// Torque per current, which in SI is also voltage per speed.
    pub torque_constant: NewtonMetresPerAmpere,
    /// Resistance of armature and leads.
    pub resistance: Ohms,
    /// Current that turns the motor and the gear with the brush in the air.
    pub no_load_current: Amperes,
    /// Motor turns per brush turn.
    pub gear_ratio: f64,
    /// Current the motor may draw all the time.
    pub rated_current: Amperes,
}

/// Limits as the file gives them; see [`Limits`] for the meaning of each.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct LimitSettings {
    /// The machine stands below this speed.
    pub standing_speed: Option<MetresPerSecond>,
    /// It moves again from this speed; 1.2 times the other if not given.
    pub moving_speed: Option<MetresPerSecond>,
    /// Standing with turning brushes longer than this is an event.
    pub standing_time: Option<Seconds>,
    /// Moving no longer than this does not end a stop; 0.3 s if not given.
    pub standing_bridge: Option<Seconds>,
    /// A brush without power may coast this long; 15 s if not given.
    pub run_down_time: Option<Seconds>,
    /// What the wheels' grip can hold, in m/s²; 2 (a fifth of gravity, wet floor) if not given.
    pub grip: Option<f64>,
    /// A brush turns above this rotation, in r/min.
    pub turning_rpm: Option<f64>,
    /// A brush motor whose rotation is not measured turns above this current.
    pub turning_current: Option<Amperes>,
    /// Over-pressure above this current.
    pub over_pressure_current: Option<Amperes>,
    /// Over-pressure longer than this is an event.
    pub over_pressure_time: Option<Seconds>,
    /// Stalled from this current.
    pub stall_current: Option<Amperes>,
    /// A stall longer than this is an event.
    pub stall_time: Option<Seconds>,
    /// A reading says nothing about time further back than this; 1 s if not given.
    pub longest_gap: Option<Seconds>,
}

impl LimitSettings {
    /// Key and value of each limit that the file sets.
    fn given(&self) -> impl Iterator<Item = (&'static str, f64)> {
        let all = [
            ("limits.standing_speed", self.standing_speed.map(|v| v.0)),
            ("limits.moving_speed", self.moving_speed.map(|v| v.0)),
            ("limits.standing_time", self.standing_time.map(|v| v.0)),
            ("limits.standing_bridge", self.standing_bridge.map(|v| v.0)),
            ("limits.run_down_time", self.run_down_time.map(|v| v.0)),
            ("limits.grip", self.grip),
            ("limits.turning_rpm", self.turning_rpm),
            ("limits.turning_current", self.turning_current.map(|v| v.0)),
            ("limits.over_pressure_current", self.over_pressure_current.map(|v| v.0)),
            ("limits.over_pressure_time", self.over_pressure_time.map(|v| v.0)),
            ("limits.stall_current", self.stall_current.map(|v| v.0)),
            ("limits.stall_time", self.stall_time.map(|v| v.0)),
            ("limits.longest_gap", self.longest_gap.map(|v| v.0)),
        ];
        all.into_iter().filter_map(|(key, value)| Some((key, value?)))
    }
}

/// How the speed signal becomes ground speed.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct SpeedSettings {
    /// True distance over distance by the signal.
    pub wheel_factor: f64,
}

impl Default for SpeedSettings {
    fn default() -> Self {
        Self { wheel_factor: 1.0 }
    }
}

/// One CAN signal and the channel it feeds.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignalMap {
    /// Channel name, for instance `speed` or `brush_current_1`.
    pub channel: String,
    /// Message name in the DBC file.
    pub message: String,
    /// Signal name in the DBC file.
    pub signal: String,
    /// SI value (r/min, percent, 0/1) = decoded value x `factor` + `offset`.
    #[serde(default = "one")]
    pub factor: f64,
    /// See `factor`.
    #[serde(default)]
    pub offset: f64,
}

fn one() -> f64 {
    1.0
}

impl Machine {
    /// Reads and checks a machine file. `file` is its name for messages.
    pub fn parse(file: &str, text: &str) -> Result<Self, SettingsError> {
        let machine: Self = parse(file, text)?;
        match machine.faults(file, text).into_iter().next() {
            Some(first) => Err(first),
            None => Ok(machine),
        }
    }

    /// What can be read of a machine file, and all that is wrong with it.
    pub fn check(file: &str, text: &str) -> (Option<Self>, Vec<SettingsError>) {
        let (machine, mut wrong) = parse_all::<Self>(file, text);
        wrong.extend(machine.iter().flat_map(|machine| machine.faults(file, text)));
        (machine, wrong)
    }

    /// What the file must not say.
    fn faults(&self, file: &str, text: &str) -> Vec<SettingsError> {
        let fail = |key: &str, message: String| error_at(file, text, key, message);
        let mut wrong = Vec::new();
        if self.id.is_empty() || self.id.len() > 64 {
            wrong.push(fail("id", "give the machine an id of 1 to 64 bytes".to_owned()));
        }
        if !(1..=4).contains(&self.deck.brushes) {
            let given = self.deck.brushes;
            wrong.push(fail("deck.brushes", format!("{given} brushes: 1 to 4 can be recorded")));
        }
        let impossible = self.impossible_numbers();
        wrong.extend(impossible.into_iter().map(|(key, message)| fail(key, message.to_owned())));
        for (entry, signal) in self.signals.iter().enumerate() {
            if Channel::by_name(&signal.channel).is_none() {
                let names = Channel::names().collect::<Vec<_>>().join(", ");
                let meant = did_you_mean(&signal.channel, Channel::names());
                let message = format!("no channel `{}`; there are {names}{meant}", signal.channel);
                wrong.push(error_at_entry(file, text, "signal.channel", entry, message));
            }
        }
        wrong.extend(PdoMap::all_faults(&self.pdos, file, text));
        let limits = self.limits();
        if limits.moving_m_s < limits.standing_m_s {
            let message = "must not be less than limits.standing_speed".to_owned();
            wrong.push(fail("limits.moving_speed", message));
        }
        wrong
    }

    /// Numbers that no machine can have: a limit that is none would switch a detector off
    /// without a word.
    fn impossible_numbers(&self) -> Vec<(&'static str, &'static str)> {
        let positive = [
            ("deck.path_width", self.deck.path_width.0),
            ("deck.contact_length", self.deck.contact_length.0),
            ("motor.torque_constant", self.motor.torque_constant.0),
            ("motor.resistance", self.motor.resistance.0),
            ("motor.gear_ratio", self.motor.gear_ratio),
            ("motor.rated_current", self.motor.rated_current.0),
            ("speed.wheel_factor", self.speed.wheel_factor),
        ];
        let not_negative = [("motor.no_load_current", self.motor.no_load_current.0)];
        // The detectors compute in f32: what overflows there is no number either.
        let finite = |value: f64| (value as f32).is_finite();
        let signals = self.signals.iter();
        let numbers =
            signals.flat_map(|s| [("signal.factor", s.factor), ("signal.offset", s.offset)]);
        let wrong = |rule: fn(f64) -> bool, message| {
            move |(key, value): (&'static str, f64)| {
                (!finite(value) || !rule(value)).then_some((key, message))
            }
        };
        let above = wrong(|value| value > 0.0, "must be more than 0");
        let from = wrong(|value| value >= 0.0, "must not be less than 0");
        let any = wrong(|_| true, "must be a number");
        let above_zero = positive
            .into_iter()
            .chain(self.blade.positive())
            .chain(self.battery.numbers())
            .chain(self.care.numbers())
            .chain(self.drift.numbers())
            .chain(self.path.positive())
            .chain(self.sensors.numbers())
            .chain(self.limits.given())
            .chain(self.load.positive())
            .chain(self.thermal.positive())
            .filter_map(above);
        let from_zero = not_negative
            .into_iter()
            .chain(self.blade.not_negative())
            .chain(self.path.not_negative())
            .filter_map(from);
        let numbers = numbers.filter_map(any);
        let mut all: Vec<_> = above_zero.chain(from_zero).chain(numbers).collect();
        // How numbers go together is judged where each of them can be.
        let together = [
            self.blade.impossible(),
            self.battery.impossible(),
            self.path.impossible(),
            self.care.impossible(),
            self.drift.impossible(),
            self.load.wrong_ratio(),
            self.thermal.wrong_share(),
        ];
        if all.is_empty() {
            all.extend(together.into_iter().flatten());
        }
        all
    }

    /// The detectors' limits: the file's, or else the defaults.
    pub fn limits(&self) -> Limits {
        let given = &self.limits;
        let d = Limits::default();
        let ms =
            |s: Option<Seconds>, default| s.map_or(default, |s| (s.0.max(0.0) * 1000.0) as u64);
        let standing = given.standing_speed.map_or(d.standing_m_s, |v| v.0 as f32);
        let rated = self.motor.rated_current.0 as f32;
        let over = given.over_pressure_current.map_or(1.25 * rated, |a| a.0 as f32);
        let stall = given.stall_current.map_or(2.5 * rated, |a| a.0 as f32);
        Limits {
            turning: TurningLimits {
                rotation_rpm: given.turning_rpm.map_or(d.turning.rotation_rpm, |r| r as f32),
                current_a: given.turning_current.map_or(d.turning.current_a, |a| a.0 as f32),
            },
            standing_m_s: standing,
            moving_m_s: given.moving_speed.map_or(1.2 * standing, |v| v.0 as f32),
            standing_ms: ms(given.standing_time, d.standing_ms),
            standing_bridge_ms: ms(given.standing_bridge, d.standing_bridge_ms),
            run_down_ms: ms(given.run_down_time, d.run_down_ms),
            grip_m_s2: given.grip.map_or(d.grip_m_s2, |g| g as f32),
            over_pressure_a: over,
            over_pressure_end_a: 0.95 * over,
            over_pressure_ms: ms(given.over_pressure_time, d.over_pressure_ms),
            stall_a: stall,
            stall_rpm: d.stall_rpm,
            stall_ms: ms(given.stall_time, d.stall_ms),
            load: self.load.limits(stall, self.motor.no_load_current.0 as f32),
        }
    }

    /// The limits of care events.
    pub fn care_limits(&self) -> CareLimits {
        self.care.limits()
    }

    /// How each brush motor heats.
    pub fn thermal_settings(&self) -> ThermalSettings {
        self.thermal.settings(self.motor.rated_current)
    }

    /// What each signal can be.
    pub fn sensor_limits(&self) -> SensorLimits {
        self.sensors.limits(&self.motor, &self.battery)
    }

    /// The longest time back that a reading speaks for, in ms.
    pub fn longest_gap_ms(&self) -> u64 {
        self.limits.longest_gap.map_or(1_000, |s| (s.0.max(0.0) * 1000.0) as u64)
    }
}
