//! A plan that the lead wrote into the shift book: taken as it is, with the time it takes.

use super::fill::{Budget, Choice};
use super::{Evening, MachineNight, Need, Reason, Taken, budget, cost};
use crate::settings::Phase;
use underbrush_protocol::si::Seconds;

/// What the book plans for one machine, in its order.
pub(super) fn taken(evening: &Evening<'_>, machine: &MachineNight) -> Vec<Taken> {
    let mut budget: Budget = budget(evening.rules, machine);
    let mut list = Vec::new();
    for (place, (section, phase)) in machine.by_book.iter().enumerate() {
        let Some(need) = need(evening, *section, *phase) else { continue };
        let job = cost(evening.rules, machine, &(*phase, Reason::Book, need));
        let choice: Choice = budget.take(place, 0, &job, 1.0);
        let (section, phase, reason) = (*section, *phase, Reason::Book);
        list.push(Taken { section, phase, reason, grit: job.grit.clone(), choice });
    }
    list
}

/// A step takes what it lacks; one that is done is meant to be done again.
fn need(evening: &Evening<'_>, section: usize, phase: Phase) -> Option<Need> {
    let state = evening.sections.get(section)?;
    let Phase::Step(number) = phase else { return Some(Need::Run(state.area.0)) };
    let step = state.steps.iter().find(|step| step.number == number)?;
    let missing = step.missing();
    let time = if missing > Seconds(0.0) { missing } else { step.required };
    Some(Need::Band(time, false))
}
