//! A candump capture end to end.

mod common;

use common::{Scene, read_log};
use std::fmt::Write;
use underbrush_agent::{AgentError, Config, run_blocking};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::note::{ClockSource, Note};

const SOURCE: &str = "kind = \"candump\"\nfile = \"bus.log\"\ndbc = \"bus.dbc\"\n";

#[test]
fn a_capture_becomes_readings_at_its_stamps() {
    let scene = Scene::new();
    let mut text = String::new();
    for i in 0..1_000_u32 {
        let ms = 1_795_492_800_000_u64 + u64::from(i) * 50;
        let (s, us) = (ms / 1_000, ms % 1_000 * 1_000);
        // 0.01 km/h a step: 1.80 to 4.10 km/h.
        let speed = (180 + i % 230).to_le_bytes();
        writeln!(text, "({s}.{us:06}) can0 180#{:02X}{:02X}0000", speed[0], speed[1]).unwrap();
        writeln!(text, "({s}.{us:06}) can1 0CFF1055#D0090000").unwrap();
        match i {
            100 => text.push_str("\n   \ngarbage in the middle\n"),
            200 => writeln!(text, "({s}.{us:06}) can0 7FF#0102").unwrap(),
            300 => writeln!(text, "({s}.{us:06}) can0 180#R4").unwrap(),
            400 => writeln!(text, "({s}.{us:06}) can0 20000004#0000000000000000").unwrap(),
            500 => writeln!(text, "({s}.{us:06}) can0 180##1FFFF0000").unwrap(),
            600 => writeln!(text, "({s}.{us:06}) can0 180#11").unwrap(),
            700 => text.push_str(&"x".repeat(100_000)),
            701 => text.push('\n'),
            _ => {}
        }
    }
    // The last line has no end.
    scene.write("bus.log", text.trim_end().as_bytes());
    let config = scene.config(SOURCE);
    let outcome = run_blocking(&Config::read(&config).unwrap(), |_| {}).unwrap();
    let can = outcome.can;
    // Line 701's first frame stands behind the 100,000 letters, on the same line.
    assert_eq!((can.malformed_lines, can.remote, can.error_frames), (2, 1, 1));
    assert_eq!((can.not_mapped, can.too_short, can.out_of_range), (1, 1, 1));
    assert_eq!((outcome.exit_code(), can.backward_times), (3, 0));

    let log = read_log(&scene.log_dir());
    let speeds: Vec<_> = log.readings.iter().filter(|r| r.1 == Channel::SPEED).collect();
    let volts = log.readings.iter().filter(|r| r.1 == Channel::BATTERY_VOLTAGE).count();
    assert_eq!((speeds.len(), volts), (999, 1_000));
    for (i, (at, _, raw)) in speeds.iter().enumerate() {
        let i = if i > 700 { i as u64 + 1 } else { i as u64 };
        // Exact by definition: 1 km/h = 1000 mm / 3.6 s.
        let mm_s = (180 + i % 230) as f64 * 0.01 / 3.6 * 1_000.0;
        assert_eq!((*at, *raw), (i * 50, mm_s.round() as i32));
    }
    let fixes: Vec<_> = log
        .notes
        .iter()
        .filter_map(|(at, n)| if let Note::ClockFix(fix) = n { Some((at.0, *fix)) } else { None })
        .collect();
    let [(at, fix)] = fixes[..] else { panic!("{fixes:?}") };
    assert_eq!((at, fix.utc.0, fix.source), (0, 1_795_492_800_000, ClockSource::Capture));
}

#[test]
fn stamps_that_run_back_are_held_or_begin_anew_with_a_fix() {
    let scene = Scene::new();
    let lines = "\
        (1795492800.000000) can0 180#64000000\n\
        (1795492801.000000) can0 180#64000000\n\
        (1795492800.900000) can0 180#64000000\n\
        (1795492801.100000) can0 180#64000000\n\
        (1795490000.000000) can0 180#64000000\n\
        (1795490002.000000) can0 180#64000000\n";
    scene.write("bus.log", lines.as_bytes());
    let config = scene.config(SOURCE);
    let outcome = run_blocking(&Config::read(&config).unwrap(), |_| {}).unwrap();
    assert_eq!((outcome.can.backward_times, outcome.exit_code()), (2, 3));
    let log = read_log(&scene.log_dir());
    let times: Vec<u64> = log.readings.iter().map(|r| r.0).collect();
    assert_eq!(times, [0, 1_000, 1_000, 1_100, 1_100, 3_100]);
    let fixes: Vec<_> = log
        .notes
        .iter()
        .filter_map(|(at, n)| if let Note::ClockFix(f) = n { Some((at.0, f.utc.0)) } else { None })
        .collect();
    assert_eq!(fixes, [(0, 1_795_492_800_000), (1_100, 1_795_490_000_000)]);
}

// Source: three real frames in the README of pretty_j1939 (Apache-2.0), whose own
// output for the third is 649.0 rpm.
#[test]
fn a_real_capture() {
    let scene = Scene::new();
    scene.write(
        "bus.log",
        b"(1543509533.000838) can0 10FDA300#FFFF07FFFFFFFFFF\n\
          (1543509533.000915) can0 18FEE000#FFFFFFFFB05C6800\n\
          (1543509533.001145) can0 0CF00400#207D87481400F087\n",
    );
    scene.write(
        "bus.dbc",
        b"VERSION \"\"\nNS_ :\nBS_:\nBU_: ECU\nBO_ 2364539904 EEC1: 8 ECU\n \
          SG_ EngineSpeed : 24|16@1+ (0.125,0) [0|8031.875] \"rpm\" Vector__XXX\n",
    );
    let machine = include_str!("data/machine.toml").split("[[signal]]").next().unwrap();
    let map = "[[signal]]\nchannel = \"brush_rotation_1\"\nmessage = \"EEC1\"\nsignal = \"EngineSpeed\"\n";
    scene.write("machine.toml", format!("{machine}{map}").as_bytes());
    let config = scene.config(SOURCE);
    let outcome = run_blocking(&Config::read(&config).unwrap(), |_| {}).unwrap();
    assert_eq!((outcome.frames, outcome.can.not_mapped, outcome.exit_code()), (1, 2, 0));
    let log = read_log(&scene.log_dir());
    assert_eq!(log.readings, [(1, Channel::brush_rotation(0).unwrap(), 6_490)]);
}

#[test]
fn wrong_files_are_told_before_the_log_is_touched() {
    let scene = Scene::new();
    let config = scene.config(SOURCE);
    let failed = |config| run_blocking(&Config::read(config).unwrap(), |_| {}).unwrap_err();
    let missing = failed(&config);
    assert!(matches!(missing, AgentError::Read { .. }) && missing.to_string().contains("bus.log"));
    scene.write("bus.log", b"");
    scene.write("bus.dbc", b"no dbc");
    let wrong = failed(&config);
    assert!(matches!(wrong, AgentError::Dbc { .. }), "{wrong}");
    assert_eq!((missing.exit_code(), wrong.exit_code()), (1, 1));
    assert!(!scene.log_dir().exists());
}
