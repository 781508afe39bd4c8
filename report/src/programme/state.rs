//! Where each section stands.
//!
//! States: *never* (a floor that must not be polished), *waiting* (no minute
//! counts yet), *in work* (a step is open), *restored* (all steps done), *due for
//! a refresh* (restored, and the days that its traffic allows are over). The first
//! of these that holds, in the order never, waiting, in work, due, restored.

use super::refresh::{Clock, Refresh, Upkeep, last_run, refresh, upkeep};
use super::rules::Rules;
use super::stay::SectionInput;
use super::step_progress::{Progress, StepProgress};
use crate::settings::Phase;
use chrono::NaiveDate;
use underbrush_protocol::si::{Seconds, SquareMetres};

/// Shorter work is not told: crossing a floor tag is not work.
const TOLD_AFTER: Seconds = Seconds(5.0);

/// State of a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum State {
    /// Never to be polished.
    Never,
    /// Not begun.
    Waiting,
    /// A step is open.
    InWork {
        /// Step to go on with.
        step: u8,
        /// Time in band that it lacks.
        missing: Seconds,
    },
    /// All steps are done.
    Restored {
        /// Night of the last one; `None` where the site has no steps.
        on: Option<NaiveDate>,
    },
    /// Restored, and due for a refresh.
    DueForRefresh {
        /// Night of the last step.
        restored: NaiveDate,
        /// What is due.
        refresh: Refresh,
    },
}

/// One section.
#[derive(Clone, Debug, PartialEq)]
pub struct SectionState {
    /// Place in the site's list.
    pub section: usize,
    /// Its floor.
    pub area: SquareMetres,
    /// Where it stands.
    pub state: State,
    /// Its steps, in order.
    pub steps: Vec<StepProgress>,
    /// The daily run; `None` before it is restored, or where the site has none.
    pub upkeep: Option<Upkeep>,
    /// The last night that the last step was done again.
    pub refreshed: Option<NaiveDate>,
    /// What is odd about the work there.
    pub remarks: Vec<SectionRemark>,
}

/// Something that the lead should know about the work on a section.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SectionRemark {
    /// Brushes turned on a floor that must not be polished.
    Forbidden {
        /// How long.
        brush_time: Seconds,
    },
    /// Work on a step before the one below it was done: not counted.
    TooEarly {
        /// The step.
        step: u8,
        /// Its time in band.
        time: Seconds,
    },
    /// Work on a step before the last one after the section was restored.
    WorkedAgain {
        /// The step.
        step: u8,
        /// Its time in band.
        time: Seconds,
    },
    /// Part of the minutes stands under assumed marks.
    Assumed {
        /// Share of all minutes that count, 0 to 1.
        share: f64,
    },
    /// A daily run on a section that is not restored.
    NotRestoredYet {
        /// Its brush time.
        brush_time: Seconds,
    },
    /// Work in a step that the site file does not have.
    NoSuchStep {
        /// Its brush time.
        brush_time: Seconds,
    },
}

/// Floor areas by state.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Areas {
    /// All sections that may be polished.
    pub polish: SquareMetres,
    /// Restored, those due for a refresh included.
    pub restored: SquareMetres,
    /// Part of `restored`.
    pub due_for_refresh: SquareMetres,
    /// In work.
    pub in_work: SquareMetres,
    /// Waiting.
    pub waiting: SquareMetres,
    /// Never to be polished.
    pub never: SquareMetres,
}

impl Areas {
    /// Restored share of what may be polished, 0 to 1; `None` without such floor.
    pub fn share_restored(&self) -> Option<f64> {
        (self.polish.0 > 0.0).then(|| self.restored / self.polish)
    }

    pub(super) fn of(sections: &[SectionState]) -> Self {
        let mut areas = Self::default();
        for section in sections {
            let area = section.area;
            match section.state {
                State::Never => {
                    areas.never += area;
                    continue;
                }
                State::Waiting => areas.waiting += area,
                State::InWork { .. } => areas.in_work += area,
                State::Restored { .. } => areas.restored += area,
                State::DueForRefresh { .. } => {
                    areas.restored += area;
                    areas.due_for_refresh += area;
                }
            }
            areas.polish += area;
        }
        areas
    }
}

/// Judges one section.
pub(super) fn judge(
    rules: &Rules,
    section: usize,
    input: &SectionInput<'_>,
    progress: &Progress,
    clock: &Clock<'_>,
) -> Option<SectionState> {
    let rule = rules.sections.get(section)?;
    let restored = progress.restored();
    let due = restored.and_then(|on| refresh(rule, on, progress, clock));
    let last = last_run(rule, input);
    let state = match (rule.polish, progress.open(), restored, due) {
        (false, ..) => State::Never,
        (true, Some(step), ..) => open(step),
        (true, None, Some(restored), Some(refresh)) => State::DueForRefresh { restored, refresh },
        (true, None, on, _) => State::Restored { on },
    };
    let kept = restored.filter(|_| rule.polish);
    Some(SectionState {
        section,
        area: rule.area,
        state,
        upkeep: kept.and_then(|on| upkeep(rule, on, progress, last, clock)),
        refreshed: progress.refreshed,
        remarks: remarks(rule.polish, input, progress),
        steps: progress.steps.clone(),
    })
}

fn open(step: &StepProgress) -> State {
    let begun = step.number > 1 || step.in_band.0 > 0.0;
    if begun {
        State::InWork { step: step.number, missing: step.missing() }
    } else {
        State::Waiting
    }
}

fn remarks(polish: bool, input: &SectionInput<'_>, progress: &Progress) -> Vec<SectionRemark> {
    let brush_time = |chosen: &dyn Fn(Option<Phase>) -> bool| -> Seconds {
        input.stays.iter().filter(|stay| chosen(stay.phase)).map(|stay| stay.brush_time).sum()
    };
    let told = |time: Seconds| time > TOLD_AFTER;
    if !polish {
        let brush_time = brush_time(&|_| true);
        let remark = SectionRemark::Forbidden { brush_time };
        return told(brush_time).then_some(remark).into_iter().collect();
    }
    let mut remarks = Vec::new();
    let restored = progress.restored().is_some();
    for step in &progress.steps {
        if told(step.too_early) {
            remarks.push(SectionRemark::TooEarly { step: step.number, time: step.too_early });
        }
    }
    let again = progress.again.iter().filter(|(_, time)| told(*time));
    remarks
        .extend(again.map(|(step, time)| SectionRemark::WorkedAgain { step: *step, time: *time }));
    let counted: Seconds = progress.steps.iter().map(|step| step.in_band).sum();
    let assumed: Seconds = progress.steps.iter().map(|step| step.assumed).sum();
    if told(assumed) {
        remarks.push(SectionRemark::Assumed { share: assumed / counted });
    }
    let daily = brush_time(&|phase| phase == Some(Phase::Maintenance));
    if !restored && !progress.steps.is_empty() && told(daily) {
        remarks.push(SectionRemark::NotRestoredYet { brush_time: daily });
    }
    if told(progress.no_such_step) {
        remarks.push(SectionRemark::NoSuchStep { brush_time: progress.no_such_step });
    }
    remarks
}
