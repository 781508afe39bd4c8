//! Simulates shifts, has them recorded and judged, and compares.

use super::score::Table;
use crate::every_seed::every_seed;
use crate::scenario;
use chrono::DateTime;
use std::error::Error;
use std::fmt;
use std::ops::Range;
use tempfile::TempDir;
use underbrush_agent::record_chunks;
use underbrush_fixtures::{MachineSpec, SensorFaults, ShiftPlan, Simulation, Truth};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Findings, Inputs, Shift, Span, judge};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};

/// Length of a shift with events, in min.
const MINUTES: u32 = 60;

/// What is simulated for a seed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Plan {
    /// An hour with events of all kinds.
    Events,
    /// The same over a bad line.
    BadLine,
    /// Half an hour and more with sensors at fault and slipping wheels.
    Faulty,
    /// A step of 45 min on one section, with the floor that was touched.
    Block,
}

impl Plan {
    /// All plans, and every how many seeds each is made.
    const ALL: [(Self, u64); 4] =
        [(Self::Events, 1), (Self::BadLine, 20), (Self::Faulty, 5), (Self::Block, 5)];

    fn make(self, seed: u64) -> ShiftPlan {
        match self {
            Self::Events => ShiftPlan::short(seed, MINUTES),
            Self::BadLine => ShiftPlan::hostile(seed, MINUTES),
            Self::Faulty => ShiftPlan::faulty(seed, MINUTES),
            Self::Block => ShiftPlan::block(seed),
        }
    }
}

impl fmt::Display for Plan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Events => "events",
            Self::BadLine => "bad line",
            Self::Faulty => "faulty sensors",
            Self::Block => "block",
        })
    }
}

/// A shift with both sides of it.
#[derive(Debug)]
pub struct Judged {
    /// Which plan it followed.
    pub plan: Plan,
    /// The simulated machine.
    pub spec: MachineSpec,
    /// What its sensors did wrong all the shift.
    pub sensors: SensorFaults,
    /// What happened.
    pub truth: Truth,
    /// What the report says.
    pub found: Findings,
    /// The site file.
    pub site: Site,
}

impl Judged {
    /// Seconds from the shift's start.
    pub(super) fn seconds(&self, at: DateTime<chrono::Utc>) -> f64 {
        (at.timestamp_millis() - self.truth.start_utc_ms) as f64 / 1000.0
    }
}

fn text(name: &str) -> std::io::Result<String> {
    std::fs::read_to_string(scenario(name))
}

/// Simulates `plan` with `seed`, records it and judges it.
///
/// # Errors
/// When the folder or the scenario's files cannot be used.
pub fn judge_plan(plan: Plan, seed: u64) -> Result<Judged, Box<dyn Error>> {
    let dir = TempDir::new()?;
    let shift_plan = plan.make(seed);
    let (spec, sensors) = (shift_plan.machine, shift_plan.sensors);
    let machine = Machine::parse(spec.file, &text(spec.file)?)?;
    let site = Site::parse("site.toml", &text("site.toml")?)?;
    let (start, minutes) = (UtcMs(shift_plan.start_utc_ms), shift_plan.minutes);
    let mut simulation = Simulation::new(shift_plan, seed);
    let chunks = simulation.by_ref().map(|c| (BootMs(c.arrival_ms), c.bytes));
    record_chunks(dir.path(), &machine.id, start, chunks)?;
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(dir.path(), &settings)?;
    let at = |ms: i64| DateTime::from_timestamp_millis(ms).ok_or("the shift begins at no time");
    let span = Span { from: at(start.0)?, to: at(start.0 + i64::from(minutes + 1) * 60_000)? };
    let shift = Shift { date: span.from.date_naive(), span, zone: site.zone };
    let book = Book::default();
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let found = judge(inputs, &shift);
    Ok(Judged { plan, spec, sensors, truth: simulation.truth().clone(), found, site })
}

/// Judges all plans of all seeds on all processors and adds them up.
///
/// # Panics
/// If a shift could not be simulated, recorded or judged at all.
pub fn run_seeds(seeds: Range<u64>) -> Table {
    let judged = |seed: u64| {
        let due = Plan::ALL.into_iter().filter(|(_, every)| seed.is_multiple_of(*every));
        let judged = due.map(|(plan, _)| {
            judge_plan(plan, seed).unwrap_or_else(|error| panic!("seed {seed}, {plan}: {error}"))
        });
        judged.collect::<Vec<_>>()
    };
    let mut table = Table::default();
    every_seed(seeds, judged, |seed, shifts| {
        for judged in &shifts {
            table.add(seed, judged);
        }
    });
    table.sort();
    table
}
