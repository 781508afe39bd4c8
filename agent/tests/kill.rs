//! The real agent, killed at random moments under load, over and over on one directory.
//!
//! The agent says by `--verbose` after each sync how many entries of its boot are safe.
//! Model of a boot, which knows nothing of files: the bridge counts its frames up by
//! one, so what the boot recorded must be the first entries of that count, none
//! missing, none changed, none doubled, none that was not sent, and at least as many
//! as were said to be safe. Whatever it recorded stays for good, sealed or not.
//!
//! SIGKILL ends the process between two instructions; what it wrote is in the system's
//! hands, so this is about the agent's own order of writes. Power cuts, which also
//! lose what was not synced, are tried in `storage.rs`.
//!
//! The moments follow from a seed that is printed; what the agent was doing then is
//! up to the machine. `UNDERBRUSH_KILL_ROUNDS` asks for more rounds.
#![cfg(target_os = "linux")]

mod common;

use common::Scene;
use common::boots::{Record, read_boots};
use common::numbered::{numbered, raws_of};
use common::port::{Agent, Port, pause, serial_scene};
use oorandom::Rand64;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use underbrush_agent::record::{DirStorage, Durability, Recorder, Rotation};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::link::Encoder;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

const ROUNDS: u64 = 200;
/// Directories, each with its own agents, that are tried beside each other.
const LANES: u64 = 8;
const FRAMES_A_MS: u64 = 2;
/// The promise of a restart: from the start of the process to the first safe entry.
const RECORDING_WITHIN: Duration = Duration::from_secs(2);

/// A bridge that sends from frame `from` on until it is unplugged.
struct Bridge {
    unplug: Arc<AtomicBool>,
    sending: std::thread::JoinHandle<u32>,
}

impl Bridge {
    fn plug(at: &Path, from: u32) -> Self {
        let unplug = Arc::new(AtomicBool::new(false));
        let unplugged = unplug.clone();
        let mut port = Port::plug(at);
        port.never_wait();
        let sending = std::thread::spawn(move || {
            let (mut encoder, mut next, mut waiting) = (Encoder::default(), from, Vec::new());
            let begin = Instant::now();
            while !unplugged.load(Ordering::Relaxed) {
                let ms = begin.elapsed().as_millis() as u64;
                // What the port does not take in time is held back, not dropped.
                while waiting.len() < 4_096 && u64::from(next - from) < ms * FRAMES_A_MS {
                    let tick = (u64::from(next - from) / FRAMES_A_MS) as u32;
                    waiting.extend_from_slice(encoder.encode(tick, &numbered(next)));
                    next += 1;
                }
                let taken = port.offer(&waiting);
                waiting.drain(..taken);
                pause(3);
            }
            next
        });
        Self { unplug, sending }
    }

    /// The first frame that was not sent.
    fn unplug(self) -> u32 {
        self.unplug.store(true, Ordering::Relaxed);
        self.sending.join().unwrap()
    }
}

/// What the agent said is safe.
#[derive(Clone, Copy, Debug, Default)]
struct Safe {
    boot: u32,
    readings: usize,
    notes: usize,
}

impl Safe {
    fn read(line: &str) -> Option<Self> {
        let (_, counts) = line.split_once("synced boot=")?;
        let mut counts = counts.split([' ', '=', '\n']);
        let mut number = |name: Option<&str>| {
            assert!(name.is_none() || counts.next() == name, "{line}");
            counts.next().unwrap().parse::<u32>().unwrap()
        };
        let boot = number(None);
        number(Some("part"));
        let readings = number(Some("readings")) as usize;
        Some(Self { boot, readings, notes: number(Some("notes")) as usize })
    }
}

/// One directory through all its boots.
struct Lane {
    scene: Scene,
    port: PathBuf,
    config: PathBuf,
    /// What each boot recorded, once it had ended.
    boots: BTreeMap<u32, Record>,
    next_frame: u32,
    reached_disk: u32,
    slowest_start: Duration,
}

impl Lane {
    fn new() -> Self {
        let (scene, port, config) = serial_scene("sync_every = \"25 ms\"\nseal_after = \"1 s\"");
        std::fs::create_dir(scene.log_dir()).unwrap();
        Self {
            scene,
            port,
            config,
            boots: BTreeMap::new(),
            next_frame: 0,
            reached_disk: 0,
            slowest_start: Duration::ZERO,
        }
    }

    fn round(&mut self, kill_after: Duration) {
        let from = self.next_frame;
        let bridge = Bridge::plug(&self.port, from);
        let started = SystemTime::now();
        let agent = Agent::start_with(&self.config, &["--verbose"]);
        let process = agent.child.id();
        std::thread::sleep(kill_after);
        let waited = waited_for_processor(process);
        let lines = agent.kill();
        self.next_frame = bridge.unplug();
        let mut synced = lines.iter().filter_map(|line| Some((Safe::read(line)?, line)));
        if let Some((_, line)) = synced.next() {
            let took = said_at(line).duration_since(started).unwrap_or_default();
            self.slowest_start = self.slowest_start.max(took.saturating_sub(waited));
        }
        let safe = lines.iter().rev().find_map(|line| Safe::read(line));
        self.check(from, safe.unwrap_or_default());
    }

    /// What stands on the disk against the model.
    fn check(&mut self, from: u32, safe: Safe) {
        let mut found = read_boots(&self.scene.log_dir());
        for (boot, before) in &self.boots {
            assert!(found.remove(boot).as_ref() == Some(before), "boot {boot} changed");
        }
        found.retain(|_, record| !record.notes.is_empty());
        let Some((boot, record)) = found.pop_first() else {
            assert_eq!((safe.readings, safe.notes), (0, 0), "boot {} is gone", safe.boot);
            return;
        };
        assert!(found.is_empty(), "one start made several boots");
        assert!(safe.boot == boot || safe.boot == 0, "{safe:?}, but boot {boot} is there");
        let count = record.reading_count();
        assert!(count >= safe.readings, "{count} readings in boot {boot}, but {safe:?}");
        assert!(record.notes.len() >= safe.notes, "{:?}, but {safe:?}", record.notes);
        assert!(matches!(record.notes.first(), Some((BootMs(0), Note::Started))));
        let right = raws_of(from.., count);
        let channels: BTreeMap<_, _> =
            record.readings.keys().map(|c| (*c, record.raws(*c))).collect();
        assert!(channels == right, "boot {boot}: not the first {count} readings from {from}");
        for (channel, rows) in &record.readings {
            assert!(rows.is_sorted_by_key(|(at, _)| at), "{}: time runs back", channel.name());
        }
        // The first frame that none of the readings is of was sent, or is the one to be sent next.
        let frames = right.get(&Channel::SPEED).map_or(0, Vec::len)
            + right.get(&Channel::KEY_ON_METER).map_or(0, Vec::len);
        assert!(from as usize + frames <= self.next_frame as usize, "never sent");
        self.reached_disk += u32::from(count > 0);
        self.boots.insert(boot, record);
    }

    /// A last start, ended in good order, seals everything.
    fn end(mut self) -> Self {
        let from = self.next_frame;
        let bridge = Bridge::plug(&self.port, from);
        let agent = Agent::start_with(&self.config, &["--verbose"]);
        agent.wait_for("synced");
        pause(100);
        let (status, printed) = agent.stop();
        assert_eq!(status.code(), Some(0), "{printed}");
        self.next_frame = bridge.unplug();
        self.check(from, Safe::default());
        for entry in std::fs::read_dir(self.scene.log_dir()).unwrap() {
            let name = entry.unwrap().file_name().into_string().unwrap();
            assert!(name.ends_with(".archive") || name == "agent.lock", "{name} is left");
        }
        self
    }
}

/// The time at the begin of a line that the agent said.
fn said_at(line: &str) -> SystemTime {
    let time = line.split_whitespace().next().unwrap();
    let time = chrono::DateTime::parse_from_rfc3339(time).unwrap();
    UNIX_EPOCH + Duration::from_micros(time.timestamp_micros() as u64)
}

/// How long the threads of a process were ready to run and had no processor: the second
/// number of `/proc/PID/task/TID/schedstat` in ns (Linux, `Documentation/scheduler/
/// sched-stats.rst`). On a busy machine this is not the agent's doing.
fn waited_for_processor(process: u32) -> Duration {
    let Ok(threads) = std::fs::read_dir(format!("/proc/{process}/task")) else {
        return Duration::ZERO;
    };
    let waited_ns = |thread: std::io::Result<std::fs::DirEntry>| {
        let stat = std::fs::read_to_string(thread.ok()?.path().join("schedstat")).ok()?;
        stat.split_whitespace().nth(1)?.parse::<u64>().ok()
    };
    Duration::from_nanos(threads.filter_map(waited_ns).sum())
}

/// A number from the environment.
fn asked(name: &str) -> Option<u64> {
    std::env::var(name).ok().map(|text| text.parse().unwrap())
}

fn lane(seed: u64, lane: u64, rounds: u64) -> Lane {
    let mut chance = Rand64::new(u128::from(seed) << 64 | u128::from(lane));
    let mut state = Lane::new();
    for round in 0..rounds {
        // Mostly the first 300 ms: start, first write, sealing of the boot before. One in
        // four later, where parts end and are sealed while the next is written.
        let longest_ms = if chance.rand_range(0..4) == 0 { 1_500 } else { 300 };
        let kill_after = Duration::from_micros(chance.rand_range(0..longest_ms * 1_000));
        let tried = std::panic::AssertUnwindSafe(|| state.round(kill_after));
        assert!(
            std::panic::catch_unwind(tried).is_ok(),
            "failed in round {round} of lane {lane}, killed after {kill_after:?}; again by:\n\
             UNDERBRUSH_KILL_SEED={seed} cargo test -p underbrush-agent --test kill"
        );
    }
    state.end()
}

#[test]
fn what_was_said_to_be_safe_survives_200_kills() {
    let from_clock = || SystemTime::now().duration_since(UNIX_EPOCH).unwrap().as_millis() as u64;
    let seed = asked("UNDERBRUSH_KILL_SEED").unwrap_or_else(from_clock);
    let rounds = asked("UNDERBRUSH_KILL_ROUNDS").unwrap_or(ROUNDS).div_ceil(LANES);
    println!("UNDERBRUSH_KILL_SEED={seed}");
    let lanes: Vec<_> =
        (0..LANES).map(|n| std::thread::spawn(move || lane(seed, n, rounds))).collect();
    let lanes: Vec<Lane> =
        lanes.into_iter().map(|lane| lane.join().expect("see the seed above")).collect();
    let reached: u32 = lanes.iter().map(|lane| lane.reached_disk).sum();
    let slowest = lanes.iter().map(|lane| lane.slowest_start).max().unwrap();
    println!(
        "{} rounds, {reached} of them had readings; slowest start {slowest:?}",
        rounds * LANES
    );
    assert!(u64::from(reached) > rounds * LANES / 4, "most kills came before anything was read");
    assert!(slowest < RECORDING_WITHIN, "{slowest:?} from start to the first safe entry");
}

/// Six full journals wait to be sealed: six hours of a machine whose key was turned each hour.
#[test]
fn a_start_with_a_backlog_records_at_once() {
    let (scene, port, config) = serial_scene("sync_every = \"25 ms\"");
    {
        let storage = DirStorage::open(&scene.log_dir()).unwrap();
        let rotation =
            Rotation { after_ms: 3_600_000, bytes: underbrush_agent::config::SEAL_AT_BYTES };
        for boot in 1..=6_u32 {
            let durability = Durability::AtPartEnd;
            let mut recorder = Recorder::new(storage.clone(), "T1", durability, rotation);
            let mut chance = Rand64::new(boot.into());
            let reading = |i: u64, raw| {
                let channel = Channel(1 + (i % 8) as u8);
                Entry::Reading(Reading { at: BootMs(i * 9), channel, raw })
            };
            let mut entries: Vec<_> =
                (0..390_000).map(|i| reading(i, chance.rand_range(0..2_000) as i32)).collect();
            recorder.push(BootMs(0), &mut entries);
            recorder.finish(BootMs(0));
            assert!(recorder.counts().journal_bytes > 1_400_000, "{:?}", recorder.counts());
        }
    }
    let bridge = Bridge::plug(&port, 0);
    let started = SystemTime::now();
    let agent = Agent::start_with(&config, &["--verbose"]);
    let first = agent.wait_for("synced boot=7");
    let waited = waited_for_processor(agent.child.id());
    let took = said_at(&first).duration_since(started).unwrap_or_default();
    println!("{took:?} from start to the first safe entry, {waited:?} of it without a processor");
    assert!(took.saturating_sub(waited) < RECORDING_WITHIN, "{took:?}");
    agent.wait_for("boot-00000006.part-0001.archive");
    println!("{:?} to the last archive", started.elapsed().unwrap());
    assert_eq!(agent.stop().0.code(), Some(0));
    bridge.unplug();
    let boots = read_boots(&scene.log_dir());
    assert!((1..=6).all(|boot| boots[&boot].reading_count() == 390_000));
}
