//! What a night's work on a step came to, with the minutes of all nights.

use super::Programme;
use super::step_progress::StepProgress;
use crate::findings::{SectionWork, StepVerdict};
use crate::settings::Phase;

impl Programme {
    /// Judges a night's work by the minutes of all nights and machines instead of its own alone.
    /// Work on a step whose turn has not come is open at the step that comes first.
    pub fn judge_steps(&self, works: &mut [SectionWork]) {
        for work in works {
            if let Some(verdict) = self.verdict(work) {
                work.verdict = verdict;
            }
        }
    }

    fn verdict(&self, work: &SectionWork) -> Option<StepVerdict> {
        let Phase::Step(number) = work.place.phase? else { return None };
        let section = self.sections.get(work.place.section?)?;
        let worked = section.steps.iter().find(|step| step.number == number)?;
        let open = section.steps.iter().find(|step| step.done.is_none());
        Some(match (worked.done, open) {
            (Some(_), next) => StepVerdict::Done { next: next.map(|step| step.number) },
            (None, open) => open_at(open.unwrap_or(worked)),
        })
    }
}

fn open_at(step: &StepProgress) -> StepVerdict {
    StepVerdict::Open { step: step.number, missing: step.missing() }
}
