//! What the site file asks of each section, in the form that the programme counts with.

use crate::settings::{Phase, Site};
use underbrush_protocol::si::{Seconds, SquareMetres};

/// One grit step.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct StepRule {
    pub(super) number: u8,
    pub(super) grit: String,
    /// Minutes in band that it needs.
    pub(super) required: Seconds,
}

/// One section.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct SectionRule {
    pub(super) area: SquareMetres,
    /// `false`: never to be polished.
    pub(super) polish: bool,
    /// Days from one daily run to the next; `None`: the site has no maintenance.
    pub(super) maintain_every: Option<u16>,
    /// Days of traffic until it is due for a refresh; `None`: never.
    pub(super) refresh_after: Option<u16>,
}

/// The whole site.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Rules {
    pub(super) steps: Vec<StepRule>,
    pub(super) sections: Vec<SectionRule>,
    /// Grit of the daily run.
    pub(super) maintenance_grit: Option<String>,
    /// Time of a tool change.
    pub(super) setup: Seconds,
}

impl Rules {
    pub(super) fn of(site: &Site) -> Self {
        let steps = site.steps.iter().map(|step| StepRule {
            number: step.number,
            grit: step.grit.clone(),
            required: Seconds(step.minutes * 60.0),
        });
        let sections = site.sections.iter().enumerate().map(|(at, section)| SectionRule {
            area: section.area,
            polish: section.polish,
            maintain_every: site.maintenance.as_ref().map(|_| site.maintain_every(at)),
            refresh_after: site.refresh_after(at),
        });
        Self {
            steps: steps.collect(),
            sections: sections.collect(),
            maintenance_grit: site.maintenance.as_ref().map(|m| m.grit.clone()),
            setup: Seconds(site.night.setup_minutes * 60.0),
        }
    }

    /// The grit that a phase needs.
    pub(super) fn grit(&self, phase: Phase) -> Option<&str> {
        match phase {
            Phase::Maintenance => self.maintenance_grit.as_deref(),
            Phase::Step(number) => {
                self.steps.iter().find(|s| s.number == number).map(|s| s.grit.as_str())
            }
        }
    }

    /// Time in band that a section needs for all steps.
    pub(super) fn whole(&self) -> Seconds {
        self.steps.iter().map(|step| step.required).sum()
    }
}
