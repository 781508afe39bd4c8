//! `check` with the real binary: at a pseudo terminal, on recordings, and beside an agent.

use crate::common::Scene;
use crate::common::bench::{Doing, WORK};
use crate::common::bridge::Bridge;
use crate::common::port::{Agent, Port, pause, screen, serial_scene};
use rustix::process::{Pid, Signal, kill_process};
use serde_json::Value;
use std::fmt::Write as _;
use std::io::Read;
use std::path::Path;
use std::process::{Command, Output};
use underbrush_protocol::link::Encoder;

fn command(config: &Path, more: &[&str]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"));
    command.args(["check", "--config"]).arg(config).args(more);
    command
}

fn check(config: &Path, more: &[&str]) -> Output {
    command(config, more).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// The row of a channel.
fn row<'a>(picture: &'a Value, channel: &str) -> &'a Value {
    let rows = picture["channels"].as_array().unwrap();
    rows.iter().find(|row| row["channel"] == channel).unwrap_or_else(|| panic!("{picture:#}"))
}

fn near(value: &Value, wanted: f64, by: f64) {
    assert!((value.as_f64().unwrap() - wanted).abs() <= by, "{value}, not {wanted}");
}

#[test]
fn a_bridge_that_is_as_it_should_be() {
    let (_scene, port, config) = serial_scene("");
    let _bridge = Bridge::plug(&port, |ms| Doing { speed_mm_s: 600 + (ms % 3) as i16, ..WORK });
    let done = check(&config, &["--once", "--for", "3 s", "--json"]);
    let picture: Value = serde_json::from_slice(&done.stdout).unwrap();
    assert_eq!(done.status.code(), Some(0), "{picture:#}");
    assert_eq!((&picture["machine"], &picture["state"]), (&"T1".into(), &"receiving".into()));
    near(&picture["listened_s"], 3.0, 0.9);
    let speed = row(&picture, "speed");
    near(&speed["value"], 0.601, 0.0015);
    // A busy machine sends and reads late.
    near(&speed["rate_per_s"], 10.0, 3.0);
    near(&speed["age_s"], 0.1, 1.5);
    near(&speed["most_possible"], 4.0, 1e-6);
    assert_eq!(
        (&speed["unit"], &speed["limits_from"]),
        (&"m/s".into(), &"sensors.max_speed".into())
    );
    let current = row(&picture, "brush_current_2");
    near(&current["value"], 18.0, 1e-9);
    // 1.5 x 24 V over 0.12 ohm.
    near(&current["most_possible"], 300.0, 1e-3);
    for channel in ["brush_rotation_1", "vacuum_on", "solution_flow", "pressure_setting"] {
        assert_eq!(row(&picture, channel)["verdict"], "plausible", "{channel}");
    }
    assert_eq!(row(&picture, "brush_rotation_2")["value"], 200.0);
}

#[test]
fn what_is_impossible_or_missing_is_told() {
    let (_scene, port, config) = serial_scene("");
    let _bridge = Bridge::plug(&port, |ms| Doing {
        speed_mm_s: if ms % 1_000 < 200 { 9_000 } else { 600 },
        ..WORK
    });
    let done = check(&config, &["--once", "--for", "3 s"]);
    let table = text(&done.stdout);
    assert_eq!(done.status.code(), Some(3), "{table}");
    let line = |name: &str| table.lines().find(|line| line.starts_with(name)).unwrap();
    assert!(line("speed ").contains("IMPOSSIBLE -4 to 4: sensors.max_speed"), "{table}");
    assert!(line("speed ").contains(" 9.000 "), "{table}");
    assert!(line("speed: ").contains("readings were impossible"), "{table}");
    assert!(line("brush_current_1").contains("plausible"), "{table}");
}

#[test]
fn a_port_that_says_nothing_or_nonsense() {
    let (_scene, path, config) = serial_scene("");
    let away = check(&config, &["--once", "--for", "1 s"]);
    assert_eq!(away.status.code(), Some(3));
    let (table, told) = (text(&away.stdout), text(&away.stderr));
    assert!(table.contains("nothing came") && told.contains("cannot open the port"), "{told}");
    assert_eq!(table.matches("MISSING").count(), 4, "{table}");
    let mut port = Port::plug(&path);
    let noisy = std::thread::spawn(move || {
        for _ in 0..30 {
            port.send(b"\x05nonsense\x00more of it\x00");
            pause(100);
        }
    });
    let noise = check(&config, &["--once", "--for", "2 s"]);
    noisy.join().unwrap();
    assert_eq!(noise.status.code(), Some(3));
    assert!(text(&noise.stdout).contains("only damaged frames came: is `baud` right"));
}

#[test]
fn beside_an_agent_it_says_how_to_go_on() {
    let (_scene, path, config) = serial_scene("");
    let _port = Port::plug(&path);
    let agent = Agent::start(&config);
    agent.wait_for("port open");
    let refused = check(&config, &["--once"]);
    let told = text(&refused.stderr);
    assert_eq!(refused.status.code(), Some(2), "{told}");
    assert!(told.contains(&format!("process {}", agent.child.id())), "{told}");
    assert!(told.contains("status --follow") && told.contains("systemctl stop"), "{told}");
    assert_eq!(agent.stop().0.code(), Some(0), "the agent is not disturbed");
}

#[test]
fn recordings_are_read_to_their_end() {
    let scene = Scene::new();
    let mut encoder = Encoder::default();
    let mut bytes = Vec::new();
    // 70 s of which the current of both motors never changes.
    for tick in (0..70_000).step_by(100) {
        let doing = Doing { speed_mm_s: 600 + (tick % 7) as i16, ..WORK };
        doing.frames().iter().for_each(|frame| bytes.extend(encoder.encode(tick, frame)));
    }
    scene.write("night.bytes", &bytes);
    let config = scene.config("kind = \"capture\"\nfile = \"night.bytes\"\n");
    let done = check(&config, &["--json"]);
    assert_eq!(done.status.code(), Some(3));
    let picture: Value = serde_json::from_slice(&done.stdout).unwrap();
    near(&picture["listened_s"], 69.9, 1e-6);
    assert_eq!(row(&picture, "brush_current_1")["verdict"], "stuck");
    let speed = row(&picture, "speed");
    assert_eq!((&speed["verdict"], &speed["readings"]), (&"plausible".into(), &700.into()));

    let mut dump = String::new();
    for i in 0..100 {
        // 0.01 km/h a step: 0x0168 is 3.6 km/h.
        writeln!(dump, "(1795492800.{:06}) can0 180#68010000", i * 10_000).unwrap();
    }
    scene.write("bus.log", dump.as_bytes());
    let config = scene.config("kind = \"candump\"\nfile = \"bus.log\"\ndbc = \"bus.dbc\"\n");
    let done = check(&config, &["--json"]);
    let picture: Value = serde_json::from_slice(&done.stdout).unwrap();
    near(&row(&picture, "speed")["value"], 1.0, 1e-9);
    near(&row(&picture, "speed")["rate_per_s"], 100.0, 1e-6);
    // The machine file has signals for them, the recording has none.
    for channel in ["brush_command", "brush_current_2", "battery_voltage"] {
        assert_eq!(row(&picture, channel)["verdict"], "missing", "{channel}");
    }
    assert_eq!(done.status.code(), Some(3));
}

#[test]
fn a_terminal_shows_it_in_place_until_ctrl_c() {
    let (_scene, port, config) = serial_scene("");
    let _bridge = Bridge::plug(&port, |ms| Doing { speed_mm_s: (ms / 10) as i16, ..WORK });
    let (mut screen, terminal) = screen();
    let mut child = command(&config, &[]).stdout(terminal).spawn().unwrap();
    let reader = std::thread::spawn(move || {
        let (mut shown, mut piece) = (Vec::new(), [0; 4096]);
        // The terminal's end comes as an error when nobody holds it any more.
        while let Ok(len @ 1..) = screen.read(&mut piece) {
            shown.extend_from_slice(&piece[..len]);
        }
        shown
    });
    pause(3_500);
    kill_process(Pid::from_child(&child), Signal::INT).unwrap();
    assert_eq!(child.wait().unwrap().code(), Some(0));
    let shown = text(&reader.join().unwrap());
    let pictures: Vec<&str> = shown.split("\r\x1b[J").collect();
    assert!(pictures.len() > 8, "{shown:?}");
    for pair in pictures[1..].windows(2) {
        let lines = pair[0].matches('\n').count();
        assert!(pair[0].ends_with(&format!("\x1b[{lines}A")), "{:?}", pair[0]);
    }
    let speeds = pictures.iter().filter_map(|picture| {
        let line = picture.lines().find(|line| line.starts_with("speed "))?;
        line.split_whitespace().nth(1)?.parse::<f64>().ok()
    });
    let speeds: Vec<f64> = speeds.collect();
    assert!(speeds.last().unwrap() - speeds[0] > 0.1, "it moves: {speeds:?}");
}

#[test]
fn wrong_settings_and_arguments_are_told() {
    let scene = Scene::new();
    let config = scene.config("kind = \"serial\"\nprot = \"p\"\n");
    let wrong = check(&config, &["--once"]);
    assert_eq!(wrong.status.code(), Some(1));
    assert!(text(&wrong.stderr).contains("agent.toml, line 6, key `source.prot`: unknown key"));
    let config = scene.config("kind = \"capture\"\nfile = \"away.bytes\"\n");
    let wrong = check(&config, &[]);
    assert_eq!(wrong.status.code(), Some(1));
    assert!(text(&wrong.stderr).contains("away.bytes"));
    for more in [&["--for", "3"][..], &["--for", "0 s"], &["--for"], &["--twice"]] {
        let wrong = check(&config, more);
        assert_eq!(wrong.status.code(), Some(1), "{more:?}");
        assert!(text(&wrong.stderr).contains("usage:"), "{more:?}");
    }
}
