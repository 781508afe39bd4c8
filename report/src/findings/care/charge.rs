//! What the battery gives on one charge, against its own past.
//!
//! Words: a *charge* is the work between two chargings. A night whose battery
//! starts higher than the night before ended, by [`RISE`] of the way from low to
//! full or more, began on a charge of its own; a battery that only rested comes
//! back by less. Model: over the middle of its discharge a lead-acid battery's
//! resting voltage falls in proportion to the charge drawn (the table in the
//! machine file's `battery` settings is straight within 6 mV per cell), so that
//! the brush time a whole charge gives, from full to low, is
//! brush time x (full - low) / (start - end). Charges that used less than
//! [`LEAST_USED`] of that way say too little, and so do those of a night with
//! charging in between. A fall is told if tonight's charge is below
//! `battery.weak_share` of the median of the charges before, of which there must
//! be [`FEWEST`], and outside of three of their median deviations. No published
//! source; work of one kind on one kind of floor is taken for granted.

use super::super::figure::{Amount, Case, Figure};
use super::super::history::Night;
use super::super::robust::spread;
use super::battery::{BatteryRun, LEAST_CHANGE, Trough};
use underbrush_protocol::settings::machine::BatteryLimits;
use underbrush_protocol::si::{Amperes, Seconds, Volts};

/// Share of the way from low to full by which a battery rises when charged.
const RISE: f64 = 0.4;
/// Share of that way that a charge must have used to be judged.
const LEAST_USED: f64 = 0.25;
/// Charges before tonight's that make a usual one.
const FEWEST: usize = 5;

/// What the sheet says of the battery.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct BatteryFinding {
    /// This shift.
    pub run: BatteryRun,
    /// How it ended.
    pub state: BatteryState,
    /// The voltage at the start, if it was below full.
    pub not_full: Option<Volts>,
    /// Brush time that the present charge would give from full to low.
    pub charge: Option<Seconds>,
    /// What charges before gave.
    pub usual: Option<Charge>,
    /// The present charge gives much less than usual.
    pub weak: bool,
}

/// What charges gave.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Charge {
    /// Median brush time from full to low.
    pub median: Seconds,
    /// Its median deviation.
    pub deviation: Seconds,
    /// How many charges.
    pub charges: usize,
}

/// How far the battery was discharged.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    serde::Serialize,
    serde::Deserialize,
)]
pub enum BatteryState {
    /// Its voltage was not read.
    #[default]
    Unknown,
    /// Above its limits.
    Good,
    /// Low: charge soon.
    Low,
    /// Discharged too deep.
    Deep,
}

/// One charge, or as much of it as was recorded.
#[derive(Clone, Copy, Debug)]
struct Stretch {
    brush_time: Seconds,
    start: Option<Volts>,
    end: Option<Volts>,
    charged_within: bool,
}

/// Judges this shift's run against the limits and the nights before.
pub(in super::super) fn conclude(
    run: BatteryRun,
    nights: &[Night],
    limits: BatteryLimits,
) -> BatteryFinding {
    let state = match run.below {
        [_, Some(_)] => BatteryState::Deep,
        [Some(_), None] => BatteryState::Low,
        [None, None] if run.observed.seen.0 > 0.0 => BatteryState::Good,
        [None, None] => BatteryState::Unknown,
    };
    let mut all = charges(nights.iter().map(|night| &night.battery).chain([&run]), limits);
    let charge = all.pop().and_then(|last| from_full_to_low(&last, limits));
    let before: Vec<f64> =
        all.iter().filter_map(|c| Some(from_full_to_low(c, limits)?.0)).collect();
    let usual = spread(&before).filter(|_| before.len() >= FEWEST).map(|(median, deviation)| {
        Charge { median: Seconds(median), deviation: Seconds(deviation), charges: before.len() }
    });
    let weak = charge.zip(usual).is_some_and(|(charge, usual)| {
        charge.0 < limits.weak_share * usual.median.0
            && charge.0 < usual.median.0 - 3.0 * usual.deviation.0
    });
    let not_full = run.start.filter(|start| *start < limits.full);
    BatteryFinding { run, state, not_full, charge, usual, weak }
}

/// Nights joined to charges, in order; the last one is the present charge.
fn charges<'a>(runs: impl Iterator<Item = &'a BatteryRun>, limits: BatteryLimits) -> Vec<Stretch> {
    let rise = (limits.full - limits.low) * RISE;
    let mut all: Vec<Stretch> = Vec::new();
    for run in runs.filter(|run| run.observed.of.0 > 0.0) {
        match all.last_mut() {
            Some(last) if run.start.zip(last.end).is_some_and(|(s, e)| s - e < rise) => {
                last.brush_time += run.brush_time;
                last.end = run.end.or(last.end);
                last.charged_within |= run.charged_within;
            }
            _ => all.push(Stretch {
                brush_time: run.brush_time,
                start: run.start,
                end: run.end,
                charged_within: run.charged_within,
            }),
        }
    }
    all
}

fn from_full_to_low(charge: &Stretch, limits: BatteryLimits) -> Option<Seconds> {
    let whole = limits.full - limits.low;
    let used = (charge.start? - charge.end?) / whole;
    (!charge.charged_within && used >= LEAST_USED).then(|| Seconds(charge.brush_time.0 / used))
}

const VOLTS: &[&str] = &["battery_voltage", "battery_current", "brush_current_1"];
const CHEMISTRY: &str =
    "Limits that the machine file does not set are those of a lead-acid battery near 25 °C.";

/// Where the battery's figures come from.
pub(in super::super) const FIGURES: &[Figure] = &[
    Figure {
        id: "care.battery.resistance",
        says: "resistance of the battery with its cables",
        channels: VOLTS,
        settings: &[],
        formula: "- median slope of voltage changes over current changes, of all pairs of changes",
        source: "Source behind a resistance (Thevenin); Theil-Sen line with the interval of Sen 1968.",
        assumed: &["Between neighbouring readings the charge left does not change."],
        worked: |known| {
            let least = Amount::Current(Amperes(LEAST_CHANGE));
            known.findings.battery.run.resistance.map_or_else(Vec::new, |found| {
                Case::one([
                    ("changes of current of at least", least.clone()),
                    ("such changes", Amount::Count(found.pairs as u64)),
                    ("95 % interval from, in ohm", Amount::Number(found.low.0)),
                    ("95 % interval to, in ohm", Amount::Number(found.high.0)),
                    ("resistance in ohm", Amount::Number(found.best.0)),
                ])
            })
        },
    },
    Figure {
        id: "care.battery.voltage",
        says: "how far the battery was discharged",
        channels: VOLTS,
        settings: &[
            "machine:battery.low_voltage",
            "machine:battery.deep_voltage",
            "machine:battery.under_load_voltage",
        ],
        formula: "lowest mean voltage + resistance x mean current, of three neighbouring parts of \
                  the shift the middle one; without current: lowest mean voltage under load",
        source: SOURCE,
        assumed: &[CHEMISTRY, "A battery at work rests some 0.05 V per cell below a rested one."],
        worked: |known| {
            let (run, limits) = (&known.findings.battery.run, known.machine.battery.limits());
            let seen = |trough: Option<Trough>| {
                Amount::or_unknown(
                    trough,
                    |t| Amount::Voltage(t.voltage),
                    "not read, or no current",
                )
            };
            if run.lowest_loaded.is_none() {
                return Vec::new();
            }
            Case::one([
                ("low below, at rest", Amount::Voltage(limits.low)),
                ("deep below, at rest", Amount::Voltage(limits.deep)),
                ("empty below, under load", Amount::Voltage(limits.under_load)),
                ("lowest under load", seen(run.lowest_loaded)),
                ("lowest at rest", seen(run.lowest)),
            ])
        },
    },
    Figure {
        id: "care.battery.start",
        says: "whether the battery was full when the work began",
        channels: VOLTS,
        settings: &["machine:battery.full_voltage"],
        formula: "median of voltage + resistance x current over the first minute with brushes off",
        source: SOURCE,
        assumed: &[CHEMISTRY, "The first minute comes before five minutes of brush time."],
        worked: |known| {
            let full = known.machine.battery.limits().full;
            known.findings.battery.run.start.map_or_else(Vec::new, |start| {
                Case::one([
                    ("full from", Amount::Voltage(full)),
                    ("at rest at the start", Amount::Voltage(start)),
                ])
            })
        },
    },
    Figure {
        id: "care.battery.charge",
        says: "brush time that one charge gives, against its own past",
        channels: VOLTS,
        settings: &[
            "machine:battery.full_voltage",
            "machine:battery.low_voltage",
            "machine:battery.weak_share",
        ],
        formula: "brush time x (full - low) / (start - end), voltages at rest; weak below \
                  weak_share x median of the charges before and outside of 3 median deviations",
        source: SOURCE,
        assumed: &[
            "Voltage at rest falls in proportion to the charge drawn.",
            "The work is of one kind; a night on harder floor draws more.",
        ],
        worked: |known| {
            let (found, limits) = (&known.findings.battery, known.machine.battery.limits());
            let Some(charge) = found.charge else { return Vec::new() };
            let volts = |v| Amount::or_unknown(v, Amount::Voltage, "not read");
            let usual = found.usual;
            let time = |t| Amount::or_unknown(t, Amount::Time, "fewer than five charges before");
            Case::one([
                ("brush time of this shift", Amount::Time(found.run.brush_time)),
                ("at rest at the start", volts(found.run.start)),
                ("at rest at the end", volts(found.run.end)),
                ("full", Amount::Voltage(limits.full)),
                ("low", Amount::Voltage(limits.low)),
                ("median of charges before", time(usual.map(|u| u.median))),
                ("their median deviation", time(usual.map(|u| u.deviation))),
                ("weak below this share", Amount::Share(limits.weak_share)),
                ("brush time of this charge", Amount::Time(charge)),
            ])
        },
    },
];

const SOURCE: &str = "Common practice, no published source.";
