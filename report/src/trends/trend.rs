//! What a series of nightly values does: it stays, drifts, or stepped.
//!
//! A *drift* is the Theil-Sen line with its 95 % interval (see `findings::robust`); its
//! change is that of the line from the first night to the last, as a share of the line
//! at the first. A *step* is the place of Pettitt's test where a step of two medians
//! leaves clearly less scatter than the line does. After a step for the better (a new
//! battery, a repair) only what follows is looked at. A change is told if it is for
//! the worse, at least as large as its limit, and its interval leaves out zero; a
//! drift that is not there yet is *coming* if the line reaches the limit within
//! [`COMING_DAYS`]. Our own choice; no published source for the limits.

use super::change::change_point;
use crate::findings::robust::{Line, median, theil_sen};
use chrono::{Days, NaiveDate};

/// A limit reached within so many days after the last night is told as coming.
const COMING_DAYS: i64 = 60;
/// A step is one if chance makes the like so rarely.
const STEP_P: f64 = 0.01;
/// A step is taken for one if it leaves less than this share of the line's scatter.
const STEP_SCATTER: f64 = 0.8;
/// Values on each side that a step needs.
const FEWEST_BESIDE: usize = 4;
/// More points than this are taken together by weeks: the line looks at all pairs.
const MOST_POINTS: usize = 120;

/// A direction of change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// More.
    Up,
    /// Less.
    Down,
    /// Both.
    Either,
}

impl Direction {
    fn holds(self, change: f64) -> bool {
        match self {
            Self::Up => change > 0.0,
            Self::Down => change < 0.0,
            Self::Either => true,
        }
    }
}

/// What a trend is judged by.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrendLimits {
    /// Change from which on it is told, as a share of the first level.
    pub share: f64,
    /// Which way is bad.
    pub bad: Direction,
    /// Values that a trend needs.
    pub nights: usize,
}

/// A step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Step {
    /// First night at the new level.
    pub on: NaiveDate,
    /// Median before.
    pub before: f64,
    /// Median from then on.
    pub after: f64,
}

impl Step {
    /// Change as a share of the level before.
    pub fn change(&self) -> f64 {
        self.after / self.before - 1.0
    }
}

/// What it comes to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Verdict {
    /// Fewer values than a trend needs.
    TooFew,
    /// No change that counts.
    Steady,
    /// It changed slowly for the worse, by its limit or more.
    Drifted,
    /// It drifts for the worse and reaches its limit soon, about on this date.
    Coming(NaiveDate),
    /// It stepped for the worse, by its limit or more.
    Stepped(Step),
}

impl Verdict {
    /// Whether somebody should look.
    pub fn is_told(&self) -> bool {
        !matches!(self, Self::TooFew | Self::Steady)
    }
}

/// A series in a few numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trend {
    /// Values it rests on: since the last step for the better.
    pub values: usize,
    /// First and last night of these.
    pub dates: Option<(NaiveDate, NaiveDate)>,
    /// The line at the first and at the last night.
    pub levels: Option<(f64, f64)>,
    /// Change as a share of the first level, with its 95 % interval: best, low, high.
    pub change: Option<(f64, f64, f64)>,
    /// The last step for the better, if there was one.
    pub better_since: Option<Step>,
    /// What it comes to.
    pub verdict: Verdict,
}

/// Judges values in order of date; at least 5 are needed whatever the limits say.
pub fn judge(points: &[(NaiveDate, f64)], limits: TrendLimits) -> Trend {
    let mut points = points;
    let mut better_since = None;
    // Each repair ends what was before it; every round leaves fewer points.
    while let Some((step, after)) = step(points) {
        if limits.bad.holds(step.change()) {
            break;
        }
        better_since = Some(step);
        points = after;
    }
    let fewest = limits.nights.max(5);
    let dates = points.first().zip(points.last()).map(|(first, last)| (first.0, last.0));
    let mut trend = Trend {
        values: points.len(),
        dates,
        levels: None,
        change: None,
        better_since,
        verdict: Verdict::TooFew,
    };
    let Some((first, last)) = dates else { return trend };
    let Some(line) = line(points).filter(|_| points.len() >= fewest) else { return trend };
    let days = (last - first).num_days() as f64;
    let (begin, end) = (line.intercept, line.intercept + line.slope * days);
    if begin <= 0.0 || days <= 0.0 {
        return trend;
    }
    let share = |slope: f64| slope * days / begin;
    let change = (share(line.slope), share(line.low), share(line.high));
    trend.levels = Some((begin, end));
    trend.change = Some(change);
    trend.verdict = verdict(points, &line, change, limits);
    trend
}

fn verdict(
    points: &[(NaiveDate, f64)],
    line: &Line,
    (best, low, high): (f64, f64, f64),
    limits: TrendLimits,
) -> Verdict {
    if let Some((step, _)) = step(points).filter(|(s, _)| s.change().abs() >= limits.share) {
        return Verdict::Stepped(step);
    }
    let sure = low > 0.0 || high < 0.0;
    if !sure || !limits.bad.holds(best) {
        return Verdict::Steady;
    }
    if best.abs() >= limits.share {
        return Verdict::Drifted;
    }
    let (Some(first), Some(last)) = (points.first(), points.last()) else {
        return Verdict::Steady;
    };
    // Days from the first night until the line has changed by the limit.
    let days = limits.share * line.intercept / line.slope.abs();
    let reached = (days.is_finite() && days < 10_000.0)
        .then(|| first.0.checked_add_days(Days::new(days.ceil() as u64)))
        .flatten();
    match reached {
        // Half of the limit must be there already: a line through noise points anywhere.
        Some(date)
            if (date - last.0).num_days() <= COMING_DAYS && best.abs() >= 0.5 * limits.share =>
        {
            Verdict::Coming(date)
        }
        _ => Verdict::Steady,
    }
}

/// A line through values over days since the first.
fn line(points: &[(NaiveDate, f64)]) -> Option<Line> {
    let first = points.first()?.0;
    let day = |date: NaiveDate| (date - first).num_days();
    if points.len() <= MOST_POINTS {
        let plain: Vec<(f64, f64)> = points.iter().map(|(d, y)| (day(*d) as f64, *y)).collect();
        return theil_sen(&plain);
    }
    let days_together = day(points.last()?.0) / MOST_POINTS as i64 + 1;
    let parts = points.chunk_by(|a, b| day(a.0) / days_together == day(b.0) / days_together);
    let of_part = |part: &[(NaiveDate, f64)]| {
        let column = |of: &dyn Fn(&(NaiveDate, f64)) -> f64| {
            median(&part.iter().map(of).collect::<Vec<f64>>())
        };
        Some((column(&|p| day(p.0) as f64)?, column(&|p| p.1)?))
    };
    theil_sen(&parts.filter_map(of_part).collect::<Vec<_>>())
}

/// The step in a series, if it has one, and the points from it on.
fn step(points: &[(NaiveDate, f64)]) -> Option<(Step, &[(NaiveDate, f64)])> {
    let values: Vec<f64> = points.iter().map(|(_, value)| *value).collect();
    let found = change_point(&values).filter(|found| found.p < STEP_P)?;
    let (before, after) = values.split_at_checked(found.before)?;
    if before.len() < FEWEST_BESIDE || after.len() < FEWEST_BESIDE {
        return None;
    }
    let step = Step {
        on: points.get(found.before)?.0,
        before: median(before).filter(|level| *level > 0.0)?,
        after: median(after)?,
    };
    let line = line(points)?;
    let first = points.first()?.0;
    let scatter_of = |level: &dyn Fn(usize, NaiveDate) -> f64| {
        let off = points.iter().enumerate().map(|(i, (d, y))| (y - level(i, *d)).abs());
        median(&off.collect::<Vec<f64>>())
    };
    let of_line = scatter_of(&|_, d| line.intercept + line.slope * (d - first).num_days() as f64)?;
    let of_step = scatter_of(&|i, _| if i < found.before { step.before } else { step.after })?;
    (of_step < STEP_SCATTER * of_line).then(|| (step, points.get(found.before..).unwrap_or(&[])))
}
