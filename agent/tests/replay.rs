//! Captures end to end: bytes in a file, the library, a sealed archive read back.

mod common;

use common::{Scene, brush, motion, read_log};
use underbrush_agent::{Config, run_blocking};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::{Capabilities, Frame, Hello};
use underbrush_protocol::link::Encoder;
use underbrush_protocol::note::{ClockSource, GapReason, Note};

/// Frames of `seconds` at 10 Hz with the readings that they must give.
fn night(seconds: u32) -> (Vec<u8>, Vec<(u64, Channel, i32)>) {
    let mut encoder = Encoder::starting_at(65_000);
    let hello = Frame::Hello(Hello {
        bridge_id: 7,
        firmware: (1, 2, 3),
        capabilities: Capabilities::default(),
        brush_motors: 2,
        period_ms: 100,
    });
    let mut bytes = encoder.encode(4_000_000_000, &hello).to_vec();
    let mut readings = Vec::new();
    for i in 0..seconds * 10 {
        let tick = 4_000_000_000_u32.wrapping_add(i * 100);
        let at = u64::from(i) * 100;
        let speed = 600 + (i % 50) as i16;
        let current = 180 + (i % 9) as i16;
        bytes.extend_from_slice(encoder.encode(tick, &motion(speed)));
        bytes.extend_from_slice(encoder.encode(tick, &brush(true, current)));
        readings.push((at, Channel::SPEED, i32::from(speed)));
        readings.push((at, Channel::BRUSH_COMMAND, 1));
        readings.push((at, Channel::brush_current(0).unwrap(), i32::from(current)));
    }
    (bytes, readings)
}

fn sorted(mut readings: Vec<(u64, Channel, i32)>) -> Vec<(u64, Channel, i32)> {
    readings.sort_unstable();
    readings
}

#[test]
fn a_whole_capture_becomes_a_whole_archive() {
    let scene = Scene::new();
    // More than 4,294,967 s / 10 of ticks: the tick wraps inside the capture.
    let (bytes, readings) = night(3_600 * 3);
    scene.write("night.bytes", &bytes);
    let config = scene
        .config("kind = \"capture\"\nfile = \"night.bytes\"\nstart = 2026-11-23T22:00:00-06:00\n");
    let mut last_progress = 0;
    let outcome = run_blocking(&Config::read(&config).unwrap(), |p| {
        assert!(p.bytes_done > last_progress && p.bytes_done <= p.bytes_total);
        last_progress = p.bytes_done;
    })
    .unwrap();
    assert_eq!(last_progress, bytes.len() as u64);
    assert_eq!(outcome.frames, 1 + 2 * 3 * 36_000);
    assert_eq!(outcome.readings, readings.len() as u64);
    assert_eq!((outcome.any_loss(), outcome.exit_code()), (false, 0));
    // Three hours, a part an hour; the last holds the final instant and `Stopped`.
    assert!((3..=4).contains(&outcome.sealed.archives.len()), "{:?}", outcome.sealed);

    let log = read_log(&scene.log_dir());
    assert_eq!(log.readings, sorted(readings));
    assert_eq!(log.journals, 0);
    let fix = log.notes.iter().find_map(|(at, note)| match note {
        Note::ClockFix(fix) => Some((at.0, *fix)),
        _ => None,
    });
    let (at, fix) = fix.unwrap();
    // Source: GNU coreutils, `date -u -d 2026-11-23T22:00:00-06:00 +%s` prints 1795492800.
    assert_eq!((at, fix.utc.0, fix.source), (0, 1_795_492_800_000, ClockSource::Operator));
    assert!(matches!(log.notes.first(), Some((_, Note::Started))));
    assert!(matches!(log.notes.last(), Some((_, Note::Stopped))));
}

#[test]
fn the_same_capture_gives_the_same_archive_twice() {
    let (bytes, _) = night(600);
    let archive = || {
        let scene = Scene::new();
        scene.write("night.bytes", &bytes);
        let config = scene.config("kind = \"capture\"\nfile = \"night.bytes\"\n");
        run_blocking(&Config::read(&config).unwrap(), |_| {}).unwrap();
        std::fs::read(scene.log_dir().join("boot-00000001.part-0001.archive")).unwrap()
    };
    assert_eq!(archive(), archive());
}

#[test]
fn damage_is_counted_noted_and_costs_only_itself() {
    let scene = Scene::new();
    let (mut bytes, readings) = night(60);
    let garbage: Vec<u8> = (1..=200).map(|i| (i * 37 % 251 + 1) as u8).collect();
    let middle = bytes.len() / 2;
    let at_packet = middle + bytes[middle..].iter().position(|b| *b == 0).unwrap() + 1;
    bytes.splice(at_packet..at_packet, garbage.into_iter().chain([0]));
    let flip = bytes.len() / 4;
    bytes[flip] ^= 0x55;
    let cut = bytes.len() - 3;
    bytes.truncate(cut);
    // The bridge restarts after the cut packet, with its numbers and ticks at 0.
    let mut again = Encoder::default();
    bytes.push(0);
    bytes.extend_from_slice(again.encode(30, &motion(111)));
    scene.write("night.bytes", &bytes);

    let config = scene.config("kind = \"capture\"\nfile = \"night.bytes\"\n");
    let outcome = run_blocking(&Config::read(&config).unwrap(), |_| {}).unwrap();
    assert_eq!(outcome.exit_code(), 3);
    assert_eq!(outcome.link.restarts, 1);
    assert!((2..=4).contains(&outcome.link.damaged), "{:?}", outcome.link);
    assert_eq!(outcome.frames, 1 + 2 * 600 - 2 + 1, "one flipped, one cut, one more");
    let log = read_log(&scene.log_dir());
    // A Motion frame is one reading, a Brush frame two.
    let missing = readings.len() + 1 - log.readings.len();
    assert!((2..=4).contains(&missing), "{missing}");
    assert!(log.readings.contains(&(60_000, Channel::SPEED, 111)), "one period after the last");
    let known = |r: &(u64, Channel, i32)| readings.contains(r) || r.2 == 111;
    assert!(log.readings.iter().all(known));
    let restarted =
        |note: &Note| matches!(note, Note::Gap(g) if g.reason == GapReason::BridgeRestarted);
    assert_eq!(log.notes.iter().filter(|(_, n)| restarted(n)).count(), 1);
}
