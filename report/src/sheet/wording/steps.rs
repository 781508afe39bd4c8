//! Which steps of each section are done, and what comes next.
//!
//! Steps go in order: the lowest step worked in this shift that lacks minutes in
//! band comes first, whatever was done after it. The verdicts know the minutes of all
//! nights.

use super::Source;
use crate::findings::{Place, SectionWork, StepVerdict};
use crate::settings::Phase;
use underbrush_protocol::si::Seconds;

/// Where a section stands, and what to do there.
pub(super) struct SectionSteps {
    /// The section.
    pub(super) place: Place,
    /// Steps worked and done, lowest first.
    pub(super) done: Vec<u8>,
    /// The lowest step worked that is not done, and the time in band it lacks.
    open: Option<(u8, Seconds)>,
    /// Step to begin when all that were worked are done.
    next: Option<u8>,
    /// Steps above the open one that were worked all the same.
    ahead: Option<u8>,
}

impl SectionSteps {
    pub(super) fn unfinished(&self) -> bool {
        self.open.is_some()
    }

    /// Whether this step is the one to begin.
    pub(super) fn comes_next(&self, step: u8) -> bool {
        self.open.is_none() && self.next == Some(step)
    }

    /// What is done and what comes next, without the section's name.
    pub(super) fn line(&self, source: &Source) -> String {
        let time = |t| source.figures.duration(t);
        let rest = match (self.open, self.ahead, self.next) {
            (Some((step, missing)), Some(ahead), _) => {
                return source.with(
                    "steps-before",
                    &[
                        ("step", step.into()),
                        ("time", time(missing).into()),
                        ("ahead", ahead.into()),
                    ],
                );
            }
            (Some((step, missing)), None, _) => {
                source.with("steps-go-on", &[("step", step.into()), ("time", time(missing).into())])
            }
            (None, _, Some(next)) => begin(source, next),
            (None, _, None) => source.say("steps-was-last"),
        };
        match self.done.iter().max() {
            Some(done) => {
                let done = source.with("steps-step-done", &[("step", (*done).into())]);
                format!("{done}; {rest}")
            }
            None => rest,
        }
    }

    /// What to do there, as short as can be; `None` where nothing is left to grind.
    pub(super) fn task(&self, source: &Source) -> Option<String> {
        match (self.open, self.next) {
            (Some(_), _) => Some(self.line(source)),
            (None, next) => next.map(|n| begin(source, n)),
        }
    }

    /// In three words or so.
    pub(super) fn short(&self, source: &Source) -> String {
        let done = self.done.iter().max().copied();
        match (self.open, self.next, done) {
            (Some((step, _)), _, Some(done)) => {
                source.with("steps-short-partly", &[("done", done.into()), ("step", step.into())])
            }
            (Some((step, _)), _, None) => source.with("steps-short-open", &[("step", step.into())]),
            (None, Some(next), Some(done)) => {
                source.with("steps-short-next", &[("done", done.into()), ("next", next.into())])
            }
            (None, ..) => source.say("steps-short-all"),
        }
    }
}

/// `begin step 3 (grit 800), 30 min in band`.
fn begin(source: &Source, next: u8) -> String {
    let step = source.step(next);
    match source.site.step(next).map(|s| Seconds(s.minutes * 60.0)) {
        None => source.with("steps-begin", &[("step", step.into())]),
        Some(minutes) => {
            let time = source.figures.duration(minutes);
            source.with("steps-begin-for", &[("step", step.into()), ("time", time.into())])
        }
    }
}

/// Every section on which a known step was worked, in order of begin.
pub(super) fn all(source: &Source) -> Vec<SectionSteps> {
    let judged = |w: &&SectionWork| !w.forbidden && w.place.section.is_some();
    let mut sections: Vec<usize> = Vec::new();
    for section in source.findings.sections.iter().filter(judged).filter_map(|w| w.place.section) {
        if !sections.contains(&section) {
            sections.push(section);
        }
    }
    let steps = |section: usize| {
        let works = source.findings.sections.iter().filter(judged);
        steps_of(works.filter(|w| w.place.section == Some(section)))
    };
    sections.into_iter().filter_map(steps).collect()
}

fn steps_of<'a>(works: impl Iterator<Item = &'a SectionWork>) -> Option<SectionSteps> {
    let mut list: Vec<(u8, &SectionWork)> = works
        .filter_map(|w| match (w.place.phase, w.verdict) {
            (Some(Phase::Step(n)), StepVerdict::Done { .. } | StepVerdict::Open { .. }) => {
                Some((n, w))
            }
            _ => None,
        })
        .collect();
    list.sort_by_key(|(n, _)| *n);
    let (_, first) = list.first()?;
    let mut found =
        SectionSteps { place: first.place, done: Vec::new(), open: None, next: None, ahead: None };
    for (n, work) in &list {
        match (work.verdict, found.open) {
            (StepVerdict::Open { step, missing }, None) => {
                found.open = Some((step, missing));
                found.ahead = (*n > step).then_some(*n);
            }
            // Worked out of order: what comes after the open step waits for it.
            (_, Some((open, _))) if *n > open && found.ahead.is_none() => found.ahead = Some(*n),
            (StepVerdict::Done { next }, None) => {
                found.done.push(*n);
                found.next = next;
            }
            _ => {}
        }
    }
    Some(found)
}
