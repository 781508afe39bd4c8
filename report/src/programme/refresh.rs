//! The upkeep of a restored floor: the daily run, and the refresh that traffic asks for.
//!
//! Words: *due on* is the night on which the daily run comes next: the last of
//! restored, refreshed and maintained, plus the days from one run to the next. A
//! night counts as a run when the section was swept to [`MAINTAINED_PASSES`] of its
//! area or more, all machines together (our own choice: less is crossing it), or
//! when the book calls it done. *Missed*: the night that it was due on is over, some
//! machine recorded work in one of the nights since, and the section was not run.
//! Where no machine recorded anything since, it is *not known*.
//! *Refresh*: due when the group's days have passed since it was restored or
//! refreshed; the days stand for traffic (common practice, no published source).

use super::rules::SectionRule;
use super::stay::SectionInput;
use super::step_progress::Progress;
use crate::settings::Phase;
use chrono::{Days, NaiveDate};
use std::collections::{BTreeMap, BTreeSet};
use underbrush_protocol::si::{Seconds, SquareMetres};

/// Swept area / section area from which a night counts as a daily run.
const MAINTAINED_PASSES: f64 = 0.5;

/// How a restored section is kept.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Upkeep {
    /// Days from one run to the next.
    pub every: u16,
    /// The last night with a run.
    pub last: Option<NaiveDate>,
    /// The night on which it is due.
    pub due_on: NaiveDate,
    /// What that means for the plan.
    pub standing: Due,
}

/// Whether the daily run is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Due {
    /// Not before another night.
    Later,
    /// In the night that is planned.
    Tonight,
    /// It was due before and not made.
    Missed {
        /// Nights with recorded work since it was due.
        nights: u32,
    },
    /// It was due before; no machine recorded anything since.
    NotKnown,
}

/// A refresh that is due.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Refresh {
    /// Since when.
    pub since: NaiveDate,
    /// Time in band of the last step that is missing.
    pub missing: Seconds,
}

/// When the upkeep is judged.
pub(super) struct Clock<'a> {
    /// Date of the last night.
    pub(super) date: NaiveDate,
    /// Nights in which some machine recorded.
    pub(super) seen: &'a BTreeSet<NaiveDate>,
}

impl Clock<'_> {
    /// The night that is planned.
    pub(super) fn tonight(&self) -> NaiveDate {
        later(self.date, 1)
    }
}

pub(super) fn later(date: NaiveDate, days: u64) -> NaiveDate {
    date.checked_add_days(Days::new(days)).unwrap_or(NaiveDate::MAX)
}

/// The last night with a daily run.
pub(super) fn last_run(rule: &SectionRule, input: &SectionInput<'_>) -> Option<NaiveDate> {
    let mut nights: BTreeMap<NaiveDate, SquareMetres> = BTreeMap::new();
    for stay in input.stays.iter().filter(|stay| stay.phase == Some(Phase::Maintenance)) {
        *nights.entry(stay.date).or_default() += stay.swept;
    }
    let enough = |swept: &SquareMetres| *swept / rule.area >= MAINTAINED_PASSES;
    let run = nights.iter().rev().find(|(_, swept)| enough(swept)).map(|(date, _)| *date);
    let by_hand = input.by_hand.iter().filter(|entry| entry.phase == Phase::Maintenance);
    run.max(by_hand.map(|entry| entry.date).max())
}

/// How a section that was restored on `restored` is kept.
pub(super) fn upkeep(
    rule: &SectionRule,
    restored: NaiveDate,
    progress: &Progress,
    last: Option<NaiveDate>,
    clock: &Clock<'_>,
) -> Option<Upkeep> {
    let every = rule.maintain_every?;
    let base = [last, progress.refreshed].into_iter().flatten().fold(restored, NaiveDate::max);
    let due_on = later(base, u64::from(every));
    let standing = match due_on {
        due if due > clock.tonight() => Due::Later,
        due if due == clock.tonight() => Due::Tonight,
        due => match clock.seen.range(due..=clock.date).count() {
            0 => Due::NotKnown,
            nights => Due::Missed { nights: nights as u32 },
        },
    };
    Some(Upkeep { every, last, due_on, standing })
}

/// The refresh of a section that was restored on `restored`, if it is due.
pub(super) fn refresh(
    rule: &SectionRule,
    restored: NaiveDate,
    progress: &Progress,
    clock: &Clock<'_>,
) -> Option<Refresh> {
    let base = progress.refreshed.map_or(restored, |on| on.max(restored));
    let since = later(base, u64::from(rule.refresh_after?));
    let needed = progress.steps.last()?.required;
    let missing = Seconds((needed.0 - progress.refresh_so_far.0).max(0.0));
    (since <= clock.tonight()).then_some(Refresh { since, missing })
}
