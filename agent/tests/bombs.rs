//! DBC and candump files made to take memory or time: both stay in bounds.
#![cfg(target_os = "linux")]

#[path = "../../protocol/tests/contained/mod.rs"]
mod contained;

use contained::contained;
use std::fmt::Write;
use underbrush_agent::decode::dbc::Database;
use underbrush_agent::decode::{CanIntake, SignalReader};
use underbrush_agent::source::capture::{CaptureFormat, CaptureIntake};
use underbrush_protocol::settings::Machine;

/// Some 200 KiB: a large real DBC file.
const SIZE: usize = 200 * 1024;

/// Repeats lines up to `SIZE`.
fn lines(head: &str, line: impl Fn(usize) -> String) -> String {
    let mut text = format!("VERSION \"\"\nBU_: A\n{head}");
    let mut number = 0;
    while text.len() < SIZE {
        text.push_str(&line(number));
        number += 1;
    }
    text
}

const SIGNAL: &str = "0|8@1+ (1,0) [0|1] \"\" A\n";

#[test]
fn large_dbc_files_take_bounded_memory_and_work() {
    let build = || {
        let muxed = "BO_ 1 M: 8 A\n SG_ P M : 0|8@1+ (1,0) [0|1] \"\" A\n";
        let mut extended = lines(muxed, |n| format!(" SG_ S{n} m1 : {SIGNAL}"));
        for n in 0..2_000 {
            let _ = writeln!(extended, "SG_MUL_VAL_ 1 S{n} P 0-18446744073709551615;");
        }
        [
            lines("", |n| format!("BO_ {n} M{n}: 8 A\n SG_ S : {SIGNAL}")),
            lines("BO_ 1 M: 8 A\n", |n| format!(" SG_ S{n} : {SIGNAL}")),
            extended,
            lines("", |n| format!("CM_ \"{n}\";\n")),
            lines("BO_ 1 M: 8 A\n SG_ S : 0|8@1+ (1,0) [0|1] \"\" A\nVAL_ 1 S", |n| {
                format!(" {n} \"v\"")
            }),
            format!("VERSION \"{}\"\n", "(".repeat(SIZE)),
            format!("BU_: {}\n", "A ".repeat(SIZE / 2)),
        ]
    };
    contained("large_dbc_files_take_bounded_memory_and_work", 128, build, |texts| {
        let mut read = 0;
        for text in texts {
            let Ok(database) = Database::parse(text.as_bytes()) else { continue };
            read += 1;
            for message in &database.messages {
                for place in 0..message.signals.len() {
                    let _ = message.value(place, &[1; 8]);
                }
            }
        }
        assert!(read >= 3, "{read}");
    });
}

#[test]
fn endless_numbers_and_names_in_a_dbc_file_are_refused() {
    let digits = "9".repeat(SIZE);
    let build = || {
        [
            format!("BO_ {digits} M: 8 A\n"),
            format!("BO_ 1 M: {digits} A\n"),
            format!("BO_ 1 M: 8 A\n SG_ S : {digits}|8@1+ (1,0) [0|1] \"\" A\n"),
            format!("BO_ 1 M: 8 A\n SG_ S : 0|{digits}@1+ (1,0) [0|1] \"\" A\n"),
            format!("BO_ 1 M: 8 A\n SG_ S : {}|8@1+ (1,0) [0|1] \"\" A\n", u64::MAX),
            format!("BO_ 1 M: 8 A\n SG_ S : 0|{}@1+ (1,0) [0|1] \"\" A\n", u64::MAX),
        ]
    };
    contained("endless_numbers_and_names_in_a_dbc_file_are_refused", 16, build, |texts| {
        for text in texts {
            let database = Database::parse(text.as_bytes());
            let signals = database.iter().flat_map(|d| &d.messages).flat_map(|m| &m.signals);
            assert!(signals.into_iter().all(|signal| !signal.decodable()));
        }
    });
}

#[test]
fn a_candump_line_without_end_is_not_kept() {
    let build = || {
        let database = Database::parse(include_bytes!("data/bus.dbc")).unwrap();
        let text = include_str!("data/machine.toml");
        let machine = Machine::parse("machine.toml", text).unwrap();
        let reader = SignalReader::new(&database, "bus.dbc", &machine, "machine.toml", text);
        (CanIntake::new(reader.unwrap()), vec![b'('; 1 << 16])
    };
    let name = "a_candump_line_without_end_is_not_kept";
    contained(name, 1, build, |(_, piece)| {
        let (can, _) = build();
        let mut intake = CaptureIntake::new(can, Some(CaptureFormat::Candump), None);
        let mut out = Vec::new();
        for _ in 0..1_000 {
            intake.bytes(piece, &mut out);
        }
        intake.bytes(b"\n", &mut out);
        intake.source_ended(&mut out);
        assert_eq!(intake.can().counts().malformed_lines, 1);
        assert!(out.len() < 8, "{} entries of one line", out.len());
    });
}
