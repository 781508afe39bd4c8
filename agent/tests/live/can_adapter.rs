//! A CAN adapter of the common ASCII protocol: the real agent at a pseudo terminal, and
//! hostile bytes.

use crate::common::port::{Agent, Port, pause};
use crate::common::{Scene, read_log};
use proptest::prelude::*;
use std::fmt::Write as _;
use std::io::{Read, Write};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, LazyLock, Mutex};
use std::thread::JoinHandle;
use std::time::Instant;
use underbrush_agent::decode::dbc::Database;
use underbrush_agent::decode::{CanIntake, SignalReader};
use underbrush_agent::source::adapter::{AdapterIntake, AdapterReader, AdapterSaid};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{LinkLoss, Note};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

/// An adapter that answers each command by `answer`, and what it was told.
struct Fake {
    port: Port,
    told: Arc<Mutex<Vec<String>>>,
    pulled: Arc<AtomicBool>,
    listener: Option<JoinHandle<()>>,
}

impl Fake {
    fn plug(scene: &Scene, answer: fn(&str) -> &'static [u8]) -> Self {
        let port = Port::plug(&scene.path("port"));
        port.never_wait();
        let mut side = port.again();
        let told: Arc<Mutex<Vec<String>>> = Arc::default();
        let pulled: Arc<AtomicBool> = Arc::default();
        let (heard, over) = (Arc::clone(&told), Arc::clone(&pulled));
        let listener = std::thread::spawn(move || {
            let (mut line, mut byte) = (String::new(), [0]);
            while !over.load(Ordering::Relaxed) {
                match side.read(&mut byte) {
                    Ok(1) if byte == [b'\r'] => {
                        let _ = side.write_all(answer(&line));
                        heard.lock().unwrap().push(std::mem::take(&mut line));
                    }
                    Ok(1) => line.push(byte[0] as char),
                    _ => pause(2),
                }
            }
        });
        Self { port, told, pulled, listener: Some(listener) }
    }

    fn told(&self) -> Vec<String> {
        self.told.lock().unwrap().clone()
    }
}

impl Drop for Fake {
    fn drop(&mut self) {
        self.pulled.store(true, Ordering::Relaxed);
        // Only then nobody holds the port any more.
        self.listener.take().map(JoinHandle::join);
    }
}

fn willing(command: &str) -> &'static [u8] {
    match command {
        "" | "C" => b"\x07",
        "V" => b"V1013\r",
        "F" => b"F01\r",
        _ => b"\r",
    }
}

fn scene(more: &str) -> (Scene, std::path::PathBuf) {
    let scene = Scene::new();
    let port = scene.path("port").display().to_string();
    let source = format!(
        "kind = \"can-adapter\"\nport = \"{port}\"\nbitrate = 250000\ndbc = \"bus.dbc\"\n{more}"
    );
    let config = scene.config(&source);
    (scene, config)
}

/// `Drive` with a speed of 0.01 km/h a step.
fn drive(step: u16, stamp_ms: Option<u32>) -> String {
    let [low, high] = step.to_le_bytes();
    let stamp = stamp_ms.map(|ms| format!("{:04X}", ms % 60_000)).unwrap_or_default();
    format!("t1804{low:02X}{high:02X}0000{stamp}\r")
}

fn losses(notes: &[(BootMs, Note)]) -> LinkLoss {
    let mut losses = LinkLoss::default();
    for (_, note) in notes {
        if let Note::LinkLoss(loss) = note {
            losses.add(loss);
        }
    }
    losses
}

#[test]
fn frames_are_recorded_at_the_adapters_times_and_nothing_is_sent_to_the_bus() {
    let (scene, config) = scene("timestamps = true\n");
    let mut fake = Fake::plug(&scene, willing);
    // A channel that was left open, with another bit rate perhaps.
    fake.port.send(b"0FF\rt18041111");
    let agent = Agent::start(&config);
    agent.wait_for("adapter open");
    // 2 s over the end of the adapter's minute; what came in 200 ms is sent at once.
    let begin = Instant::now();
    let mut sent = 0;
    for burst in 0..10 {
        pause(200);
        let mut text = String::new();
        let due = if burst == 9 { 100 } else { begin.elapsed().as_millis() as u32 / 20 };
        for i in sent..due.min(100) {
            text.push_str(&drive(100 + i as u16, Some(59_000 + i * 20)));
        }
        sent = due.min(100);
        write!(text, "noise{burst}\rz\re1s\r").unwrap();
        fake.port.send(text.as_bytes());
    }
    pause(100);
    let told = fake.told();
    fake.port.send(b"t1804");
    drop(fake);
    agent.wait_for("port lost");
    let fake = Fake::plug(&scene, willing);
    agent.wait_for("adapter open");
    let mut port = fake.port.again();
    port.write_all(drive(900, Some(7)).as_bytes()).unwrap();
    pause(300);
    let (status, printed) = agent.stop();
    assert_eq!(status.code(), Some(0), "{printed}");

    assert_eq!(told[..6], ["", "", "C", "V", "S5", "Z1"]);
    assert_eq!(told[6], "L");
    let last = fake.told();
    assert_eq!(last.last().unwrap(), "C", "it leaves the bus");
    let to_bus = |command: &&String| command.starts_with(|c| "tTrRdDbBO".contains(c));
    assert_eq!(told.iter().chain(&last).find(to_bus), None);

    let log = read_log(&scene.log_dir());
    let speeds: Vec<_> = log.readings.iter().filter(|r| r.1 == Channel::SPEED).collect();
    assert_eq!(speeds.len(), 101, "{printed}");
    for (i, reading) in speeds.iter().enumerate().take(100) {
        let mm_s = (100 + i) as f64 * 0.01 / 3.6 * 1_000.0;
        assert_eq!(reading.2, mm_s.round() as i32);
    }
    // They arrived in bursts of 200 ms; the adapter says 20 ms, over its wrap too. A slow
    // computer may move some.
    let steps: Vec<u64> = speeds[30..100].windows(2).map(|p| p[1].0 - p[0].0).collect();
    let even = steps.iter().filter(|step| **step == 20).count();
    assert!(even >= 60, "{steps:?}");
    assert!((1_250..=1_500).contains(&steps.iter().sum::<u64>()), "{steps:?}");
    let losses = losses(&log.notes);
    assert_eq!((losses.damaged, losses.disconnects), (10, 1));
    assert_eq!(log.notes.iter().filter(|(_, n)| matches!(n, Note::Gap(_))).count(), 1);
    assert!(printed.contains("malformed lines: 10"), "{printed}");
    assert!(printed.contains("remote and error frames: 10"), "{printed}");
}

#[test]
fn an_adapter_that_cannot_only_listen_is_left_closed() {
    let (scene, config) = scene("");
    let fake =
        Fake::plug(&scene, |command| if command == "L" { b"\x07" } else { willing(command) });
    let agent = Agent::start(&config);
    agent.wait_for("cannot open the bus to listen only");
    let mut port = fake.port.again();
    port.write_all(drive(100, None).as_bytes()).unwrap();
    pause(400);
    let (status, _) = agent.stop();
    assert_eq!(status.code(), Some(0));
    let told = fake.told();
    assert!(told.contains(&"L".to_owned()) && !told.contains(&"O".to_owned()), "{told:?}");
    assert!(!told.contains(&"Z1".to_owned()), "times were not asked for: {told:?}");
    assert_eq!(read_log(&scene.log_dir()).readings, []);
}

#[test]
fn an_adapter_that_answers_nothing_is_read_and_may_be_opened_to_take_part() {
    let (scene, config) = scene("listen_only = false\n");
    let mut fake = Fake::plug(&scene, |_| b"");
    let agent = Agent::start(&config);
    agent.wait_for("no answer");
    fake.port.send(drive(100, None).as_bytes());
    pause(300);
    let (_, printed) = agent.stop();
    assert!(fake.told().contains(&"O".to_owned()));
    assert_eq!(read_log(&scene.log_dir()).readings.len(), 1, "{printed}");
}

#[test]
fn lost_frames_that_the_adapter_tells_are_counted() {
    let (scene, config) = scene("");
    let _fake = Fake::plug(&scene, willing);
    let agent = Agent::start(&config);
    agent.wait_for("the adapter lost frames");
    agent.stop();
    assert!(losses(&read_log(&scene.log_dir()).notes).lost >= 1);
}

static READER: LazyLock<SignalReader> = LazyLock::new(|| {
    let database = Database::parse(include_bytes!("../data/bus.dbc")).unwrap();
    let text = include_str!("../data/machine.toml");
    let machine = Machine::parse("machine.toml", text).unwrap();
    SignalReader::new(&database, "bus.dbc", &machine, "machine.toml", text).unwrap()
});

fn entries(bytes: &[u8], piece: usize) -> (Vec<Entry>, u64) {
    let mut intake = AdapterIntake::new(CanIntake::new(READER.clone()));
    intake.opened();
    let (mut out, mut answers) = (Vec::new(), Vec::new());
    for piece in bytes.chunks(piece) {
        intake.bytes(BootMs(100_000), piece, &mut out, &mut answers);
    }
    intake.finish(&mut out);
    (out, intake.can().counts().malformed_lines)
}

/// Lines that are frames, answers or nearly so, and any bytes.
fn hostile() -> impl Strategy<Value = Vec<u8>> {
    let line = prop_oneof![
        4 => "[tTrRdDbB][0-9A-F]{3,30}\r",
        2 => "t180[48][0-9A-Fa-f]{8}([0-9A-F]{4})?\r",
        1 => "T0CFF1055400D0000[0-9]{4}\r",
        1 => "(V1013|F[0-9A-F]{2}|e[1-3][a-z]{1,3}|s[abpw][0-9]{6}|z)?[\r\x07]",
        1 => "[\\x00-\\x7F]{0,200}",
    ];
    let text = proptest::collection::vec(line, 0..40).prop_map(|lines| lines.concat().into_bytes());
    let changes = proptest::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6);
    (text, changes).prop_map(|(mut text, changes)| {
        for (at, byte) in changes.into_iter().filter(|_| !text.is_empty()).collect::<Vec<_>>() {
            let at = at.index(text.len());
            text[at] = byte;
        }
        text
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2_000, ..ProptestConfig::default() })]

    /// However bytes are cut and whatever they are: the same entries, in order of time, and
    /// each line is a frame, an answer or counted as damaged.
    #[test]
    fn hostile_bytes(bytes in hostile(), piece in 1..50_usize) {
        let (whole, malformed) = entries(&bytes, bytes.len().max(1));
        prop_assert!(whole.is_sorted_by_key(Entry::at));
        prop_assert_eq!(&entries(&bytes, piece).0, &whole);
        let (mut said, mut damaged) = (0, 0);
        AdapterReader::default().push(&bytes, &mut |what| {
            said += 1;
            damaged += u64::from(matches!(what, AdapterSaid::Damaged(_)));
        });
        let lines = bytes.iter().filter(|b| matches!(**b, b'\r' | 7)).count();
        // A line that breaks off by BEL is damaged and a refusal.
        prop_assert!((lines..=2 * lines).contains(&said));
        prop_assert_eq!(malformed, damaged);
    }

    /// Damage costs no whole frame behind it.
    #[test]
    fn frames_behind_damage_are_read(bytes in hostile(), step in 0_u16..1_000) {
        let mut all = bytes.clone();
        let before = entries(&[&all[..], b"\r"].concat(), 64).0;
        all.extend(b"\r");
        all.extend(drive(step, None).as_bytes());
        let speeds = |entries: &[Entry]| {
            entries.iter().filter(|e| matches!(e, Entry::Reading(r) if r.channel == Channel::SPEED)).count()
        };
        prop_assert_eq!(speeds(&entries(&all, 64).0), speeds(&before) + 1);
    }
}
