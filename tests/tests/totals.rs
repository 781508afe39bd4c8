//! `Totals`, which reads few columns and joins steps, against the step-by-step walk.

use chrono::DateTime;
use std::fs;
use tempfile::TempDir;
use underbrush_agent::record_chunks;
use underbrush_fixtures::{ShiftPlan, Simulation};
use underbrush_protocol::detect::{Interval, Limits, Run, Stationary, brush_turning};
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::MetresPerSecond;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Span, SpeedHistogram, Totals};
use underbrush_report::logset::{BootLog, ClockMap, LogSet, OpenSettings};
use underbrush_report::timeline::{Reader, Walk, walk};
use underbrush_tests::scenario;

/// The same by single steps.
struct StepByStep {
    limits: Limits,
    detector: Stationary,
    boot: u32,
    histogram: SpeedHistogram,
    runs: Vec<(u32, Run)>,
    steps: u64,
}

impl Reader for StepByStep {
    fn boot_begins(&mut self, boot: &BootLog, _: &ClockMap) {
        self.boot = boot.boot;
    }

    fn step(&mut self, step: &Interval, _: &ClockMap) {
        self.steps += 1;
        if let (Some(speed), Some(true)) =
            (step.speed_m_s, brush_turning(step, self.limits.turning))
        {
            self.histogram.add(MetresPerSecond(f64::from(speed)), step.ms());
        }
        self.runs.extend(self.detector.step(step).map(|event| (self.boot, event.run)));
    }

    fn note(&mut self, _: UtcMs, _: &Note) {}

    fn boot_ends(&mut self, _: &ClockMap) {
        self.runs.extend(self.detector.finish().map(|event| (self.boot, event.run)));
    }
}

/// Milliseconds in each mm/s.
fn bins(histogram: &SpeedHistogram) -> Vec<(u64, u64)> {
    histogram.recorded().collect()
}

fn logs_of(seed: u64, machine: &Machine, dir: &TempDir) -> (LogSet, i64) {
    let plans = [
        ShiftPlan::short(seed, 30),
        ShiftPlan::hostile(seed, 25),
        ShiftPlan { optional_sensors: seed.is_multiple_of(2), ..ShiftPlan::short(seed + 1, 20) },
    ];
    let mut start = plans[0].start_utc_ms;
    for plan in plans {
        let minutes = i64::from(plan.minutes);
        let simulation = Simulation::new(plan, seed);
        let chunks = simulation.map(|c| (BootMs(c.arrival_ms), c.bytes));
        record_chunks(dir.path(), &machine.id, UtcMs(start), chunks).unwrap();
        start += (minutes + 3) * 60_000;
    }
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    (LogSet::open(dir.path(), &settings).unwrap(), start)
}

#[test]
fn the_same_as_step_by_step() {
    let machine = fs::read_to_string(scenario("machine.toml")).unwrap();
    let machine = Machine::parse("machine.toml", &machine).unwrap();
    let limits = machine.limits();
    let (mut events, mut brush_ms) = (0, 0);
    for seed in 0..8_u64 {
        let dir = TempDir::new().unwrap();
        let (logs, end) = logs_of(seed, &machine, &dir);
        // Whole, and cut where nothing begins or ends.
        for (cut_from, cut_to) in [(0, 0), (437_123, 191_357), (2_000_321, 1_200_011)] {
            let begin = ShiftPlan::short(seed, 30).start_utc_ms;
            let at = |ms: i64| DateTime::from_timestamp_millis(ms).unwrap();
            let span = Span { from: at(begin + cut_from), to: at(end - cut_to) };
            let how = Walk::of(&machine, span);
            let totals = Totals::of(&logs, how, limits);
            let mut steps = StepByStep {
                limits,
                detector: Stationary::new(limits),
                boot: 0,
                histogram: SpeedHistogram::default(),
                runs: Vec::new(),
                steps: 0,
            };
            walk(&logs, how, &mut steps);
            let runs: Vec<(u32, Run)> = totals.stationary.iter().map(|s| (s.boot, s.run)).collect();
            assert_eq!(runs, steps.runs, "seed {seed}, cut {cut_from}");
            assert_eq!(
                bins(&totals.histogram),
                bins(&steps.histogram),
                "seed {seed}, cut {cut_from}"
            );
            assert_eq!(totals.histogram.total(), steps.histogram.total());
            assert!(totals.problems.is_empty(), "{:?}", totals.problems);
            events += runs.len();
            brush_ms += bins(&totals.histogram).iter().map(|(_, ms)| ms).sum::<u64>();
        }
    }
    assert!(events > 20, "only {events} events were compared");
    assert!(brush_ms > 10 * 3_600_000, "only {brush_ms} ms were compared");
}
