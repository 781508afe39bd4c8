//! Full-rate readings end to end: a simulated bridge at 1 kHz through the agent into the log.
//!
//! The simulator keeps what it sent. The windows are worked out here from the log's normal
//! readings by the watch, and checked against the truth of the physics besides.

use chrono::{DateTime, Duration};
use std::path::Path;
use tempfile::TempDir;
use underbrush_agent::ring::{HighRateSettings, LEAD_MS};
use underbrush_agent::watch::{Stage, Watch};
use underbrush_agent::{Config, Outcome, record_chunks, record_judged, run_blocking};
use underbrush_fixtures::{FineSample, LinkSpec, ShiftPlan, Simulation, Truth};
use underbrush_protocol::archive::Reader;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Inputs, Shift, Span, judge};
use underbrush_report::logset::{LogSet, OpenSettings, verify};
use underbrush_report::settings::{Book, Site};
use underbrush_report::window::{Quantity, read};
use underbrush_tests::scenario;

const AROUND_MS: u64 = 10_000;

/// 20 min with events over a line that loses nothing, with a clock that is right.
fn shift(seed: u64) -> (ShiftPlan, Machine) {
    let link = LinkSpec {
        lost_share: 0.0,
        corrupted_share: 0.0,
        clock_ppm: Some(0.0),
        ..LinkSpec::default()
    };
    let plan = ShiftPlan { link, ..ShiftPlan::short(seed, 20) };
    let text = std::fs::read_to_string(scenario(plan.machine.file)).unwrap();
    let machine = Machine::parse(plan.machine.file, &text).unwrap();
    (plan, machine)
}

/// Everything in the archives of a log: at full rate, and the others, each in order.
fn rows(dir: &Path) -> (Vec<Reading>, Vec<Reading>) {
    let mut all = Vec::new();
    for entry in std::fs::read_dir(dir).unwrap() {
        let bytes = std::fs::read(entry.unwrap().path()).unwrap();
        let Ok(reader) = Reader::open(&bytes) else { continue };
        for block in &reader.index().blocks {
            for column in reader.block(block).unwrap().columns {
                let times = column.at.iter().map(|at| BootMs(block.first.0 + *at as u64));
                let reading =
                    |(at, raw): (BootMs, &i32)| Reading { at, channel: column.channel, raw: *raw };
                all.extend(times.zip(&column.raw).map(reading));
            }
        }
    }
    all.sort_by_key(|reading: &Reading| (reading.at, reading.channel));
    all.into_iter().partition(|reading| reading.channel.is_fine())
}

/// The time around each event, by the watch over readings at normal rate.
fn windows(machine: &Machine, normal: &[Reading]) -> Vec<(u64, u64)> {
    let entries: Vec<Entry> = normal.iter().copied().map(Entry::Reading).collect();
    let mut alarms = Vec::new();
    let mut watch = Watch::new(machine);
    watch.take(&entries, &mut alarms);
    watch.finish(&mut alarms);
    let events = alarms.into_iter().filter(|alarm| alarm.on && alarm.stage == Stage::Event);
    let window = |alarm: underbrush_agent::watch::Alarm| {
        let began = alarm.began.0.max(alarm.at.0.saturating_sub(LEAD_MS));
        (began.saturating_sub(AROUND_MS), alarm.at.0 + AROUND_MS)
    };
    events.map(window).collect()
}

/// A capture of the shift through the agent, as its settings file says.
fn record(dir: &TempDir, seed: u64) -> (Outcome, Vec<FineSample>, Truth, Machine) {
    let (plan, machine) = shift(seed);
    let mut simulation = Simulation::new(plan.clone(), seed).at_high_rate(true);
    let bytes: Vec<u8> = simulation.by_ref().flat_map(|chunk| chunk.bytes).collect();
    let sent = simulation.take_samples();
    std::fs::write(dir.path().join("shift.bytes"), bytes).unwrap();
    let settings = format!(
        "log_dir = \"log\"\nmachine = \"{}\"\n[source]\nkind = \"capture\"\nfile = \"shift.bytes\"\n",
        scenario(plan.machine.file).display()
    );
    let file = dir.path().join("agent.toml");
    std::fs::write(&file, settings).unwrap();
    let outcome = run_blocking(&Config::read(&file).unwrap(), |_| {}).unwrap();
    (outcome, sent, simulation.truth().clone(), machine)
}

/// What was sent, at the times that a capture gives: its first packet is at 0, and a bridge
/// that begins anew, which the simulator's does with a tick of 30, goes on one period later.
fn as_logged(sent: &[FineSample]) -> Vec<Reading> {
    // The first frame's last sample is the 20th.
    let mut zero = i64::from(sent[19].tick_ms);
    let mut last = (0, 0);
    let mut out = Vec::with_capacity(sent.len());
    for sample in sent {
        let tick = i64::from(sample.tick_ms);
        if tick < last.0 {
            zero = 30 - (last.1 + 100);
        }
        last = (tick, (tick - zero).max(0));
        out.push(Reading {
            at: BootMs(last.1 as u64),
            channel: Channel::brush_current(sample.motor).unwrap().fine().unwrap(),
            raw: sample.raw.into(),
        });
    }
    out
}

#[test]
fn each_sample_around_each_event_is_in_the_log_and_no_other() {
    let mut events = 0;
    for seed in 1..4 {
        let dir = TempDir::new().unwrap();
        let (outcome, sent, truth, machine) = record(&dir, seed);
        let (fine, normal) = rows(&dir.path().join("log"));
        let sent_at: Vec<u64> = sent.iter().map(|sample| sample.at_ms).collect();
        let sent = as_logged(&sent);
        let windows = windows(&machine, &normal);
        let around = |at: u64| windows.iter().any(|(from, to)| (*from..=*to).contains(&at));
        let mut wanted: Vec<Reading> =
            sent.iter().filter(|reading| around(reading.at.0)).copied().collect();
        wanted.sort_by_key(|reading| (reading.at, reading.channel));
        assert!(wanted.len() > 40_000, "seed {seed}: {} wanted", wanted.len());
        assert_eq!(fine.len(), wanted.len(), "seed {seed}");
        let differs = fine.iter().zip(&wanted).position(|(is, was)| is != was);
        let both = differs.map(|place| (place, fine[place], wanted[place]));
        assert_eq!(both, None, "seed {seed}: in the log, and as sent");
        assert!(sent.len() > 2 * fine.len(), "seed {seed}: nearly all of the shift is an event");
        let counts = outcome.high_rate;
        assert_eq!((counts.came, counts.given), (sent.len() as u64, fine.len() as u64));
        assert_eq!((counts.lost, counts.thinned), (0, 0), "seed {seed}");

        // By the truth of the physics: 10 s around each held motor, overload and stop.
        let stalls = truth.stalls.iter().map(|span| (span.from_ms, 200));
        let loads = truth.over_pressure.iter().map(|span| (span.from_ms, 3_000));
        let stops = truth.stationary.iter().map(|span| (span.from_ms, 2_000));
        for (from, limit) in stalls.chain(loads).chain(stops) {
            // Physics and readings agree on the begin to some tenths of a second.
            let near = from.saturating_sub(9_000)..from + limit + 9_000;
            for (at, reading) in sent_at.iter().zip(&sent).filter(|(at, _)| near.contains(at)) {
                let key = (reading.at, reading.channel);
                let is_there = fine.binary_search_by_key(&key, |r| (r.at, r.channel)).is_ok();
                assert!(is_there, "seed {seed}: {at} ms is missing, near {from} ms");
            }
            events += 1;
        }
    }
    assert!(events >= 6, "{events} events by the truth");
}

#[test]
fn findings_do_not_depend_on_full_rate() {
    let (plan, machine) = shift(2);
    let start = UtcMs(plan.start_utc_ms);
    let chunks = || {
        let simulation = Simulation::new(plan.clone(), 2).at_high_rate(false);
        simulation.map(|chunk| (BootMs(chunk.arrival_ms), chunk.bytes))
    };
    let (with, without) = (TempDir::new().unwrap(), TempDir::new().unwrap());
    let settings = HighRateSettings::default();
    record_judged(with.path(), &machine, settings, start, chunks()).unwrap();
    record_chunks(without.path(), &machine.id, start, chunks()).unwrap();
    let ((fine, normal), (none, same)) = (rows(with.path()), rows(without.path()));
    assert!(fine.len() > 40_000 && none.is_empty());
    assert!(normal == same, "the rows at normal rate are others");

    let state = verify(with.path()).unwrap();
    let counted: (u64, u64) =
        state.iter().fold((0, 0), |(fine, all), file| (fine + file.fine, all + file.readings));
    assert_eq!(counted, (fine.len() as u64, (fine.len() + normal.len()) as u64));

    let site = std::fs::read_to_string(scenario("site.toml")).unwrap();
    let site = Site::parse("site.toml", &site).unwrap();
    let book = Book::default();
    let from = DateTime::from_timestamp_millis(start.0).unwrap();
    let span = Span { from, to: from + Duration::minutes(21) };
    let open = |dir: &Path| {
        let settings = OpenSettings { machine: machine.id.clone(), ..OpenSettings::default() };
        LogSet::open(dir, &settings).unwrap()
    };
    let judged = |logs: &LogSet| {
        let inputs = Inputs { logs, machine: &machine, site: &site, book: &book };
        let shift = Shift { date: from.date_naive(), span, zone: site.zone };
        format!("{:?}", judge(inputs, &shift))
    };
    let (logs, bare) = (open(with.path()), open(without.path()));
    let (left, right) = (judged(&logs), judged(&bare));
    assert!(left == right, "{}", first_difference(&left, &right));

    // What the screen shows of 2 s in a window, a cell each ms: each sample.
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let middle = fine[fine.len() / 2].at.0;
    let at = |ms: u64| from + Duration::milliseconds(ms as i64);
    let shown = Span { from: at(middle - 1_000), to: at(middle + 1_000) };
    let quantities = [Quantity::Current(0), Quantity::FineCurrent(0)];
    let window = read(&inputs, shown, 2_000, &quantities);
    let line = window.line(Quantity::FineCurrent(0)).unwrap();
    let channel = Channel::brush_current(0).unwrap().fine().unwrap();
    let mut compared = 0;
    for reading in fine.iter().filter(|r| r.channel == channel) {
        let Some(cell) = reading.at.0.checked_sub(middle - 1_000 + 1) else { continue };
        let Some(cell) = line.cells.get(cell as usize) else { continue };
        let value = (f64::from(reading.raw) * channel.resolution()) as f32;
        let (low, high) = cell.range.unwrap();
        assert!(low <= value && value <= high, "{value} A is not in {low} to {high}");
        compared += u32::from((low, high) == (value, value));
    }
    // Where a link's delay moved two readings to one ms, a cell has both or one is beside it.
    assert!(compared > 1_800, "{compared} cells show their reading");
    // Without readings at full rate the lane is the normal one.
    let inputs = Inputs { logs: &bare, ..inputs };
    let window = read(&inputs, shown, 50, &quantities);
    let [usual, fine] = quantities.map(|quantity| window.line(quantity).unwrap());
    assert_eq!(usual.cells, fine.cells);
}

fn first_difference(left: &str, right: &str) -> String {
    let place = left.bytes().zip(right.bytes()).take_while(|(a, b)| a == b).count();
    let part = |text: &str| {
        text.get(place.saturating_sub(80)..).unwrap_or("").chars().take(200).collect::<String>()
    };
    format!("…{}\n…{}", part(left), part(right))
}
