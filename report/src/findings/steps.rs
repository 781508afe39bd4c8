//! Which grit step is done, and what is next.
//!
//! Model: a step is done when the section got its minutes in the speed band with
//! a brush turning (common practice, no published source: 45 min with the first
//! grit, 30 min with each later one). Here the minutes of one shift are counted; the
//! programme adds those of earlier nights and other machines (`programme::step_progress`).
//! Time outside of the band grinds too, but is not counted for the step.
//! Uncertainty: that of the time in band, one reading at each end of a stretch
//! (0.1 s at 10 Hz), and the time that was not observed, which does not count.

use super::figure::{Amount, Case, Figure, Known};
use super::types::{SectionWork, StepVerdict};
use crate::settings::{Phase, Site};
use underbrush_protocol::si::Seconds;

/// What the time in band says of the step.
pub(super) fn verdict(site: &Site, work: &SectionWork) -> StepVerdict {
    match (work.place.phase, work.in_band) {
        (Some(Phase::Maintenance), _) => StepVerdict::Maintained,
        (Some(Phase::Step(number)), Some(in_band)) => match site.step(number) {
            Some(step) if in_band.0 >= step.minutes * 60.0 => {
                StepVerdict::Done { next: site.step(number + 1).map(|s| s.number) }
            }
            Some(step) => {
                StepVerdict::Open { step: number, missing: Seconds(step.minutes * 60.0) - in_band }
            }
            None => StepVerdict::Unknown,
        },
        _ => StepVerdict::Unknown,
    }
}

fn steps(known: &Known<'_>) -> Vec<Case> {
    let case = |work: &SectionWork| {
        let Some(Phase::Step(number)) = work.place.phase else { return None };
        let section =
            work.place.section.map_or("no section marked", |i| &known.site.sections[i].id);
        let step = known.site.step(number).map(|s| Seconds(s.minutes * 60.0));
        let says = match work.verdict {
            StepVerdict::Done { next: Some(next) } => format!("done, step {next} is next"),
            StepVerdict::Done { next: None } => "done, the section is restored".to_owned(),
            StepVerdict::Open { step, missing } => {
                format!("open, go on with step {step}: {:.1} min missing", missing.0 / 60.0)
            }
            StepVerdict::Maintained | StepVerdict::Unknown => "not known".to_owned(),
        };
        Some(Case::event(format!("{section}, step {number}"), work.span).with([
            ("needed in band", Amount::or_unknown(step, Amount::Time, "the site has no such step")),
            ("brush time", Amount::Time(work.brush_time)),
            (
                "in band, this shift",
                Amount::or_unknown(work.in_band, Amount::Time, "no band was known"),
            ),
            ("verdict", Amount::Words(says)),
        ]))
    };
    known.findings.sections.iter().filter_map(case).collect()
}

pub(super) const FIGURES: &[Figure] = &[Figure {
    id: "step",
    says: "Whether a grit step is done",
    channels: &["speed", "brush_command", "brush_current_1", "brush_rotation_1"],
    settings: &["site:step", "site:bands", "site:button", "book:begun"],
    formula: "done when the time in band with a brush turning, of all nights and machines, is the step's minutes or more",
    source: "45 min for the first grit and 30 min for each later one: common practice, no published source",
    assumed: &[
        "Minutes of earlier nights and of other machines count, but not those from before the step below was done.",
        "All work between two marks is on the section of the first.",
    ],
    worked: steps,
}];
