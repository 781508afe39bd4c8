//! From belief to length and days, each with an 80 % interval.
//!
//! Model: the length t days ahead is that of now less w times the energy until
//! then. It only ever falls, so "the limit is reached before day t" is the same
//! as "the length of day t is below the limit". Its chance is summed over the
//! wear rate w on a fixed grid: for each w the length of now is normal (or t)
//! and the energy ahead is taken as normal, so that their difference is too; the
//! spread of w within a step is added to it. What lies at w <= 0 is left out. Days and lengths are where that chance is
//! 10, 50 and 90 %, found by halving. Nothing here is drawn at random.
//! Days are whole nights. The early day is the first, the late day the last
//! night of an interval that holds 80 % of the chance on the average; each end
//! is rounded to the nearest night.

use super::calendar::Ahead;
use super::finding::{DailyUse, DayRange, Estimate, RateEstimate};
use super::regression::Posterior;
use chrono::{Days, NaiveDate};
use underbrush_protocol::si::{Metres, MetresPerJoule};

/// A forecast beyond this is not given as a day.
const LONGEST_DAYS: f64 = 730.0;
/// Ends of an 80 % interval, and its middle.
const EARLY: f64 = 0.1;
const MIDDLE: f64 = 0.5;
const LATE: f64 = 0.9;
/// The grid of wear rates: steps to either side, and their width in standard deviations.
const STEPS: i32 = 64;
const STEP: f64 = 0.08;
/// Two years come down to seconds, a length to nanometres.
const HALVINGS: u32 = 24;

/// What is believed of one brush at the end of the shift.
#[derive(Clone, Debug)]
pub(super) struct Outlook {
    nodes: Vec<Node>,
    /// Standard deviation of the rate within a step, m/J, and how the length of now goes with it, J.
    within: f64,
    slope: f64,
    /// Everything lies within, m.
    lowest: f64,
    highest: f64,
}

/// A wear rate, its chance, and the length of now if it is the true one.
#[derive(Clone, Copy, Debug)]
struct Node {
    rate: f64,
    weight: f64,
    length: f64,
    deviation: f64,
    belief: crate::findings::statistics::Belief,
}

/// How the day of a limit came out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Reached {
    /// On a day, or it was already.
    Day(DayRange),
    /// Beyond two years.
    FarAway,
}

impl Outlook {
    /// `energy`: from the origin to now.
    pub(super) fn new(posterior: &Posterior, energy: f64) -> Self {
        let (rate, now) = (posterior.rate(), posterior.length(energy));
        let (slope, rest) = posterior.length_by_rate(energy);
        // The spread within the steps comes on top of that between them (Sheppard's correction).
        let shrunk = STEP * (1.0 - STEP * STEP / 12.0).sqrt();
        let nodes = (-STEPS..=STEPS).filter_map(|step| {
            let density = posterior.belief.density(f64::from(step) * STEP);
            let z = f64::from(step) * shrunk;
            let w = rate.mean + z * rate.deviation;
            let (belief, wider) = posterior.belief.given(z);
            let node = Node {
                rate: w,
                weight: density,
                length: now.mean + slope * z * rate.deviation,
                deviation: rest * wider,
                belief,
            };
            (w > 0.0).then_some(node)
        });
        let mut nodes: Vec<Node> = nodes.collect();
        let whole: f64 = nodes.iter().map(|node| node.weight).sum();
        for node in &mut nodes {
            node.weight /= whole;
        }
        let far = 20.0 * now.deviation;
        let within = STEP * rate.deviation / 12.0_f64.sqrt();
        Self { nodes, within, slope, lowest: now.mean - far, highest: now.mean + far }
    }

    /// Chance that the length is below `limit` once the energy `ahead` is spent.
    pub(super) fn below(&self, limit: f64, ahead: Ahead) -> f64 {
        let within = self.within * (self.slope - ahead.mean);
        let sd_ahead = ahead.variance.sqrt();
        let chance = |node: &Node| {
            let length = node.length - node.rate * ahead.mean;
            let deviation = node.deviation.hypot(node.rate * sd_ahead).hypot(within).max(1e-9);
            node.weight * node.belief.below((limit - length) / deviation)
        };
        self.nodes.iter().map(chance).sum()
    }

    /// Bonded abrasive left now.
    pub(super) fn left(&self) -> Estimate {
        let at = |share| {
            let below = |length: f64| self.below(length, Ahead::default()) >= share;
            Metres(first(self.lowest, self.highest, below).max(0.0))
        };
        Estimate { best: at(MIDDLE), low: at(EARLY), high: at(LATE) }
    }

    /// The night in which the length falls below `limit`.
    pub(super) fn day(&self, limit: f64, daily: DailyUse, today: NaiveDate) -> Reached {
        if self.below(limit, Ahead::default()) >= MIDDLE {
            return Reached::Day(DayRange { best: today, early: today, late: Some(today) });
        }
        let days = |share| {
            let below = |days: f64| self.below(limit, daily.ahead(days)) >= share;
            below(LONGEST_DAYS).then(|| first(0.0, LONGEST_DAYS, below))
        };
        let night = |days: f64| today.checked_add_days(Days::new(days.max(0.0) as u64));
        // After t days the limit is reached in the night that ends with t, which is number ceil(t).
        let Some((middle, best)) = days(MIDDLE).and_then(|t| Some((t, night(t.ceil())?))) else {
            return Reached::FarAway;
        };
        let begin = match days(EARLY).unwrap_or(middle) {
            t if t > 0.0 => t.round() + 1.0,
            _ => 0.0,
        };
        let early = night(begin).map_or(best, |day| day.min(best));
        let late = days(LATE).and_then(|t| night(t.round())).map(|day| day.max(best));
        Reached::Day(DayRange { best, early, late })
    }
}

/// The wear rate with its interval, cut off at zero.
pub(super) fn rate(posterior: &Posterior, measurements: u32) -> RateEstimate {
    let rate = posterior.rate();
    let lost = posterior.belief.below(-rate.mean / rate.deviation);
    let at = |share: f64| {
        let z = posterior.belief.quantile(lost + share * (1.0 - lost));
        MetresPerJoule(rate.mean + z * rate.deviation)
    };
    RateEstimate { best: at(MIDDLE), low: at(EARLY), high: at(LATE), measurements }
}

/// The first place between `low` and `high` from which on `holds` is true, by halving.
fn first(mut low: f64, mut high: f64, holds: impl Fn(f64) -> bool) -> f64 {
    if holds(low) {
        return low;
    }
    for _ in 0..HALVINGS {
        let middle = f64::midpoint(low, high);
        if holds(middle) {
            high = middle;
        } else {
            low = middle;
        }
    }
    high
}
