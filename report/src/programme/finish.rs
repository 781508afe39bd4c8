//! The night on which the whole floor will be restored.
//!
//! Model: what is missing is R, the time in band that all open steps of all sections
//! still lack. A night brings x, drawn alike and independently each night, idle
//! nights as 0; days off are left out. After t nights the sum S(t) has mean t m and
//! standard deviation s sqrt(t + t^2 / n), with m and s of the n nights seen: the
//! first part is chance from night to night, the second that m is uncertain. The
//! floor is done within t nights when S(t) reaches R, so
//!
//!   P(done within t) = T[n - 1]((t m - R) / (s sqrt(t + t^2 / n)))
//!
//! with Student's t distribution (prediction of a sum of normal values, e.g. Hahn and
//! Meeker, Statistical Intervals, from memory). A night counts as early when this
//! first reaches 1 in 10, as best at 1 in 2, as late at 9 in 10. Nights are whole, so
//! the interval holds the true night somewhat more often than 8 times in 10.
//!
//! Not in the model: a change of the crew or of the machines, daily runs that take
//! more time as more floor is restored, refreshes, a break of a machine.

use super::rate::{Rate, moments};
use super::refresh::later;
use crate::findings::DayRange;
use crate::findings::statistics::Belief;
use chrono::{Datelike, NaiveDate, Weekday};
use underbrush_protocol::si::Seconds;

/// Chance that the interval holds.
pub(super) const CENTRE: f64 = 0.8;
/// Fewer nights than this, days off left out, say nothing of the next ones (our own choice).
pub(super) const FEWEST_NIGHTS: u32 = 7;
/// Fewer nights with work than this neither.
pub(super) const FEWEST_WORKED: u32 = 4;
/// No forecast further than this, in nights.
const HORIZON: u32 = 730;

/// When the whole floor will be restored.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Finish {
    /// It is.
    Done,
    /// Night of the last step; in `DayRange` one in ten chance on either side.
    Expected(DayRange),
    /// Not said, and why.
    Refused(NoForecast),
}

/// Why there is no forecast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoForecast {
    /// No section may be polished, or the site has no steps.
    NothingToRestore,
    /// No minute of restoration is recorded.
    NotBegun,
    /// Too few nights so far.
    TooFewNights {
        /// Nights of the programme, days off left out.
        nights: u32,
        /// Of them with work that counted.
        worked: u32,
    },
    /// More than two years at this rate.
    BeyondHorizon,
}

/// The forecast for `missing`, as of the night of `date`.
pub(super) fn finish(missing: Seconds, rate: Option<&Rate>, date: NaiveDate) -> Finish {
    if missing.0 <= 0.0 {
        return Finish::Done;
    }
    let Some(rate) = rate else { return Finish::Refused(NoForecast::NotBegun) };
    if rate.nights < FEWEST_NIGHTS || rate.worked < FEWEST_WORKED {
        let (nights, worked) = (rate.nights, rate.worked);
        return Finish::Refused(NoForecast::TooFewNights { nights, worked });
    }
    let nights: Vec<f64> = rate.credits.iter().map(|credit| credit.0).collect();
    let ahead = Ahead::of(&nights, missing.0);
    let night = |chance: f64| ahead.night(chance).map(|n| calendar(date, n, &rate.days_off));
    let tail = (1.0 - CENTRE) / 2.0;
    match (night(tail), night(0.5)) {
        (Some(early), Some(best)) => {
            Finish::Expected(DayRange { early, best, late: night(1.0 - tail) })
        }
        _ => Finish::Refused(NoForecast::BeyondHorizon),
    }
}

/// The distribution of the night that is searched for.
pub(super) struct Ahead {
    mean: f64,
    deviation: f64,
    seen: f64,
    missing: f64,
    belief: Belief,
}

impl Ahead {
    pub(super) fn of(nights: &[f64], missing: f64) -> Self {
        let (mean, variance) = moments(nights);
        let seen = nights.len() as f64;
        let belief = Belief::student(seen - 1.0);
        Self { mean, deviation: variance.sqrt(), seen, missing, belief }
    }

    /// Chance to be done within `nights`.
    pub(super) fn done_within(&self, nights: u32) -> f64 {
        let t = f64::from(nights);
        let ahead = t * self.mean - self.missing;
        if self.deviation <= 0.0 {
            return if ahead >= 0.0 { 1.0 } else { 0.0 };
        }
        self.belief.below(ahead / (self.deviation * (t + t * t / self.seen).sqrt()))
    }

    /// The first night by which the chance to be done is `chance`.
    pub(super) fn night(&self, chance: f64) -> Option<u32> {
        (1..=HORIZON).find(|nights| self.done_within(*nights) >= chance)
    }
}

/// The date that is `nights` nights after `date`, days off left out.
fn calendar(date: NaiveDate, nights: u32, days_off: &[Weekday]) -> NaiveDate {
    let mut left = nights;
    let mut day = date;
    // The first night with credit is no day off, so a week has at least one night.
    while left > 0 && day < NaiveDate::MAX {
        day = later(day, 1);
        if !days_off.contains(&day.weekday()) {
            left -= 1;
        }
    }
    day
}
