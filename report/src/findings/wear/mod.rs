//! Segment wear: what is left, and when to order.
//!
//! Words: *length* is the bonded abrasive of a segment. The *origin* is the day
//! from which friction energy is counted, see `calendar`. The *deciding* brush is
//! the one that reaches the reorder length first.
//!
//! Model. Archard (1953): worn volume V = K F s / H; Reye: worn volume is
//! proportional to the friction work mu F s; Preston (1927): depth per time is
//! proportional to pressure and speed. All three say that the depth h = V / A
//! worn off a segment of contact area A is proportional to its friction energy
//! E = mu F s:
//!
//! ```text
//! h = w E,   w = K / (mu H A)   in m/J
//! ```
//!
//! K, mu, H and A are not known one by one, so that w is found from measured
//! lengths (`regression`), and E comes from the brush motor (`friction`). The
//! rate holds for one grit on the floors it works on: each tool begins anew
//! with the machine file's rate. Doubtful measurements are sorted out (`screen`);
//! what is left and the days are computed from what is believed then
//! (`forecast`) with the mean use (`calendar`). Brushes that were measured apart
//! are judged apart.
//! Order by: the early end of the interval of the reorder day less the time of
//! delivery, at the earliest today: in 9 of 10 cases the new segments are there
//! when the reorder length is reached.
//! Proof: `tests/src/wear_truth.rs` simulates histories with Archard's formula.

mod brush;
mod calendar;
mod figures;
mod finding;
mod fitting;
mod forecast;
mod regression;
mod screen;
#[cfg(test)]
mod tests;

pub(super) use figures::FIGURES;
pub use finding::{
    BrushWear, DailyUse, DayRange, Estimate, LengthDoubt, RateEstimate, WearFinding, WearRemark,
};

use super::history::Night;
use super::observed::Observed;
use crate::settings::book::{Lengths, Measured};
use crate::settings::{Book, Stint};
use brush::{Judged, Lane};
use calendar::Calendar;
use chrono::{Days, NaiveDate};
use underbrush_protocol::settings::machine::Blade;
use underbrush_protocol::si::{Joules, Metres};

/// Two readings that differ by more standard deviations than this are unequal: 1 of 100.
const UNEQUAL: f64 = 2.58;
/// The tool's length must be known for nights at most so many days before the logs begin.
const LONGEST_FILL_DAYS: i64 = 14;

/// What wear is judged by.
#[derive(Clone, Copy, Debug)]
pub struct WearCase<'a> {
    /// Lengths and rates of the machine file.
    pub blade: &'a Blade,
    /// Number of brushes.
    pub brushes: u8,
    /// Tools and measurements.
    pub book: &'a Book,
    /// Nights with a record, the shift's own last, in order of date.
    pub nights: &'a [Night],
    /// First day that `nights` cover; `None`: there are no logs.
    pub covered: Option<NaiveDate>,
    /// Last day of any log; entries of the book that are later lie in the future.
    pub last_logged: Option<NaiveDate>,
    /// Date of the shift.
    pub date: NaiveDate,
}

impl WearCase<'_> {
    /// Judges wear at the end of the shift.
    pub fn judge(&self) -> WearFinding {
        let tool = self.book.tool_on(self.date);
        let measured = tool.map_or_else(
            || self.book.measured.iter().filter(|m| m.date <= self.date).collect(),
            |tool| self.book.lengths_of(tool, self.date),
        );
        let stints = tool.map(|tool| self.book.stints(tool)).unwrap_or_default();
        let mut found = WearFinding {
            grit: tool.map(|tool| tool.grit.clone()),
            fitted: tool.map(|tool| tool.on),
            energy_shift: self.energy_shift(),
            measured: last_measured(&measured),
            reorder_length: self.blade.reorder_length,
            end_length: self.blade.end(),
            ..WearFinding::default()
        };
        let first_fitted = stints.first().map(|stint| stint.from);
        let Some(begin) = first_fitted.or(measured.first().map(|m| m.date)) else {
            found.remarks.push(WearRemark::NothingNoted);
            found.remarks.extend(future(self.book, self.last_logged, self.date));
            return found;
        };
        let calendar = self.calendar(begin, &stints);
        found.observed = observed(&calendar);
        found.counted_from = Some(calendar.origin);
        let lanes = self.lanes(&measured, &calendar);
        // A set that came back is judged from its first fitting on.
        let begun = tool.map(|tool| self.book.first_fitting(tool));
        let judged: Vec<Judged> =
            lanes.iter().map(|lane| brush::judge(self, &calendar, begun, lane)).collect();
        self.sum_up(&mut found, &judged, &calendar);
        if lanes.len() > 1 {
            found.remarks.extend(uneven(self.blade, &measured, &calendar));
            found.brushes = judged.into_iter().map(|judged| judged.wear).collect();
        }
        self.note(&mut found, &measured, &calendar);
        fitting::say(self, &calendar, tool, &measured, &mut found.remarks);
        found
    }

    fn energy_shift(&self) -> Option<Joules> {
        let night = self.nights.last().filter(|night| night.date == self.date)?;
        let sum: Joules = night.energy.iter().copied().sum();
        (!night.energy.is_empty()).then(|| sum / night.energy.len() as f64)
    }

    fn calendar<'a>(&'a self, begin: NaiveDate, stints: &'a [Stint]) -> Calendar<'a> {
        let covered = self.covered.unwrap_or(self.date).min(self.date);
        let origin = begin.max(covered);
        Calendar { nights: self.nights, covered, origin, today: self.date, stints }
    }

    /// One lane for each brush that was measured apart, or one for all.
    fn lanes(&self, measured: &[&Measured], calendar: &Calendar<'_>) -> Vec<Lane> {
        let brushes = usize::from(self.brushes.max(1));
        let most_worked = |before: NaiveDate| {
            let energy = |brush: usize| calendar.energy(brush, calendar.origin, before);
            (0..brushes)
                .max_by(|a, b| energy(*a).total_cmp(&energy(*b)).then(b.cmp(a)))
                .unwrap_or(0)
        };
        let apart = measured.iter().any(|m| !matches!(m.found, Lengths::Shortest(_)));
        if !apart || brushes == 1 {
            let tomorrow = self.date.checked_add_days(Days::new(1)).unwrap_or(self.date);
            let lengths = measured.iter().map(|m| (m.date, m.shortest())).collect();
            return vec![Lane {
                brush: None,
                motor: most_worked(tomorrow),
                lengths,
                assumed: None,
            }];
        }
        let lane = |brush: usize| {
            let mut assumed = None;
            let mut lengths = Vec::new();
            for m in measured {
                let length = match m.found {
                    Lengths::Shortest(length) if most_worked(m.date) == brush => {
                        assumed = assumed.or(Some(m.date));
                        Some(length)
                    }
                    _ => m.of_brush(brush),
                };
                lengths.extend(length.map(|length| (m.date, length)));
            }
            Lane { brush: Some(brush), motor: brush, lengths, assumed }
        };
        (0..brushes).map(lane).collect()
    }

    /// The deciding brush gives the figures of the whole machine.
    fn sum_up(&self, found: &mut WearFinding, judged: &[Judged], calendar: &Calendar<'_>) {
        for judged in judged {
            let mine = judged.remarks.iter();
            found
                .remarks
                .extend(mine.filter(|r| !found.remarks.contains(r)).cloned().collect::<Vec<_>>());
        }
        let key = |j: &Judged| {
            let day = j.wear.reorder_day.map(|day| day.best);
            (day.is_none(), day, j.wear.left.map(|left| (left.best.0 * 1e9) as i64))
        };
        let Some(deciding) = judged.iter().min_by_key(|j| key(j)) else { return };
        let wear = &deciding.wear;
        found.energy_fitted = Some(wear.energy_fitted);
        found.energy_since = Some(wear.energy_since);
        found.daily = Some(wear.daily);
        let since = wear.measured.map_or(calendar.origin, |(date, _)| date);
        found.shifts_since = calendar.nights_of_work(deciding.motor, since);
        // The shortest brush is not known where one of them cannot be judged.
        if judged.iter().any(|j| j.wear.left.is_none()) {
            return;
        }
        found.rate = wear.rate;
        let shortest = judged.iter().filter_map(|j| j.wear.left);
        found.left = shortest.min_by(|a, b| a.best.0.total_cmp(&b.best.0));
        found.reorder_day = wear.reorder_day;
        let ends = judged.iter().filter_map(|j| j.wear.end_day);
        found.end_day = ends.min_by_key(|day| day.best);
        found.order_by = found.reorder_day.map(|day| self.order_by(day));
        if found.left.is_some_and(|left| left.best <= found.end_length) {
            found.remarks.insert(0, WearRemark::UsedUp);
        }
    }

    /// The early end less the time of delivery, at the earliest today.
    fn order_by(&self, day: DayRange) -> NaiveDate {
        let lead = (self.blade.lead_time.0 / 86_400.0).ceil().max(0.0) as u64;
        let by = day.early.checked_sub_days(Days::new(lead)).unwrap_or(self.date);
        by.max(self.date)
    }

    /// What else is to know, the least important last.
    fn note(&self, found: &mut WearFinding, measured: &[&Measured], calendar: &Calendar<'_>) {
        if let Some((last, _)) = found.measured
            && (self.date - last).num_days() as f64 >= self.blade.measure_every.0 / 86_400.0
        {
            found.remarks.push(WearRemark::MeasureDue { last });
        }
        let apart = !found.brushes.is_empty();
        for m in measured {
            let count = match &m.found {
                Lengths::Each(lengths) => lengths.len(),
                Lengths::Brush(brush, _) => brush + 1,
                Lengths::Shortest(_) => 1,
            };
            if count > usize::from(self.brushes) {
                let brushes = self.brushes;
                found.remarks.push(WearRemark::NoSuchBrush { date: m.date, brushes });
            }
        }
        if apart && calendar.motors() < usize::from(self.brushes) {
            found.remarks.push(WearRemark::NotApart);
        }
        let tools = self.book.tool.windows(2).rev();
        if let Some(on) = found.fitted
            && tools.into_iter().any(|pair| matches!(pair, [a, b] if a.on == on && b.on == on))
        {
            found.remarks.push(WearRemark::SeveralTools { date: on });
        }
        let places: u32 = counted(calendar).map(|night| night.unread).sum();
        if places > 0 {
            found.remarks.push(WearRemark::Damaged { places });
        }
        if let Some(share) = found.observed.share().filter(|_| !found.observed.enough()) {
            found.remarks.push(WearRemark::LittleSeen { share });
        }
        found.remarks.extend(future(self.book, self.last_logged, self.date));
    }
}

/// Entries of the book after the shift of `date` and after the last log.
pub(super) fn future(
    book: &Book,
    last_logged: Option<NaiveDate>,
    date: NaiveDate,
) -> Option<WearRemark> {
    let last = last_logged.map_or(date, |last| last.max(date));
    // People write down in the morning after the last night what they measured.
    let last = last.checked_add_days(Days::new(1))?;
    let dates = book.tool.iter().map(|t| t.on);
    let dates = dates.chain(book.measured.iter().map(|m| m.date));
    let late: Vec<NaiveDate> = dates.filter(|date| *date > last).collect();
    let first = late.iter().copied().min()?;
    Some(WearRemark::Future { entries: late.len() as u32, first })
}

fn counted<'a>(calendar: &Calendar<'a>) -> impl Iterator<Item = &'a Night> {
    let (from, to) = (calendar.origin, calendar.today);
    calendar.nights.iter().filter(move |night| night.date >= from && night.date <= to)
}

fn observed(calendar: &Calendar<'_>) -> Observed {
    let mut observed = Observed::default();
    counted(calendar).for_each(|night| observed += night.observed);
    observed
}

/// The last date with a measurement, and the shortest length of it.
fn last_measured(measured: &[&Measured]) -> Option<(NaiveDate, Metres)> {
    let last = measured.last()?.date;
    let lengths = measured.iter().filter(|m| m.date == last).map(|m| m.shortest().0);
    Some((last, Metres(lengths.reduce(f64::min)?)))
}

/// Whether the last lengths that were measured together differ by more than reading errors.
fn uneven(blade: &Blade, measured: &[&Measured], calendar: &Calendar<'_>) -> Option<WearRemark> {
    let date = measured.iter().rev().find(|m| !matches!(m.found, Lengths::Shortest(_)))?.date;
    let that_day = measured.iter().filter(|m| m.date == date);
    let mut lengths: Vec<(usize, Metres)> = that_day
        .flat_map(|m| match &m.found {
            Lengths::Each(lengths) => lengths.iter().copied().enumerate().collect(),
            Lengths::Brush(brush, length) => vec![(*brush, *length)],
            Lengths::Shortest(_) => Vec::new(),
        })
        .collect();
    lengths.sort_by(|a, b| a.1.0.total_cmp(&b.1.0));
    let (short, long) = (*lengths.first()?, *lengths.last()?);
    let error = blade.measuring_error.0 * std::f64::consts::SQRT_2;
    if (long.1 - short.1).0 <= UNEQUAL * error {
        return None;
    }
    let energy = |brush: usize| calendar.energy(brush, calendar.origin, date);
    let known = calendar.motors() > short.0.max(long.0) && energy(long.0) > 0.0;
    let energy_ratio = known.then(|| energy(short.0) / energy(long.0));
    Some(WearRemark::Uneven { date, short, long, energy_ratio })
}
