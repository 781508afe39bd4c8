//! Trends as JSON, and night by night for spreadsheets.
//!
//! Currents in A, times in s, resistances in ohms, way as a ratio; shares are of the first
//! level. What is not known is `null`. Keys are only ever added; one that changes its
//! meaning raises `version`. `report/TRENDS.md` lists them.

use super::{MachineTrends, Part, Series, Sign, Trend, Verdict, points_to};
use crate::settings::site::Language;
use crate::settings::table::guarded;
use crate::sheet::sign_name;
use crate::sheet::words::Words;
use chrono::NaiveDate;
use serde::Serialize;
use underbrush_protocol::settings::Machine;

/// Raised when a key changes its meaning.
const VERSION: u32 = 1;

#[derive(Serialize)]
struct Whole<'a> {
    format: &'static str,
    version: u32,
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
    machines: Vec<MachineRow<'a>>,
}

#[derive(Serialize)]
struct MachineRow<'a> {
    machine: &'a str,
    nights: usize,
    signs: Vec<SignRow>,
}

#[derive(Serialize)]
struct SignRow {
    sign: &'static str,
    /// From 1.
    motor: Option<usize>,
    unit: &'static str,
    verdict: &'static str,
    values: usize,
    first_level: Option<f64>,
    last_level: Option<f64>,
    change_share: Option<f64>,
    change_low: Option<f64>,
    change_high: Option<f64>,
    told_from_share: f64,
    reaches_limit: Option<NaiveDate>,
    stepped_on: Option<NaiveDate>,
    stepped_from: Option<f64>,
    stepped_to: Option<f64>,
    better_since: Option<NaiveDate>,
    may_be: Option<String>,
    check: Vec<String>,
    points: Vec<PointRow>,
}

#[derive(Serialize)]
struct PointRow {
    date: NaiveDate,
    value: f64,
}

/// Name of a sign in files.
pub(super) fn key(sign: Sign) -> &'static str {
    match sign {
        Sign::NoLoad(_) => "no_load_current",
        Sign::RunDown(_) => "run_down_time",
        Sign::Winding(_) => "winding_resistance",
        Sign::Battery => "battery_resistance",
        Sign::DriveRestoring => "drive_current_restoring",
        Sign::DriveMaintaining => "drive_current_maintaining",
        Sign::Way => "upkeep_way",
    }
}

/// What people call a sign, in English, as `compare` has it.
pub(crate) fn name(sign: Sign) -> String {
    sign_name(&Words::new(Language::English), sign)
}

/// Unit of a sign's values in files.
pub(super) fn unit(sign: Sign) -> &'static str {
    match sign {
        Sign::NoLoad(_) | Sign::DriveRestoring | Sign::DriveMaintaining => "A",
        Sign::RunDown(_) => "s",
        Sign::Winding(_) | Sign::Battery => "ohm",
        Sign::Way => "1",
    }
}

/// Name of a verdict in files.
pub(crate) fn verdict_key(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::TooFew => "too few nights",
        Verdict::Steady => "steady",
        Verdict::Drifted => "drifted",
        Verdict::Coming(_) => "coming",
        Verdict::Stepped(_) => "stepped",
    }
}

/// All trends as JSON, two spaces to a level.
pub fn to_json(trends: &[MachineTrends], machines: &[&Machine]) -> String {
    let row = |of: &MachineTrends| {
        let machine = machines.get(of.machine)?;
        let signs = of.series.iter().map(|series| sign_row(series, of, machine)).collect();
        Some(MachineRow { machine: &machine.id, nights: of.nights, signs })
    };
    let whole = Whole {
        format: "underbrush-trends",
        version: VERSION,
        from: trends.first().map(|t| t.dates.0),
        to: trends.first().map(|t| t.dates.1),
        machines: trends.iter().filter_map(row).collect(),
    };
    // Strings, numbers and lists of them always can be written.
    let mut text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    text.push('\n');
    text
}

fn sign_row(series: &Series, of: &MachineTrends, machine: &Machine) -> SignRow {
    let Trend { values, levels, change, better_since, verdict, .. } = series.trend;
    let words = Words::new(Language::English);
    let part: Option<Part> = verdict.is_told().then(|| points_to(series, &of.series));
    let stepped = if let Verdict::Stepped(step) = verdict { Some(step) } else { None };
    let coming = if let Verdict::Coming(date) = verdict { Some(date) } else { None };
    SignRow {
        sign: key(series.sign),
        motor: series.sign.motor().map(|motor| motor + 1),
        unit: unit(series.sign),
        verdict: verdict_key(verdict),
        values,
        first_level: levels.map(|l| l.0),
        last_level: levels.map(|l| l.1),
        change_share: change.map(|c| c.0),
        change_low: change.map(|c| c.1),
        change_high: change.map(|c| c.2),
        told_from_share: series.sign.told_from(machine),
        reaches_limit: coming,
        stepped_on: stepped.map(|s| s.on),
        stepped_from: stepped.map(|s| s.before),
        stepped_to: stepped.map(|s| s.after),
        better_since: better_since.map(|s| s.on),
        may_be: part.map(|part| words.say(part.may_be)),
        check: part.map_or_else(Vec::new, |p| p.check.iter().map(|id| words.say(id)).collect()),
        points: series
            .points
            .iter()
            .map(|(date, value)| PointRow { date: *date, value: *value })
            .collect(),
    }
}

/// One row for each night and sign.
pub fn to_csv(trends: &[MachineTrends], machines: &[&Machine]) -> String {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Writing to memory cannot fail, and every row is as long as the head.
    let _ = writer.write_record(["machine", "date", "sign", "motor", "value", "unit"]);
    for of in trends {
        let Some(machine) = machines.get(of.machine) else { continue };
        for series in &of.series {
            for (date, value) in &series.points {
                let _ = writer.write_record([
                    guarded(&machine.id),
                    date.to_string(),
                    key(series.sign).to_owned(),
                    series.sign.motor().map_or(String::new(), |motor| (motor + 1).to_string()),
                    value.to_string(),
                    unit(series.sign).to_owned(),
                ]);
            }
        }
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}
