//! A week or a month in numbers: of each machine and of all together.
//!
//! Words: a *night* runs from the begin of one shift to the begin of the next, as the
//! ledger has it, so sums hold work between shifts too. The sheet of one shift holds
//! only its hours: the two differ by the work between shifts. A night without a log is
//! `None`, no night without work. Sums are over the nights with data alone; their count
//! stands beside them.
//!
//! Model: sums only. Shares are of sums (time in band over time against a band), not
//! means of nightly shares, so that a short night counts little.

pub mod table;

use crate::findings::Judge;
use crate::findings::WearFinding;
use crate::findings::history::{BandTimes, Night};
use crate::ledger::{Building, Ledger};
use crate::programme::{Areas, Programme, ProgrammeCase};
use crate::timeline::shift_of;
use chrono::{Datelike, NaiveDate};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Metres, Seconds, SquareMetres};

/// What nights come to.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sums {
    /// Nights that have data.
    pub nights: u32,
    /// Time recorded in them.
    pub recorded: Seconds,
    /// Part of it in which speed and brush were known.
    pub seen: Seconds,
    /// Time with a brush turning.
    pub brush_time: Seconds,
    /// Part of it with a mark, by the band in force.
    pub bands: BandTimes,
    /// Swept area; overlap counts twice.
    pub swept_area: SquareMetres,
    /// Stationary-brush events.
    pub stationary_events: u32,
    /// Their time in all.
    pub stationary_time: Seconds,
    /// Brush time on floors that must never be polished.
    pub forbidden: Seconds,
    /// Places of logs that could not be read.
    pub unread: u32,
}

impl Sums {
    fn of(night: &Night) -> Self {
        Self {
            nights: 1,
            recorded: night.observed.of,
            seen: night.observed.seen,
            brush_time: night.brush_time,
            bands: night.bands,
            swept_area: night.swept_area,
            stationary_events: night.stationary_events,
            stationary_time: night.stationary_time,
            forbidden: night.works.iter().filter(|w| w.forbidden).map(|w| w.brush_time).sum(),
            unread: night.unread,
        }
    }

    fn add(&mut self, other: &Self) {
        self.nights += other.nights;
        self.recorded += other.recorded;
        self.seen += other.seen;
        self.brush_time += other.brush_time;
        self.bands.below += other.bands.below;
        self.bands.within += other.bands.within;
        self.bands.above += other.bands.above;
        self.swept_area += other.swept_area;
        self.stationary_events += other.stationary_events;
        self.stationary_time += other.stationary_time;
        self.forbidden += other.forbidden;
        self.unread += other.unread;
    }

    /// Share of the time against a band that was in it; `None` without such time.
    pub fn in_band(&self) -> Option<f64> {
        let total = self.bands.total().0;
        (total > 0.0).then(|| self.bands.within.0 / total)
    }
}

/// One machine in the range.
#[derive(Clone, Debug)]
pub struct MachineRange {
    /// Its place in the list of machines.
    pub machine: usize,
    /// Every date of the range; `None`: no data.
    pub nights: Vec<(NaiveDate, Option<Sums>)>,
    /// All of them.
    pub sums: Sums,
    /// Shortest lengths measured in the range.
    pub measured: Vec<(NaiveDate, Metres)>,
    /// Wear at the end of the range.
    pub wear: WearFinding,
}

/// A calendar week, or the part of it in the range.
#[derive(Clone, Debug, PartialEq)]
pub struct Week {
    /// Its first and last date in the range.
    pub dates: (NaiveDate, NaiveDate),
    /// All machines.
    pub sums: Sums,
}

/// A step that was finished.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Finished {
    /// Night.
    pub on: NaiveDate,
    /// Place of the section in the site's list.
    pub section: usize,
    /// Number of the step.
    pub step: u8,
    /// The shift book says so; the minutes do not.
    pub by_hand: bool,
}

/// One person's nights.
#[derive(Clone, Debug, PartialEq)]
pub struct Operator {
    /// As the shift book has it.
    pub name: String,
    /// Nights of machines that this person was on. Where several were on one machine,
    /// the whole night counts for each of them.
    pub sums: Sums,
}

/// The whole range.
#[derive(Clone, Debug)]
pub struct RangeFinding {
    /// First date of a shift.
    pub from: NaiveDate,
    /// Last date of a shift.
    pub to: NaiveDate,
    /// Hours of all shifts in the range, 9 or 7 h where clocks change.
    pub shift_hours: Seconds,
    /// Each machine.
    pub machines: Vec<MachineRange>,
    /// All machines.
    pub together: Sums,
    /// Weeks from Monday to Sunday, all machines.
    pub weeks: Vec<Week>,
    /// Steps finished, in order of night.
    pub finished: Vec<Finished>,
    /// Floor by state before the range and at its end.
    pub areas: (Areas, Areas),
    /// People, by name; empty unless the site wants it.
    pub operators: Vec<Operator>,
}

impl RangeFinding {
    /// Sums up the nights of `dates`. The ledger must reach to the last of them.
    pub fn judge(
        building: &Building<'_>,
        ledger: &Ledger,
        dates: RangeInclusive<NaiveDate>,
    ) -> Self {
        let (from, to) = (*dates.start(), *dates.end());
        let days = || from.iter_days().take_while(move |day| *day <= to);
        let machines: Vec<MachineRange> = (0..building.machines.len())
            .map(|machine| machine_range(building, ledger, machine, (from, to)))
            .collect();
        let mut together = Sums::default();
        let mut weeks: Vec<Week> = Vec::new();
        for (at, date) in days().enumerate() {
            let mut sums = Sums::default();
            for machine in &machines {
                if let Some((_, Some(night))) = machine.nights.get(at) {
                    sums.add(night);
                }
            }
            together.add(&sums);
            match weeks.last_mut().filter(|week| week.dates.0.iso_week() == date.iso_week()) {
                Some(week) => {
                    week.dates.1 = date;
                    week.sums.add(&sums);
                }
                None => weeks.push(Week { dates: (date, date), sums }),
            }
        }
        let before = from.pred_opt().map(|date| programme(building, ledger, date));
        let after = programme(building, ledger, to);
        let areas = (before.map(|p| p.areas).unwrap_or_default(), after.areas);
        let length = |date| shift_of(building.site, date).map(|shift| shift.span.length());
        Self {
            from,
            to,
            shift_hours: days().filter_map(|date| length(date).ok()).sum(),
            operators: operators(building, &machines),
            finished: finished(&after, (from, to)),
            machines,
            together,
            weeks,
            areas,
        }
    }
}

fn machine_range(
    building: &Building<'_>,
    ledger: &Ledger,
    machine: usize,
    (from, to): (NaiveDate, NaiveDate),
) -> MachineRange {
    let inputs = building.machines[machine];
    let known: BTreeMap<NaiveDate, Sums> =
        ledger.nights(machine).map(|night| (night.date, Sums::of(night))).collect();
    let days = from.iter_days().take_while(|day| *day <= to);
    let nights: Vec<(NaiveDate, Option<Sums>)> =
        days.map(|date| (date, known.get(&date).copied())).collect();
    let mut sums = Sums::default();
    for night in nights.iter().filter_map(|(_, night)| night.as_ref()) {
        sums.add(night);
    }
    let measured = inputs.book.measured.iter().filter(|m| m.date >= from && m.date <= to);
    let measured = measured.map(|m| (m.date, m.shortest())).collect();
    let mut judge: Judge<'_> = ledger.judge(machine, inputs);
    // A date beyond the calendar has no shift, and no wear is known then.
    let wear = shift_of(inputs.site, to).map(|shift| judge.shift(&shift).wear);
    MachineRange { machine, nights, sums, measured, wear: wear.unwrap_or_default() }
}

/// The programme as of the night of `date`.
fn programme(building: &Building<'_>, ledger: &Ledger, date: NaiveDate) -> Programme {
    let machines: Vec<&Machine> = building.machines.iter().map(|m| m.machine).collect();
    let records: Vec<_> = ledger.records.iter().filter(|r| r.date <= date).cloned().collect();
    let nights = ledger.recorded(date.succ_opt().unwrap_or(date), &[]);
    Programme::judge(&ProgrammeCase {
        site: building.site,
        book: building.book,
        machines: &machines,
        records: &records,
        nights: &nights,
        date,
    })
}

fn finished(programme: &Programme, (from, to): (NaiveDate, NaiveDate)) -> Vec<Finished> {
    let mut list = Vec::new();
    for section in &programme.sections {
        for step in &section.steps {
            let Some(done) = step.done.filter(|done| done.on >= from && done.on <= to) else {
                continue;
            };
            let (section, step) = (section.section, step.number);
            list.push(Finished { on: done.on, section, step, by_hand: done.by_hand });
        }
    }
    list.sort_by_key(|entry| (entry.on, entry.section, entry.step));
    list
}

fn operators(building: &Building<'_>, machines: &[MachineRange]) -> Vec<Operator> {
    if !building.site.per_operator {
        return Vec::new();
    }
    let mut people: BTreeMap<&str, Sums> = BTreeMap::new();
    for range in machines {
        let inputs = &building.machines[range.machine];
        for (date, sums) in &range.nights {
            let Some(sums) = sums else { continue };
            for name in inputs.book.crew_on(*date, &inputs.machine.id) {
                people.entry(name).or_default().add(sums);
            }
        }
    }
    people.into_iter().map(|(name, sums)| Operator { name: name.to_owned(), sums }).collect()
}
