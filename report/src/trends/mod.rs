//! Slow failures: what changes in a machine over weeks and months, before it stops a shift.
//!
//! Words: a *sign* is a quantity of the machine's condition that nobody sets: the current
//! of a motor in the air, the time a brush coasts, a winding's and the battery's
//! resistance, the drive current, the way driven for the same upkeep. A *series* is its
//! value in each night; a *trend* what a series does (see `trend`).
//!
//! Way: in the daily upkeep of one section the same way is driven each time, so that way
//! over the section's own median tells of the speed sensor's wheel. A night's value is
//! the median over the sections whose place was told, over all work of that night.

mod change;
mod points_to;
mod rows;
mod table;
mod trend;

pub use points_to::{Part, points_to};
pub(crate) use rows::{name, verdict_key};
pub use rows::{to_csv, to_json};
pub use table::to_text;
pub use trend::{Direction, Step, Trend, TrendLimits, Verdict, judge};

use crate::cores::share_out;
use crate::findings::Condition;
use crate::findings::robust::median;
use crate::ledger::{Building, Ledger};
use crate::settings::Phase;
use chrono::NaiveDate;
use std::collections::BTreeMap;
use underbrush_protocol::settings::Machine;

/// What is followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Sign {
    /// Current of a motor with its brush in the air, in A; motors from 0.
    NoLoad(usize),
    /// Time of a brush from full to half rotation without power, in the air, in s.
    RunDown(usize),
    /// Resistance of a motor with its leads, in ohms.
    Winding(usize),
    /// Resistance of the battery with its leads, in ohms.
    Battery,
    /// Current beyond the brush motors at restoration speed, in A.
    DriveRestoring,
    /// Current beyond the brush motors at maintenance speed, in A.
    DriveMaintaining,
    /// Way driven for the upkeep of a section over its usual.
    Way,
}

impl Sign {
    /// Which way is bad.
    pub fn bad(self) -> Direction {
        match self {
            Self::RunDown(_) => Direction::Down,
            Self::Way => Direction::Either,
            _ => Direction::Up,
        }
    }

    /// From which change on it is told, as a share.
    pub fn told_from(self, machine: &Machine) -> f64 {
        let drift = &machine.drift;
        match self {
            Self::NoLoad(_) => drift.no_load_share,
            Self::RunDown(_) => drift.run_down_share,
            Self::Winding(_) => drift.winding_share,
            Self::Battery => drift.battery_share,
            Self::DriveRestoring | Self::DriveMaintaining => drift.drive_share,
            Self::Way => drift.wheel_share,
        }
    }

    /// Its motor, from 0.
    pub fn motor(self) -> Option<usize> {
        match self {
            Self::NoLoad(motor) | Self::RunDown(motor) | Self::Winding(motor) => Some(motor),
            _ => None,
        }
    }
}

/// One sign over the nights.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// Which.
    pub sign: Sign,
    /// Its value in each night that has one, in order of date.
    pub points: Vec<(NaiveDate, f64)>,
    /// What it does.
    pub trend: Trend,
}

/// All signs of one machine.
#[derive(Clone, Debug, PartialEq)]
pub struct MachineTrends {
    /// Its place in the list of machines.
    pub machine: usize,
    /// First and last date looked at.
    pub dates: (NaiveDate, NaiveDate),
    /// Nights with a record in that time.
    pub nights: usize,
    /// Each sign that was ever seen.
    pub series: Vec<Series>,
}

impl MachineTrends {
    /// The signs that changed for the worse.
    pub fn told(&self) -> impl Iterator<Item = &Series> {
        self.series.iter().filter(|series| series.trend.verdict.is_told())
    }
}

/// Reads the signs of one machine over the nights of two dates and between. The ledger must
/// reach to the last of them. `None`: there is no such machine.
pub fn read(
    building: &Building<'_>,
    ledger: &Ledger,
    machine: usize,
    dates: (NaiveDate, NaiveDate),
) -> Option<MachineTrends> {
    let of = building.machines.get(machine)?.machine;
    let within = |date: &NaiveDate| *date >= dates.0 && *date <= dates.1;
    let of_machine = || ledger.nights(machine).filter(|night| within(&night.date));
    let nights: Vec<NaiveDate> = of_machine().map(|night| night.date).collect();
    let read = share_out(nights.len(), |numbers| {
        let taken = numbers.filter_map(|number| nights.get(number));
        taken.map(|date| building.condition(machine, *date)).collect::<Vec<_>>()
    });
    let mut conditions: Vec<Condition> = read.into_iter().flatten().collect();
    conditions.sort_by_key(|condition| condition.date);
    let mut points: BTreeMap<Sign, Vec<(NaiveDate, f64)>> = BTreeMap::new();
    for condition in &conditions {
        for (sign, value) in signs(condition) {
            points.entry(sign).or_default().push((condition.date, value));
        }
    }
    for night in of_machine() {
        if let Some(resistance) = night.battery.resistance {
            points.entry(Sign::Battery).or_default().push((night.date, resistance.best.0));
        }
    }
    let ways = ways(of, ledger, machine, dates);
    if !ways.is_empty() {
        points.insert(Sign::Way, ways);
    }
    let series = points.into_iter().map(|(sign, points)| {
        let limits = TrendLimits {
            share: sign.told_from(of),
            bad: sign.bad(),
            nights: usize::from(of.drift.nights),
        };
        let trend = judge(&points, limits);
        Series { sign, points, trend }
    });
    Some(MachineTrends { machine, dates, nights: nights.len(), series: series.collect() })
}

fn signs(condition: &Condition) -> Vec<(Sign, f64)> {
    let motors = condition.motors.iter().enumerate().flat_map(|(number, motor)| {
        [
            (Sign::NoLoad(number), motor.no_load.map(|a| a.0)),
            (Sign::RunDown(number), motor.run_down.map(|s| s.0)),
            (Sign::Winding(number), motor.winding.map(|r| r.0)),
        ]
    });
    let drive = [
        (Sign::DriveRestoring, condition.drive_restoring.map(|a| a.0)),
        (Sign::DriveMaintaining, condition.drive_maintaining.map(|a| a.0)),
    ];
    let usable = |value: &f64| value.is_finite() && *value > 0.0;
    let all = motors.chain(drive);
    all.filter_map(|(sign, value)| Some((sign, value.filter(usable)?))).collect()
}

/// Nights in which a section must have been kept up to have a usual way.
const FEWEST_UPKEEPS: usize = 5;

fn ways(
    of: &Machine,
    ledger: &Ledger,
    machine: usize,
    (from, to): (NaiveDate, NaiveDate),
) -> Vec<(NaiveDate, f64)> {
    let mut by_section: BTreeMap<usize, BTreeMap<NaiveDate, f64>> = BTreeMap::new();
    for record in &ledger.records {
        let work = &record.work;
        let (Some(section), Some(Phase::Maintenance)) = (work.place.section, work.place.phase)
        else {
            continue;
        };
        let within = record.date >= from && record.date <= to;
        if record.machine == machine && within && work.confidence.is_none() {
            let way = work.swept_area.0 / of.deck.path_width.0;
            *by_section.entry(section).or_default().entry(record.date).or_default() += way;
        }
    }
    let mut shares: BTreeMap<NaiveDate, Vec<f64>> = BTreeMap::new();
    for ways in by_section.values().filter(|ways| ways.len() >= FEWEST_UPKEEPS) {
        let all: Vec<f64> = ways.values().copied().collect();
        let Some(usual) = median(&all).filter(|usual| *usual > 0.0) else { continue };
        for (date, way) in ways {
            shares.entry(*date).or_default().push(way / usual);
        }
    }
    shares.iter().filter_map(|(date, values)| Some((*date, median(values)?))).collect()
}
