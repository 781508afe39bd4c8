//! Full-rate readings of the real agent at a live port: a bridge that samples both motors at
//! 1 kHz, two events, and a bridge that starts anew shortly before the second.
//!
//! Each sample has a number of its own by its place, and the bridge keeps what it sent. What
//! must be in the log follows from the log's rows at normal rate, through the watch.

use crate::common::bench::{Doing, WORK};
use crate::common::port::{Agent, Port, serial_scene};
use crate::common::{Log, read_archive, read_log};
use oorandom::Rand64;
use std::path::Path;
use std::time::{Duration, Instant};
use underbrush_agent::ring::LEAD_MS;
use underbrush_agent::watch::{AlarmKind, Stage, Watch};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Burst, Frame};
use underbrush_protocol::link::Encoder;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{GapReason, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;
use underbrush_protocol::wire_units::CurrentRaw;

const BEFORE_MS: u64 = 3_000;
const AFTER_MS: u64 = 2_000;
/// Samples of each motor in a frame, 1 ms apart.
const SAMPLES: u64 = 10;
const STALLED: Doing = Doing { current_da: 700, rotation_drpm: 0, ..WORK };
const PRESSED: Doing = Doing { current_da: 350, ..WORK };

/// The bridge, and what it has sent: of each motor the samples with their time in ms of this
/// test, and the rows at normal rate.
struct Bridge {
    port: Port,
    encoder: Encoder,
    began: Instant,
    /// Time of the test up to which it has sent, and time of its last start.
    ms: u64,
    started_ms: u64,
    dice: Rand64,
    sent: [Vec<(u64, i16)>; 2],
    rows: Vec<i32>,
}

impl Bridge {
    /// The machine does this for so long; frames that are late are sent as soon as can be.
    fn run(&mut self, doing: Doing, for_ms: u64) {
        let end = self.ms + for_ms;
        while self.ms < end {
            self.ms += SAMPLES;
            let due = self.began + Duration::from_millis(self.ms);
            std::thread::sleep(due.saturating_duration_since(Instant::now()));
            if self.ms.is_multiple_of(100) {
                doing.frames().iter().for_each(|frame| self.send(frame));
                self.rows.push(doing.current_da.into());
            }
            let burst = self.burst();
            self.send(&Frame::Burst(burst));
        }
    }

    fn burst(&mut self) -> Burst {
        let mut values = Vec::new();
        for at in self.ms + 1 - SAMPLES..=self.ms {
            for sent in &mut self.sent {
                // Some stretch of numbers by chance is at one place only.
                let raw = self.dice.rand_range(0..900) as i16;
                sent.push((at, raw));
                values.push(CurrentRaw(raw));
            }
        }
        Burst::new(1, 2, &values).unwrap()
    }

    fn send(&mut self, frame: &Frame) {
        let tick = (self.ms - self.started_ms) as u32;
        let wire = self.encoder.encode(tick, frame);
        assert_eq!(self.port.offer(wire), wire.len(), "the agent does not read");
    }

    /// It is off for a while, and its tick begins anew.
    fn restart(&mut self, off_ms: u64) {
        self.ms += off_ms;
        self.started_ms = self.ms - 30;
        self.encoder = Encoder::default();
    }
}

fn current(motor: usize) -> Channel {
    Channel::brush_current(motor).unwrap()
}

/// The readings of a channel in the order in which the log has them: with the first frames of
/// a bridge the clocks are still being fitted, and two samples may be of one ms.
fn in_order(dir: &Path, names: &[String], channel: Channel) -> Vec<(u64, i32)> {
    let mut log = Log::default();
    for name in names {
        read_archive(&std::fs::read(dir.join(name)).unwrap(), &mut log);
    }
    log.readings.iter().filter(|r| r.1 == channel).map(|r| (r.0, r.2)).collect()
}

/// The time around each event, by the watch over the log's rows at normal rate.
fn windows(log: &Log, machine: &Machine) -> Vec<(u64, u64)> {
    let row = |(at, channel, raw): &(u64, Channel, i32)| {
        Entry::Reading(Reading { at: BootMs(*at), channel: *channel, raw: *raw })
    };
    let rows: Vec<Entry> =
        log.readings.iter().filter(|(_, channel, _)| !channel.is_fine()).map(row).collect();
    let (mut watch, mut alarms) = (Watch::new(machine), Vec::new());
    watch.take(&rows, &mut alarms);
    watch.finish(&mut alarms);
    let mut windows: Vec<(u64, u64)> = Vec::new();
    for alarm in alarms.iter().filter(|alarm| alarm.on && alarm.stage == Stage::Event) {
        assert!(matches!(alarm.kind, AlarmKind::Stall | AlarmKind::OverPressure), "{alarm}");
        let began = alarm.began.0.max(alarm.at.0.saturating_sub(LEAD_MS));
        let (from, to) = (began - BEFORE_MS, alarm.at.0 + AFTER_MS);
        match windows.last_mut() {
            Some(last) if last.1 >= from => last.1 = to,
            _ => windows.push((from, to)),
        }
    }
    windows
}

/// Holds that `logged` is exactly the part of `sent` that lies in the window; how far the time
/// of a sample in the log is from its own, apart from the offset of the two clocks, at most.
fn compare(logged: &[(u64, i32)], sent: &[(u64, i16)], window: (u64, u64)) -> u64 {
    let same = |(log, sent): (&(u64, i32), &(u64, i16))| log.1 == i32::from(sent.1);
    let starts = 0..=sent.len() - logged.len();
    let fits = |start: &usize| logged.iter().zip(&sent[*start..]).all(same);
    let places: Vec<usize> = starts.filter(fits).collect();
    let [place] = places[..] else {
        panic!("{} samples around {window:?} stand at {places:?} of what was sent", logged.len())
    };
    let slice = &sent[place..place + logged.len()];
    let offsets: Vec<i64> =
        logged.iter().zip(slice).map(|(log, sent)| log.0 as i64 - sent.0 as i64).collect();
    let mut sorted = offsets.clone();
    sorted.sort_unstable();
    let usual = sorted[sorted.len() / 2];
    // Its neighbours, which are not in the log, lie outside: nothing of the window is missing.
    let outside = [place.checked_sub(1), Some(place + logged.len())];
    for (at, _) in outside.into_iter().flatten().filter_map(|place| sent.get(place)) {
        let at = (*at as i64 + usual) as u64;
        let inside = window.0 + JITTER_MS..=window.1.saturating_sub(JITTER_MS);
        assert!(!inside.contains(&at), "{at} is missing of {window:?}");
    }
    // From one sample to the next the same time goes by in the log, but where the clock of the
    // bridge is put right by a ms.
    let moves = offsets.windows(2).filter(|pair| pair[0] != pair[1]).count();
    assert!(moves * 100 <= offsets.len(), "{moves} of {}", offsets.len());
    offsets.iter().map(|offset| offset.abs_diff(usual)).max().unwrap()
}

/// A busy machine reads some ms late; the agent follows the earliest.
const JITTER_MS: u64 = 20;

#[test]
fn a_live_port_gives_each_sample_around_events_once() {
    let (scene, path, config) = serial_scene("sync_every = \"200 ms\"");
    let text = std::fs::read_to_string(&config).unwrap();
    let times = "[high_rate]\nbefore = \"3 s\"\nafter = \"2 s\"\n";
    std::fs::write(&config, text + times).unwrap();
    let port = Port::plug(&path);
    port.never_wait();
    let agent = Agent::start(&config);
    agent.wait_for("port open");
    let mut bridge = Bridge {
        port,
        encoder: Encoder::default(),
        began: Instant::now(),
        ms: 0,
        started_ms: 0,
        dice: Rand64::new(7),
        sent: Default::default(),
        rows: Vec::new(),
    };
    bridge.run(WORK, 6_000);
    bridge.run(STALLED, 600);
    bridge.run(WORK, 7_000);
    // Off for less than the longest gap, so that it lies inside the window of what follows.
    bridge.restart(700);
    bridge.run(WORK, 1_000);
    bridge.run(PRESSED, 4_000);
    bridge.run(WORK, 4_000);
    std::thread::sleep(Duration::from_millis(300));
    let (ended, printed) = agent.stop();
    assert_eq!(ended.code(), Some(0), "{printed}");

    let log = read_log(&scene.log_dir());
    let rows = log.readings.iter().filter(|r| r.1 == current(0)).map(|r| r.2);
    assert_eq!(rows.collect::<Vec<_>>(), bridge.rows, "all rows at normal rate, as sent");
    let gaps = log.notes.iter().filter_map(|(_, note)| match note {
        Note::Gap(gap) => Some((gap.reason, gap.dropped)),
        _ => None,
    });
    assert_eq!(gaps.collect::<Vec<_>>(), [(GapReason::BridgeRestarted, 0)]);

    let machine = std::fs::read_to_string(scene.path("machine.toml")).unwrap();
    let windows = windows(&log, &Machine::parse("machine.toml", &machine).unwrap());
    assert_eq!(windows.len(), 2, "{windows:?}");
    let mut all = 0;
    for (motor, sent) in bridge.sent.iter().enumerate() {
        let fine = current(motor).fine().unwrap();
        let logged = in_order(&scene.log_dir(), &log.archives, fine);
        all += logged.len();
        let (first, second): (Vec<_>, Vec<_>) =
            logged.into_iter().partition(|(at, _)| *at <= windows[0].1);
        for (part, window) in [(first, windows[0]), (second, windows[1])] {
            let inside = part.iter().all(|(at, _)| (window.0..=window.1).contains(at));
            assert!(inside, "motor {motor}: outside of {window:?}");
            let off_ms = compare(&part, sent, window);
            println!("motor {motor}: {} samples in {window:?}, off by {off_ms} ms", part.len());
            assert!(part.len() > 5_000 && off_ms <= JITTER_MS, "{} {off_ms}", part.len());
        }
    }
    let came = bridge.sent[0].len() * 2;
    assert!(all < came * 2 / 3, "{all} of {came}: not only around events");
    let told = format!("at full rate      {all} of {came}, ");
    assert!(printed.contains(&told), "{told}\n{printed}");
    assert!(
        !printed.contains("full rate that left") && !printed.contains("rate lost"),
        "{printed}"
    );
}
