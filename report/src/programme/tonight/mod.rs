//! What to do in the night that comes, for each machine.
//!
//! A proposal, not an order: the lead knows what no log tells. Rules, in this order:
//!
//! 1. daily runs that are due, longest overdue first, then where traffic is heaviest
//!    (the shortest time to a refresh), then in the order of the site file; the
//!    machine that has the tool for it on takes them first
//! 2. sections in work, the one with the least missing first, steps in order; no other
//!    grinding takes their place
//! 3. refreshes that are due, longest first
//! 4. sections that wait, in the order of the site file, begun only if the first step
//!    fits whole
//!
//! Where the book has a plan for a machine, that is its plan, and the other machines are
//! given what it leaves. A section belongs to one machine for the night. A night is as long as the shift;
//! each tool change takes the site's minutes, brush time is limited by the battery
//! where that is known, and steps take as long as [`Pace`] says. Which jobs fit is
//! chosen by [`fill`].

mod by_book;
pub(super) mod fill;

use super::pace::Pace;
use super::refresh::{Due, Upkeep};
use super::rules::Rules;
use super::state::{SectionState, State};
use crate::settings::Phase;
use chrono::NaiveDate;
use fill::{Budget, Choice, Job, fill, in_order};
use underbrush_protocol::si::Seconds;

/// The plan of one machine.
#[derive(Clone, Debug, PartialEq)]
pub struct NightPlan {
    /// Place in the list of machines.
    pub machine: usize,
    /// Length of the shift.
    pub hours: Seconds,
    /// Brush time of a charge.
    pub battery: Battery,
    /// What to do, in order.
    pub items: Vec<PlanItem>,
    /// Time on the clock that the items take, tool changes included.
    pub takes: Seconds,
    /// Brush time that the items take.
    pub brush_time: Seconds,
}

/// Brush time of one charge of the battery, and how it is known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Battery {
    /// By the site file.
    Given(Seconds),
    /// The longest night without charging.
    Learned {
        /// Its brush time.
        time: Seconds,
        /// Nights looked at.
        nights: u32,
    },
    /// Not known: it limits nothing here.
    Unknown,
}

impl Battery {
    /// The brush time, where it is known.
    pub fn time(self) -> Option<Seconds> {
        match self {
            Self::Given(time) | Self::Learned { time, .. } => Some(time),
            Self::Unknown => None,
        }
    }
}

/// One thing to do.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanItem {
    /// Place in the site's list of sections.
    pub section: usize,
    /// Step or daily run.
    pub phase: Phase,
    /// Grit that it needs.
    pub grit: Option<String>,
    /// Another tool goes on before it.
    pub change: bool,
    /// From the begin of the shift to its own begin, tool change included.
    pub begins: Seconds,
    /// Time on the clock that it takes, without the tool change.
    pub takes: Seconds,
    /// Brush time that it takes.
    pub brush_time: Seconds,
    /// Time in band that it brings; `None` for a daily run.
    pub in_band: Option<Seconds>,
    /// `false`: only a part of the step, the rest another night.
    pub whole: bool,
    /// Why it is in the plan, and here.
    pub reason: Reason,
}

/// Why something is in the plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reason {
    /// A daily run that was missed, or may have been.
    Overdue {
        /// Since this night.
        since: NaiveDate,
        /// Whether it is known to be missed.
        known: bool,
    },
    /// The daily run is due.
    Due,
    /// The step was begun.
    GoOn,
    /// The step before it is done, or will be tonight.
    NextStep,
    /// Traffic has dulled the floor since.
    Refresh {
        /// Due since this night.
        since: NaiveDate,
    },
    /// The next section that waits.
    Begin,
    /// The shift book plans it.
    Book,
}

/// What a machine brings to the night.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct MachineNight {
    pub(super) hours: Seconds,
    pub(super) battery: Battery,
    /// Grit on it.
    pub(super) tool: Option<String>,
    pub(super) pace: Pace,
    /// What the book plans for it, in order; empty: nothing.
    pub(super) by_book: Vec<(usize, Phase)>,
}

/// What a proposal rests on.
pub(super) struct Evening<'a> {
    pub(super) rules: &'a Rules,
    pub(super) sections: &'a [SectionState],
    pub(super) machines: &'a [MachineNight],
}

/// A chain of jobs with what is to be said of each.
struct Chain {
    section: usize,
    /// A section in work; those come before all others.
    in_work: bool,
    jobs: Vec<(Phase, Reason, Need)>,
}

/// What a job needs, whatever machine does it.
#[derive(Clone, Copy)]
enum Need {
    /// Time in band; splits or not.
    Band(Seconds, bool),
    /// A daily run over this many m².
    Run(f64),
}

/// The plans of all machines.
pub(super) fn propose(evening: &Evening<'_>) -> Vec<NightPlan> {
    let machines = evening.machines;
    let mut budgets: Vec<Budget> = machines.iter().map(|m| budget(evening.rules, m)).collect();
    let mut taken: Vec<Vec<Taken>> =
        machines.iter().map(|machine| by_book::taken(evening, machine)).collect();
    let booked: Vec<(usize, bool)> = machines
        .iter()
        .flat_map(|machine| &machine.by_book)
        .map(|(section, phase)| (*section, *phase == Phase::Maintenance))
        .collect();
    let free = |run: bool| {
        let booked = booked.clone();
        move |chain: &Chain| !booked.contains(&(chain.section, run))
    };
    let mut runs = runs(evening);
    runs.retain(free(true));
    let run_tool = evening.rules.maintenance_grit.as_ref();
    let proposed = |at: &usize| machines.get(*at).is_some_and(|m| m.by_book.is_empty());
    let mut order: Vec<usize> = (0..machines.len()).filter(proposed).collect();
    // Stable: machines that have the tool on come first, else in their own order.
    order.sort_by_key(|at| budgets.get(*at).is_none_or(|b| b.tool.as_ref() != run_tool));
    for at in order {
        assign(evening, at, &mut runs, &mut budgets, &mut taken, Kind::Runs);
    }
    let mut steps = grinding(evening);
    steps.retain(free(false));
    for at in (0..machines.len()).filter(proposed) {
        assign(evening, at, &mut steps, &mut budgets, &mut taken, Kind::Steps);
    }
    let numbered = machines.iter().zip(taken).enumerate();
    numbered.map(|(at, (machine, taken))| plan(evening.rules, at, machine, &taken)).collect()
}

#[derive(Clone, Copy)]
enum Kind {
    Runs,
    Steps,
}

/// A choice and what it was chosen from.
struct Taken {
    section: usize,
    phase: Phase,
    reason: Reason,
    grit: Option<String>,
    choice: Choice,
}

/// Gives one machine what fits of the chains; those that it touches are gone for the others.
fn assign(
    evening: &Evening<'_>,
    at: usize,
    chains: &mut Vec<Chain>,
    budgets: &mut [Budget],
    taken: &mut [Vec<Taken>],
    kind: Kind,
) {
    let (Some(machine), Some(budget), Some(list)) =
        (evening.machines.get(at), budgets.get_mut(at), taken.get_mut(at))
    else {
        return;
    };
    let jobs: Vec<Vec<Job>> = chains
        .iter()
        .map(|chain| chain.jobs.iter().map(|job| cost(evening.rules, machine, job)).collect())
        .collect();
    let numbered: Vec<(usize, &[Job])> =
        jobs.iter().enumerate().map(|(place, jobs)| (place, jobs.as_slice())).collect();
    let mut choices = Vec::new();
    match kind {
        Kind::Runs => in_order(&numbered, budget, &mut choices),
        Kind::Steps => {
            let in_work = chains.iter().take_while(|chain| chain.in_work).count();
            (choices, *budget) = fill(&numbered, in_work, budget);
        }
    }
    let mut gone = vec![false; chains.len()];
    for choice in choices {
        let Some(chain) = chains.get(choice.chain) else { continue };
        let Some((phase, reason, _)) = chain.jobs.get(choice.job) else { continue };
        if let Some(gone) = gone.get_mut(choice.chain) {
            *gone = true;
        }
        let grit = evening.rules.grit(*phase).map(str::to_owned);
        let (section, phase, reason) = (chain.section, *phase, *reason);
        list.push(Taken { section, phase, reason, grit, choice });
    }
    let mut gone = gone.into_iter();
    chains.retain(|_| !gone.next().unwrap_or(false));
}

fn budget(rules: &Rules, machine: &MachineNight) -> Budget {
    Budget {
        clock: machine.hours,
        brush: machine.battery.time(),
        setup: rules.setup,
        tool: machine.tool.clone(),
        clock_share: machine.pace.clock_share,
    }
}

fn cost(rules: &Rules, machine: &MachineNight, job: &(Phase, Reason, Need)) -> Job {
    let (phase, _, need) = job;
    let (credit, brush, splits) = match need {
        Need::Band(time, splits) => (*time, *time / machine.pace.band_share, *splits),
        Need::Run(area) => (Seconds(0.0), Seconds(machine.pace.run_s_m2 * area), false),
    };
    Job { grit: rules.grit(*phase).map(str::to_owned), credit, brush, splits }
}

/// Daily runs that are due, in order.
fn runs(evening: &Evening<'_>) -> Vec<Chain> {
    let mut due: Vec<(&SectionState, Upkeep)> = evening
        .sections
        .iter()
        .filter_map(|section| Some((section, section.upkeep?)))
        .filter(|(_, upkeep)| upkeep.standing != Due::Later)
        .collect();
    let traffic = |section: &SectionState| {
        let rule = evening.rules.sections.get(section.section);
        rule.and_then(|rule| rule.refresh_after).unwrap_or(u16::MAX)
    };
    due.sort_by_key(|(section, upkeep)| (upkeep.due_on, traffic(section), section.section));
    let chain = |(section, upkeep): (&SectionState, Upkeep)| {
        let since = upkeep.due_on;
        let reason = match upkeep.standing {
            Due::Missed { .. } => Reason::Overdue { since, known: true },
            Due::NotKnown => Reason::Overdue { since, known: false },
            Due::Later | Due::Tonight => Reason::Due,
        };
        let job = (Phase::Maintenance, reason, Need::Run(section.area.0));
        Chain { section: section.section, in_work: false, jobs: vec![job] }
    };
    due.into_iter().map(chain).collect()
}

/// Everything to grind, in order of preference.
fn grinding(evening: &Evening<'_>) -> Vec<Chain> {
    let mut in_work: Vec<(f64, Chain)> = Vec::new();
    let mut refreshes: Vec<(NaiveDate, Chain)> = Vec::new();
    let mut waiting = Vec::new();
    for section in evening.sections {
        match section.state {
            State::Never | State::Restored { .. } => {}
            State::InWork { .. } => {
                let missing = section.steps.iter().map(|step| step.missing().0).sum();
                in_work.push((missing, steps(section, true)));
            }
            State::Waiting => waiting.push(steps(section, false)),
            State::DueForRefresh { refresh, .. } => {
                let Some(last) = section.steps.last() else { continue };
                let reason = Reason::Refresh { since: refresh.since };
                let need = Need::Band(refresh.missing, true);
                let jobs = vec![(Phase::Step(last.number), reason, need)];
                let chain = Chain { section: section.section, in_work: false, jobs };
                refreshes.push((refresh.since, chain));
            }
        }
    }
    in_work.sort_by(|a, b| a.0.total_cmp(&b.0));
    refreshes.sort_by_key(|(since, _)| *since);
    let begun = in_work.into_iter().map(|(_, chain)| chain);
    begun.chain(refreshes.into_iter().map(|(_, chain)| chain)).chain(waiting).collect()
}

/// The open steps of a section.
fn steps(section: &SectionState, in_work: bool) -> Chain {
    let open = section.steps.iter().filter(|step| step.done.is_none());
    let job = |(place, step): (usize, &super::StepProgress)| {
        let first = place == 0;
        let reason = match (first, in_work, step.in_band.0 > 0.0) {
            (true, false, _) => Reason::Begin,
            (true, true, true) => Reason::GoOn,
            _ => Reason::NextStep,
        };
        let splits = !first || in_work;
        (Phase::Step(step.number), reason, Need::Band(step.missing(), splits))
    };
    Chain { section: section.section, in_work, jobs: open.enumerate().map(job).collect() }
}

fn plan(rules: &Rules, at: usize, machine: &MachineNight, taken: &[Taken]) -> NightPlan {
    let mut clock = Seconds(0.0);
    let mut items = Vec::new();
    for taken in taken {
        let choice = &taken.choice;
        if choice.change {
            clock += rules.setup;
        }
        let takes = choice.brush * machine.pace.clock_share;
        items.push(PlanItem {
            section: taken.section,
            phase: taken.phase,
            grit: taken.grit.clone(),
            change: choice.change,
            begins: clock,
            takes,
            brush_time: choice.brush,
            in_band: (choice.credit.0 > 0.0).then_some(choice.credit),
            whole: choice.whole,
            reason: taken.reason,
        });
        clock += takes;
    }
    NightPlan {
        machine: at,
        hours: machine.hours,
        battery: machine.battery,
        takes: clock,
        brush_time: items.iter().map(|item| item.brush_time).sum(),
        items,
    }
}
