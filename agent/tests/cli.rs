//! Arguments, messages and exit codes of the real binary.

mod common;

use common::{Scene, motion};
use std::ffi::OsStr;
use std::process::{Command, Output};
use underbrush_protocol::link::Encoder;

fn agent<A: AsRef<OsStr>>(arguments: &[A]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_underbrush-agent")).args(arguments).output().unwrap()
}

fn run(scene: &Scene) -> Output {
    agent(&[OsStr::new("run"), OsStr::new("--config"), scene.path("agent.toml").as_os_str()])
}

fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).unwrap()
}

fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

#[test]
fn help_version_and_wrong_use() {
    let help = agent(&["--help"]);
    assert_eq!(help.status.code(), Some(0));
    assert!(stdout(&help).contains("--config FILE") && help.stderr.is_empty());
    let version = agent(&["--version"]);
    assert_eq!(stdout(&version), format!("underbrush-agent {}\n", env!("CARGO_PKG_VERSION")));
    for wrong in [&[][..], &["walk"], &["run", "--config"], &["run", "--cfg", "x"]] {
        let output = agent(wrong);
        assert_eq!(output.status.code(), Some(1), "{wrong:?}");
        assert!(stderr(&output).contains("usage:") && output.stdout.is_empty(), "{wrong:?}");
    }
}

#[test]
fn settings_errors_name_file_line_and_key() {
    let scene = Scene::new();
    let missing = run(&scene);
    assert_eq!(missing.status.code(), Some(1));
    assert!(stderr(&missing).contains("agent.toml"), "{}", stderr(&missing));

    scene.config("kind = \"serial\"\nprot = \"/dev/ttyACM0\"\n");
    let wrong = run(&scene);
    assert_eq!(wrong.status.code(), Some(1));
    let told = stderr(&wrong);
    assert!(told.contains("agent.toml, line 6, key `source.prot`: unknown key"), "{told}");

    scene.config("kind = \"serial\"\nport = \"/dev/ttyACM0\"\n");
    let machine = include_str!("data/machine.toml").replace("\"28 in\"", "\"28 lb\"");
    scene.write("machine.toml", machine.as_bytes());
    let wrong = run(&scene);
    assert_eq!(wrong.status.code(), Some(1));
    let told = stderr(&wrong);
    assert!(told.contains("machine.toml, line 6, key `deck.path_width`: "), "{told}");
}

#[test]
fn replays_end_with_0_or_with_3_and_counts() {
    let scene = Scene::new();
    scene.config("kind = \"capture\"\nfile = \"night.bytes\"\n");
    let mut encoder = Encoder::default();
    let mut bytes = encoder.encode(0, &motion(5)).to_vec();
    bytes.extend_from_slice(encoder.encode(100, &motion(6)));
    scene.write("night.bytes", &bytes);
    let whole = run(&scene);
    assert_eq!(whole.status.code(), Some(0), "{}", stderr(&whole));
    let text = stdout(&whole);
    assert!(text.contains("readings recorded 2\n"), "{text}");
    assert!(text.contains("archive           boot-00000001.part-0001.archive\n"), "{text}");
    assert!(!text.contains("damaged"), "{text}");

    bytes[2] ^= 1;
    scene.write("night.bytes", &bytes);
    let damaged = run(&scene);
    assert_eq!(damaged.status.code(), Some(3));
    let text = stdout(&damaged);
    assert!(
        text.contains("readings recorded 1\n") && text.contains("packets damaged: 1\n"),
        "{text}"
    );
    assert!(text.contains("boot-00000002.part-0001.archive"), "{text}");
}

#[test]
fn a_log_directory_that_cannot_be_made_fails() {
    let scene = Scene::new();
    scene.config("kind = \"capture\"\nfile = \"night.bytes\"\n");
    scene.write("night.bytes", b"");
    scene.write("log", b"a file where the directory should be");
    let failed = run(&scene);
    assert_eq!(failed.status.code(), Some(2));
    assert!(stderr(&failed).contains("cannot write the log"), "{}", stderr(&failed));
}
