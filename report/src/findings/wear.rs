//! Segment wear from friction energy: a first estimate.
//!
//! Model: length lost is proportional to friction energy (Archard 1953; Reye:
//! worn volume is proportional to friction work). left = measured - w E, with w
//! from the machine file and E the friction energy of one brush since the
//! measurement. The forecast spends the mean energy of the calendar days since, or
//! of those that the logs cover.
//! Uncertainty: that of w (machine file), of the measurement (machine file) and
//! of the daily use (half of it over the root of the number of shifts, our own
//! choice); 80 % intervals are 1.2816 standard deviations to either side, those
//! of the day on the logarithm of the time left.

use super::friction::step_energy;
use super::types::{DayRange, Estimate, Shift, Span, WearFinding};
use crate::logset::{BootLog, ClockMap, LogSet};
use crate::settings::{Book, Site};
use crate::timeline::{Reader, Step, Walk, shift_of, walk};
use chrono::{DateTime, Days, NaiveDate, NaiveTime, Utc};
use std::collections::BTreeSet;
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Joules, Metres};
use underbrush_protocol::time::UtcMs;

/// z of an 80 % interval of the normal distribution.
const Z80: f64 = 1.281_551_565_544_8;
/// A forecast beyond this is not given as a day.
const LONGEST_DAYS: f64 = 730.0;

/// Friction energy of one brush, mean of all, over a span.
struct EnergyReader<'a> {
    machine: &'a Machine,
    site: &'a Site,
    joules: f64,
    /// Dates of the shifts with brush work.
    shifts: BTreeSet<NaiveDate>,
}

impl Reader for EnergyReader<'_> {
    fn boot_begins(&mut self, _: &BootLog, _: &ClockMap) {}
    fn note(&mut self, _: UtcMs, _: &Note) {}
    fn boot_ends(&mut self, _: &ClockMap) {}

    fn step(&mut self, step: &Step, clock: &ClockMap) {
        let motor = &self.machine.motor;
        let energy = step_energy(motor, self.machine.battery.nominal_voltage, step);
        let sum: f64 = energy.iter().sum();
        if sum > 0.0 {
            self.joules += sum / energy.len() as f64;
            let at = super::moment::wall(clock, step.interval.from);
            self.shifts.insert(shift_date(self.site, at));
        }
    }
}

pub(super) struct WearInputs<'a> {
    pub(super) machine: &'a Machine,
    pub(super) site: &'a Site,
    pub(super) book: &'a Book,
    pub(super) logs: &'a LogSet,
    pub(super) shift: &'a Shift,
    /// Friction energy of one brush in the shift.
    pub(super) energy_shift: Option<Joules>,
}

pub(super) fn estimate(inputs: &WearInputs<'_>) -> WearFinding {
    let blade = &inputs.machine.blade;
    let date = inputs.shift.date;
    let mut found = WearFinding {
        energy_shift: inputs.energy_shift,
        reorder_length: blade.reorder_length,
        ..WearFinding::default()
    };
    let fitted = inputs.book.tool.iter().rev().find(|t| t.on <= date);
    found.grit = fitted.map(|t| t.grit.clone());
    let Some((since, length)) = last_known_length(inputs, &mut found) else {
        found.remarks.push(
            "No measured length: give a shift book (--book) with the day the tool was fitted or its length measured.".to_owned(),
        );
        return found;
    };
    let Some(span) = nights_before(inputs, since) else { return found };
    let mut reader = EnergyReader {
        machine: inputs.machine,
        site: inputs.site,
        joules: 0.0,
        shifts: BTreeSet::new(),
    };
    let how = Walk {
        span,
        longest_gap_ms: inputs.machine.longest_gap_ms(),
        wheel_factor: inputs.machine.speed.wheel_factor,
    };
    // The shift itself was walked already: only the nights before it are read here.
    let unread = if span.from < span.to { walk(inputs.logs, how, &mut reader) } else { Vec::new() };
    let lost_places = unread.iter().filter(|problem| problem.data_lost).count();
    if lost_places > 0 {
        found.remarks.push(format!(
            "Logs of nights since {since} are damaged in {lost_places} places (underbrush verify lists them): less may be left than shown."
        ));
    }
    let tonight = inputs.energy_shift.unwrap_or_default();
    let energy = Joules(reader.joules) + tonight;
    found.energy_since = Some(energy);
    found.shifts_since = reader.shifts.len() as u32 + u32::from(tonight.0 > 0.0);
    let first_log =
        inputs.logs.boots.iter().filter_map(BootLog::utc_span).map(|(first, _)| first.0).min();
    let late = first_log
        .filter(|first| *first > span.from.timestamp_millis() + 36 * 3_600_000)
        .and_then(DateTime::from_timestamp_millis);
    if late.is_some() || first_log.is_none() {
        found.remarks.push(format!(
            "The logs do not reach back to {since}: work before them is missing, so less may be left than shown."
        ));
    }
    // The daily use is that of the days that the logs cover.
    let covered = late.map_or(since, |first| shift_date(inputs.site, first).max(since));
    let lost = Metres(blade.wear_rate.0 * energy.0);
    let sd =
        (blade.measuring_error.0.powi(2) + (lost.0 * blade.wear_rate_uncertainty).powi(2)).sqrt();
    let best = (length - lost).0;
    found.left = Some(Estimate {
        best: Metres(best.max(0.0)),
        low: Metres((best - Z80 * sd).max(0.0)),
        high: Metres((best + Z80 * sd).max(0.0)),
    });
    forecast(inputs, &mut found, Metres(best), sd, covered);
    found
}

/// The local date on which the shift of an instant starts; between shifts, that of the last one.
fn shift_date(site: &Site, at: DateTime<Utc>) -> NaiveDate {
    let since_midnight = site.shift_start.signed_duration_since(NaiveTime::MIN);
    let local = at.with_timezone(&site.zone).naive_local();
    local.checked_sub_signed(since_midnight).unwrap_or(local).date()
}

/// The last measurement, or the new length on the day of fitting.
fn last_known_length(
    inputs: &WearInputs<'_>,
    found: &mut WearFinding,
) -> Option<(NaiveDate, Metres)> {
    let date = inputs.shift.date;
    let fitted = inputs.book.tool.iter().rev().map(|t| t.on).find(|on| *on <= date);
    let measured: Vec<_> = inputs
        .book
        .measured
        .iter()
        .filter(|m| m.date <= date && fitted.is_none_or(|on| m.date >= on))
        .collect();
    for pair in measured.windows(2) {
        if pair[1].length > pair[0].length + inputs.machine.blade.measuring_error * 2.0 {
            found.remarks.push(format!(
                "The length measured on {} is longer than that of {} though no tool was fitted between: check both in the shift book.",
                pair[1].date, pair[0].date
            ));
        }
    }
    if let Some(last) = measured.last() {
        found.measured = Some((last.date, last.length));
        if (date - last.date).num_days() >= 7 {
            found
                .remarks
                .push(format!("Last measured on {}: measure the segments today.", last.date));
        }
        return Some((last.date, last.length));
    }
    fitted.map(|on| {
        found.remarks.push(format!(
            "Never measured since it was fitted on {on}: the length of a new tool is assumed."
        ));
        (on, inputs.machine.blade.new_length)
    })
}

/// From the start of the shift of the day `since` (people measure before work) to this shift's start.
fn nights_before(inputs: &WearInputs<'_>, since: NaiveDate) -> Option<Span> {
    let from = shift_of(inputs.site, since).ok()?.span.from;
    Some(Span { from, to: inputs.shift.span.from })
}

fn forecast(
    inputs: &WearInputs<'_>,
    found: &mut WearFinding,
    best: Metres,
    sd: f64,
    covered_from: NaiveDate,
) {
    let blade = &inputs.machine.blade;
    let (Some(energy), date) = (found.energy_since, inputs.shift.date) else { return };
    let days_covered = (date - covered_from).num_days().max(0) as f64 + 1.0;
    let per_day = blade.wear_rate.0 * energy.0 / days_covered;
    let spare = (best - blade.reorder_length).0;
    if spare <= 0.0 {
        found.reorder_day = Some(DayRange { best: date, early: date, late: Some(date) });
        found.order_by = Some(date);
        return;
    }
    if per_day <= 0.0 {
        found
            .remarks
            .push("No brush work since the last measurement: no date can be told.".to_owned());
        return;
    }
    let use_sd = 0.5 / f64::from(found.shifts_since.max(1)).sqrt();
    let log_sd =
        ((sd / spare).powi(2) + blade.wear_rate_uncertainty.powi(2) + use_sd.powi(2)).sqrt();
    let days = spare / per_day;
    let day = |days: f64| {
        (days <= LONGEST_DAYS)
            .then(|| date.checked_add_days(Days::new(days.floor() as u64)))
            .flatten()
    };
    let Some(best_day) = day(days) else {
        found.remarks.push("More than two years to the reorder length at this use.".to_owned());
        return;
    };
    let early = day(days * (-Z80 * log_sd).exp()).unwrap_or(best_day);
    found.reorder_day =
        Some(DayRange { best: best_day, early, late: day(days * (Z80 * log_sd).exp()) });
    let lead = (blade.lead_time.0 / 86_400.0).ceil().max(0.0) as u64;
    found.order_by = early.checked_sub_days(Days::new(lead)).map(|day| day.max(date));
}

#[cfg(test)]
mod tests {
    use super::*;

    // Chicago is 6 h behind UTC in November (IANA tz): 04:00Z is 22:00 of the day before.
    #[test]
    fn a_night_over_midnight_is_one_shift() {
        let text = "name = \"x\"\ntime_zone = \"America/Chicago\"\n[shift]\nstart = \"22:00\"\nend = \"06:00\"\n";
        let site = Site::parse("site.toml", text).unwrap();
        let date = |at: &str| shift_date(&site, at.parse().unwrap()).to_string();
        assert_eq!(date("2026-11-24T04:00:00Z"), "2026-11-23");
        assert_eq!(date("2026-11-24T11:59:59Z"), "2026-11-23");
        assert_eq!(date("2026-11-24T03:59:59Z"), "2026-11-22");
        assert_eq!(date("2026-11-25T04:00:00Z"), "2026-11-24");
    }
}
