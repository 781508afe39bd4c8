//! The simulator's truth against the report, over many seeds.
//!
//! Tolerances: distance, swept area, brush time and time in band 0.5 %; every stationary event,
//! stall and over-pressure found with begin and end within 0.3 s, and none invented.
//! `UNDERBRUSH_SEEDS=FIRST..LAST` runs others; a failing seed prints how to run it alone.

use std::ops::Range;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use tempfile::TempDir;
use underbrush_agent::record_chunks;
use underbrush_fixtures::{ShiftPlan, Simulation, Truth};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Findings, Inputs, Shift, Span, judge};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Phase, Site};
use underbrush_tests::scenario;

const MINUTES: u32 = 60;
const EDGE_S: f64 = 0.3;

struct Judged {
    truth: Truth,
    found: Findings,
    site: Site,
}

fn text(name: &str) -> String {
    std::fs::read_to_string(scenario(name)).unwrap()
}

fn run(plan: ShiftPlan, seed: u64) -> Judged {
    let dir = TempDir::new().unwrap();
    let machine = Machine::parse("machine.toml", &text("machine.toml")).unwrap();
    let site = Site::parse("site.toml", &text("site.toml")).unwrap();
    let start = UtcMs(plan.start_utc_ms);
    let minutes = plan.minutes;
    let mut simulation = Simulation::new(plan, seed);
    let chunks = simulation.by_ref().map(|c| (BootMs(c.arrival_ms), c.bytes));
    record_chunks(dir.path(), &machine.id, start, chunks).unwrap();
    let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
    let logs = LogSet::open(dir.path(), &settings).unwrap();
    let at = |ms: i64| chrono::DateTime::from_timestamp_millis(ms).unwrap();
    let span = Span { from: at(start.0), to: at(start.0 + i64::from(minutes + 1) * 60_000) };
    let shift = Shift { date: span.from.date_naive(), span, zone: site.zone };
    let book = Book::default();
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    Judged { truth: simulation.truth().clone(), found: judge(inputs, &shift), site }
}

fn close(what: &str, found: f64, truth: f64, share: f64, wrong: &mut Vec<String>) {
    if (found - truth).abs() > share * truth.abs() {
        wrong.push(format!("{what}: found {found:.3}, true {truth:.3}"));
    }
}

/// Each true span has one found span with the same edges, and the other way round.
fn same_spans(what: &str, found: &[(f64, f64)], truth: &[(f64, f64)], wrong: &mut Vec<String>) {
    let near =
        |a: &(f64, f64), b: &(f64, f64)| (a.0 - b.0).abs() <= EDGE_S && (a.1 - b.1).abs() <= EDGE_S;
    for t in truth.iter().filter(|t| !found.iter().any(|f| near(f, t))) {
        wrong.push(format!("{what} missed: {:.2} to {:.2} s; found {found:.2?}", t.0, t.1));
    }
    for f in found.iter().filter(|f| !truth.iter().any(|t| near(f, t))) {
        wrong.push(format!("{what} invented: {:.2} to {:.2} s; true {truth:.2?}", f.0, f.1));
    }
    if found.len() != truth.len() {
        wrong.push(format!("{what}: {} found, {} true", found.len(), truth.len()));
    }
}

fn check(judged: &Judged) -> Vec<String> {
    let Judged { truth, found, site } = judged;
    let mut wrong = Vec::new();
    let observed = &truth.observed;
    close("distance", found.area.distance.0, observed.distance_m, 0.005, &mut wrong);
    close("swept area", found.area.swept_area.0, observed.swept_area_m2, 0.005, &mut wrong);
    close("brush time", found.area.brush_time.0, observed.brush_turning_s, 0.005, &mut wrong);
    close("observed time", found.data.observed.0, truth.observed_s, 0.005, &mut wrong);
    for phase in &truth.phases {
        let key = match phase.phase {
            underbrush_fixtures::Phase::Step(n) => Phase::Step(n),
            underbrush_fixtures::Phase::Maintenance => Phase::Maintenance,
        };
        if phase.observed.in_band_s < 60.0 {
            continue;
        }
        let within =
            found.speed.by_phase.iter().find(|p| p.phase == Some(key)).map_or(0.0, |p| p.within.0);
        close(&format!("in band, {key}"), within, phase.observed.in_band_s, 0.005, &mut wrong);
    }
    for section in truth.sections.iter().filter(|s| s.observed.swept_area_m2 > 20.0) {
        let index = site.section_by_id(&section.id);
        let area = found
            .sections
            .iter()
            .find(|s| s.place.section == index)
            .map_or(0.0, |s| s.swept_area.0);
        close(
            &format!("area of {}", section.id),
            area,
            section.observed.swept_area_m2,
            0.02,
            &mut wrong,
        );
    }
    let wall = |span: Span| {
        let s = |t: chrono::DateTime<chrono::Utc>| {
            (t.timestamp_millis() - truth.start_utc_ms) as f64 / 1000.0
        };
        (s(span.from), s(span.to))
    };
    let board = |from: u64, to: u64| (from as f64 / 1000.0, to as f64 / 1000.0);
    let stationary: Vec<_> = found.stationary.iter().map(|e| wall(e.span)).collect();
    let true_stationary: Vec<_> =
        truth.stationary.iter().map(|s| board(s.from_ms, s.to_ms)).collect();
    same_spans("stationary brush", &stationary, &true_stationary, &mut wrong);
    for motor in 0..2 {
        let of = |events: &[underbrush_report::findings::LoadFindingEvent]| -> Vec<_> {
            events.iter().filter(|e| e.motor == motor).map(|e| wall(e.span)).collect()
        };
        let true_of = |spans: &[underbrush_fixtures::MotorSpan]| -> Vec<_> {
            spans.iter().filter(|s| s.motor == motor).map(|s| board(s.from_ms, s.to_ms)).collect()
        };
        same_spans("stall", &of(&found.load.stalls), &true_of(&truth.stalls), &mut wrong);
        same_spans(
            "over-pressure",
            &of(&found.load.over_pressure),
            &true_of(&truth.over_pressure),
            &mut wrong,
        );
    }
    wrong
}

fn seeds() -> Range<u64> {
    let given = std::env::var("UNDERBRUSH_SEEDS").ok();
    let parsed = given.as_deref().and_then(|text| {
        let (first, last) = text.split_once("..")?;
        Some(first.parse().ok()?..last.parse().ok()?)
    });
    parsed.unwrap_or(0..200)
}

#[test]
fn two_hundred_seeds() {
    let seeds = seeds();
    let next = AtomicU64::new(seeds.start);
    let failures = Mutex::new(Vec::new());
    let events = AtomicU64::new(0);
    std::thread::scope(|scope| {
        for _ in 0..std::thread::available_parallelism().map_or(2, usize::from) {
            scope.spawn(|| {
                loop {
                    let seed = next.fetch_add(1, Ordering::Relaxed);
                    if seed >= seeds.end {
                        return;
                    }
                    let judged = run(ShiftPlan::short(seed, MINUTES), seed);
                    let count = judged.truth.stationary.len()
                        + judged.truth.stalls.len()
                        + judged.truth.over_pressure.len();
                    events.fetch_add(count as u64, Ordering::Relaxed);
                    let wrong = check(&judged);
                    if !wrong.is_empty() {
                        failures.lock().unwrap().push((seed, wrong));
                    }
                }
            });
        }
    });
    let mut failures = failures.into_inner().unwrap();
    failures.sort();
    for (seed, wrong) in &failures {
        println!(
            "seed {seed}: UNDERBRUSH_SEEDS={seed}..{} cargo test -p underbrush-tests --test simulated_truth",
            seed + 1
        );
        for line in wrong {
            println!("    {line}");
        }
    }
    assert!(
        failures.is_empty(),
        "{} of {} seeds differ from the truth",
        failures.len(),
        seeds.end - seeds.start
    );
    // The truth must hold something to find, or nothing was checked.
    assert!(events.into_inner() >= 5 * (seeds.end - seeds.start));
}

/// Over a bad line, with gaps inside events, times and areas must still hold for what was observed.
#[test]
fn bad_lines_keep_their_sums() {
    for seed in 0..10 {
        let Judged { truth, found, .. } = run(ShiftPlan::hostile(seed, MINUTES), seed);
        let mut wrong = Vec::new();
        close("distance", found.area.distance.0, truth.observed.distance_m, 0.02, &mut wrong);
        close(
            "brush time",
            found.area.brush_time.0,
            truth.observed.brush_turning_s,
            0.02,
            &mut wrong,
        );
        assert!(wrong.is_empty(), "seed {seed}: {wrong:?}");
        let link = found.data.link;
        assert!(link.lost > 0 && link.damaged > 0, "seed {seed}: {link:?}");
    }
}
