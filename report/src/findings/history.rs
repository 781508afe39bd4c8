//! Past nights in a few numbers each: what a shift is compared with.
//!
//! A *night* runs from the begin of one shift to the begin of the next, so that
//! work outside of the shift hours counts too. Each is read once, in one pass,
//! and kept for the sheets of other nights.

use super::area::Areas;
use super::care::{BatteryRun, BatteryTrace};
use super::coverage::CoverageFinding;
use super::friction::{add_energy, step_energy};
use super::load::{NightLoad, Table};
use super::moment::Moment;
use super::nights::Nights;
use super::observed::Observed;
use super::place::Places;
use super::quality::possible;
use super::shift::Inputs;
use super::stationary::StationaryEvents;
use super::types::{SectionWork, Span};
use super::whereabouts::{AssumedMark, Blocks, Limits as BlockLimits, WorkBlock};
use crate::logset::{BootLog, ClockMap};
use crate::settings::{Band, Site};
use crate::timeline::{Reader, Walk, shift_of, walk};
use chrono::{Days, NaiveDate};
use underbrush_protocol::detect::{Interval, TurningLimits, Work, brush_turning};
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::settings::machine::SensorLimits;
use underbrush_protocol::si::{Joules, MetresPerSecond, Seconds, SquareMetres};
use underbrush_protocol::time::UtcMs;

/// Nights looked at where no tool says since when: two weeks.
const USUAL_NIGHTS: u64 = 14;
/// No night further back than this is looked at.
const MOST_NIGHTS: u64 = 400;

/// One past night.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Night {
    /// Local date on which its shift starts.
    pub date: NaiveDate,
    /// Time in which speed and brush were known, of the time recorded.
    pub observed: Observed,
    /// Observed time with a brush turning.
    pub brush_time: Seconds,
    /// Brush time below, in and above the band of the phase in force.
    pub bands: BandTimes,
    /// Path width x way with a brush turning on the floor; overlap counts twice.
    pub swept_area: SquareMetres,
    /// Stationary-brush events.
    pub stationary_events: u32,
    /// Their time in all.
    pub stationary_time: Seconds,
    /// Work in each section and phase, in order of begin.
    pub works: Vec<SectionWork>,
    /// The same work cut into blocks, in order.
    pub blocks: Vec<WorkBlock>,
    /// Blocks of the hours of its shift alone, as the findings of the shift have them.
    pub shift_blocks: Vec<WorkBlock>,
    /// Friction energy of each brush.
    pub energy: Vec<Joules>,
    /// The battery.
    pub battery: BatteryRun,
    /// Current of each motor in normal work.
    pub loads: Vec<NightLoad>,
    /// Places of its logs that could not be read.
    pub unread: u32,
}

/// Brush time against the band of the phase in force; time without a mark is in none of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct BandTimes {
    /// Slower than the band.
    pub below: Seconds,
    /// In the band.
    pub within: Seconds,
    /// Faster than the band.
    pub above: Seconds,
}

impl BandTimes {
    fn add(&mut self, band: Band, speed: MetresPerSecond, length: Seconds) {
        if speed < band.low {
            self.below += length;
        } else if speed > band.high {
            self.above += length;
        } else {
            self.within += length;
        }
    }

    /// All three.
    pub fn total(&self) -> Seconds {
        self.below + self.within + self.above
    }
}

/// The nights before a shift, in order of date.
#[derive(Clone, Debug, Default)]
pub struct History {
    /// Each night from `from` on that has a record.
    pub nights: Vec<Night>,
    /// First date looked at.
    pub from: NaiveDate,
    /// First date that the logs cover; `None` without any dated log.
    pub first_logged: Option<NaiveDate>,
    /// Last date that the logs cover.
    pub last_logged: Option<NaiveDate>,
}

struct NightReader<'a> {
    night: Night,
    machine: &'a Machine,
    site: &'a Site,
    turning: TurningLimits,
    sensors: SensorLimits,
    battery: BatteryTrace,
    places: Places<'a>,
    work: Work,
    loads: Table,
    areas: Areas<'a>,
    stationary: StationaryEvents<'a>,
    blocks: Blocks,
    /// Until the end of the shift, in UTC ms.
    shift_blocks: (Blocks, i64),
}

impl Reader for NightReader<'_> {
    fn boot_begins(&mut self, _: &BootLog, _: &ClockMap) {
        self.work = Work::new(self.machine.limits());
    }

    fn note(&mut self, at: UtcMs, note: &Note) {
        self.places.note(at, note);
    }

    fn boot_ends(&mut self, clock: &ClockMap) {
        self.battery.boot_ends();
        self.stationary.boot_ends(clock);
        self.blocks.boot_ends();
        self.shift_blocks.0.boot_ends();
    }

    fn step(&mut self, interval: &Interval, clock: &ClockMap) {
        let cleaned = possible(interval, &self.sensors);
        let interval = cleaned.as_ref().unwrap_or(interval);
        self.work.step(interval);
        let place = self.places.at(clock.utc(interval.from).0);
        self.loads.step(interval, &self.work, place);
        let length = Seconds::from_ms(interval.ms());
        let turning = brush_turning(interval, self.turning);
        self.battery.step(interval, clock, turning);
        let seen = turning.is_some() && interval.speed_m_s.is_some();
        self.night.observed.add(length, seen);
        if seen && turning == Some(true) {
            self.night.brush_time += length;
        }
        let energy = step_energy(self.machine, interval);
        add_energy(&mut self.night.energy, &energy);
        let friction_j = (!energy.is_empty()).then_some(energy.as_slice());
        let band = place.phase.map(|phase| self.site.band(phase));
        let stay = self.places.stay();
        let moment = Moment { interval, clock, turning, friction_j, place, stay, band };
        if let (Some(band), Some(speed)) = (band, moment.brush_speed()) {
            self.night.bands.add(band, speed, length);
        }
        self.areas.step(&moment);
        self.stationary.step(&moment);
        self.blocks.step(&moment);
        if clock.utc(interval.to).0 <= self.shift_blocks.1 {
            self.shift_blocks.0.step(&moment);
        }
    }
}

impl History {
    /// The nights before the shift of `date`, back to the day its tool was fitted.
    pub(super) fn before(inputs: &Inputs<'_>, date: NaiveDate, nights: &mut Nights) -> Self {
        let (first_logged, last_logged) = logged(inputs).unzip();
        let book = inputs.book;
        // A set that came off and on again is counted from its first fitting.
        let stints = book.tool_on(date).map(|tool| book.stints(tool)).unwrap_or_default();
        let fitted = stints.first().map(|stint| stint.from);
        // Without a tool its wear is counted from the first measurement.
        let fitted = fitted.or(book.measured.first().map(|m| m.date));
        let usual = date.checked_sub_days(Days::new(USUAL_NIGHTS)).unwrap_or(date);
        let oldest = date.checked_sub_days(Days::new(MOST_NIGHTS)).unwrap_or(date);
        let from = fitted.map_or(usual, |on| on.min(usual)).max(oldest);
        let Some(first) = first_logged else { return Self { from, ..Self::default() } };
        let dates = || from.max(first).iter_days().take_while(|day| *day < date);
        nights.fill(inputs, dates());
        let nights = dates()
            .filter_map(|day| nights.get(day))
            .filter(|night| night.observed.of.0 > 0.0 || night.unread > 0)
            .cloned()
            .collect();
        Self { nights, from, first_logged, last_logged }
    }
}

/// The first and the last date that dated logs reach into.
pub(super) fn logged(inputs: &Inputs<'_>) -> Option<(NaiveDate, NaiveDate)> {
    let date = |at: i64| Some(inputs.site.shift_date(chrono::DateTime::from_timestamp_millis(at)?));
    let spans = || inputs.logs.boots.iter().filter_map(BootLog::utc_span);
    let first = spans().map(|(first, _)| first.0).min()?;
    let last = spans().map(|(_, last)| last.0).max()?;
    Some((date(first)?, date(last)?))
}

/// From the begin of a shift to that of the next; `None` where the site has no such shift.
pub(super) fn span_of(site: &Site, date: NaiveDate) -> Option<Span> {
    let this = shift_of(site, date).ok()?;
    let next = shift_of(site, date.checked_add_days(Days::new(1))?).ok()?;
    Some(Span { from: this.span.from, to: next.span.from })
}

/// Reads a night; where nobody told a place, `assumed` does, in order of time.
pub(super) fn read_night(inputs: &Inputs<'_>, date: NaiveDate, assumed: &[AssumedMark]) -> Night {
    let night = Night { date, ..Night::default() };
    let (Some(span), Ok(shift)) = (span_of(inputs.site, date), shift_of(inputs.site, date)) else {
        return night;
    };
    let machine = inputs.machine;
    let limits = machine.limits();
    let blocks = || Blocks::new(BlockLimits::default(), machine.deck.path_width);
    let mut reader = NightReader {
        night,
        machine,
        turning: limits.turning,
        sensors: machine.sensor_limits(),
        battery: BatteryTrace::new(span),
        places: Places::new(inputs.site, inputs.book, assumed),
        site: inputs.site,
        work: Work::new(limits),
        loads: Table::default(),
        areas: Areas::new(inputs.site, machine.deck.path_width),
        stationary: StationaryEvents::new(inputs.site, &machine.deck, limits),
        blocks: blocks(),
        shift_blocks: (blocks(), shift.span.to.timestamp_millis()),
    };
    let how = Walk::of(inputs.machine, span);
    let problems = walk(inputs.logs, how, &mut reader);
    reader.night.loads = reader.loads.finish();
    reader.night.unread = problems.iter().filter(|p| p.data_lost).count() as u32;
    reader.night.battery = reader.battery.finish(&machine.battery.limits());
    let (stationary, _) = reader.stationary.finish();
    reader.night.stationary_events = stationary.len() as u32;
    reader.night.stationary_time = stationary.iter().map(|event| event.span.length()).sum();
    let (area, works) = reader.areas.finish(&stationary, &CoverageFinding::default(), 0.0);
    reader.night.swept_area = area.swept_area;
    reader.night.works = works;
    reader.night.blocks = reader.blocks.finish();
    reader.night.shift_blocks = reader.shift_blocks.0.finish();
    reader.night
}
