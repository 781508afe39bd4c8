//! The program in a folder with the usual names, and with two machines.
//!
//! The logs are made by hand; no check of figures rests on them.

mod common;

use common::{MACHINE, SITE, archive_bytes, drive, fix};
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;
use underbrush_protocol::log::Identity;

fn underbrush(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_underbrush")).args(args).current_dir(folder).output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned() + &String::from_utf8_lossy(&output.stdout)
}

#[test]
fn what_is_missing_is_named_with_its_place() {
    let dir = tempfile::tempdir().unwrap();
    let lacks = |words: &str| {
        let output = underbrush(dir.path(), &["sheet"]);
        assert_eq!(output.status.code(), Some(1));
        assert!(said(&output).contains(words), "{words}: {}", said(&output));
    };
    lacks("--log is missing");
    std::fs::create_dir(dir.path().join("log")).unwrap();
    lacks("has no machine*.toml");
    std::fs::write(dir.path().join("machine.toml"), "id = \"T1\"\n").unwrap();
    lacks("--site is missing");
    std::fs::write(dir.path().join("site.toml"), "").unwrap();
    for book in ["book.toml", "book.csv"] {
        std::fs::write(dir.path().join(book), "").unwrap();
    }
    let two = underbrush(dir.path(), &["sheet"]);
    assert!(said(&two).contains("say with --book which one counts"), "{}", said(&two));
}

/// The folder of a building with two machines; the logs of each lie in a folder of its own.
fn two_machines() -> TempDir {
    let dir = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
    put("site.toml", SITE);
    put("machine.toml", MACHINE);
    put("machine-2.toml", &MACHINE.replace("\"T1\"", "\"T2\"").replace("Test machine", "Second"));
    for (id, minutes) in [("T1", 10), ("T2", 20)] {
        let folder = dir.path().join("log").join(id);
        std::fs::create_dir_all(&folder).unwrap();
        let mut entries = vec![fix(3_600_000)];
        entries.extend(drive(100, minutes * 60, 550, 20));
        let identity =
            Identity { machine: id.to_owned(), boot: 1, segment: 1, agent: "test".to_owned() };
        std::fs::write(folder.join("a.archive"), archive_bytes(&identity, &entries)).unwrap();
    }
    dir
}

#[test]
fn one_sheet_for_both_machines_of_the_last_night() {
    let dir = two_machines();
    let sheet = underbrush(dir.path(), &["sheet", "--text"]);
    let text = said(&sheet);
    assert_eq!(sheet.status.code(), Some(0), "{text}");
    for words in ["Mon 23 Nov 2026", "T1", "T2", "10 min", "20 min"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let pdf = underbrush(dir.path(), &["sheet"]);
    assert_eq!(said(&pdf), "shift-2026-11-23.pdf\n");
    let one = underbrush(dir.path(), &["sheet", "--machine", "machine.toml", "--text"]);
    // The other machine's file is not known, so its logs are told.
    assert!(said(&one).contains("is of machine `T2`, not `T1`"), "{}", said(&one));
    let why = underbrush(dir.path(), &["why", "speed"]);
    assert!(said(&why).contains("say with --machine whose figure it is"), "{}", said(&why));
}

#[test]
fn two_files_of_one_machine_are_refused() {
    let dir = two_machines();
    std::fs::write(dir.path().join("machine-3.toml"), MACHINE).unwrap();
    let twice = underbrush(dir.path(), &["sheet"]);
    assert_eq!(twice.status.code(), Some(1));
    assert!(said(&twice).contains("machine `T1` is given twice"), "{}", said(&twice));
}
