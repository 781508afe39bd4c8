//! Brushes that wear crookedly, and segments that look fitted wrongly.
//!
//! *Quadrants*: four lengths of one brush, a quarter turn apart. Their range is held
//! against that of four normal readings with the measuring error: it is larger in 1 of 100
//! cases than 4.40 standard deviations (tables of the studentized range, infinite degrees of
//! freedom, four means, from memory).
//!
//! *Seating*: within two weeks of fitting (our own choice) a length is held against what the
//! length on fitting and the machine file's wear rate predict for the energy since. Shorter than
//! that by more than 2.33 standard deviations of the prediction (1 of 100, one side) is not
//! wear of a brush that runs true: a segment stands out, or the plate is not seated. The
//! uncertainties of rate, first length, days filled up and reading are all in it. Later
//! lengths are the business of `screen`.

use super::WearCase;
use super::calendar::Calendar;
use super::finding::WearRemark;
use crate::settings::book::{Fitted, Lengths, Measured};
use chrono::NaiveDate;
use underbrush_protocol::si::Metres;

/// The range of four equal lengths over one standard deviation, exceeded in 1 of 100 cases.
pub(super) const RANGE_OF_FOUR: f64 = 4.40;
/// A seating shows within so many days of fitting.
const EARLY_DAYS: i64 = 14;
/// Shorter by so many standard deviations: 1 of 100, one side.
const SHORTER: f64 = 2.33;

/// Adds what the lengths say of seating and level. What is serious comes first.
pub(super) fn say(
    case: &WearCase<'_>,
    calendar: &Calendar<'_>,
    tool: Option<&Fitted>,
    measured: &[&Measured],
    remarks: &mut Vec<WearRemark>,
) {
    let is_early = |date: NaiveDate| {
        let fitted = tool.map(|tool| tool.on);
        fitted.filter(|on| (0..=EARLY_DAYS).contains(&(date - *on).num_days()))
    };
    let early = measured.iter().filter_map(|m| Some((m, is_early(m.date)?)));
    let seating = tool
        .and_then(|tool| early.filter_map(|(m, _)| too_short(case, calendar, tool, m)).next_back());
    if let Some(remark) = seating {
        remarks.insert(0, remark);
    }
    // The last measurement with quadrants tells how the brushes run today.
    let Some(last) = measured.iter().rev().find(|m| !m.quadrants.is_empty()) else { return };
    for (brush, lengths) in last.quadrants.iter().enumerate() {
        let short = Metres(lengths.iter().map(|l| l.0).fold(f64::INFINITY, f64::min));
        let long = Metres(lengths.iter().map(|l| l.0).fold(f64::NEG_INFINITY, f64::max));
        if (long - short).0 <= RANGE_OF_FOUR * case.blade.measuring_error.0 {
            continue;
        }
        let date = last.date;
        match is_early(date) {
            Some(fitted) => {
                remarks.insert(0, WearRemark::SeatingUneven { date, brush, fitted, short, long });
            }
            None => remarks.push(WearRemark::Quadrants { date, brush, short, long }),
        }
    }
}

/// The brush that is furthest below its prediction, if any is beyond the limit.
fn too_short(
    case: &WearCase<'_>,
    calendar: &Calendar<'_>,
    tool: &Fitted,
    m: &Measured,
) -> Option<WearRemark> {
    // What was worked before the logs begin is not known.
    if tool.on < calendar.covered {
        return None;
    }
    let blade = case.blade;
    let refitted = case.book.stints(tool).len() > 1;
    let (first, first_sd) = match tool.length {
        Some(length) => (length.0, blade.measuring_error.0),
        // A set that comes back has a length that only its name knows: nothing is said.
        None if refitted => return None,
        None => (blade.new_length.0, blade.new_length_tolerance.0),
    };
    let lengths: Vec<(Option<usize>, Metres)> = match &m.found {
        Lengths::Shortest(length) => vec![(None, *length)],
        Lengths::Brush(brush, length) => vec![(Some(*brush), *length)],
        Lengths::Each(all) => all.iter().enumerate().map(|(b, l)| (Some(b), *l)).collect(),
    };
    let far = |(brush, length): (Option<usize>, Metres)| {
        // The shortest of all is that of the brush that worked most.
        let motors = 0..usize::from(case.brushes.max(1));
        let energy = |brush| calendar.energy(brush, tool.on, m.date);
        let energy = match brush {
            Some(brush) => energy(brush),
            None => motors.map(energy).fold(0.0, f64::max),
        };
        let expected = first - blade.wear_rate.0 * energy;
        let by_rate = blade.wear_rate.0 * blade.wear_rate_uncertainty * energy;
        let sd = by_rate.hypot(first_sd).hypot(blade.measuring_error.0);
        let below = (expected - length.0) / sd;
        (sd > 0.0 && below > SHORTER).then_some((below, brush, length, expected))
    };
    let worst = lengths.into_iter().filter_map(far).max_by(|a, b| a.0.total_cmp(&b.0));
    worst.map(|(_, brush, length, expected)| WearRemark::Seating {
        date: m.date,
        brush,
        fitted: tool.on,
        length,
        expected: Metres(expected.max(0.0)),
    })
}
