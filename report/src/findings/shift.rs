//! One pass over a shift's timeline that feeds all findings.

use super::area::Areas;
use super::care::{BatteryTrace, Cares, conclude};
use super::completeness::Completing;
use super::coverage::{CoverageModel, Visits};
use super::friction::{add_energy, step_energy};
use super::history::{History, Night};
use super::load::Loads;
use super::moment::{Moment, Stay};
use super::nights::Nights;
use super::observed::Observed;
use super::place::Places;
use super::quality::{Qualities, possible};
use super::ribbon::Ribbons;
use super::speed::Speeds;
use super::stationary::StationaryEvents;
use super::types::{Findings, Problem, Shift};
use super::wear::{WearCase, WearFinding};
use super::whereabouts::{AssumedMark, Blocks, Limits as BlockLimits};
use crate::consumables::CheckList;
use crate::logset::{BootLog, ClockMap, LogSet};
use crate::settings::{Book, Site};
use crate::timeline::{Reader, Walk, walk};
use chrono::NaiveDate;
use underbrush_protocol::detect::{Interval, TurningLimits, brush_turning};
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::settings::machine::SensorLimits;
use underbrush_protocol::si::Joules;
use underbrush_protocol::time::UtcMs;

/// What a shift is judged by.
#[derive(Clone, Copy, Debug)]
pub struct Inputs<'a> {
    /// The machine's logs.
    pub logs: &'a LogSet,
    /// The machine file.
    pub machine: &'a Machine,
    /// The site file.
    pub site: &'a Site,
    /// The shift book; may be empty.
    pub book: &'a Book,
}

struct ShiftReader<'a> {
    machine: &'a Machine,
    site: &'a Site,
    turning: TurningLimits,
    places: Places<'a>,
    data: Completing,
    speeds: Speeds,
    stationary: StationaryEvents<'a>,
    loads: Loads,
    areas: Areas<'a>,
    coverage: Visits,
    cares: Cares<'a>,
    battery: BatteryTrace,
    quality: Qualities,
    ribbon: Ribbons,
    blocks: Blocks,
    /// Friction energy of each brush.
    energy: Vec<Joules>,
}

impl Reader for ShiftReader<'_> {
    fn boot_begins(&mut self, boot: &BootLog, clock: &ClockMap) {
        self.data.boot_begins(boot, clock);
    }

    fn step(&mut self, interval: &Interval, clock: &ClockMap) {
        self.quality.read(interval, clock);
        let cleaned = possible(interval, self.quality.limits());
        let interval = cleaned.as_ref().unwrap_or(interval);
        let place = self.places.at(clock.utc(interval.from).0);
        let energy = step_energy(self.machine, interval);
        let friction_j = (!energy.is_empty()).then_some(energy.as_slice());
        add_energy(&mut self.energy, &energy);
        let moment = Moment {
            interval,
            clock,
            turning: brush_turning(interval, self.turning),
            friction_j,
            place,
            stay: self.places.stay(),
            band: place.phase.map(|phase| self.site.band(phase)),
        };
        self.data.step(&moment);
        self.speeds.step(&moment);
        self.stationary.step(&moment);
        self.loads.step(&moment);
        self.areas.step(&moment);
        self.coverage.step(&moment);
        self.cares.step(&moment);
        self.battery.step(interval, clock, moment.turning);
        self.quality.step(&moment);
        self.ribbon.step(&moment);
        self.blocks.step(&moment);
    }

    fn note(&mut self, at: UtcMs, note: &Note) {
        self.data.note(at.0, note);
        self.places.note(at, note);
    }

    fn boot_ends(&mut self, clock: &ClockMap) {
        self.data.boot_ends();
        let place = self.places.current();
        self.speeds.boot_ends(place, clock);
        self.stationary.boot_ends(clock);
        self.loads.boot_ends(clock);
        self.coverage.boot_ends();
        self.cares.boot_ends(clock);
        self.battery.boot_ends();
        self.quality.boot_ends(clock);
        self.blocks.boot_ends();
    }
}

/// Judges shifts of one machine; nights that several sheets look back on are read once.
#[derive(Debug)]
pub struct Judge<'a> {
    inputs: Inputs<'a>,
    nights: Nights,
}

impl<'a> Judge<'a> {
    /// A judge that has read nothing yet.
    pub fn new(inputs: Inputs<'a>) -> Self {
        Self::knowing(inputs, Nights::default())
    }

    /// A judge that knows these nights.
    pub(crate) fn knowing(inputs: Inputs<'a>, nights: Nights) -> Self {
        Self { inputs, nights }
    }

    /// Judges one shift.
    pub fn shift(&mut self, shift: &Shift) -> Findings {
        self.shift_assuming(shift, &[])
    }

    /// Judges one shift; where nobody told a place, `assumed` does, in order of time.
    pub fn shift_assuming(&mut self, shift: &Shift, assumed: &[AssumedMark]) -> Findings {
        let history = self.history(shift.date);
        judge_shift(self.inputs, &history, shift, assumed)
    }

    /// The nights that a shift is compared with.
    pub(crate) fn history(&mut self, date: NaiveDate) -> History {
        History::before(&self.inputs, date, &mut self.nights)
    }
}

/// Judges one shift alone.
pub fn judge(inputs: Inputs<'_>, shift: &Shift) -> Findings {
    Judge::new(inputs).shift(shift)
}

fn judge_shift(
    inputs: Inputs<'_>,
    history: &History,
    shift: &Shift,
    assumed: &[AssumedMark],
) -> Findings {
    let Inputs { logs, machine, site, book } = inputs;
    let limits = machine.limits();
    let fitted = book.tool_on(shift.date).map(|tool| tool.on);
    let mut reader = ShiftReader {
        machine,
        site,
        turning: limits.turning,
        places: Places::new(site, book, assumed),
        data: Completing::new(shift, machine.longest_gap_ms()),
        speeds: Speeds::new(limits),
        stationary: StationaryEvents::new(site, &machine.deck, limits),
        loads: Loads::new(machine, history, fitted),
        areas: Areas::new(site, machine.deck.path_width),
        coverage: Visits::new(CoverageModel::of(machine)),
        cares: Cares::new(site, machine),
        battery: BatteryTrace::new(shift.span),
        quality: Qualities::new(machine, shift.span),
        ribbon: Ribbons::new(shift),
        blocks: Blocks::new(BlockLimits::default(), machine.deck.path_width),
        energy: Vec::new(),
    };
    let walked = walk(logs, Walk::of(machine, shift.span), &mut reader);
    let (stationary, standing) = reader.stationary.finish();
    let coverage = reader.coverage.finish();
    let overlap = machine.path.assumed_overlap;
    let (area, sections) = reader.areas.finish(&stationary, &coverage, overlap);
    let load = look_again(inputs, shift, assumed, &reader.loads).unwrap_or(reader.loads).finish();
    let mut problems = reader.places.into_problems();
    let doubts = book.doubts.iter().cloned();
    problems.extend(doubts.map(|message| Problem { data_lost: false, message }));
    let battery_limits = machine.battery.limits();
    let battery = reader.battery.finish(&battery_limits);
    let data = reader.data.finish(logs, walked, problems);
    let night = Night {
        date: shift.date,
        observed: Observed { seen: data.observed, of: data.recorded },
        brush_time: area.brush_time,
        energy: reader.energy,
        unread: data.problems.iter().filter(|problem| problem.data_lost).count() as u32,
        ..Night::default()
    };
    Findings {
        shift: shift.clone(),
        data,
        speed: reader.speeds.finish(),
        stationary,
        standing,
        care: reader.cares.finish(),
        battery: conclude(battery, &history.nights, battery_limits),
        quality: reader.quality.finish(&load),
        load,
        area,
        coverage,
        sections,
        checks: CheckList::of(site, book, &machine.id, shift.date),
        wear: judge_wear(&inputs, history, night),
        ribbon: reader.ribbon.finish(),
        blocks: reader.blocks.finish(),
        remarks: book
            .remark
            .iter()
            .filter(|r| r.date == shift.date)
            .map(|r| r.text.clone())
            .collect(),
    }
}

/// A second look at the load, where only the shift itself tells what is normal.
struct LoadReader<'a> {
    places: Places<'a>,
    turning: TurningLimits,
    sensors: SensorLimits,
    loads: Loads,
}

impl Reader for LoadReader<'_> {
    fn boot_begins(&mut self, _: &BootLog, _: &ClockMap) {}

    fn step(&mut self, interval: &Interval, clock: &ClockMap) {
        let cleaned = possible(interval, &self.sensors);
        let interval = cleaned.as_ref().unwrap_or(interval);
        self.loads.step(&Moment {
            interval,
            clock,
            turning: brush_turning(interval, self.turning),
            friction_j: None,
            place: self.places.at(clock.utc(interval.from).0),
            stay: Stay::default(),
            band: None,
        });
    }

    fn note(&mut self, at: UtcMs, note: &Note) {
        self.places.note(at, note);
    }

    fn boot_ends(&mut self, clock: &ClockMap) {
        self.loads.boot_ends(clock);
    }
}

fn look_again(
    inputs: Inputs<'_>,
    shift: &Shift,
    assumed: &[AssumedMark],
    first: &Loads,
) -> Option<Loads> {
    let Inputs { logs, machine, site, book } = inputs;
    let loads = first.second_pass()?;
    let mut reader = LoadReader {
        places: Places::new(site, book, assumed),
        turning: machine.limits().turning,
        sensors: machine.sensor_limits(),
        loads,
    };
    // What cannot be read was told by the first look.
    let _ = walk(logs, Walk::of(machine, shift.span), &mut reader);
    Some(reader.loads)
}

/// Wear at the end of the shift, whose own night is `night`.
fn judge_wear(inputs: &Inputs<'_>, history: &History, night: Night) -> WearFinding {
    let date = night.date;
    let mut nights = history.nights.clone();
    nights.push(night);
    WearCase {
        blade: &inputs.machine.blade,
        brushes: inputs.machine.deck.brushes,
        book: inputs.book,
        nights: &nights,
        covered: history.first_logged.map(|first| first.max(history.from)),
        last_logged: history.last_logged,
        date,
    }
    .judge()
}
