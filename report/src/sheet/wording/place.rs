//! Names of places, phases and motors.

use super::Source;
use crate::findings::{Place, SectionWork, correction};
use crate::settings::Phase;

/// The sign of a place that nobody told, with how sure it is: `† 82 %`.
pub(super) fn assumed_sign(work: &SectionWork) -> String {
    work.confidence.map_or_else(|| "†".to_owned(), |sure| format!("† {:.0} %", sure * 100.0))
}

impl Source<'_> {
    /// The lines of the shift book that tell where this work was, to be changed and written in.
    pub(super) fn correction(&self, work: &SectionWork) -> Option<String> {
        let at = work.span.from.timestamp_millis();
        correction(self.site, at, &work.place).map(|lines| self.clean.message(&lines))
    }

    pub(super) fn site_name(&self) -> String {
        self.clean.name(&self.site.name)
    }

    pub(super) fn machine_name(&self) -> String {
        let (name, id) = (&self.machine.name, &self.machine.id);
        if name.is_empty() || name == id {
            self.clean.name(id)
        } else {
            format!("{} ({})", self.clean.name(name), self.clean.name(id))
        }
    }

    /// The section's id: for sentences.
    pub(super) fn section(&self, place: Place) -> String {
        match place.section {
            None => self.say("place-nobody-marked"),
            Some(index) => match self.site.sections.get(index) {
                Some(section) => self.clean.name(&section.id),
                None => self.with("place-unknown-section", &[("number", (index + 1).into())]),
            },
        }
    }

    /// Id and name: for tables.
    pub(super) fn section_and_name(&self, place: Place) -> String {
        let Some(index) = place.section else { return self.say("place-not-marked") };
        match self.site.sections.get(index) {
            Some(s) if !s.name.is_empty() && s.name != s.id => {
                format!("{} {}", self.clean.name(&s.id), self.clean.name(&s.name))
            }
            _ => self.section(place),
        }
    }

    /// `step 2 (grit 200)`: inside of a sentence.
    pub(super) fn step(&self, number: u8) -> String {
        match self.site.step(number) {
            Some(step) => {
                let grit = self.clean.name(&step.grit);
                let values = [("number", number.into()), ("grit", grit.into())];
                self.with("place-step-and-grit", &values)
            }
            None => self.with("place-step", &[("number", number.into())]),
        }
    }

    /// What was being done: for tables.
    pub(super) fn phase(&self, phase: Option<Phase>) -> String {
        let grit = match phase {
            None => return self.say("place-not-marked"),
            Some(Phase::Step(n)) => self.site.step(n).map(|step| &step.grit),
            Some(Phase::Maintenance) => self.site.maintenance.as_ref().map(|m| &m.grit),
        };
        let work = self.phase_short(phase);
        match grit {
            Some(grit) => {
                let grit = self.clean.name(grit);
                self.with("place-work-and-grit", &[("work", work.into()), ("grit", grit.into())])
            }
            None => work,
        }
    }

    /// What was being done, as short as can be.
    pub(super) fn phase_short(&self, phase: Option<Phase>) -> String {
        match phase {
            None => self.say("place-work-not-marked"),
            Some(Phase::Step(n)) => self.with("place-work-step", &[("number", n.into())]),
            Some(Phase::Maintenance) => self.say("place-work-daily"),
        }
    }

    /// The same inside of a sentence.
    pub(super) fn phase_inside(&self, phase: Option<Phase>) -> String {
        match phase {
            None => self.say("place-not-marked"),
            Some(Phase::Step(n)) => self.with("place-step", &[("number", n.into())]),
            Some(Phase::Maintenance) => self.say("place-daily"),
        }
    }

    /// `1 (left)`; motors are counted from the left.
    pub(super) fn motor(&self, index: usize) -> String {
        let all = usize::from(self.machine.deck.brushes).max(self.findings.load.motors.len());
        match index + 1 {
            1 if all > 1 => self.say("place-motor-left"),
            n if n == all && all > 1 => self.with("place-motor-right", &[("number", n.into())]),
            n => n.to_string(),
        }
    }
}
