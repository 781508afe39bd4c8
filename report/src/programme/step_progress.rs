//! Minutes of each grit step of a section, over all nights and machines.
//!
//! Model (common practice, no published source): a step is done when the section
//! got its minutes in the speed band with a brush turning, summed over nights and
//! machines. Steps go in order: minutes of a step before the one below it is done
//! do not count, since a finer grit does not take out what a coarser one left.
//! They are told as *too early*. The stay that fills a step counts whole, also
//! what is over; later ones are *extra*. What the book calls done is done from that
//! date on, and so are the steps below it. Minutes under assumed marks count and
//! are told.
//!
//! *Refresh*: the last step done again on a restored section. Its minutes are
//! summed until [`REFRESH_PAUSE_DAYS`] pass without any (our own choice).
//! *Credit*: minutes that brought a step forward, at most what it lacked.
//! Uncertainty: that of time in band, one reading at each end of a stretch.

use super::rules::Rules;
use super::stay::{ByHand, SectionInput, Stay};
use crate::settings::Phase;
use chrono::NaiveDate;
use underbrush_protocol::si::{Metres, MetresPerSecond, Seconds, SquareMetres};

/// Refresh work further apart than this is not summed, in days.
const REFRESH_PAUSE_DAYS: i64 = 14;

/// How far one step of one section is.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct StepProgress {
    /// Its number, from 1.
    pub number: u8,
    /// Time in band that it needs.
    pub required: Seconds,
    /// Time in band that counts.
    pub in_band: Seconds,
    /// Part of it under assumed marks.
    pub assumed: Seconds,
    /// Time in band after the step was done, refreshes included.
    pub extra: Seconds,
    /// Time in band before the step below was done: it does not count.
    pub too_early: Seconds,
    /// Brush time of the stays that count.
    pub brush_time: Seconds,
    /// Their swept area / section area.
    pub passes: f64,
    /// Their mean speed while brushes turn.
    pub mean_speed: Option<MetresPerSecond>,
    /// First night that counts.
    pub first: Option<NaiveDate>,
    /// Last night that counts.
    pub last: Option<NaiveDate>,
    /// Nights that count.
    pub nights: u32,
    /// Machines that worked on it, as places in the list of machines.
    pub machines: Vec<usize>,
    /// Who worked on it, where the book says so.
    pub operators: Vec<String>,
    /// When it was done.
    pub done: Option<Done>,
}

/// A step is done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Done {
    /// Night.
    pub on: NaiveDate,
    /// The shift book says so; the minutes do not.
    pub by_hand: bool,
}

impl StepProgress {
    /// Time in band that is missing; 0 when it is done.
    pub fn missing(&self) -> Seconds {
        let missing = (self.required.0 - self.in_band.0).max(0.0);
        Seconds(if self.done.is_some() { 0.0 } else { missing })
    }
}

/// Minutes that brought a section forward.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Credit {
    pub(super) date: NaiveDate,
    pub(super) section: usize,
    pub(super) time: Seconds,
}

/// A section's steps, and what came after them.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Progress {
    pub(super) steps: Vec<StepProgress>,
    /// The last night that the last step was done again.
    pub(super) refreshed: Option<NaiveDate>,
    /// Time in band of a refresh that is not finished.
    pub(super) refresh_so_far: Seconds,
    refresh_worked: Option<NaiveDate>,
    pub(super) credits: Vec<Credit>,
    /// Time in band in each step before the last one after all were done.
    pub(super) again: Vec<(u8, Seconds)>,
    /// Brush time in steps that the site does not have.
    pub(super) no_such_step: Seconds,
    way: Vec<Metres>,
    swept: Vec<SquareMetres>,
}

impl Progress {
    pub(super) fn of(rules: &Rules, section: usize, input: &SectionInput<'_>) -> Self {
        let steps = rules.steps.iter().map(|rule| StepProgress {
            number: rule.number,
            required: rule.required,
            ..StepProgress::default()
        });
        let mut progress = Self { steps: steps.collect(), ..Self::default() };
        progress.way = vec![Metres(0.0); progress.steps.len()];
        progress.swept = vec![SquareMetres(0.0); progress.steps.len()];
        let mut by_hand = input.by_hand.iter().peekable();
        for stay in &input.stays {
            while let Some(entry) = by_hand.next_if(|entry| entry.date <= stay.date) {
                progress.by_hand(entry);
            }
            progress.stay(section, stay);
        }
        by_hand.for_each(|entry| progress.by_hand(entry));
        let area = rules.sections.get(section).map_or(SquareMetres(f64::NAN), |rule| rule.area);
        progress.finish(area);
        progress
    }

    /// The step to go on with; `None`: all are done.
    pub(super) fn open(&self) -> Option<&StepProgress> {
        self.steps.iter().find(|step| step.done.is_none())
    }

    /// The night on which the last step was done; `None` also where there are no steps.
    pub(super) fn restored(&self) -> Option<NaiveDate> {
        let done = self.steps.iter().map(|step| step.done.map(|done| done.on));
        done.collect::<Option<Vec<_>>>()?.into_iter().max()
    }

    fn by_hand(&mut self, entry: &ByHand) {
        let Phase::Step(number) = entry.phase else { return };
        let open = |step: &&mut StepProgress| step.number <= number && step.done.is_none();
        for step in self.steps.iter_mut().filter(open) {
            step.done = Some(Done { on: entry.date, by_hand: true });
        }
    }

    fn stay(&mut self, section: usize, stay: &Stay) {
        let Some(Phase::Step(number)) = stay.phase else { return };
        let Some(index) = self.steps.iter().position(|step| step.number == number) else {
            self.no_such_step += stay.brush_time;
            return;
        };
        let open = self.steps.iter().position(|step| step.done.is_none());
        let Some(step) = self.steps.get_mut(index) else { return };
        if open.is_some_and(|open| open < index) {
            step.too_early += stay.in_band;
        } else if step.done.is_some() {
            step.extra += stay.in_band;
            match open {
                None if index + 1 == self.steps.len() => self.refresh(stay),
                None => self.worked_again(number, stay.in_band),
                Some(_) => {}
            }
        } else {
            let lacked = step.missing();
            let time = Seconds(stay.in_band.0.min(lacked.0));
            step.count(stay);
            self.credits.push(Credit { date: stay.date, section, time });
            if let (Some(way), Some(swept)) = (self.way.get_mut(index), self.swept.get_mut(index)) {
                *way += stay.way;
                *swept += stay.swept;
            }
        }
    }

    fn worked_again(&mut self, number: u8, time: Seconds) {
        match self.again.iter_mut().find(|(step, _)| *step == number) {
            Some((_, so_far)) => *so_far += time,
            None => self.again.push((number, time)),
        }
    }

    fn refresh(&mut self, stay: &Stay) {
        let paused = |last: NaiveDate| (stay.date - last).num_days() > REFRESH_PAUSE_DAYS;
        if self.refresh_worked.is_some_and(paused) {
            self.refresh_so_far = Seconds(0.0);
        }
        self.refresh_worked = Some(stay.date);
        self.refresh_so_far += stay.in_band;
        let needed = self.steps.last().map_or(Seconds(f64::INFINITY), |step| step.required);
        if self.refresh_so_far >= needed {
            self.refreshed = Some(stay.date);
            self.refresh_so_far = Seconds(0.0);
        }
    }

    fn finish(&mut self, area: SquareMetres) {
        for ((step, way), swept) in self.steps.iter_mut().zip(&self.way).zip(&self.swept) {
            step.passes = *swept / area;
            if step.brush_time.0 > 0.0 {
                step.mean_speed = Some(MetresPerSecond(way.0 / step.brush_time.0));
            }
        }
    }
}

impl StepProgress {
    fn count(&mut self, stay: &Stay) {
        self.in_band += stay.in_band;
        self.brush_time += stay.brush_time;
        if stay.assumed {
            self.assumed += stay.in_band;
        }
        if self.last != Some(stay.date) {
            self.nights += 1;
        }
        self.first = self.first.or(Some(stay.date));
        self.last = Some(stay.date);
        if !self.machines.contains(&stay.machine) {
            self.machines.push(stay.machine);
        }
        for name in &stay.operators {
            if !self.operators.contains(name) {
                self.operators.push(name.clone());
            }
        }
        if self.in_band >= self.required {
            self.done = Some(Done { on: stay.date, by_hand: false });
        }
    }
}
