//! Nights with one trouble each, and the cause that the report puts first: a confusion table.
//!
//! The nights are simulated (`fixtures::sim::Trouble`), by the simulator's own physics and with
//! sizes of our own choice: the table says how well the rules tell these simulated troubles
//! apart, and nothing of how often they are right on a real machine.

use crate::every_seed::every_seed;
use crate::scenario;
use chrono::{DateTime, Duration};
use std::collections::BTreeMap;
use std::error::Error;
use std::fmt::Write;
use std::ops::Range;
use tempfile::TempDir;
use underbrush_agent::record_chunks;
use underbrush_fixtures::{MachineSpec, ShiftPlan, Simulation, Trouble};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::Amperes;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::events::cause::{Case, Cause, InTheAir, Likelihood, judge as weigh};
use underbrush_report::events::{Event, EventKind, Told, list};
use underbrush_report::findings::{Findings, Inputs, LoadKind, Quantity, Source, judge, trace};
use underbrush_report::ledger::Building;
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};
use underbrush_report::timeline::shift_of;
use underbrush_report::window::DetectorKind;

/// Good nights before the troubled one.
pub const NIGHTS: u64 = 4;

/// Which event a trouble makes, and the cause that names it.
pub fn meant(trouble: Trouble) -> (&'static [EventKind], &'static str) {
    use EventKind::{Heavy, Light, OverPressure, Slip, Stall, Stationary, Trip, Uneven};
    match trouble {
        Trouble::Obstacle => (&[Stall], "cause-obstacle"),
        Trouble::Wound => (&[Stall], "cause-wound"),
        Trouble::Bearing => (&[Stall], "cause-bearing"),
        Trouble::HeldStart => (&[Stall], "cause-held-start"),
        Trouble::LowBattery => (&[Stall], "cause-low-battery"),
        Trouble::Breaker => (&[Trip], "cause-trip"),
        Trouble::Pressed => (&[OverPressure, Heavy], "cause-pressed"),
        Trouble::PressedUnseen => (&[OverPressure], "cause-pressed"),
        Trouble::HeavyTool => (&[Heavy], "cause-wrong-tool"),
        Trouble::LightTool => (&[Light], "cause-wrong-tool"),
        Trouble::Tilt => (&[Uneven], "cause-uneven-deck"),
        Trouble::WornBrush => (&[Light], "cause-worn"),
        Trouble::LowPressure => (&[Light], "cause-low-setting"),
        Trouble::LeftOn => (&[Stationary], "cause-standing"),
        Trouble::Held => (&[Stationary], "cause-blocked"),
        Trouble::Slip | Trouble::Spin => (&[Slip], "cause-slip"),
    }
}

/// What was said of one troubled night.
#[derive(Clone, Debug)]
pub enum Answer {
    /// The detectors found no such event.
    NoEvent,
    /// The causes of the first such event, in order.
    Causes(Vec<Cause>),
}

/// Causes of the first event that the trouble makes.
///
/// # Errors
/// When the folder or the scenario's files cannot be used.
pub fn answer(trouble: Trouble, seed: u64) -> Result<Answer, Box<dyn Error>> {
    let causes = |inputs: &Inputs<'_>, findings: &Findings, event: &Event| {
        let around = trace(inputs, Some(findings), event.span, Duration::seconds(30));
        let Inputs { machine, site, book, .. } = *inputs;
        let building = Building::new(site, book, std::slice::from_ref(inputs));
        let air = InTheAir::read(&building, 0, findings.shift.date);
        let case = Case { machine, site, book, findings, air: Some(&air) };
        weigh(event, Some(&around), &case).causes
    };
    Ok(first_event(trouble, seed, causes)?.map_or(Answer::NoEvent, Answer::Causes))
}

/// The highest state of this detector around the first event, judged by the night's own
/// normal currents and by the machine file alone, which says nothing of them.
///
/// # Errors
/// When the folder or the scenario's files cannot be used, or there is no such event.
pub fn bars(trouble: Trouble, seed: u64, kind: LoadKind) -> Result<(f32, f32), Box<dyn Error>> {
    let highest = |inputs: &Inputs<'_>, findings: &Findings, event: &Event| {
        let of = |findings: Option<&Findings>| {
            let around = trace(inputs, findings, event.span, Duration::seconds(30));
            let quantity = Quantity::Detector(DetectorKind::Load(kind));
            around.during_event(quantity).map_or(f32::NAN, |range| range.1)
        };
        (of(Some(findings)), of(None))
    };
    first_event(trouble, seed, highest)?.ok_or_else(|| "no such event".into())
}

/// Good nights, then the troubled one; the machine file says nothing of the expected current.
fn first_event<T>(
    trouble: Trouble,
    seed: u64,
    with: impl FnOnce(&Inputs<'_>, &Findings, &Event) -> T,
) -> Result<Option<T>, Box<dyn Error>> {
    let dir = TempDir::new()?;
    let text = |name: &str| std::fs::read_to_string(scenario(name));
    let spec = MachineSpec::of_seed(seed);
    let mut machine = Machine::parse(spec.file, &text(spec.file)?)?;
    machine.load.expected_current = None::<Amperes>;
    machine.load.full_pressure = trouble.usual_pressure();
    let site = Site::parse("site.toml", &text("site.toml")?)?;
    let book = Book::default();
    let mut last = UtcMs(0);
    for night in 0..=NIGHTS {
        let plan = if night < NIGHTS {
            ShiftPlan::before(trouble, seed, night)
        } else {
            ShiftPlan::troubled(trouble, seed, night)
        };
        last = UtcMs(plan.start_utc_ms);
        let simulation = Simulation::new(plan, seed * 1_000 + night);
        let chunks = simulation.map(|c| (BootMs(c.arrival_ms), c.bytes));
        record_chunks(dir.path(), &machine.id, last, chunks)?;
    }
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(dir.path(), &settings)?;
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let at = DateTime::from_timestamp_millis(last.0).ok_or("no such time")?;
    let shift = shift_of(&site, site.shift_date(at))?;
    let findings = judge(inputs, &shift);
    let normals = findings.load.motors.iter().filter_map(|motor| motor.normal);
    if normals.clone().any(|normal| matches!(normal.normal.source, Source::MachineFile)) {
        return Err("the machine file was asked for a current that it does not have".into());
    }
    let (kinds, _) = meant(trouble);
    let events = list(&[&machine], [Told { machine: 0, findings: &findings }]);
    let Some(event) = events.iter().find(|event: &&Event| kinds.contains(&event.kind)) else {
        return Ok(None);
    };
    Ok(Some(with(&inputs, &findings, event)))
}

/// How often each cause came first, by trouble.
#[derive(Clone, Debug, Default)]
pub struct Confusion {
    /// By trouble and id of the first cause; empty: no event.
    pub first: BTreeMap<(Trouble, &'static str), u32>,
    /// How often the right one was first and likely.
    pub likely: BTreeMap<Trouble, u32>,
    /// How often it was first, or second.
    pub in_two: BTreeMap<Trouble, u32>,
    /// Seeds of each trouble.
    pub seeds: u32,
}

impl Confusion {
    /// Of all troubles over these seeds.
    ///
    /// # Panics
    /// If a night could not be simulated, recorded or read at all.
    pub fn of(seeds: Range<u64>) -> Self {
        let mut table = Self { seeds: (seeds.end - seeds.start) as u32, ..Self::default() };
        for trouble in Trouble::ALL {
            let work = |seed| {
                let answer = answer(trouble, seed);
                answer.unwrap_or_else(|error| panic!("{trouble:?}, seed {seed}: {error}"))
            };
            every_seed(seeds.clone(), work, |seed, answer| table.take(trouble, seed, &answer));
        }
        table
    }

    fn take(&mut self, trouble: Trouble, seed: u64, answer: &Answer) {
        let (_, right) = meant(trouble);
        let causes = match answer {
            Answer::NoEvent => &[][..],
            Answer::Causes(causes) => causes,
        };
        let first = causes.first().map_or("", |cause| cause.id);
        *self.first.entry((trouble, first)).or_default() += 1;
        let likely =
            causes.first().is_some_and(|c| c.id == right && c.likelihood == Likelihood::Likely);
        *self.likely.entry(trouble).or_default() += u32::from(likely);
        let in_two = causes.iter().take(2).any(|cause| cause.id == right);
        *self.in_two.entry(trouble).or_default() += u32::from(in_two);
        if first != right {
            println!("{trouble:?} {seed}: {first:?} before {right}");
            for cause in causes.iter().take(3) {
                println!("    {} {}: for {:?}", cause.id, cause.score, cause.evidence_for);
                println!("        against {:?}", cause.evidence_against);
            }
        }
    }

    /// How often the right cause came first.
    pub fn right(&self, trouble: Trouble) -> u32 {
        self.first.get(&(trouble, meant(trouble).1)).copied().unwrap_or(0)
    }

    /// As a table of Markdown.
    pub fn to_markdown(&self) -> String {
        let mut text = String::from(
            "| what was simulated | right cause | first | first and likely | in the first two | \
             else first |\n| --- | --- | --- | --- | --- | --- |\n",
        );
        for trouble in Trouble::ALL {
            let (_, right) = meant(trouble);
            let others = self.first.iter().filter(|((t, id), _)| *t == trouble && *id != right);
            let name = |id: &str| match id {
                "" => "no event found".to_owned(),
                id => format!("`{id}`"),
            };
            let others: Vec<String> =
                others.map(|((_, id), times)| format!("{} {times}", name(id))).collect();
            let of = |counts: &BTreeMap<Trouble, u32>| counts.get(&trouble).copied().unwrap_or(0);
            // Writing to a string cannot fail.
            let _ = writeln!(
                text,
                "| {trouble:?} | `{right}` | {} of {} | {} | {} | {} |",
                self.right(trouble),
                self.seeds,
                of(&self.likely),
                of(&self.in_two),
                if others.is_empty() { "–".to_owned() } else { others.join(", ") },
            );
        }
        text
    }
}
