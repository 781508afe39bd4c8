//! Every night of every machine, in order: what the programme and summaries count.
//!
//! A *night* runs from the begin of one shift to the begin of the next, so that work
//! outside of the shift hours counts too. Each is read once; sheets that look back take
//! their nights from here.

use crate::findings::history::Night;
use crate::findings::whereabouts::{AssumedMark, WorkBlock, assume};
use crate::findings::{
    Condition, Findings, Inputs, Judge, Judged, KeptNights, Nights, Part, Place, SectionWork,
    Shift, read_condition,
};
use crate::logset::BootLog;
use crate::programme::{ProgrammeCase, Recorded, plan_for};
use crate::settings::{Book, Site};
use chrono::{DateTime, NaiveDate};
use std::collections::BTreeSet;
use std::sync::Arc;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::UtcMs;

/// The machines of a building and what is noted of all of them.
#[derive(Clone, Copy, Debug)]
pub struct Building<'a> {
    /// Site and shift book of all machines.
    pub site: &'a Site,
    /// The whole shift book.
    pub book: &'a Book,
    /// What each machine is judged by.
    pub machines: &'a [Inputs<'a>],
    /// The nights that earlier runs kept, of each machine; may be empty.
    pub kept: &'a [Arc<KeptNights>],
}

impl<'a> Building<'a> {
    /// A building of which nothing was kept.
    pub fn new(site: &'a Site, book: &'a Book, machines: &'a [Inputs<'a>]) -> Self {
        Self { site, book, machines, kept: &[] }
    }

    fn nights(&self, machine: usize) -> Nights {
        Nights::keeping(self.kept.get(machine).cloned())
    }

    /// What somebody told of a shift.
    pub fn told(&self, machine: usize, judge: &mut Judge<'_>, shift: &Shift) -> Told {
        let kept = self.kept.get(machine).zip(self.machines.get(machine));
        if let Some(blocks) = kept.and_then(|(kept, inputs)| kept.blocks(inputs, shift.date)) {
            return Told { blocks, found: None };
        }
        let found = judge.shift(shift);
        Told { blocks: found.blocks.clone(), found: Some(Box::new(found)) }
    }

    /// What is found of a shift, where somebody told of all work in it and in the nights that
    /// it is compared with: no other night decides of it. Else what was told of it, as far as
    /// that was looked at.
    pub(crate) fn all_told(&self, machine: usize, shift: &Shift) -> Result<Findings, Option<Told>> {
        let inputs = self.machines.get(machine).ok_or(None)?;
        let mut judge = Judge::knowing(*inputs, self.nights(machine));
        if !judge.history(shift.date).nights.iter().all(|night| all_told(&night.blocks)) {
            return Err(None);
        }
        let told = self.told(machine, &mut judge, shift);
        if told.is_whole() { Ok(told.findings(&mut judge, shift)) } else { Err(Some(told)) }
    }

    /// What was found of a machine's shift and where its untold work was, as an earlier run
    /// kept it, or by `judge`.
    pub(crate) fn judged_or(
        &self,
        machine: usize,
        shift: &Shift,
        judge: impl FnOnce() -> Judged,
    ) -> Judged {
        match self.kept.get(machine) {
            Some(own) => {
                own.judged_or(self.kept.iter().map(|k| &**k).zip(self.machines), shift, judge)
            }
            None => judge(),
        }
    }

    /// The condition of a machine in a night.
    pub fn condition(&self, machine: usize, date: NaiveDate) -> Condition {
        let Some(inputs) = self.machines.get(machine) else { return Condition::default() };
        let read = || read_condition(inputs, date);
        match self.kept.get(machine) {
            Some(kept) => kept.condition_or(inputs, date, read),
            None => read(),
        }
    }
}

/// A shift as far as somebody told of it.
#[derive(Debug)]
pub struct Told {
    blocks: Vec<WorkBlock>,
    /// What was found, if that had to be judged to know the blocks.
    found: Option<Box<Findings>>,
}

impl Told {
    /// Nothing has to be assumed.
    pub fn is_whole(&self) -> bool {
        all_told(&self.blocks)
    }

    /// What is found with nothing assumed.
    pub fn findings(self, judge: &mut Judge<'_>, shift: &Shift) -> Findings {
        self.found.map_or_else(|| judge.shift(shift), |found| *found)
    }
}

fn all_told(blocks: &[WorkBlock]) -> bool {
    blocks.iter().all(|block| block.told.is_some_and(|told| told.here))
}

/// Work of one machine in one section and phase in one night.
#[derive(Clone, Debug)]
pub struct Record {
    /// Local date on which the shift starts.
    pub date: NaiveDate,
    /// Which machine, by its place in the list that the ledger was read from.
    pub machine: usize,
    /// The work.
    pub work: SectionWork,
    /// Who was on that night, by the shift book; empty where the site does not want it told.
    pub operators: Vec<String>,
}

/// A place that is more likely wrong than right is not assumed: the work stays unmarked.
const LEAST_CONFIDENCE: f64 = 0.5;

/// All nights up to a date.
#[derive(Debug)]
pub struct Ledger {
    /// Work in order of date; of one date in order of machine and begin.
    pub records: Vec<Record>,
    /// First date that a log covers; `None` without any dated log.
    pub first: Option<NaiveDate>,
    /// The date asked for.
    pub last: NaiveDate,
    machines: Vec<Nights>,
}

impl Ledger {
    /// Reads the nights of all machines up to that of `last`.
    pub fn read(building: &Building<'_>, last: NaiveDate) -> Self {
        let mut first: Option<NaiveDate> = None;
        let read = building.machines.iter().enumerate().map(|(machine, inputs)| {
            let dates = logged_dates(inputs);
            first = dates.first().copied().into_iter().chain(first).min();
            let mut nights = building.nights(machine);
            nights.fill(inputs, dates.into_iter().filter(|date| *date <= last));
            nights
        });
        let machines = read.collect();
        let first = first.filter(|first| *first <= last);
        let mut ledger = Self { records: Vec::new(), first, last, machines };
        ledger.enter(building);
        ledger
    }

    /// Goes through the nights in order of date; where nobody told of the work, it is placed
    /// by the plan that the nights before lead to.
    fn enter(&mut self, building: &Building<'_>) {
        let Some(first) = self.first else { return };
        for date in first.iter_days().take_while(|date| *date <= self.last) {
            let mut of_date = Vec::new();
            for (machine, inputs) in building.machines.iter().enumerate() {
                let Some(night) = self.machines[machine].get(date) else { continue };
                let which = (date, Part::Told);
                let assumed = self.assumed(building, machine, which, &night.blocks);
                let night = self.machines[machine].place(inputs, date, &assumed);
                of_date.extend(records(inputs, date, machine, &night.works));
            }
            self.records.extend(of_date);
        }
    }

    /// The marks to assume for one machine's blocks in a part of the night of `date`, by the nights
    /// before it; none where somebody told of every block, or nothing was planned.
    fn assumed(
        &self,
        building: &Building<'_>,
        machine: usize,
        (date, part): (NaiveDate, Part),
        blocks: &[WorkBlock],
    ) -> Vec<AssumedMark> {
        if all_told(blocks) {
            return Vec::new();
        }
        let Some(eve) = date.pred_opt() else { return Vec::new() };
        let machines: Vec<&Machine> = building.machines.iter().map(|m| m.machine).collect();
        let case = ProgrammeCase {
            site: building.site,
            book: building.book,
            machines: &machines,
            records: &self.records,
            nights: &self.recorded(date, &[]),
            date: eve,
        };
        let planned = plan_for(&case, machine);
        if planned.is_empty() {
            return Vec::new();
        }
        let assume = || assume(building.site, blocks, &planned);
        let mut assumed = match building.kept.get(machine) {
            Some(kept) => kept.places_or((date, part), (blocks, &planned), assume),
            None => assume(),
        };
        let unsure = |m: &&mut AssumedMark| m.against.is_none() && m.confidence < LEAST_CONFIDENCE;
        for mark in assumed.iter_mut().filter(unsure) {
            mark.place = Place::default();
        }
        assumed
    }

    /// What is found of a shift when work that nobody told is placed by the nights before, and
    /// those places.
    pub fn judge_told(
        &self,
        building: &Building<'_>,
        machine: usize,
        (judge, shift): (&mut Judge<'_>, &Shift),
        told: Told,
    ) -> Judged {
        let which = (shift.date, Part::Shift);
        let assumed = self.assumed(building, machine, which, &told.blocks);
        let found = if assumed.is_empty() {
            told.findings(judge, shift)
        } else {
            judge.shift_assuming(shift, &assumed)
        };
        (found, assumed)
    }

    /// All work up to and with the shift of `date`, which `findings` tell of: one for each
    /// machine, in the order of `machines`.
    pub fn until(
        &self,
        machines: &[Inputs<'_>],
        date: NaiveDate,
        findings: &[Findings],
    ) -> Vec<Record> {
        let before = self.records.iter().filter(|record| record.date < date).cloned();
        let own = machines.iter().zip(findings).enumerate();
        let own = own.flat_map(|(n, (inputs, found))| records(inputs, date, n, &found.sections));
        before.chain(own).collect()
    }

    /// The nights before `date` that a machine recorded, and with `findings` that of `date`.
    pub fn recorded(&self, date: NaiveDate, findings: &[Findings]) -> Vec<Recorded> {
        let of = |machine: usize| {
            let before = self.nights(machine).filter(move |night| night.date < date);
            let own = findings.get(machine).filter(|found| found.data.recorded.0 > 0.0);
            let own = own.map(|found| Recorded {
                date,
                machine,
                brush_time: found.area.brush_time,
                one_charge: found.battery.run.observed.enough()
                    && !found.battery.run.charged_within,
            });
            before.map(move |night| Recorded::of(machine, night)).chain(own)
        };
        (0..self.machines.len()).flat_map(of).collect()
    }

    /// The nights of one machine that have a record, in order of date.
    pub fn nights(&self, machine: usize) -> impl Iterator<Item = &Night> {
        let recorded = |night: &&Night| night.observed.of.0 > 0.0 || night.unread > 0;
        self.machines.get(machine).into_iter().flat_map(Nights::in_order).filter(recorded)
    }

    /// A judge of one machine's shifts who knows these nights.
    pub fn judge<'a>(&self, machine: usize, inputs: Inputs<'a>) -> Judge<'a> {
        Judge::knowing(inputs, self.machines.get(machine).cloned().unwrap_or_default())
    }
}

fn records(
    inputs: &Inputs<'_>,
    date: NaiveDate,
    machine: usize,
    works: &[SectionWork],
) -> Vec<Record> {
    let crew = if inputs.site.per_operator {
        inputs.book.crew_on(date, &inputs.machine.id)
    } else {
        Vec::new()
    };
    let operators: Vec<String> = crew.into_iter().map(str::to_owned).collect();
    let of = |work: &SectionWork| Record {
        date,
        machine,
        work: work.clone(),
        operators: operators.clone(),
    };
    works.iter().map(of).collect()
}

/// The dates of the shifts that dated logs reach into.
pub(crate) fn logged_dates(inputs: &Inputs<'_>) -> BTreeSet<NaiveDate> {
    let date = |at: UtcMs| Some(inputs.site.shift_date(DateTime::from_timestamp_millis(at.0)?));
    let spans = inputs.logs.boots.iter().filter_map(BootLog::utc_span);
    let dates = spans.filter_map(|(from, to)| Some((date(from)?, date(to)?)));
    dates.flat_map(|(from, to)| from.iter_days().take_while(move |day| *day <= to)).collect()
}
