//! One brush: from its lengths and its motor to what is left and when.

use super::calendar::Calendar;
use super::finding::{BrushWear, DailyUse, WearRemark};
use super::forecast::{self, Outlook, Reached};
use super::regression::{Datum, Posterior, Prior};
use super::screen::{First, Reading, Screened, screen};
use super::{LONGEST_FILL_DAYS, WearCase};
use crate::settings::book::Fitted;
use chrono::NaiveDate;
use underbrush_protocol::settings::machine::Blade;
use underbrush_protocol::si::{Joules, Metres, MetresPerJoule};

/// No reading is better than this, m: a thousandth of a millimetre.
const FINEST: f64 = 1e-6;
/// No rate is surer than this share of it.
const SUREST: f64 = 1e-3;
/// Ends of the interval of 95 %, in standard deviations: further off the rates differ.
const DIFFERENT: f64 = 1.96;

/// The lengths of one brush, or the shortest of all.
#[derive(Clone, Debug)]
pub(super) struct Lane {
    /// From 0; `None`: the shortest of all.
    pub(super) brush: Option<usize>,
    /// The motor that gives the energy.
    pub(super) motor: usize,
    /// In order of date.
    pub(super) lengths: Vec<(NaiveDate, Metres)>,
    /// First of its lengths that does not say which brush.
    pub(super) assumed: Option<NaiveDate>,
}

/// What was found.
#[derive(Clone, Debug)]
pub(super) struct Judged {
    pub(super) wear: BrushWear,
    pub(super) motor: usize,
    pub(super) remarks: Vec<WearRemark>,
}

/// What the measurements are held against.
struct Known {
    prior: Prior,
    error: f64,
    daily: DailyUse,
}

pub(super) fn judge(
    case: &WearCase<'_>,
    calendar: &Calendar<'_>,
    tool: Option<&Fitted>,
    lane: &Lane,
) -> Judged {
    let blade = case.blade;
    let daily = calendar.daily(lane.motor);
    let last = lane.lengths.last().copied();
    let since = last.map_or(calendar.origin, |(date, _)| date);
    let tomorrow = calendar.today.succ_opt().unwrap_or(calendar.today);
    let wear = BrushWear {
        measured: last,
        energy_fitted: Joules(calendar.total(lane.motor)),
        energy_since: Joules(calendar.energy(lane.motor, since, tomorrow)),
        daily,
        ..BrushWear::default()
    };
    let mut judged = Judged { wear, motor: lane.motor, remarks: Vec::new() };
    let known = Known {
        prior: Prior {
            rate: blade.wear_rate.0,
            deviation: blade.wear_rate.0 * blade.wear_rate_uncertainty.max(SUREST),
        },
        error: blade.measuring_error.0.max(FINEST),
        daily,
    };
    let (first, readings) = match start(case, calendar, tool, lane, &known, &mut judged.remarks) {
        Ok(found) => found,
        Err(refusal) => {
            judged.remarks.insert(0, refusal);
            return judged;
        }
    };
    let new = blade.new_length.0 + 2.33 * blade.new_length_tolerance.0;
    let screened = screen(known.prior, new, first, &readings);
    say_doubts(&mut judged.remarks, lane, &readings, &screened);
    if screened.refused {
        return judged;
    }
    if let (Some(tool), None) = (tool, last) {
        let brush = lane.brush;
        judged.remarks.push(WearRemark::NeverMeasured { brush, fitted: tool.on });
    }
    if let Some(posterior) = &screened.posterior {
        say_rate(&mut judged, blade, lane, posterior, &screened);
        look_ahead(&mut judged, blade, calendar, posterior);
    }
    judged
}

/// The first known length and the readings after it, with energy counted from the origin; or why
/// nothing can be said.
fn start(
    case: &WearCase<'_>,
    calendar: &Calendar<'_>,
    tool: Option<&Fitted>,
    lane: &Lane,
    known: &Known,
    remarks: &mut Vec<WearRemark>,
) -> Result<(Option<First>, Vec<Reading>), WearRemark> {
    let (before, after): (Vec<_>, Vec<_>) =
        lane.lengths.iter().copied().partition(|(date, _)| *date < calendar.covered);
    let readings: Vec<Reading> = after
        .iter()
        .map(|(date, length)| Reading {
            date: *date,
            datum: Datum {
                energy: calendar.energy(lane.motor, calendar.origin, *date),
                length: length.0,
                deviation: known.error,
            },
        })
        .collect();
    // The last known length before the logs begin, else that of the day of fitting.
    let (date, length, deviation) = match (before.last(), tool) {
        (Some((date, length)), _) => (*date, length.0, known.error),
        (None, Some(tool)) => {
            let blade = case.blade;
            let (length, deviation) = match tool.length {
                Some(length) => (length.0, known.error),
                None => (blade.new_length.0, blade.new_length_tolerance.0.max(FINEST)),
            };
            (tool.on, length, deviation)
        }
        (None, None) => return Ok((None, readings)),
    };
    let unlogged = (calendar.covered - date).num_days();
    if unlogged <= 0 {
        let datum = Datum { energy: 0.0, length, deviation };
        return Ok((Some(First { date, datum }), readings));
    }
    let nothing_to_fill_with = case.covered.is_none() || known.daily.mean.0 <= 0.0;
    if unlogged > LONGEST_FILL_DAYS || nothing_to_fill_with {
        let refusal = WearRemark::NotLogged { since: date, logged: case.covered };
        return if readings.is_empty() { Err(refusal) } else { Ok((None, readings)) };
    }
    remarks.push(WearRemark::FilledUp { since: date, logged: calendar.covered });
    let filled = known.daily.ahead(unlogged as f64);
    let deviation = deviation.hypot(known.prior.rate * filled.variance.sqrt());
    let datum = Datum { energy: -filled.mean, length, deviation };
    Ok((Some(First { date, datum }), readings))
}

fn say_doubts(
    remarks: &mut Vec<WearRemark>,
    lane: &Lane,
    readings: &[Reading],
    screened: &Screened,
) {
    for (place, doubt) in &screened.doubts {
        let Some(reading) = readings.get(*place) else { continue };
        let (brush, date) = (lane.brush, reading.date);
        let (length, doubt) = (Metres(reading.datum.length), *doubt);
        if screened.refused && place + 1 == readings.len() {
            remarks.insert(0, WearRemark::Doubtful { brush, date, length, doubt });
        } else {
            remarks.push(WearRemark::LeftOut { brush, date, length, doubt });
        }
    }
}

fn say_rate(
    judged: &mut Judged,
    blade: &Blade,
    lane: &Lane,
    posterior: &Posterior,
    screened: &Screened,
) {
    let found = posterior.rate();
    let (measured, file) = (MetresPerJoule(found.mean), blade.wear_rate);
    let own = file.0 * blade.wear_rate_uncertainty;
    let off = (found.mean - file.0).abs() > DIFFERENT * own.max(file.0 * SUREST);
    if screened.outvoted || (off && screened.kept > 0) {
        judged.remarks.push(WearRemark::RateDiffers { brush: lane.brush, measured, file });
    }
    if let Some(scale) = posterior.widened {
        let deviation = blade.measuring_error * scale;
        let file = blade.measuring_error;
        judged.remarks.push(WearRemark::Scatter { brush: lane.brush, deviation, file });
    }
    if let (Some(date), Some(brush)) = (lane.assumed, lane.brush) {
        judged.remarks.push(WearRemark::WhichBrush { date, brush });
    }
    judged.wear.rate = Some(forecast::rate(posterior, screened.kept));
}

fn look_ahead(judged: &mut Judged, blade: &Blade, calendar: &Calendar<'_>, posterior: &Posterior) {
    let wear = &mut judged.wear;
    let outlook = Outlook::new(posterior, wear.energy_fitted.0);
    wear.left = Some(outlook.left());
    let day = |limit: Metres| outlook.day(limit.0, wear.daily, calendar.today);
    let (reorder, end) = (day(blade.reorder_length), day(blade.end()));
    let idle = wear.daily.mean.0 <= 0.0;
    if let Reached::Day(range) = reorder {
        wear.reorder_day = Some(range);
    } else if idle {
        judged.remarks.push(WearRemark::NoWork { since: calendar.covered });
    } else {
        judged.remarks.push(WearRemark::FarAway);
    }
    if let Reached::Day(range) = end {
        wear.end_day = Some(range);
    }
}
