//! Reads nights and lists their events.

use super::Event;
use super::cause::InTheAir;
use super::list::{Told, list};
use crate::cores::share_out;
use crate::findings::{Findings, Judge, Judged, Shift};
use crate::ledger::{Building, Ledger};
use crate::timeline::{ShiftError, shift_of};
use chrono::NaiveDate;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;
use std::sync::OnceLock;
use underbrush_protocol::settings::Machine;

/// One night of one machine, with its events.
#[derive(Clone, Debug)]
pub struct NightEvents {
    /// Local date on which its shift starts.
    pub date: NaiveDate,
    /// Which machine, by its place among the building's.
    pub machine: usize,
    /// In order of begin.
    pub events: Vec<Event>,
    /// Something was recorded.
    pub recorded: bool,
    /// What is missing of its data, a sentence each.
    pub losses: Vec<String>,
}

/// The events of all machines in these nights, in order of night and machine; a night in
/// which a machine recorded nothing is there, and empty.
pub fn read(
    building: &Building<'_>,
    nights: &RangeInclusive<NaiveDate>,
) -> Result<Vec<NightEvents>, ShiftError> {
    let machines: Vec<&Machine> = building.machines.iter().map(|m| m.machine).collect();
    let (first, last) = (*nights.start(), *nights.end());
    // A date that is no shift is told before the logs are read.
    shift_of(building.site, first)?;
    shift_of(building.site, last)?;
    let dates: Vec<NaiveDate> = first.iter_days().take_while(|date| *date <= last).collect();
    let ledger = OnceLock::new();
    let ledger = || ledger.get_or_init(|| Ledger::read(building, last.pred_opt().unwrap_or(last)));
    let read = share_out(dates.len() * machines.len(), |numbers| {
        let mut judges: BTreeMap<usize, Judge<'_>> = BTreeMap::new();
        let one = |number: usize| {
            let date = *dates.get(number / machines.len())?;
            let machine = number % machines.len();
            let inputs = building.machines.get(machine)?;
            let shift = shift_of(building.site, date).ok()?;
            let (found, _) = judged_or(building, machine, &shift, || {
                let judge = judges.entry(machine);
                let judge = judge.or_insert_with(|| ledger().judge(machine, *inputs));
                let told = building.told(machine, judge, &shift);
                ledger().judge_told(building, machine, (judge, &shift), told)
            });
            Some(of_findings(&machines, machine, &found))
        };
        numbers.filter_map(one).collect::<Vec<_>>()
    });
    let mut all: Vec<NightEvents> = read.into_iter().flatten().collect();
    all.sort_by_key(|night| (night.date, night.machine));
    Ok(all)
}

/// What was found of one machine in one night, as on its sheet. Other nights are read only
/// as far as they decide where the work was, and what is normal.
pub fn night(
    building: &Building<'_>,
    machine: usize,
    date: NaiveDate,
) -> Result<Option<Findings>, ShiftError> {
    let shift = shift_of(building.site, date)?;
    let Some(inputs) = building.machines.get(machine) else { return Ok(None) };
    let (found, _) = judged_or(building, machine, &shift, || {
        let told = match building.all_told(machine, &shift) {
            Ok(found) => return (found, Vec::new()),
            Err(told) => told,
        };
        let ledger = Ledger::read(building, date.pred_opt().unwrap_or(date));
        let mut judge = ledger.judge(machine, *inputs);
        let told = told.unwrap_or_else(|| building.told(machine, &mut judge, &shift));
        ledger.judge_told(building, machine, (&mut judge, &shift), told)
    });
    Ok(Some(found))
}

/// What was found of a shift as an earlier run kept it, or by `judge`; then all that the pages
/// of its events want of other nights is read, and kept too.
pub(crate) fn judged_or(
    building: &Building<'_>,
    machine: usize,
    shift: &Shift,
    judge: impl FnOnce() -> Judged,
) -> Judged {
    building.judged_or(machine, shift, || {
        let judged = judge();
        let wanted = judged.0.load.all().any(|e| InTheAir::matters(e.kind.into()));
        if wanted && !building.kept.is_empty() {
            InTheAir::read(building, machine, shift.date);
        }
        judged
    })
}

/// The events of one machine's findings, and what is missing of them.
pub fn of_findings(machines: &[&Machine], machine: usize, found: &Findings) -> NightEvents {
    let data = &found.data;
    let recorded = data.boots > 0;
    let mut losses: Vec<String> = Vec::new();
    if recorded {
        let lost = data.problems.iter().filter(|problem| problem.data_lost);
        losses.extend(lost.map(|problem| problem.message.clone()));
        losses.extend(data.losses());
    }
    let events = list(machines, [Told { machine, findings: found }]);
    NightEvents { date: found.shift.date, machine, events, recorded, losses }
}
