//! Machines that fail slowly, night after night, and what the trends say of them.
//!
//! The simulator's own physics (`fixtures::sim`) has the fault; the trends see only what
//! the bridge sends. The faults' sizes are our own: they grow from nothing in the twelfth
//! night to about twice what is told.

use crate::every_seed::every_seed;
use crate::scenario;
use chrono::{Days, NaiveDate};
use std::collections::BTreeMap;
use std::error::Error;
use std::ops::Range;
use tempfile::TempDir;
use underbrush_agent::record_chunks;
use underbrush_fixtures::{
    Event, MachineSpec, Pace, Phase, PlanItem, PlannedEvent, ShiftPlan, Simulation, Work,
};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::Inputs;
use underbrush_report::ledger::{Building, Ledger};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};
use underbrush_report::trends::{MachineTrends, read};

/// Nights of a machine.
pub const NIGHTS: u64 = 40;
/// Night, from 0, in which a sudden change comes.
pub const SUDDEN: u64 = 20;
const BEGINS: u64 = 12;
const DAY_MS: i64 = 86_400_000;

/// What is wrong with a machine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Fault {
    /// Nothing.
    None,
    /// Bearings and gear run heavier and heavier.
    Bearing,
    /// Carbon brushes wear down.
    CarbonBrushes,
    /// The battery ages.
    Battery,
    /// Driving gets harder.
    Squeegee,
    /// The wheel of the speed sensor wears.
    Wheel,
    /// A battery terminal comes loose in one night.
    Terminal,
    /// Bearings that ran heavy are changed in one night.
    Repair,
}

impl Fault {
    /// All of them.
    pub const ALL: [Self; 8] = [
        Self::None,
        Self::Bearing,
        Self::CarbonBrushes,
        Self::Battery,
        Self::Squeegee,
        Self::Wheel,
        Self::Terminal,
        Self::Repair,
    ];

    fn put_into(self, machine: &mut MachineSpec, night: u64) {
        let grown = night.saturating_sub(BEGINS) as f64 / (NIGHTS - 1 - BEGINS) as f64;
        let after = night >= SUDDEN;
        match self {
            Self::Bearing => machine.motor.no_load_current_a *= 1.0 + 0.8 * grown,
            Self::CarbonBrushes => machine.motor.resistance_ohm *= 1.0 + 0.7 * grown,
            Self::Battery => machine.battery.resistance_ohm *= 1.0 + 0.8 * grown,
            Self::Squeegee => machine.battery.traction_a *= 1.0 + 1.5 * grown,
            Self::Wheel => machine.wheel_factor *= 1.0 - 0.12 * grown,
            Self::Terminal if after => machine.battery.resistance_ohm *= 1.6,
            Self::Repair if !after => machine.motor.no_load_current_a *= 1.8,
            Self::None | Self::Terminal | Self::Repair => {}
        }
    }
}

/// One night: a step of a restoration and the upkeep of a main aisle, with the head lifted
/// and the brushes switched off in the air a few times.
fn night(fault: Fault, seed: u64, number: u64) -> ShiftPlan {
    let mixed = seed.wrapping_mul(1_000).wrapping_add(number);
    let mut machine = MachineSpec::of_seed(seed);
    fault.put_into(&mut machine, number);
    let lifted = |after_min| PlannedEvent {
        after_min,
        what: Event::HeadUp { standing: false, seconds: 8.0 },
    };
    let coasts = |after_min| PlannedEvent { after_min, what: Event::CoastingStop { seconds: 8.0 } };
    let work = |(section, tag): (&str, u64), phase, minutes| {
        let button = if let Phase::Step(number) = phase { number } else { 5 };
        PlanItem::Work(Work {
            section: section.into(),
            tag: Some(tag),
            button: Some(button),
            phase,
            minutes,
            run_m: 20.0,
            width_m: 3.0,
            pace: Pace::STEADY,
            events: vec![lifted(0.8), coasts(1.8), lifted(2.8), coasts(3.8)],
        })
    };
    let items = vec![
        work(("A-01", 4101), Phase::Step(1), 7.0),
        PlanItem::Break { minutes: 1.0 },
        work(("M-01", 4201), Phase::Maintenance, 7.0),
    ];
    let plan = ShiftPlan::short(mixed, 20);
    let start_utc_ms = plan.start_utc_ms + number as i64 * DAY_MS;
    ShiftPlan { machine, items, start_utc_ms, charge: 1.0, ..plan }
}

/// What the trends say after all nights of one machine.
///
/// # Errors
/// When the folder or the scenario's files cannot be used.
pub fn trends_of(fault: Fault, seed: u64) -> Result<MachineTrends, Box<dyn Error>> {
    let dir = TempDir::new()?;
    let text = |name: &str| std::fs::read_to_string(scenario(name));
    let spec = MachineSpec::of_seed(seed);
    let machine = Machine::parse(spec.file, &text(spec.file)?)?;
    let site = Site::parse("site.toml", &text("site.toml")?)?;
    let book = Book::default();
    let mut first = None;
    for number in 0..NIGHTS {
        let plan = night(fault, seed, number);
        let start = UtcMs(plan.start_utc_ms);
        let simulation = Simulation::new(plan, seed * 1_000 + number);
        let chunks = simulation.map(|c| (BootMs(c.arrival_ms), c.bytes));
        record_chunks(dir.path(), &machine.id, start, chunks)?;
        let at = chrono::DateTime::from_timestamp_millis(start.0).ok_or("no such time")?;
        first.get_or_insert(site.shift_date(at));
    }
    let first: NaiveDate = first.ok_or("no night")?;
    let last = first.checked_add_days(Days::new(NIGHTS - 1)).ok_or("no such date")?;
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(dir.path(), &settings)?;
    let inputs = [Inputs { logs: &logs, machine: &machine, site: &site, book: &book }];
    let building = Building::new(&site, &book, &inputs);
    let ledger = Ledger::read(&building, last);
    read(&building, &ledger, 0, (first, last)).ok_or_else(|| "no machine".into())
}

/// The trends of all faults over these seeds, each in order of seed.
///
/// # Panics
/// If a machine could not be simulated, recorded or read at all.
pub fn all_trends(seeds: Range<u64>) -> BTreeMap<Fault, BTreeMap<u64, MachineTrends>> {
    let faults = Fault::ALL.len() as u64;
    let of = |number: u64| (Fault::ALL[(number % faults) as usize], number / faults);
    let work = |number| {
        let (fault, seed) = of(number);
        trends_of(fault, seed).unwrap_or_else(|error| panic!("{fault:?}, seed {seed}: {error}"))
    };
    let mut all: BTreeMap<Fault, BTreeMap<u64, MachineTrends>> = BTreeMap::new();
    every_seed(seeds.start * faults..seeds.end * faults, work, |number, trends| {
        let (fault, seed) = of(number);
        all.entry(fault).or_default().insert(seed, trends);
    });
    all
}
