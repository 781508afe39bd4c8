//! From site, shift book and ledger to the programme's own input.

use super::pace::Pace;
use super::refresh::later;
use super::rules::Rules;
use super::stay::{ByHand, Stay};
use super::tonight::{Battery, MachineNight};
use super::{Programme, Work, judge};
use crate::findings::history::Night;
use crate::findings::{PlaceSource, Planned};
use crate::ledger::Record;
use crate::settings::site::Site;
use crate::settings::{Book, Phase};
use crate::timeline::shift_of;
use chrono::NaiveDate;
use std::collections::BTreeSet;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Metres, Seconds};

/// Nights without charging that are enough to learn the brush time of a charge from.
const ENOUGH_CHARGES: usize = 5;

/// What the programme is judged by.
#[derive(Clone, Copy, Debug)]
pub struct ProgrammeCase<'a> {
    /// The building.
    pub site: &'a Site,
    /// The shift book, with the entries of all machines.
    pub book: &'a Book,
    /// The machines, in the order that records count them by.
    pub machines: &'a [&'a Machine],
    /// The work of all nights; what is later than `date` is left out.
    pub records: &'a [Record],
    /// The nights that some machine recorded.
    pub nights: &'a [Recorded],
    /// Date of the last night; the plan is for the one after it.
    pub date: NaiveDate,
}

/// That a machine recorded in a night, and how long its brushes turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Recorded {
    /// Local date on which the shift starts.
    pub date: NaiveDate,
    /// Place of the machine in the list.
    pub machine: usize,
    /// Brush time.
    pub brush_time: Seconds,
    /// It was all of one charge; `false` also where the battery was not read.
    pub one_charge: bool,
}

impl Recorded {
    /// A night of the ledger.
    pub fn of(machine: usize, night: &Night) -> Self {
        let battery = &night.battery;
        let one_charge = battery.observed.enough() && !battery.charged_within;
        Self { date: night.date, machine, brush_time: night.brush_time, one_charge }
    }
}

impl Programme {
    /// Judges the programme as of the night of `case.date`.
    pub fn judge(case: &ProgrammeCase<'_>) -> Self {
        let rules = Rules::of(case.site);
        let stays: Vec<Stay> = case.records.iter().map(Stay::of).collect();
        let by_hand = by_hand(case);
        let tonight = later(case.date, 1);
        let machines: Vec<MachineNight> = (0..case.machines.len())
            .filter_map(|at| machine_night(case, &rules, &stays, at, tonight))
            .collect();
        let seen: BTreeSet<NaiveDate> = case.nights.iter().map(|night| night.date).collect();
        judge(&Work {
            rules: &rules,
            stays: &stays,
            by_hand: &by_hand,
            seen: &seen,
            date: case.date,
            machines: &machines,
        })
    }

    /// The plan of one machine for the night that comes, in the order worked.
    pub fn planned(&self, machine: usize) -> Vec<Planned> {
        let plan = self.tonight.iter().find(|plan| plan.machine == machine);
        let items = plan.into_iter().flat_map(|plan| &plan.items);
        items
            .map(|item| Planned {
                section: item.section,
                phase: item.phase,
                expected: item.brush_time,
            })
            .collect()
    }
}

/// The plan of one machine for the night after `case.date`, in the order worked: that of the book
/// where it has one, else the one proposed.
pub fn plan_for(case: &ProgrammeCase<'_>, machine: usize) -> Vec<Planned> {
    Programme::judge(case).planned(machine)
}

impl Stay {
    fn of(record: &Record) -> Self {
        let work = &record.work;
        let way = work.mean_speed.map_or(Metres(0.0), |speed| speed * work.brush_time);
        Self {
            date: record.date,
            from: work.span.from,
            machine: record.machine,
            section: work.place.section,
            phase: work.place.phase,
            clock: work.span.length(),
            brush_time: work.brush_time,
            in_band: work.in_band.unwrap_or(Seconds(0.0)),
            way,
            swept: work.swept_area,
            assumed: work.place.source == PlaceSource::Assumed,
            operators: record.operators.clone(),
        }
    }
}

/// What the book calls done; sections that the site does not have are told where the book is read.
fn by_hand(case: &ProgrammeCase<'_>) -> Vec<ByHand> {
    let entry = |done: &crate::settings::book::Done| {
        let section = case.site.section_by_id(&done.section)?;
        Some(ByHand { date: done.date, section, phase: done.phase })
    };
    case.book.done.iter().filter_map(entry).collect()
}

fn machine_night(
    case: &ProgrammeCase<'_>,
    rules: &Rules,
    stays: &[Stay],
    at: usize,
    tonight: NaiveDate,
) -> Option<MachineNight> {
    let machine = case.machines.get(at)?;
    let site = case.site;
    let hours = shift_of(site, tonight).map_or(Seconds(0.0), |shift| shift.span.length());
    let areas: Vec<f64> = rules.sections.iter().map(|rule| rule.area.0).collect();
    let own: Vec<Stay> =
        stays.iter().filter(|stay| stay.machine == at && stay.date <= case.date).cloned().collect();
    let tool = case.book.for_machine(&machine.id).tool_on(tonight).map(|tool| tool.grit.clone());
    let by_book = case.book.plan_on(tonight, &machine.id).into_iter().filter_map(|entry| {
        let section = site.section_by_id(&entry.section)?;
        Some((section, entry.phase))
    });
    Some(MachineNight {
        hours,
        battery: battery(case, at),
        tool,
        pace: Pace::of(&own, &areas, run_s_m2(site, machine)),
        by_book: by_book.collect::<Vec<(usize, Phase)>>(),
    })
}

/// Brush time of a daily run per m²: the site's, or path width x middle of the band without the
/// overlap of neighbouring lanes.
fn run_s_m2(site: &Site, machine: &Machine) -> f64 {
    let given = site.maintenance.as_ref().and_then(|m| m.area_per_hour);
    let width = machine.deck.path_width.0 * (1.0 - machine.path.assumed_overlap);
    let theory = || 1.0 / (width * site.band(Phase::Maintenance).middle().0);
    given.map_or_else(theory, |area| 3600.0 / area.0)
}

fn battery(case: &ProgrammeCase<'_>, at: usize) -> Battery {
    if let Some(minutes) = case.site.night.battery_minutes {
        return Battery::Given(Seconds(minutes * 60.0));
    }
    let whole = |night: &&Recorded| {
        night.machine == at
            && night.date <= case.date
            && night.one_charge
            && night.brush_time.0 > 0.0
    };
    let times: Vec<f64> = case.nights.iter().filter(whole).map(|n| n.brush_time.0).collect();
    if times.len() < ENOUGH_CHARGES {
        return Battery::Unknown;
    }
    let time = Seconds(times.iter().copied().fold(0.0, f64::max));
    Battery::Learned { time, nights: times.len() as u32 }
}
