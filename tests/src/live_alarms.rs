//! The live alarms against the report, over the same bridge bytes.
//!
//! The bytes of a simulated shift go through the agent's intake into its watch, as a live
//! source feeds it, and through its recorder into a log that the report judges. Both must
//! tell of the same events: of each live kind the same motor and the same begin.
//!
//! Words: the *lateness* of an alarm is the time from the moment its limit was passed to the
//! end of the interval that it was told of: at most that interval's length, one period of
//! the readings where none was lost. The *delay* is from the same moment to the arrival of
//! the bytes with which the agent told it.

use crate::every_seed::every_seed;
use crate::scenario;
use chrono::{DateTime, Utc};
use std::collections::BTreeMap;
use std::error::Error;
use std::fmt;
use std::ops::Range;
use tempfile::TempDir;
use underbrush_agent::intake::{Intake, TimeBase};
use underbrush_agent::record_chunks;
use underbrush_agent::watch::{Alarm, AlarmKind, Stage, Watch};
use underbrush_fixtures::{ShiftPlan, Simulation};
use underbrush_protocol::detect::CareRule;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Findings, Inputs, LoadKind, Shift, Span, judge};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};

/// One event as either side tells it: kind, motor, begin in ms of the boot.
type Told = (AlarmKind, Option<u8>, u64);

/// Times of one kind, in ms.
#[derive(Clone, Debug, Default)]
pub struct Times {
    /// Lateness of each event.
    pub late_ms: Vec<u64>,
    /// Delay of each event.
    pub delay_ms: Vec<u64>,
    /// From the begin of the condition to the arrival of the bytes that told the warning.
    pub warned_ms: Vec<u64>,
}

/// What all seeds came to.
#[derive(Clone, Debug, Default)]
pub struct Agreement {
    /// Of each kind.
    pub kinds: BTreeMap<AlarmKind, Times>,
    /// Events that one side told and the other did not, in words.
    pub disputes: Vec<String>,
    /// Shifts judged.
    pub shifts: u64,
    /// Intervals that the watch had to judge early.
    pub forced: u64,
}

/// An alarm and when the bytes arrived with which it was told.
struct Heard {
    alarm: Alarm,
    arrived: BootMs,
}

/// Judges the shifts of all seeds on both sides.
///
/// # Panics
/// If a shift could not be simulated, recorded or judged at all.
pub fn agree(seeds: Range<u64>) -> Agreement {
    let mut all = Agreement::default();
    every_seed(
        seeds,
        |seed| compare(seed).unwrap_or_else(|error| panic!("seed {seed}: {error}")),
        |_, one| all.add(one),
    );
    all
}

/// Plain shifts, every fifth over a bad line, every seventh with faulty sensors.
fn plan(seed: u64) -> ShiftPlan {
    const MINUTES: u32 = 45;
    match seed {
        s if s.is_multiple_of(5) => ShiftPlan::hostile(s, MINUTES),
        s if s.is_multiple_of(7) => ShiftPlan::faulty(s, MINUTES),
        s => ShiftPlan::short(s, MINUTES),
    }
}

fn compare(seed: u64) -> Result<Agreement, Box<dyn Error>> {
    let plan = plan(seed);
    let machine =
        Machine::parse(plan.machine.file, &std::fs::read_to_string(scenario(plan.machine.file))?)?;
    let (start, minutes) = (UtcMs(plan.start_utc_ms), plan.minutes);
    let chunks: Vec<(BootMs, Vec<u8>)> =
        Simulation::new(plan, seed).map(|c| (BootMs(c.arrival_ms), c.bytes)).collect();
    let (heard, forced) = live(&machine, &chunks);
    let found = reported(&machine, start, minutes, chunks)?;
    let mut one = Agreement { shifts: 1, forced, ..Agreement::default() };
    one.settle(seed, &machine, start, &heard, &found);
    Ok(one)
}

/// What the agent tells, fed as a live source feeds it.
fn live(machine: &Machine, chunks: &[(BootMs, Vec<u8>)]) -> (Vec<Heard>, u64) {
    let mut watch = Watch::new(machine);
    let mut intake = Intake::new(TimeBase::Arrival);
    let (mut entries, mut alarms, mut heard) = (Vec::new(), Vec::new(), Vec::new());
    for (now, bytes) in chunks {
        intake.bytes(*now, bytes, &mut entries);
        watch.take(&entries, &mut alarms);
        entries.clear();
        heard.extend(alarms.drain(..).map(|alarm| Heard { alarm, arrived: *now }));
    }
    let arrived = chunks.last().map_or(BootMs(0), |(now, _)| *now);
    intake.source_ended(&mut entries);
    watch.take(&entries, &mut alarms);
    let forced = watch.forced();
    watch.finish(&mut alarms);
    heard.extend(alarms.drain(..).map(|alarm| Heard { alarm, arrived }));
    (heard, forced)
}

/// What the report tells of the log of the same bytes.
fn reported(
    machine: &Machine,
    start: UtcMs,
    minutes: u32,
    chunks: Vec<(BootMs, Vec<u8>)>,
) -> Result<Findings, Box<dyn Error>> {
    let dir = TempDir::new()?;
    let site = Site::parse("site.toml", &std::fs::read_to_string(scenario("site.toml"))?)?;
    record_chunks(dir.path(), &machine.id, start, chunks.into_iter())?;
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(dir.path(), &settings)?;
    let at = |ms: i64| DateTime::from_timestamp_millis(ms).ok_or("the shift begins at no time");
    // A minute before and after: where a shift begins or ends within a run, only the part inside is the report's.
    let span =
        Span { from: at(start.0 - 60_000)?, to: at(start.0 + i64::from(minutes + 2) * 60_000)? };
    let shift = Shift { date: span.from.date_naive(), span, zone: site.zone };
    let book = Book::default();
    Ok(judge(Inputs { logs: &logs, machine, site: &site, book: &book }, &shift))
}

/// The report's events of the kinds that are told live, with their ends.
fn events(found: &Findings, start: UtcMs) -> Vec<(Told, u64)> {
    let ms = |at: DateTime<Utc>| u64::try_from(at.timestamp_millis() - start.0).unwrap_or(0);
    let told = |kind, motor, span: Span| ((kind, motor, ms(span.from)), ms(span.to));
    let stationary = found.stationary.iter().map(|e| told(AlarmKind::Stationary, None, e.span));
    let load = &found.load;
    let loads = load.stalls.iter().chain(&load.over_pressure).chain(&load.others);
    let loads = loads.filter_map(|e| {
        let kind = match e.kind {
            LoadKind::Stall => AlarmKind::Stall,
            LoadKind::OverPressure => AlarmKind::OverPressure,
            LoadKind::Trip => AlarmKind::Trip,
            _ => return None,
        };
        Some(told(kind, u8::try_from(e.motor).ok(), e.span))
    });
    let cares = found.care.events.iter().filter_map(|e| {
        let kind = match e.rule {
            CareRule::Vacuum => AlarmKind::Vacuum,
            CareRule::Water => AlarmKind::Water,
            CareRule::Pressure => AlarmKind::Pressure,
            CareRule::Head => AlarmKind::Head,
            CareRule::Forbidden => return None,
        };
        Some(told(kind, None, e.span))
    });
    stationary.chain(loads).chain(cares).collect()
}

/// How long it must last to be an event, in ms.
fn limit_ms(machine: &Machine, kind: AlarmKind) -> u64 {
    let (limits, care) = (machine.limits(), machine.care_limits());
    match kind {
        AlarmKind::Stationary => limits.standing_ms,
        AlarmKind::Stall => limits.stall_ms,
        AlarmKind::OverPressure => limits.over_pressure_ms,
        AlarmKind::Trip => limits.load.trip_dead_ms - 1,
        AlarmKind::Vacuum => care.vacuum_ms,
        AlarmKind::Water => care.water_ms,
        AlarmKind::Pressure => care.pressure_ms,
        AlarmKind::Head => care.head_ms,
    }
}

impl Agreement {
    fn add(&mut self, other: Self) {
        for (kind, times) in other.kinds {
            let mine = self.kinds.entry(kind).or_default();
            mine.late_ms.extend(times.late_ms);
            mine.delay_ms.extend(times.delay_ms);
            mine.warned_ms.extend(times.warned_ms);
        }
        self.disputes.extend(other.disputes);
        self.shifts += other.shifts;
        self.forced += other.forced;
    }

    fn settle(
        &mut self,
        seed: u64,
        machine: &Machine,
        start: UtcMs,
        heard: &[Heard],
        found: &Findings,
    ) {
        let mut open = events(found, start);
        for Heard { alarm, arrived } in heard.iter().filter(|heard| heard.alarm.on) {
            let Alarm { kind, motor, began, .. } = *alarm;
            let times = self.kinds.entry(kind).or_default();
            if alarm.stage == Stage::Warning {
                times.warned_ms.push(arrived.since(began));
                continue;
            }
            let told: Told = (kind, motor, began.0);
            match open.iter().position(|(event, _)| *event == told) {
                Some(place) => {
                    let (_, end) = open.swap_remove(place);
                    let passed = began.plus(limit_ms(machine, kind));
                    times.late_ms.push(alarm.at.since(passed));
                    times.delay_ms.push(arrived.since(passed));
                    if alarm.at <= passed || alarm.at.0 > end {
                        self.disputes.push(format!(
                            "seed {seed}: {told:?} told at {} ms, of an event to {end} ms",
                            alarm.at.0
                        ));
                    }
                }
                None => self.disputes.push(format!("seed {seed}: alarm without event {told:?}")),
            }
        }
        let silent = open.iter().map(|(told, _)| format!("seed {seed}: no alarm for {told:?}"));
        self.disputes.extend(silent);
        self.check_ends(seed, heard);
    }

    /// Each alarm that began has ended.
    fn check_ends(&mut self, seed: u64, heard: &[Heard]) {
        let mut on: Vec<&Alarm> = Vec::new();
        for Heard { alarm, .. } in heard {
            let same = |other: &&Alarm| {
                (other.kind, other.stage, other.motor, other.began)
                    == (alarm.kind, alarm.stage, alarm.motor, alarm.began)
            };
            match (alarm.on, on.iter().position(same)) {
                (true, None) => on.push(alarm),
                (false, Some(place)) => drop(on.swap_remove(place)),
                _ => self.disputes.push(format!("seed {seed}: twice or never on: {alarm:?}")),
            }
        }
        self.disputes.extend(on.iter().map(|alarm| format!("seed {seed}: never off: {alarm:?}")));
    }
}

/// The value that this share of all do not exceed; 0 without any.
pub fn quantile(values: &[u64], share: f64) -> u64 {
    let mut sorted = values.to_vec();
    sorted.sort_unstable();
    let place = (share * sorted.len() as f64).ceil() as usize;
    sorted.get(place.saturating_sub(1)).copied().unwrap_or(0)
}

impl fmt::Display for Agreement {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        writeln!(f, "{} shifts, {} disputes", self.shifts, self.disputes.len())?;
        writeln!(
            f,
            "{:14} {:>7} {:>22} {:>22} {:>9} {:>22}",
            "kind",
            "events",
            "late ms 50/99/100 %",
            "delay ms 50/99/100 %",
            "warnings",
            "after ms 50/99/100 %"
        )?;
        for (kind, times) in &self.kinds {
            let three = |values: &[u64]| {
                let [a, b, c] = [0.5, 0.99, 1.0].map(|share| quantile(values, share));
                format!("{a}/{b}/{c}")
            };
            writeln!(
                f,
                "{:14} {:>7} {:>22} {:>22} {:>9} {:>22}",
                kind.word(),
                times.late_ms.len(),
                three(&times.late_ms),
                three(&times.delay_ms),
                times.warned_ms.len(),
                three(&times.warned_ms)
            )?;
        }
        Ok(())
    }
}
