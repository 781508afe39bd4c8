//! The restoration programme of a building: what is done, what is due, what comes next.
//!
//! Flow: ledger and shift book (`case`) -> stays and what is done by hand (`stay`) -> minutes of each step
//! (`step_progress`) -> where each section stands (`state`, `refresh`) -> how fast it
//! goes (`rate`) and when it will be done (`finish`) -> the night that comes
//! (`tonight`) -> rows for terminal, CSV, JSON and paper (`table`). Everything here is
//! typed, in SI and not rounded; `None` is unknown.

mod case;
mod finish;
mod pace;
mod rate;
mod refresh;
mod rules;
mod state;
mod stay;
mod step_progress;
pub mod table;
#[cfg(test)]
mod tests;
mod tonight;
mod verdict;

pub use case::{ProgrammeCase, Recorded, plan_for};
pub use finish::{Finish, NoForecast};
pub use pace::Pace;
pub use rate::{PerNight, Rate};
pub use refresh::{Due, Refresh, Upkeep};
pub use state::{Areas, SectionRemark, SectionState, State};
pub use step_progress::{Done, StepProgress};
pub use tonight::{Battery, NightPlan, PlanItem, Reason};

use chrono::NaiveDate;
use refresh::Clock;
use rules::Rules;
use stay::{ByHand, SectionInput, Stay};
use std::collections::BTreeSet;
use step_progress::Progress;
use tonight::{Evening, MachineNight, propose};
use underbrush_protocol::si::Seconds;

/// The programme as of one night.
#[derive(Clone, Debug, PartialEq)]
pub struct Programme {
    /// Date of the last night; the plan is for the one after it.
    pub date: NaiveDate,
    /// Every section, in the order of the site file.
    pub sections: Vec<SectionState>,
    /// Floor by state.
    pub areas: Areas,
    /// Time in band that all open steps still lack.
    pub missing: Seconds,
    /// How fast it goes; `None` before the first minute that counts.
    pub rate: Option<Rate>,
    /// When the whole floor will be restored.
    pub finish: Finish,
    /// The next night, one plan for each machine.
    pub tonight: Vec<NightPlan>,
    /// What the plans count with.
    pub pace: Vec<Pace>,
    /// Brush time that nobody marked: it counts for no section.
    pub not_marked: Seconds,
}

/// The input of [`judge`], in the programme's own form.
struct Work<'a> {
    rules: &'a Rules,
    stays: &'a [Stay],
    by_hand: &'a [ByHand],
    /// Nights in which some machine recorded.
    seen: &'a BTreeSet<NaiveDate>,
    date: NaiveDate,
    machines: &'a [MachineNight],
}

fn judge(work: &Work<'_>) -> Programme {
    let Work { rules, stays, by_hand, seen, date, machines } = *work;
    let clock = Clock { date, seen };
    let inputs = SectionInput::sorted(rules.sections.len(), stays, by_hand, date);
    let mut sections = Vec::new();
    let mut credits = Vec::new();
    for (index, input) in inputs.iter().enumerate() {
        let progress = Progress::of(rules, index, input);
        sections.extend(state::judge(rules, index, input, &progress, &clock));
        // Work on a floor that must not be polished brings nothing forward.
        if rules.sections.get(index).is_some_and(|rule| rule.polish) {
            credits.extend(progress.credits);
        }
    }
    let open = |s: &&SectionState| matches!(s.state, State::Waiting | State::InWork { .. });
    let missing = sections.iter().filter(open).flat_map(|s| &s.steps).map(StepProgress::missing);
    let missing: Seconds = missing.sum();
    let rate = Rate::of(rules, &credits, seen, date);
    let areas = Areas::of(&sections);
    let nothing = areas.polish.0 <= 0.0 || rules.steps.is_empty();
    let finish = if nothing {
        Finish::Refused(NoForecast::NothingToRestore)
    } else {
        finish::finish(missing, rate.as_ref(), date)
    };
    let tonight = propose(&Evening { rules, sections: &sections, machines });
    let unmarked = stays.iter().filter(|stay| stay.section.is_none() && stay.date <= date);
    Programme {
        date,
        areas,
        missing,
        rate,
        finish,
        tonight,
        pace: machines.iter().map(|machine| machine.pace).collect(),
        not_marked: unmarked.map(|stay| stay.brush_time).sum(),
        sections,
    }
}
