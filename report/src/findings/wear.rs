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

use super::history::{History, Night};
use super::types::{DayRange, Estimate, Shift, WearFinding};
use crate::settings::Book;
use chrono::{Days, NaiveDate};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Joules, Metres};

/// z of an 80 % interval of the normal distribution.
const Z80: f64 = 1.281_551_565_544_8;
/// A forecast beyond this is not given as a day.
const LONGEST_DAYS: f64 = 730.0;

pub(super) struct WearInputs<'a> {
    pub(super) machine: &'a Machine,
    pub(super) book: &'a Book,
    pub(super) history: &'a History,
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
    let nights = || inputs.history.nights.iter().filter(move |night| night.date >= since);
    let lost_places: u32 = nights().map(|night| night.unread).sum();
    if lost_places > 0 {
        found.remarks.push(format!(
            "Logs of nights since {since} are damaged in {lost_places} places (underbrush verify lists them): less may be left than shown."
        ));
    }
    let mean = |night: &Night| {
        let sum: Joules = night.energy.iter().copied().sum();
        sum / night.energy.len().max(1) as f64
    };
    let tonight = inputs.energy_shift.unwrap_or_default();
    let energy = nights().map(mean).sum::<Joules>() + tonight;
    found.energy_since = Some(energy);
    found.shifts_since =
        nights().filter(|night| mean(night).0 > 0.0).count() as u32 + u32::from(tonight.0 > 0.0);
    let first_log = inputs.history.first_logged;
    let late = first_log.filter(|first| *first > since + Days::new(1));
    if late.is_some() || first_log.is_none() {
        found.remarks.push(format!(
            "The logs do not reach back to {since}: work before them is missing, so less may be left than shown."
        ));
    }
    // The daily use is that of the days that the logs cover.
    let covered = late.map_or(since, |first| first.max(since));
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
