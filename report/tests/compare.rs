//! `underbrush compare` and `underbrush trends` as people run them, on a night made by hand.

mod common;

use common::drive;
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;

type Json = serde_json::Value;

/// Stops with the brush on, so many seconds long each, and 60 s of work after the last.
fn folder(stops_s: &[u64]) -> TempDir {
    let (mut entries, at) = common::stops(stops_s.iter().copied());
    entries.extend(drive(at, 60, 550, 20));
    common::folder(common::SITE, entries)
}

fn run(dir: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_underbrush")).args(args).arg("--in").arg(dir).output().unwrap()
}

fn text(dir: &Path, args: &[&str]) -> String {
    let output = run(dir, args);
    assert!(output.status.success(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn json(dir: &Path, args: &[&str]) -> Json {
    serde_json::from_str(&text(dir, args)).unwrap()
}

/// Ids of the stops, in order.
fn stops(dir: &Path) -> Vec<String> {
    let list = json(dir, &["events", "--json", "--kind", "stationary"]);
    let id = |event: &Json| event["id"].as_str().unwrap().to_owned();
    list["events"].as_array().unwrap().iter().map(id).collect()
}

fn fact<'a>(comparison: &'a Json, of: &str) -> &'a Json {
    let facts = comparison["facts"].as_array().unwrap();
    facts.iter().find(|fact| fact["of"] == of).unwrap_or_else(|| panic!("no {of}: {facts:?}"))
}

#[test]
fn the_longest_stop_beside_the_earlier_ones() {
    let dir = folder(&[4, 6, 8, 20]);
    let ids = stops(dir.path());
    assert_eq!(ids.len(), 4);
    let last = json(dir.path(), &["compare", &ids[3], "--json"]);
    assert_eq!(last["event"]["id"].as_str(), Some(ids[3].as_str()));
    let earlier: Vec<&str> =
        last["earlier"].as_array().unwrap().iter().map(|e| e["id"].as_str().unwrap()).collect();
    assert_eq!(earlier, ids[..3]);
    let lasted = fact(&last, "lasted");
    // Readings come every 0.1 s: an edge may be one of them off.
    for (key, truth) in [("value", 20.0), ("low", 4.0), ("median", 6.0), ("high", 8.0)] {
        let value = lasted[key].as_f64().unwrap();
        assert!((value - truth).abs() <= 0.25, "{key}: {value}, stopped for {truth}");
    }
    assert_eq!(lasted["earlier"], 3);
    let before = fact(&last, "speed_before");
    for key in ["value", "low", "median", "high"] {
        assert!((before[key].as_f64().unwrap() - 0.55).abs() < 0.01, "{before}");
    }
    let said = text(dir.path(), &["compare", &ids[3]]);
    let line = |what: &str| said.lines().find(|line| line.contains(what)).unwrap_or("").to_owned();
    assert!(line("  lasted:").ends_with("<- outside of all earlier ones"), "{said}");
    assert!(!line("  speed before:").contains("<-"), "{said}");
}

#[test]
fn an_event_looks_back_and_never_forward() {
    let dir = folder(&[4, 6, 8, 20]);
    let ids = stops(dir.path());
    let first = json(dir.path(), &["compare", &ids[0], "--json"]);
    assert_eq!(first["earlier"].as_array().unwrap().len(), 0);
    assert!(fact(&first, "lasted")["median"].is_null(), "unknown, not 0");
    let said = text(dir.path(), &["compare", &ids[0]]);
    assert!(said.contains("No earlier one of its kind on this machine"), "{said}");
    assert!(!said.contains("<-"), "{said}");
    // With one earlier one nothing is concluded, however different it is.
    let second = text(dir.path(), &["compare", &ids[1]]);
    assert!(!second.contains("<-"), "{second}");
    let within = text(dir.path(), &["compare", &ids[2], "--width", "50"]);
    let table: Vec<&str> = within.lines().filter(|line| line.contains("2026-11-23.")).collect();
    assert!(table.iter().all(|line| line.chars().count() <= 50), "{within}");
}

#[test]
fn one_night_tells_no_slow_change() {
    let dir = folder(&[4, 6, 8]);
    let trends = json(dir.path(), &["trends", "--json"]);
    let text = trends.to_string();
    assert!(text.contains("T1"), "{text}");
    let said = self::text(dir.path(), &["trends"]);
    assert!(!said.contains("NaN") && !said.contains("inf"), "{said}");
    let ids = stops(dir.path());
    let last = json(dir.path(), &["compare", &ids[2], "--json"]);
    assert_eq!(last["slow_changes"].as_array().unwrap().len(), 0, "{trends}");
}

#[test]
fn wrong_questions_are_told() {
    let dir = folder(&[4]);
    for (args, told) in [
        (&["compare"][..], "compare needs an event"),
        (&["compare", "2026-11-23.99"], "no event 99 in the night of 2026-11-23: it has 1"),
        (&["compare", "yesterday"], "yesterday"),
        (&["compare", "2026-11-23.1", "--days", "0"], "--days 0: give 1 to 800 nights"),
        (&["trends", "--from", "2026-11-24", "--to", "2026-11-23"], "--to is before --from"),
    ] {
        let output = run(dir.path(), args);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{args:?}: {said}");
        assert!(said.contains(told), "{args:?}: {said}");
    }
}
