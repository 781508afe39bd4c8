//! Names of places, phases and motors.

use super::Source;
use crate::findings::Place;
use crate::settings::Phase;

impl Source<'_> {
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
            None => "a section nobody marked".to_owned(),
            Some(index) => match self.site.sections.get(index) {
                Some(section) => self.clean.name(&section.id),
                None => format!("section number {} (not in the site file)", index + 1),
            },
        }
    }

    /// Id and name: for tables.
    pub(super) fn section_and_name(&self, place: Place) -> String {
        let Some(index) = place.section else { return "not marked".to_owned() };
        match self.site.sections.get(index) {
            Some(s) if !s.name.is_empty() && s.name != s.id => {
                format!("{} {}", self.clean.name(&s.id), self.clean.name(&s.name))
            }
            _ => self.section(place),
        }
    }

    /// `step 2 (grit 200)`.
    pub(super) fn step(&self, number: u8) -> String {
        match self.site.step(number) {
            Some(step) => format!("step {number} (grit {})", self.clean.name(&step.grit)),
            None => format!("step {number}"),
        }
    }

    /// What was being done: for tables.
    pub(super) fn phase(&self, phase: Option<Phase>) -> String {
        match phase {
            None => "not marked".to_owned(),
            Some(Phase::Step(n)) => match self.site.step(n) {
                Some(step) => format!("Step {n}, grit {}", self.clean.name(&step.grit)),
                None => format!("Step {n}"),
            },
            Some(Phase::Maintenance) => match &self.site.maintenance {
                Some(m) => format!("Daily run, grit {}", self.clean.name(&m.grit)),
                None => "Daily run".to_owned(),
            },
        }
    }

    /// What was being done, as short as can be.
    pub(super) fn phase_short(phase: Option<Phase>) -> String {
        match phase {
            None => "Not marked".to_owned(),
            Some(Phase::Step(n)) => format!("Step {n}"),
            Some(Phase::Maintenance) => "Daily run".to_owned(),
        }
    }

    /// `1 (left)`; motors are counted from the left.
    pub(super) fn motor(&self, index: usize) -> String {
        let all = usize::from(self.machine.deck.brushes).max(self.findings.load.motors.len());
        match index + 1 {
            1 if all > 1 => "1 (left)".to_owned(),
            n if n == all && all > 1 => format!("{n} (right)"),
            n => n.to_string(),
        }
    }
}
