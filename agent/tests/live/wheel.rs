//! `calibrate wheel` with the real binary, on ways whose true length is known.

use crate::common::bench::{Doing, WORK};
use crate::common::bridge::Bridge;
use crate::common::port::serial_scene;
use crate::common::{Scene, motion};
use std::path::Path;
use std::process::{Command, Output};
use underbrush_protocol::link::Encoder;

fn wheel(config: &Path, more: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush-agent"));
    command.args(["calibrate", "wheel", "--config"]).arg(config).args(more).output().unwrap()
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).unwrap()
}

/// A recording with a stay of 5 s between runs of so many ms at so many mm/s by the signal.
fn recording(scene: &Scene, runs: &[(i16, usize)]) {
    let mut encoder = Encoder::default();
    let stay = std::iter::repeat_n(0, 50);
    let mut speeds: Vec<i16> = stay.clone().collect();
    for (speed, ms) in runs {
        speeds.extend(std::iter::repeat_n(*speed, ms / 100).chain(stay.clone()));
    }
    let mut bytes = Vec::new();
    for (i, speed) in speeds.into_iter().enumerate() {
        bytes.extend(encoder.encode(i as u32 * 100, &motion(speed)));
    }
    scene.write("runs.bytes", &bytes);
}

#[test]
fn a_recording_of_three_runs() {
    let scene = Scene::new();
    let config = scene.config("kind = \"capture\"\nfile = \"runs.bytes\"\n");
    // 9.8 m, 9.75 m back, a step aside, 9.85 m.
    recording(&scene, &[(490, 20_000), (-500, 19_500), (300, 1_000), (985, 10_000)]);
    let done = wheel(&config, &["--distance", "10 m"]);
    let said = text(&done.stdout);
    assert_eq!(done.status.code(), Some(0), "{said}{}", text(&done.stderr));
    assert!(said.contains("run 1: 9.800 m by the signal, factor 1.0204"), "{said}");
    assert!(said.contains("run 2: 9.750 m") && said.contains("run 3: 9.850 m"), "{said}");
    assert!(said.contains("a run of 0.300 m by the signal, too far from 10.00 m"), "{said}");
    // SciPy 1.17: stats.t.interval(0.95, 2, mean, sem) of 10/9.8, 10/9.75, 10/9.85.
    assert!(said.contains("wheel factor 1.0204, 95 % interval 1.0075 to 1.0334"), "{said}");
    assert!(said.contains("[speed]\nwheel_factor = 1.0204 # was 1\n"), "{said}");

    // The same as 32 ft: 9.7536 m.
    let feet = text(&wheel(&config, &["--distance", "32 ft", "--runs", "2"]).stdout);
    // 9.7536 / 9.8 = 0.99527, 9.7536 / 9.75 = 1.00037.
    assert!(feet.contains("wheel factor 0.9978, 95 % interval"), "{feet}");
    assert!(feet.contains("a run more than was asked for"), "{feet}");
}

#[test]
fn runs_that_disagree_or_are_none_are_refused() {
    let scene = Scene::new();
    let config = scene.config("kind = \"capture\"\nfile = \"runs.bytes\"\n");
    recording(&scene, &[(490, 20_000), (510, 20_000)]);
    let refused = wheel(&config, &["--distance", "10 m"]);
    let told = text(&refused.stderr);
    assert_eq!(refused.status.code(), Some(1), "{told}");
    assert!(told.contains("the runs disagree by 4.0 %, factors from 0.9804 to 1.0204"), "{told}");
    assert!(!text(&refused.stdout).contains("wheel_factor"));
    recording(&scene, &[(490, 1_000)]);
    let none = wheel(&config, &["--distance", "10 m"]);
    assert_eq!(none.status.code(), Some(1));
    assert!(text(&none.stderr).contains("no run of that distance was seen"));
    for wrong in [&[][..], &["--distance", "10"], &["--distance", "2 m"], &["--distance", "3 lb"]] {
        let wrong = wheel(&config, wrong);
        assert_eq!(wrong.status.code(), Some(1));
        assert!(text(&wrong.stderr).contains("usage:"));
    }
    let runs = wheel(&config, &["--distance", "10 m", "--runs", "11"]);
    assert!(text(&runs.stderr).contains("--runs takes a number from 1 to 10"));
}

#[test]
fn a_machine_that_is_driven_live() {
    let (_scene, port, config) = serial_scene("");
    // From 2 s on, every 5 s: 2 s at 1.96 m/s, where 4 m are true.
    let _bridge = Bridge::plug(&port, |ms| {
        let moves = ms >= 2_000 && (ms - 2_000) % 5_000 < 2_000;
        Doing { speed_mm_s: if moves { 1_960 } else { 0 }, ..WORK }
    });
    let done = wheel(&config, &["--distance", "4 m", "--runs", "2"]);
    let said = text(&done.stdout);
    assert_eq!(done.status.code(), Some(0), "{said}{}", text(&done.stderr));
    assert!(said.contains("brushes off and head up") && said.contains("run 2: "), "{said}");
    let factor = said.split("wheel_factor = ").nth(1).unwrap().split(' ').next().unwrap();
    let factor: f64 = factor.parse().unwrap();
    // A reading more or less, where the thread of this test was late: 5 %.
    assert!((factor - 4.0 / 3.92).abs() < 0.055, "{said}");
}
