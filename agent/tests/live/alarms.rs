//! Alarms of the real binary at a pseudo terminal: the bridge's buzzer and the command.
//!
//! Times are those of this test's own clock, from the frame with which the trouble begins to
//! the frame that the bridge hears. A line of a GPIO chip is not tested here, as few test
//! machines have one: `watch/outputs.rs` tests its switching with a file in its place.

use crate::common::bench::{Bench, Doing, PERIOD, WORK};
use crate::common::port::pause;
use crate::common::read_log;
use std::os::unix::fs::PermissionsExt;
use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};
use underbrush_agent::Status;
use underbrush_agent::watch::HookCounts;
use underbrush_protocol::channel::Channel;

const WARNING: u8 = 1;
const ALARM: u8 = 2;
const STATIONARY: u8 = 1;
const STALL: u8 = 2;
const OVER_PRESSURE: u8 = 3;
const VACUUM: u8 = 5;
const WATER: u8 = 6;

const BUZZER: &str = "[alarm]\nbridge_buzzer = true\n";
const STANDS: Doing = Doing { speed_mm_s: 0, ..WORK };

/// From the frame with which it begins to the first warning and to the alarm.
struct Heard {
    warned: Option<Duration>,
    alarmed: Duration,
}

/// Lets the machine work, then do `wrong` until the alarm is heard, then work until it is quiet.
fn provoke(bench: &mut Bench, wrong: Doing, about: u8) -> Heard {
    bench.run_for(WORK, 1_500);
    let before = bench.heard.len();
    let told = |level: u8| move |b: &(Instant, _)| is(b.1, level, about);
    let from = bench.run(wrong, 8_000, |heard| heard[before..].iter().any(told(ALARM)));
    let at = |bench: &Bench, level| bench.first(from, level, about).map(|at| at - from);
    let alarmed = at(bench, ALARM).unwrap_or_else(|| panic!("no alarm: {:?}", bench.heard));
    let warned = at(bench, WARNING);
    let before = bench.heard.len();
    let quiet = |heard: &[(Instant, _)]| heard[before..].last().is_some_and(|b| is(b.1, 0, 0));
    bench.run(WORK, 4_000, quiet);
    assert!(quiet(&bench.heard), "it goes on: {:?}", &bench.heard[before..]);
    Heard { warned, alarmed }
}

fn is(buzzer: underbrush_protocol::reply::Buzzer, level: u8, about: u8) -> bool {
    (buzzer.level, buzzer.about) == (level, about)
}

/// A reading is the mean since the one before it: what is told of the first wrong one began
/// a period earlier.
fn since_it_began(heard: Duration) -> Duration {
    heard + PERIOD
}

/// The best of three, since a test machine may be busy.
fn best(times: impl Iterator<Item = Duration>) -> Duration {
    times.min().unwrap()
}

#[test]
fn a_stationary_brush_is_heard_within_a_second() {
    let mut bench = Bench::new(BUZZER);
    let stops: Vec<Heard> = (0..3).map(|_| provoke(&mut bench, STANDS, STATIONARY)).collect();
    let warned = best(stops.iter().map(|stop| since_it_began(stop.warned.unwrap())));
    let alarmed = best(stops.iter().map(|stop| since_it_began(stop.alarmed)));
    println!("stationary: warning after {warned:?}, alarm after {alarmed:?}");
    assert!((500..1_000).contains(&warned.as_millis()), "{warned:?}");
    // An event of the report lasts longer than 2 s.
    assert!((2_000..3_000).contains(&alarmed.as_millis()), "{alarmed:?}");
    for stop in &stops {
        assert!(stop.warned.unwrap() < stop.alarmed);
    }
    assert_eq!(bench.agent.stop().0.code(), Some(0));
}

#[test]
fn a_stall_and_over_pressure_are_heard() {
    let mut bench = Bench::new(BUZZER);
    // The machine file: rated 25 A; a stall from 62.5 A at rest for 0.2 s, over pressure from
    // 31.25 A for 3 s.
    let stalls = Doing { current_da: 700, rotation_drpm: 0, ..WORK };
    let stalls: Vec<Heard> = (0..3).map(|_| provoke(&mut bench, stalls, STALL)).collect();
    let stalled = best(stalls.iter().map(|stall| since_it_began(stall.alarmed)));
    let presses = Doing { current_da: 350, ..WORK };
    let pressed = provoke(&mut bench, presses, OVER_PRESSURE);
    let (warned, alarmed) =
        (since_it_began(pressed.warned.unwrap()), since_it_began(pressed.alarmed));
    println!("stall {stalled:?}; over-pressure warning {warned:?}, alarm {alarmed:?}");
    assert!((200..1_000).contains(&stalled.as_millis()), "{stalled:?}");
    assert!((1_000..2_500).contains(&warned.as_millis()), "{warned:?}");
    assert!((3_000..4_500).contains(&alarmed.as_millis()), "{alarmed:?}");
    let motors: Vec<u8> = bench.heard.iter().map(|(_, b)| b.motor).filter(|m| *m > 0).collect();
    assert!(!motors.is_empty() && motors.iter().all(|motor| *motor == 1), "the first of both");
    assert_eq!(bench.agent.stop().0.code(), Some(0));
}

#[test]
fn water_and_vacuum_off_are_heard() {
    let mut bench = Bench::new(BUZZER);
    let dry = provoke(&mut bench, Doing { flow: 0, ..WORK }, WATER);
    let wet = provoke(&mut bench, Doing { vacuum_on: false, ..WORK }, VACUUM);
    for (what, heard) in [("water", dry), ("vacuum", wet)] {
        println!("{what} off: alarm after {:?}", heard.alarmed);
        // The bench's machine file says 1 s.
        assert!((1_000..2_500).contains(&heard.alarmed.as_millis()), "{what} {:?}", heard.alarmed);
        assert_eq!(heard.warned, None, "{what}");
    }
    assert_eq!(bench.agent.stop().0.code(), Some(0));
}

/// Writes a program that may be run.
fn program(path: &Path, text: &str) {
    std::fs::write(path, format!("#!/bin/sh\n{text}\n")).unwrap();
    std::fs::set_permissions(path, std::fs::Permissions::from_mode(0o755)).unwrap();
}

fn status(config: &Path) -> Status {
    let asked = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"))
        .args(["status", "--json", "--config"])
        .arg(config)
        .output()
        .unwrap();
    serde_json::from_slice(&asked.stdout).unwrap()
}

/// Ends the agent: all that the bridge sent is in the log, and nothing else.
fn all_is_recorded(bench: Bench) {
    let Bench { scene, agent, sent, .. } = bench;
    // A busy computer reads the last frames late; those of a port are gone with the agent.
    pause(1_000);
    let (ended, printed) = agent.stop();
    assert_eq!(ended.code(), Some(0), "{printed}");
    let log = read_log(&scene.log_dir());
    let of = |channel| log.readings.iter().filter(|r| r.1 == channel).count();
    let current = of(Channel::brush_current(1).unwrap());
    assert_eq!((of(Channel::SPEED), current, of(Channel::VACUUM_ON)), (sent, sent, sent));
    // The disk is not held up either: a frame every 100 ms, and so are the readings.
    let speeds: Vec<u64> =
        log.readings.iter().filter(|r| r.1 == Channel::SPEED).map(|r| r.0).collect();
    assert!(speeds.windows(2).all(|pair| pair[1] - pair[0] < 1_000), "{speeds:?}");
}

/// Settings of a command at `path`; told with `more` of its keys.
fn command(path: &Path, more: &str) -> String {
    format!("[alarm.command]\nprogram = \"{}\"\n{more}", path.display())
}

#[test]
fn the_command_is_told_all_of_it_one_at_a_time() {
    let dir = tempfile::tempdir().unwrap();
    let (path, told) = (dir.path().join("tell"), dir.path().join("told"));
    let line = "$#|$1|$2|$UNDERBRUSH_ALARM|$UNDERBRUSH_STAGE|$UNDERBRUSH_ON|$UNDERBRUSH_MOTOR\
                |$UNDERBRUSH_MACHINE|$UNDERBRUSH_SINCE|$UNDERBRUSH_LASTED_MS|$(date +%s%3N)";
    program(&path, &format!("echo \"{line}\" >> '{}'", told.display()));
    let keys = "arguments = [\"night; echo\", \"$HOME\"]\nleast_between = \"0.7 s\"\n";
    let mut bench = Bench::new(&(command(&path, keys) + "[alarm.warn]\nstall = false\n"));
    bench.run_for(WORK, 1_500);
    let now: chrono::DateTime<chrono::Utc> = std::time::SystemTime::now().into();
    bench.run_for(Doing { current_da: 700, rotation_drpm: 0, ..WORK }, 600);
    bench.run_for(WORK, 3_500);
    assert_eq!(status(&bench.config).alarm_commands, HookCounts { well: 4, ..Default::default() });
    all_is_recorded(bench);

    let text = std::fs::read_to_string(&told).unwrap();
    let lines: Vec<Vec<&str>> = text.lines().map(|line| line.split('|').collect()).collect();
    // Both motors stall: each begins and ends. No shell reads the arguments.
    let says: Vec<_> = lines.iter().map(|line| line[..8].to_vec()).collect();
    let of = |on, motor| vec!["2", "night; echo", "$HOME", "stall", "event", on, motor, "T1"];
    assert_eq!(says, [of("1", "1"), of("1", "2"), of("0", "1"), of("0", "2")], "{text}");
    for line in &lines {
        if let Ok(since) = chrono::DateTime::parse_from_rfc3339(line[8]) {
            let off_ms = (since.to_utc() - now).num_milliseconds();
            assert!(line[8].ends_with('Z') && (-600..600).contains(&off_ms), "{text}");
        } else {
            assert_eq!(line[8], "", "a clock that is not set says nothing");
        }
        let lasted: u64 = line[9].parse().unwrap();
        assert!((200..900).contains(&lasted), "{text}");
    }
    let starts: Vec<u64> = lines.iter().map(|line| line[10].parse().unwrap()).collect();
    // The program reads its clock a moment after its start.
    assert!(starts.windows(2).all(|pair| pair[1] - pair[0] >= 650), "{text}");
}

#[test]
fn a_command_that_hangs_is_killed_with_what_it_started() {
    let dir = tempfile::tempdir().unwrap();
    let (path, processes) = (dir.path().join("hangs"), dir.path().join("processes"));
    let text = format!("sleep 600 &\necho $$ $! >> '{}'\nwait", processes.display());
    program(&path, &text);
    let keys = "time_limit = \"0.4 s\"\nleast_between = \"0.1 s\"\n";
    let mut bench = Bench::new(&command(&path, keys));
    bench.run_for(WORK, 1_500);
    bench.run_for(STANDS, 2_500);
    bench.run_for(WORK, 2_000);
    // Warning and alarm, each on and off.
    assert_eq!(
        status(&bench.config).alarm_commands,
        HookCounts { killed: 4, ..Default::default() }
    );
    bench.agent.wait_for("took too long and was killed");
    all_is_recorded(bench);
    let text = std::fs::read_to_string(&processes).unwrap();
    let runs = |process: &&str| {
        let state = std::fs::read_to_string(format!("/proc/{process}/stat")).unwrap_or_default();
        !state.is_empty() && !state.contains(") Z ")
    };
    assert_eq!(text.split_whitespace().count(), 8, "{text}");
    assert_eq!(text.split_whitespace().find(runs), None);
}

#[test]
fn a_command_that_fails_is_counted() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("fails");
    program(&path, "exit 7");
    let mut bench = Bench::new(&command(&path, "least_between = \"0.1 s\"\n"));
    bench.run_for(WORK, 1_500);
    bench.run_for(STANDS, 2_500);
    bench.run_for(WORK, 1_000);
    let counts = status(&bench.config).alarm_commands;
    assert_eq!(counts, HookCounts { failed: 4, ..Default::default() });
    assert!(bench.agent.wait_for("the alarm command failed").contains("exit status: 7"));
    all_is_recorded(bench);
}

#[test]
fn a_command_that_is_not_there_is_told_at_the_start() {
    let dir = tempfile::tempdir().unwrap();
    let path = dir.path().join("nothing-here");
    let mut bench = Bench::new(&command(&path, "least_between = \"0.1 s\"\n"));
    let told = bench.agent.wait_for("the alarm command cannot be run");
    assert!(told.contains("nothing-here") && told.contains("No such file"), "{told}");
    bench.run_for(WORK, 1_500);
    bench.run_for(STANDS, 2_500);
    bench.run_for(WORK, 1_000);
    let counts = status(&bench.config).alarm_commands;
    assert_eq!(counts, HookCounts { failed: 4, ..Default::default() });
    // It is tried with each alarm: one that comes later is run.
    program(&path, "exit 0");
    bench.run_for(STANDS, 2_500);
    bench.run_for(WORK, 1_000);
    assert_eq!(status(&bench.config).alarm_commands, HookCounts { well: 4, ..counts });
    all_is_recorded(bench);

    std::fs::set_permissions(&path, std::fs::Permissions::from_mode(0o644)).unwrap();
    let bench = Bench::new(&command(&path, ""));
    assert!(bench.agent.wait_for("the alarm command cannot be run").contains("chmod +x"));
    bench.agent.wait_for("port open");
    assert_eq!(bench.agent.stop().0.code(), Some(0));
}
