//! A long live link with a wrong crystal and a jittering port: bytes in, archive out.
//!
//! The truth is the simulation's own time of each frame.

mod common;

use common::{motion, read_log};
use underbrush_agent::record_chunks;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::link::Encoder;
use underbrush_protocol::note::{ClockSource, Note};
use underbrush_protocol::time::{BootMs, UtcMs};

const PERIOD_MS: u64 = 50;
const HOURS: u64 = 24;
const FRAMES: u64 = HOURS * 3_600_000 / PERIOD_MS;

/// Latency of frame `i` in ms: 1 to 16, and now and then the board is busy.
fn latency_ms(i: u64) -> u64 {
    let jitter = 1 + i.wrapping_mul(2_654_435_761) % 16;
    match i % 5_000 {
        // 2 s in which nothing is read, then all of it at once.
        0..40 => (40 - i % 5_000) * PERIOD_MS,
        1_000..1_200 => 120,
        _ => jitter,
    }
}

fn errors_ms(ppm: f64) -> (f64, f64) {
    let dir = tempfile::tempdir().unwrap();
    let mut encoder = Encoder::default();
    let mut arrived = 0;
    let chunks = (0..FRAMES).map(|i| {
        let sent = 3_000 + i * PERIOD_MS;
        let tick = (sent as f64 * (1.0 + ppm * 1e-6)) as u32;
        arrived = arrived.max(sent + latency_ms(i));
        (BootMs(arrived), encoder.encode(tick, &motion((i % 1_000) as i16)).to_vec())
    });
    let outcome = record_chunks(dir.path(), "T1", UtcMs(1_795_492_800_000), chunks).unwrap();
    assert_eq!((outcome.frames, outcome.readings), (FRAMES, FRAMES));
    assert_eq!(outcome.exit_code(), 0);

    let log = read_log(dir.path());
    let fix = log.notes.iter().find_map(|(at, n)| match n {
        Note::ClockFix(fix) => Some((at.0, fix.utc.0, fix.source)),
        _ => None,
    });
    assert_eq!(fix, Some((0, 1_795_492_800_000, ClockSource::Operator)));
    let mut speeds = log.readings.iter().filter(|r| r.1 == Channel::SPEED);
    let (mut worst, mut sum) = (0.0_f64, 0.0);
    for i in 0..FRAMES {
        // Several frames may share a time; their order among those is not kept apart.
        let (at, _, _) = speeds.next().unwrap();
        let error = (*at as f64 - (3_000 + i * PERIOD_MS) as f64).abs();
        sum += error;
        if i > 30_000 / PERIOD_MS {
            worst = worst.max(error);
        }
    }
    (worst, sum / FRAMES as f64)
}

#[test]
fn times_stay_within_30_ms_of_truth_for_a_day() {
    for ppm in [-200.0, 200.0] {
        let (worst, mean) = errors_ms(ppm);
        println!("{ppm} ppm: worst {worst} ms, mean {mean:.1} ms");
        assert!(worst <= 30.0, "{ppm} ppm: worst {worst} ms, mean {mean} ms");
    }
}
