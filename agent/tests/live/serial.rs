//! The real binary at a pseudo terminal that is pulled, plugged and flooded.

use crate::common::port::{Agent, Port, pause, serial_scene};
use crate::common::{Scene, brush, motion, read_log};
use std::path::PathBuf;
use std::process::Command;
use std::time::Instant;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::link::Encoder;
use underbrush_protocol::note::{GapReason, LinkLoss, Note};

/// The usual scene here: a sync every 200 ms.
fn scene() -> (Scene, PathBuf, PathBuf) {
    serial_scene("sync_every = \"200 ms\"")
}

#[test]
fn unplug_garbage_and_sigterm() {
    let (scene, port_path, config) = scene();
    let agent = Agent::start(&config);
    agent.wait_for("cannot open the port");
    let mut port = Port::plug(&port_path);
    agent.wait_for("port open");
    let mut encoder = Encoder::default();
    for i in 0..40_i16 {
        let tick = 1_000 + i as u32 * 20;
        port.send(encoder.encode(tick, &motion(i)));
        if i == 20 {
            port.send(b"noise on the line \x01\x02\xFF\x00");
        }
        pause(20);
    }
    let half = encoder.encode(1_900, &motion(99)).to_vec();
    port.send(&half[..7]);
    pause(300);
    drop(port);
    agent.wait_for("port lost");
    let mut port = Port::plug(&port_path);
    agent.wait_for("port open");
    for i in 40..80_i16 {
        let tick = 5_000 + i as u32 * 20;
        port.send(encoder.encode(tick, &motion(i)));
        pause(20);
    }
    pause(300);
    let (status, printed) = agent.stop();
    assert_eq!(status.code(), Some(0), "{printed}");
    assert!(printed.contains("readings recorded 80"), "{printed}");

    let log = read_log(&scene.log_dir());
    assert_eq!((log.archives.len(), log.journals, log.unfinished), (1, 0, 0));
    let speeds: Vec<i32> = log.readings.iter().map(|r| r.2).collect();
    assert_eq!(speeds, (0..80).collect::<Vec<_>>());
    // The bridge sent a frame every 20 ms and the log's times say so.
    for pair in
        [&log.readings[5..40], &log.readings[45..80]].iter().flat_map(|half| half.windows(2))
    {
        let step = pair[1].0 - pair[0].0;
        assert!((17..=23).contains(&step), "{pair:?}");
    }
    let gap = log.notes.iter().find_map(|(at, note)| match note {
        Note::Gap(gap) if gap.reason == GapReason::BridgeSilent => Some((*at, *gap)),
        _ => None,
    });
    let (at, gap) = gap.unwrap();
    assert_eq!((gap.from.0, at.0), (log.readings[39].0, log.readings[40].0));
    let mut losses = LinkLoss::default();
    for (_, note) in &log.notes {
        if let Note::LinkLoss(loss) = note {
            losses.add(loss);
        }
    }
    assert_eq!((losses.frames, losses.damaged, losses.disconnects), (80, 1, 1));
    assert_eq!(losses.lost, 0);
    assert!(matches!(log.notes.first(), Some((_, Note::Started))));
    assert!(matches!(log.notes.last(), Some((_, Note::Stopped))));
    assert!(log.notes.iter().any(|(_, n)| matches!(n, Note::ClockFix(_))));
}

#[test]
fn a_second_agent_is_refused() {
    let (_scene, port_path, config) = scene();
    let _port = Port::plug(&port_path);
    let agent = Agent::start(&config);
    agent.wait_for("port open");
    let second = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"))
        .args(["run", "--config"])
        .arg(&config)
        .output()
        .unwrap();
    assert_eq!(second.status.code(), Some(2));
    let told = String::from_utf8(second.stderr).unwrap();
    assert!(told.contains(&format!("process {}", agent.child.id())), "{told}");
    assert_eq!(agent.stop().0.code(), Some(0));
}

#[test]
fn a_killed_agent_loses_no_more_than_a_sync_and_the_next_seals_it() {
    let (scene, port_path, config) = scene();
    let mut port = Port::plug(&port_path);
    let mut agent = Agent::start(&config);
    agent.wait_for("port open");
    let mut encoder = Encoder::default();
    for i in 0..60_i16 {
        port.send(encoder.encode(i as u32 * 20, &motion(i)));
        pause(20);
    }
    agent.child.kill().unwrap();
    agent.child.wait().unwrap();
    assert_eq!(read_log(&scene.log_dir()).journals, 1);
    let next = Agent::start(&config);
    next.wait_for("boot-00000001.part-0001.archive");
    assert_eq!(next.stop().0.code(), Some(0));
    let log = read_log(&scene.log_dir());
    assert_eq!(log.archives.first().unwrap(), "boot-00000001.part-0001.archive");
    assert_eq!(log.archives.last().unwrap(), "boot-00000002.part-0001.archive");
    // Within 200 ms of the kill, of frames that came every 20 ms, and some slack.
    assert!(log.readings.len() >= 40, "{}", log.readings.len());
}

/// Sends `frames_a_second` for `seconds` and returns the frames sent.
fn flood(port: &mut Port, frames_a_second: u32, seconds: u32) -> u32 {
    let mut encoder = Encoder::default();
    let start = Instant::now();
    let total = frames_a_second * seconds;
    let mut sent = 0;
    let mut piece = Vec::new();
    while sent < total {
        let due = (start.elapsed().as_millis() as u32 * frames_a_second / 1000).min(total);
        piece.clear();
        for i in sent..due {
            let tick = (u64::from(i) * 1000 / u64::from(frames_a_second)) as u32;
            let frame = if i % 2 == 0 { motion((i % 1000) as i16) } else { brush(true, 180) };
            piece.extend_from_slice(encoder.encode(tick, &frame));
        }
        port.send(&piece);
        sent = due;
        pause(2);
    }
    total
}

#[test]
fn a_flood_of_8000_frames_a_second_loses_nothing() {
    let (scene, port_path, config) = scene();
    let mut port = Port::plug(&port_path);
    let agent = Agent::start(&config);
    agent.wait_for("port open");
    let sent = flood(&mut port, 8_000, 4);
    pause(500);
    let (status, printed) = agent.stop();
    assert_eq!(status.code(), Some(0));
    assert!(printed.contains(&format!("frames            {sent}\n")), "{printed}");
    let log = read_log(&scene.log_dir());
    let speeds = log.readings.iter().filter(|r| r.1 == Channel::SPEED).count();
    assert_eq!(speeds as u32, sent / 2);
    let lossless = |note: &Note| !matches!(note, Note::LinkLoss(loss) if loss.any_loss());
    assert!(log.notes.iter().all(|(_, note)| lossless(note)));
}
