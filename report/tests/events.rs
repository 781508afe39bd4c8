//! `underbrush events` and `underbrush trace` as people run them, on logs made by hand.

mod common;

use common::{drive, stops};
use std::collections::BTreeSet;
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;
use underbrush_protocol::log::Entry;

type Json = serde_json::Value;

/// A folder whose night holds so many stops with the brush on, and one load of 55 A.
fn folder(count: u64, section: &str) -> TempDir {
    let (mut entries, at) = stops((0..count).map(|_| 4));
    entries.push(Entry::Note(
        underbrush_protocol::time::BootMs(600),
        underbrush_protocol::note::Note::Mark(underbrush_protocol::frame::Mark::Tag(1)),
    ));
    entries.extend(drive(at, 10, 550, 20));
    entries.extend(drive(at + 10_100, 5, 550, 55));
    entries.extend(drive(at + 15_200, 40, 550, 20));
    let site = common::SITE.replace("id = \"A-01\"", &format!("id = \"{section}\""));
    common::folder(&site, entries)
}

fn run(dir: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_underbrush")).args(args).arg("--in").arg(dir).output().unwrap()
}

fn text(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).unwrap()
}

fn keys(object: &Json) -> BTreeSet<String> {
    object.as_object().unwrap().keys().cloned().collect()
}

#[test]
fn many_events_in_all_forms() {
    let dir = folder(64, "A-01");
    let json: Json =
        serde_json::from_str(&text(&run(dir.path(), &["events", "--json", "--kind", "brush"])))
            .unwrap();
    let events = json["events"].as_array().unwrap();
    let list = text(&run(dir.path(), &["events", "--kind", "brush"]));
    assert_eq!(events.len(), 65, "64 stops and one load: {list}");
    let schema: Json = serde_json::from_str(
        &std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("schema/events.json"))
            .unwrap(),
    )
    .unwrap();
    assert_eq!(keys(&json), keys(&schema["properties"]));
    let row = &schema["properties"]["events"]["items"];
    let kinds = &row["properties"]["kind"]["enum"];
    for (i, event) in events.iter().enumerate() {
        assert_eq!(keys(event), keys(&row["properties"]));
        assert!(kinds.as_array().unwrap().contains(&event["kind"]), "{event}");
        assert_eq!(event["id"], format!("2026-11-23.{}", i + 1));
        assert_eq!(event["section"], "A-01");
    }
    let stop = &events[0];
    assert_eq!((stop["kind"].as_str(), stop["limit"].as_f64()), (Some("stationary"), Some(2.0)));
    let length = stop["length_s"].as_f64().unwrap();
    assert!((3.9..=4.3).contains(&length), "{length}");
    let load = events.last().unwrap();
    assert_eq!(
        (load["kind"].as_str(), load["peak_value"].as_f64()),
        (Some("over-pressure"), Some(55.0))
    );
    let csv = text(&run(dir.path(), &["events", "--csv", "--kind", "brush"]));
    assert_eq!(csv.lines().count(), 66);
    for width in ["30", "60", "80", "100", "200"] {
        let list = text(&run(dir.path(), &["events", "--width", width]));
        let most = list.lines().map(|line| line.chars().count()).max().unwrap();
        assert!(most <= width.parse().unwrap(), "{most} at {width}");
        for i in 1..=65 {
            let id = format!("2026-11-23.{i}");
            assert!(list.split_whitespace().any(|word| word == id), "{id} at {width}");
        }
    }
}

#[test]
fn filters_and_what_is_wrong_with_them() {
    let dir = folder(6, "A-01");
    let count = |args: &[&str]| {
        let args: Vec<&str> = ["events", "--json"].iter().chain(args).copied().collect();
        let json: Json = serde_json::from_str(&text(&run(dir.path(), &args))).unwrap();
        json["events"].as_array().unwrap().len()
    };
    let brush = |args: &[&str]| {
        let args: Vec<&str> = ["--kind", "brush"].iter().chain(args).copied().collect();
        count(&args)
    };
    assert_eq!(brush(&[]), 7);
    // The made-up machine starts and stops at once: its wheels cannot have held.
    assert!(count(&["--kind", "slip"]) > 0);
    assert!(count(&[]) >= 7 + count(&["--kind", "slip"]));
    assert_eq!(count(&["--kind", "over-pressure"]), 1);
    assert_eq!(count(&["--kind", "stationary,over-pressure"]), 7);
    assert_eq!(count(&["--kind", "care"]), 0);
    assert_eq!(brush(&["--section", "a-01"]), 7);
    assert_eq!(brush(&["--section", "X-01"]), 0);
    assert_eq!(brush(&["--machine", "T1"]), 7);
    assert_eq!(brush(&["--severity", "inspect"]), 7);
    assert_eq!(brush(&["--severity", "severe"]), 0);
    // The boot begins at 22:01 UTC; stops begin at 22:01:11 and each 14.2 s on.
    assert_eq!(brush(&["--between", "22:01", "22:01"]), 4);
    assert_eq!(brush(&["--between", "22:02", "22:00"]), 3);
    assert_eq!(count(&["--shift", "2026-11-22"]), 0);
    for (args, told) in [
        (&["--kind", "stal"][..], "did you mean stall?"),
        (&["--severity", "sevre"], "did you mean severe?"),
        (&["--section", "A01"], "did you mean A-01?"),
        (&["--machine", "T2"], "did you mean T1?"),
        (&["--between", "22:00"], "two times"),
        (&["--between", "25:00", "26:00"], "`25:00` is no time"),
        (&["--from", "2026-11-24", "--to", "2026-11-23"], "--to is before --from"),
        (&["--csv", "--json"], "one of --csv and --json"),
    ] {
        let args: Vec<&str> = ["events"].iter().chain(args).copied().collect();
        let output = run(dir.path(), &args);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{args:?}: {said}");
        assert!(said.contains(told), "{args:?}: {said}");
    }
}

#[test]
fn hostile_names_do_no_harm() {
    let dir = folder(1, "=HYPERLINK(1)\\u202E<&\\u0007");
    let csv = text(&run(dir.path(), &["events", "--csv"]));
    let said = run(dir.path(), &["events"]);
    assert!(csv.contains("'=HYPERLINK(1)"), "{csv} {}", String::from_utf8_lossy(&said.stderr));
    let list = text(&run(dir.path(), &["events", "--width", "120"]));
    assert!(!list.contains(['\u{202E}', '\u{7}']), "{list:?}");
    let svg = dir.path().join("a.svg");
    let output = run(dir.path(), &["trace", "1", "--svg", svg.to_str().unwrap()]);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let svg = std::fs::read_to_string(svg).unwrap();
    assert!(!svg.contains(['\u{202E}', '\u{7}']) && svg.contains("&lt;&amp;"), "{svg}");
}

#[test]
fn a_trace_in_all_forms() {
    let dir = folder(3, "A-01");
    let load = "2026-11-23.4";
    // One motor, no rotation, no battery, no switches: only what was read is drawn.
    let json: Json =
        serde_json::from_str(&text(&run(dir.path(), &["trace", load, "--json"]))).unwrap();
    let lines = json["readings"]["lines"].as_array().unwrap();
    let names: BTreeSet<&str> = lines.iter().map(|l| l["quantity"].as_str().unwrap()).collect();
    assert!(names.contains("speed") && names.contains("current") && names.contains("heat"));
    assert!(!names.contains("rotation") && !names.contains("battery"), "{names:?}");
    let current = lines.iter().find(|line| line["quantity"] == "current").unwrap();
    let high = current["ranges"].as_array().unwrap().iter().filter_map(|r| r[1].as_f64());
    assert!((high.fold(0.0, f64::max) - 55.0).abs() < 1e-6);
    let said = text(&run(dir.path(), &["trace", "4", "--width", "120"]));
    for part in ["Likely cause", "Over pressure", "Disconnect the battery", "Motor 1, A"] {
        assert!(said.contains(part), "{part}: {said}");
    }
    for (option, begins) in [("--pdf", &b"%PDF-"[..]), ("--svg", b"<?xml"), ("--png", b"\x89PNG")] {
        let path = dir.path().join("page");
        let output = run(dir.path(), &["trace", load, option, path.to_str().unwrap()]);
        assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
        let bytes = std::fs::read(&path).unwrap();
        assert!(bytes.starts_with(begins) && bytes.len() > 5_000, "{option}");
    }
    for language in ["en", "es", "de"] {
        let output = run(dir.path(), &["trace", load, "--language", language]);
        assert!(
            output.status.success() && !text(&output).replace("[ ]", "").contains('['),
            "{}",
            text(&output)
        );
    }
    for (id, told) in [
        ("2026-11-23.9", "no event 9 in the night of 2026-11-23: it has 1, 2, 3, 4"),
        ("banana", "names no event"),
        ("2026-11-23.nobody.1", "no machine is called `nobody`"),
        ("2026-11-22.1", "it has none"),
    ] {
        let output = run(dir.path(), &["trace", id]);
        let said = String::from_utf8_lossy(&output.stderr).into_owned();
        assert_eq!(output.status.code(), Some(1), "{id}: {said}");
        assert!(said.contains(told), "{id}: {said}");
    }
}

/// The page of an event on the sheet and that of `trace` are the same judgement.
#[test]
fn the_sheet_tells_the_causes_that_trace_tells() {
    let dir = folder(3, "A-01");
    let book = "[[tool]]\nfitted = 2026-11-22\ngrit = \"100\"\n";
    std::fs::write(dir.path().join("book.toml"), book).unwrap();
    let whole = |args: &[&str]| text(&run(dir.path(), args));
    let trace = whole(&["trace", "2026-11-23.4", "--width", "100"]);
    let causes = trace.split("Before hands go").last().unwrap();
    assert!(causes.contains("fitted 1 nights"), "{trace}");
    let sheet = whole(&["sheet", "--technician", "--text"]);
    assert!(sheet.contains(causes.trim()), "{causes}\nis not in\n{sheet}");
}
