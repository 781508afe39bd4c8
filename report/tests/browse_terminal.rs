//! `underbrush browse` on a pseudo-terminal: it draws, it follows keys and size, and the
//! terminal is as it was before after every kind of end.
#![cfg(unix)]

mod common;
#[path = "common/pty.rs"]
mod pty;

use common::hall;
use pty::{OnTerminal, given_back};
use rustix::process::Signal;
use std::os::unix::process::ExitStatusExt;
use std::process::Command;

fn start(dir: &std::path::Path, args: &[&str]) -> OnTerminal {
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush"));
    OnTerminal::start(command.args(args).arg("--in").arg(dir), 80, 24)
}

#[test]
fn keys_move_and_q_leaves() {
    let hall = hall();
    let screen = start(hall.path(), &["browse"]);
    screen.wait_for("q leave");
    screen.wait_for("(8 h)");
    assert!(screen.is_raw());
    // What a terminal sends for an arrow: ECMA-48 CSI C.
    screen.type_in("+");
    screen.wait_for("(4 h)");
    screen.wait_until("read", |lines| !lines.iter().any(|line| line.contains("reading")));
    screen.type_in("n");
    screen.wait_for("Motor stalled");
    screen.type_in("g22:02:03/\r");
    screen.wait_for("write a time");
    screen.type_in("g22:02:03\r\x1b[C");
    screen.type_in("?");
    screen.wait_for("cursor by a column");
    screen.type_in(" q");
    let (status, said) = screen.end();
    assert!(given_back(&said), "{said:?}");
    // The night has a gap: done, but data are missing.
    assert_eq!(status.code(), Some(3), "{said:?}");
    assert!(said.contains("underbrush: shift 2026-11-23: "), "{said:?}");
}

#[test]
fn control_c_leaves() {
    let hall = hall();
    let screen = start(hall.path(), &["trace", "1", "--screen"]);
    screen.wait_for("Motor stalled");
    screen.type_in("\x03");
    let (status, said) = screen.end();
    assert!(given_back(&said), "{said:?}");
    assert_eq!(status.code(), Some(3));
}

#[test]
fn a_signal_ends_it_as_it_ends_other_programs() {
    let hall = hall();
    for signal in [Signal::TERM, Signal::HUP, Signal::INT] {
        let screen = start(hall.path(), &["browse"]);
        screen.wait_for("q leave");
        screen.signal(signal);
        let (status, said) = screen.end();
        assert!(given_back(&said), "{signal:?}: {said:?}");
        assert_eq!(status.signal(), Some(signal.as_raw()), "{said:?}");
    }
}

#[test]
fn another_size_is_another_picture() {
    let hall = hall();
    let screen = start(hall.path(), &["browse", "--at", "2026-11-23T22:02:00"]);
    screen.wait_for("q leave");
    screen.resize(120, 40);
    let keys_in = |row: usize| {
        move |lines: &[String]| lines.get(row).is_some_and(|line| line.contains("q leave"))
    };
    screen.wait_until("120 x 40", keys_in(39));
    screen.wait_until("120 wide", |lines| lines[0].trim_end().chars().count() == 120);
    screen.resize(40, 10);
    screen.wait_for("at least 60 x 14");
    screen.resize(80, 24);
    screen.wait_until("80 x 24", keys_in(23));
    screen.type_in("q");
    let (_, said) = screen.end();
    assert!(given_back(&said), "{said:?}");
}

#[test]
fn without_colour_none_is_sent() {
    let hall = hall();
    let has_colour = |args: &[&str]| {
        let screen = start(hall.path(), args);
        screen.wait_for("stall 75");
        screen.type_in("q");
        let (_, said) = screen.end();
        said.contains("\x1b[38;5;") || said.contains("\x1b[31m") || said.contains("\x1b[33m")
    };
    assert!(has_colour(&["browse", "1"]));
    assert!(!has_colour(&["browse", "1", "--no-colour"]));
}
