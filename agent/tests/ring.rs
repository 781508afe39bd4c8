//! Full-rate readings around events, against a plain list of all of them.

use oorandom::Rand64;
use underbrush_agent::intake::{Intake, TimeBase};
use underbrush_agent::ring::{HighRate, HighRateCounts, HighRateSettings, LEAD_MS};
use underbrush_agent::watch::{Alarm, AlarmKind, Stage};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Burst, Frame};
use underbrush_protocol::link::Encoder;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{GapReason, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;
use underbrush_protocol::wire_units::CurrentRaw;

fn reading(channel: u8, at: u64, raw: i32) -> Entry {
    Entry::Reading(Reading { at: BootMs(at), channel: Channel(channel), raw })
}

fn fires(at: u64, began: u64) -> Alarm {
    let (kind, stage) = (AlarmKind::Stall, Stage::Event);
    Alarm { at: BootMs(at), kind, stage, motor: Some(0), began: BootMs(began), on: true }
}

/// What one stream gave.
struct Run {
    all: Vec<Reading>,
    given: Vec<Reading>,
    /// Wanted by a window: from, to.
    windows: Vec<(u64, u64)>,
    told: u64,
    most_at_once: usize,
    counts: HighRateCounts,
}

impl Run {
    fn wanted(&self) -> Vec<Reading> {
        let inside =
            |r: &&Reading| self.windows.iter().any(|(from, to)| (*from..=*to).contains(&r.at.0));
        self.all.iter().filter(inside).copied().collect()
    }
}

/// Frames of 18 ms of two motors; events by chance, some of them soon after another.
fn run(settings: HighRateSettings, seed: u64, whole_seconds: bool, at_once: usize) -> Run {
    let mut dice = Rand64::new(seed.into());
    let mut ring = HighRate::new(settings, 2);
    let (mut all, mut given, mut windows) = (Vec::new(), Vec::new(), Vec::new());
    let (mut at, mut number, mut told, mut most_at_once) = (20_000_u64, 0, 0, 0);
    let mut next_event = 30_000;
    while at < 150_000 {
        let others = [reading(8, at, 7), reading(9, at, 7)];
        let mut entries = others.to_vec();
        for back in (0..18).rev() {
            for motor in 0..2 {
                number += 1;
                let entry = reading(72 + motor, at - back, number);
                let Entry::Reading(one) = entry else { unreachable!() };
                all.push(one);
                entries.push(entry);
            }
        }
        ring.sort_out(&mut entries);
        assert_eq!(entries, others, "what is not at full rate stays as it is");
        if at >= next_event {
            let hold = [0, 200, 3_000, 40_000][dice.rand_range(0..4) as usize];
            let hold = if whole_seconds { hold / 1_000 * 1_000 } else { hold };
            let fired = if whole_seconds { at / 1_000 * 1_000 } else { at };
            ring.fired(&fires(fired, fired - hold.min(fired)));
            let began = fired - hold.min(LEAD_MS);
            windows.push((began - settings.before_ms, fired + settings.after_ms));
            next_event = at + dice.rand_range(10..40_000);
        }
        let mut out = Vec::new();
        ring.release(at_once, &mut out);
        most_at_once = most_at_once.max(out.len());
        take(out, &mut given, &mut told);
        at += 18;
    }
    let mut out = Vec::new();
    ring.finish(&mut out);
    take(out, &mut given, &mut told);
    let counts = ring.counts();
    Run { all, given, windows, told, most_at_once, counts }
}

fn take(out: Vec<Entry>, given: &mut Vec<Reading>, told: &mut u64) {
    for entry in out {
        match entry {
            Entry::Reading(reading) => given.push(reading),
            Entry::Note(_, Note::Gap(gap)) if gap.reason == GapReason::Overload => {
                *told += u64::from(gap.dropped);
            }
            Entry::Note(..) => panic!("{entry:?}"),
        }
    }
}

#[test]
fn windows_hold_every_reading_once_and_nothing_else() {
    for seed in 0..60 {
        let run = run(HighRateSettings::default(), seed, false, 500);
        let wanted = run.wanted();
        assert!(wanted.len() > 30_000, "seed {seed}: hardly an event");
        // Numbers rise with time, and no number comes twice.
        let mut given = run.given.clone();
        given.sort_by_key(|reading| reading.raw);
        assert_eq!(given.len(), wanted.len(), "seed {seed}");
        assert!(given == wanted, "seed {seed}: other readings than wanted");
        assert!(run.most_at_once <= 500, "seed {seed}: {} at once", run.most_at_once);
        let HighRateCounts { came, given, lost, left_early, events, .. } = run.counts;
        assert_eq!((came, given), (run.all.len() as u64, wanted.len() as u64), "seed {seed}");
        assert_eq!((lost, left_early, events), (0, 0, run.windows.len() as u64), "seed {seed}");
    }
}

#[test]
fn what_the_memory_cannot_hold_is_counted_and_told() {
    // 4,000 readings: 2 s of two motors, where 15 s are promised.
    let settings = HighRateSettings { memory_bytes: Some(64_000), ..HighRateSettings::default() };
    for seed in 0..30 {
        let run = run(settings, seed, true, usize::MAX);
        let wanted = run.wanted().len() as u64;
        let HighRateCounts { given, lost, left_early, .. } = run.counts;
        assert!(lost > 0 && left_early >= lost, "seed {seed}: {:?}", run.counts);
        assert_eq!(given + lost, wanted, "seed {seed}: {:?}", run.counts);
        assert_eq!(run.told, lost, "seed {seed}: the log is told all of it");
    }
}

#[test]
fn a_slow_reader_loses_nothing_that_fits() {
    // As little room as the settings promise, and hardly more taken than comes.
    let settings =
        HighRateSettings { memory_bytes: Some(2 * 16 * 16_000), ..HighRateSettings::default() };
    let run = run(settings, 3, false, 60);
    assert_eq!((run.counts.given, run.counts.lost), (run.wanted().len() as u64, 0));
}

#[test]
fn warnings_and_ends_open_no_window() {
    let mut ring = HighRate::new(HighRateSettings::default(), 1);
    let mut entries: Vec<_> = (0..100).map(|at| reading(72, at, 1)).collect();
    ring.sort_out(&mut entries);
    ring.fired(&Alarm { on: false, ..fires(50, 40) });
    ring.fired(&Alarm { stage: Stage::Warning, ..fires(50, 40) });
    let mut out = Vec::new();
    ring.finish(&mut out);
    assert_eq!((out.len(), ring.counts().events), (0, 0));
}

#[test]
fn a_motor_without_brush_frames_has_means_at_normal_rate() {
    let mut ring = HighRate::new(HighRateSettings::default(), 2);
    let mut rows = Vec::new();
    for at in 1..=3_000 {
        // Motor 1 has a Brush frame each second, motor 2 none.
        let mut entries = if at % 1_000 == 0 { vec![reading(8, at, 9)] } else { Vec::new() };
        entries.push(reading(72, at, 5));
        entries.push(reading(73, at, if at % 2 == 0 { 100 } else { 203 }));
        ring.sort_out(&mut entries);
        rows.extend(entries);
    }
    let of = |channel: u8| {
        let is = |entry: &&Entry| matches!(entry, Entry::Reading(r) if r.channel.0 == channel);
        rows.iter().filter(is).cloned().collect::<Vec<_>>()
    };
    let own: Vec<_> = (1..=3).map(|s| reading(8, s * 1_000, 9)).collect();
    assert_eq!(of(8), own, "its own rows only");
    let thinned = of(9);
    // From 1.5 s after the first on, each 0.1 s: 151.5 rounds away from zero.
    let expected: Vec<_> = (0..15).map(|row| reading(9, 1_501 + row * 100, 152)).collect();
    assert_eq!(thinned, expected);
    assert_eq!(ring.counts().thinned, 15);
}

/// Bursts of a bridge at 1 kHz through the intake of a live port, 40 s of them. It starts anew
/// after 20 s, and the first frame of it is read late, as all of a busy board are. Both motors.
fn over_a_restart(settings: HighRateSettings, late_ms: u64) -> HighRateCounts {
    let mut intake = Intake::new(TimeBase::Arrival);
    let mut ring = HighRate::new(settings, 2);
    let mut encoder = Encoder::default();
    let (mut entries, mut out) = (Vec::new(), Vec::new());
    for frame in 1..=4_000_u64 {
        let at = frame * 10;
        let since = if at < 20_000 { 0 } else { 19_970 };
        if at == 20_000 {
            encoder = Encoder::default();
        }
        let late = if at == 20_000 { late_ms } else { frame % 3 };
        let burst = Burst::new(1, 2, &[CurrentRaw(200); 20]).unwrap();
        let bytes = encoder.encode((at - since) as u32, &Frame::Burst(burst));
        intake.bytes(BootMs(at + late), bytes, &mut entries);
        ring.sort_out(&mut entries);
        entries.clear();
        ring.release(1_000, &mut out);
    }
    assert_eq!(intake.losses().restarts, 1);
    ring.counts()
}

#[test]
fn a_bridge_that_starts_anew_pushes_nothing_out_early() {
    let counts = over_a_restart(HighRateSettings::default(), 9);
    assert_eq!((counts.came, counts.left_early, counts.lost), (80_000, 0, 0));
    // With just the memory of what is promised, and none to spare, it does: the readings that
    // the clock's fit put closer together. Nothing of them was asked for.
    let none_to_spare =
        HighRateSettings { memory_bytes: Some(2 * 16_000 * 16), ..HighRateSettings::default() };
    let counts = over_a_restart(none_to_spare, 9);
    assert!((1..200).contains(&counts.left_early) && counts.lost == 0, "{counts:?}");
}
