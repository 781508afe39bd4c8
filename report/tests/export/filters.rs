//! What is asked for is what comes: nights, machines, tables.

use crate::common::drive;
use crate::night::{TABLES, boot, folder, printed, rows, run, said};
use std::collections::BTreeSet;
use std::path::Path;

fn values(dir: &Path, column: &str, args: &[&str]) -> BTreeSet<String> {
    rows(dir, args).iter().map(|row| row[column].as_str().unwrap().to_owned()).collect()
}

fn set<const N: usize>(list: [&str; N]) -> BTreeSet<String> {
    list.iter().map(|word| (*word).to_owned()).collect()
}

#[test]
fn nights_and_machines() {
    let dir = folder();
    let dir = dir.path();
    for table in ["steps", "nights", "sections", "events"] {
        assert_eq!(values(dir, "machine", &[table]), set(["T1", "T2"]), "{table}");
        assert_eq!(values(dir, "night", &[table]), set(["2026-11-23", "2026-11-24"]), "{table}");
        let one = values(dir, "machine", &[table, "--machine", "T2"]);
        assert_eq!(one, set(["T2"]), "{table}");
        for dates in
            [&["--shift", "2026-11-24"][..], &["--from", "2026-11-24", "--to", "2026-11-24"]]
        {
            let args: Vec<&str> = [table].iter().chain(dates).copied().collect();
            assert_eq!(values(dir, "night", &args), set(["2026-11-24"]), "{table}");
            assert_eq!(values(dir, "machine", &args), set(["T2"]), "{table}");
        }
        let both = values(dir, "night", &[table, "--shift", "2026-11-23..2026-11-24"]);
        assert_eq!(both.len(), 2, "{table}");
    }
    // Readings by the instant: a night goes on until the next shift starts.
    let all = rows(dir, &["readings", "--machine", "T2"]).len();
    let first = rows(dir, &["readings", "--machine", "T2", "--shift", "2026-11-23"]).len();
    let second = rows(dir, &["readings", "--machine", "T2", "--shift", "2026-11-24"]).len();
    assert_eq!((first, second), (2 * 12_001, 2 * 3_001));
    assert_eq!(all, first + second);
    // Measurements by their date; those of no machine are everybody's.
    let lengths = |args: &[&str]| {
        let args: Vec<&str> = ["measurements"].iter().chain(args).copied().collect();
        rows(dir, &args).len()
    };
    assert_eq!(lengths(&["--machine", "T2"]), 2);
    assert_eq!(lengths(&["--machine", "T1", "--shift", "2026-11-13"]), 4);
    assert_eq!(lengths(&["--from", "2026-11-07", "--to", "2026-11-19"]), 4);
}

#[test]
fn tables_come_as_files_of_their_names() {
    let dir = folder();
    let out = dir.path().join("out");
    let told = printed(dir.path(), &["export", "all", "--format", "jsonl", "--out", "out"]);
    for table in TABLES {
        let path = out.join(format!("{table}.jsonl"));
        let text = std::fs::read_to_string(&path).unwrap();
        let printed = printed(dir.path(), &["export", table, "--format", "jsonl", "--out", "-"]);
        assert_eq!(text, printed, "{table}");
        let line = format!("{table}.jsonl: {} rows", text.lines().count());
        assert!(told.contains(&line), "{line}: {told}");
    }
    assert_eq!(std::fs::read_dir(&out).unwrap().count(), TABLES.len());
    // One table: the file's ending tells the format.
    printed(dir.path(), &["export", "nights", "--out", "n.jsonl"]);
    let text = std::fs::read_to_string(dir.path().join("n.jsonl")).unwrap();
    assert!(text.starts_with("{\"machine\":\"T1\""), "{text}");
    // Gaps are told: half a minute without readings.
    let told =
        printed(dir.path(), &["export", "steps", "--shift", "2026-11-23", "--machine", "T1"]);
    assert!(told.contains("1 gap, 30."), "{told}");
}

/// A shift in which nothing was recorded is told, and has no row full of zeros.
#[test]
fn shifts_without_a_record() {
    let dir = folder();
    // Something to tell of every shift of the machine: a set that was measured too early.
    let path = dir.path().join("book.toml");
    let early = "[[measured]]\ndate = 2026-11-01\nlength = \"24 mm\"\nmachine = \"T1\"\nset = '=1+1, \"x\"'\n";
    let book = std::fs::read_to_string(&path).unwrap() + early;
    std::fs::write(&path, book).unwrap();
    let output = run(dir.path(), &["export", "nights", "--machine", "T1", "--out", "-"]);
    let rows = String::from_utf8_lossy(&output.stdout).lines().count() - 1;
    assert_eq!((rows, output.status.code()), (1, Some(3)), "{}", said(&output));
    let told = "shift 2026-11-24, machine T1: nothing was recorded";
    assert!(said(&output).contains(told), "{}", said(&output));
}

/// A power-on without a date is told, and in the readings if everything is asked for.
#[test]
fn power_ons_without_a_date() {
    let dir = folder();
    boot(dir.path(), "T2", 3, &drive(100, 60, 550, 20));
    let all = rows_of_loss(dir.path(), &["readings", "--machine", "T2"], 0);
    let undated = all.lines().filter(|line| line.contains("\"time_utc\":null")).count();
    assert_eq!(undated, 2 * 601);
    let args = ["readings", "--machine", "T2", "--shift", "2026-11-24"];
    assert!(!rows_of_loss(dir.path(), &args, 3).contains("\"time_utc\":null"));
    rows_of_loss(dir.path(), &["nights", "--machine", "T2"], 3);
    let output = run(dir.path(), &["export", "nights", "--out", "-"]);
    assert!(
        said(&output).contains("power-on 3 has no date: its 60 s are not in nights"),
        "{}",
        said(&output)
    );
    let output = run(dir.path(), &["export", "nights", "--out", "-", "--shift", "2020-01-01"]);
    assert_eq!(output.status.code(), Some(3));
    assert!(said(&output).contains("no log covers any of these nights"), "{}", said(&output));
}

fn rows_of_loss(dir: &Path, args: &[&str], code: i32) -> String {
    let args: Vec<&str> =
        ["export", "--format", "jsonl", "--out", "-"].iter().chain(args).copied().collect();
    let output = run(dir, &args);
    assert_eq!(output.status.code(), Some(code), "{args:?}: {}", said(&output));
    String::from_utf8(output.stdout).unwrap()
}
