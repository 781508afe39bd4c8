//! What the commands print as JSON, against its schemas in `report/schema`.
//!
//! With `UNDERBRUSH_JSON_TO=FOLDER` the printed texts are also kept there, for the library
//! that `tests/reference/schemas.py` holds them against.

mod common;
#[path = "common/schema.rs"]
mod schema;

use common::{drive, stops};
use schema::errors;
use std::path::{Path, PathBuf};
use std::process::Command;
use tempfile::TempDir;

type Json = serde_json::Value;

/// Stops with the brush on, a load of 55 A, and work of some minutes.
fn folder() -> TempDir {
    let (mut entries, at) = stops([4, 6, 9]);
    entries.extend(drive(at, 10, 550, 20));
    entries.extend(drive(at + 10_100, 5, 550, 55));
    entries.extend(drive(at + 15_200, 400, 550, 20));
    common::folder(common::SITE, entries)
}

fn json(dir: &Path, args: &[&str]) -> Json {
    let run = Command::new(env!("CARGO_BIN_EXE_underbrush"))
        .args(args)
        .args(["--json", "--in"])
        .arg(dir)
        .output()
        .unwrap();
    assert!(run.status.success(), "{args:?}: {}", String::from_utf8_lossy(&run.stderr));
    if let Some(to) = std::env::var_os("UNDERBRUSH_JSON_TO") {
        let name = format!("{}.json", args.join("-"));
        std::fs::write(PathBuf::from(to).join(name), &run.stdout).unwrap();
    }
    serde_json::from_slice(&run.stdout).unwrap()
}

fn must(schema: &str, json: &Json) {
    let wrong = errors(schema, json);
    assert!(wrong.is_empty(), "{schema}: {}", wrong[..wrong.len().min(5)].join("\n"));
}

#[test]
fn every_json_is_as_its_schema_says() {
    let dir = folder();
    let events = json(dir.path(), &["events"]);
    must("events.json", &events);
    let ids: Vec<&str> =
        events["events"].as_array().unwrap().iter().map(|e| e["id"].as_str().unwrap()).collect();
    assert!(ids.len() >= 4, "{ids:?}");
    for id in &ids {
        must("trace.json", &json(dir.path(), &["trace", id]));
        must("comparison.json", &json(dir.path(), &["compare", id]));
    }
    let trends = json(dir.path(), &["trends"]);
    must("trends.json", &trends);
    assert_eq!(trends["machines"].as_array().unwrap().len(), 1);
}

/// Makes a JSON wrong.
type Spoil = fn(&mut Json);

/// What is wrong is found, in every one of the schemas.
#[test]
fn a_spoilt_json_is_told() {
    let dir = folder();
    let trace = json(dir.path(), &["trace", "2026-11-23.4"]);
    let spoils: [Spoil; 7] = [
        |j| j["version"] = 2.into(),
        |j| j["evnet"] = 1.into(),
        |j| j["causes"][0]["likelihood"] = "sure".into(),
        |j| j["causes"][0]["score"] = 1.5.into(),
        |j| j["readings"]["lines"][0]["ranges"][0] = Json::Array(vec![1.into()]),
        |j| j["event"]["length_s"] = (-1.0).into(),
        |j| drop(j["limits"].as_object_mut().unwrap().remove("stall_a")),
    ];
    for (i, spoil) in spoils.into_iter().enumerate() {
        let mut bad = trace.clone();
        spoil(&mut bad);
        assert_eq!(errors("trace.json", &bad).len(), 1, "{i}");
    }
    must("trace.json", &trace);
    for (schema, args) in [
        ("events.json", &["events"][..]),
        ("comparison.json", &["compare", "2026-11-23.3"]),
        ("trends.json", &["trends"]),
    ] {
        let good = json(dir.path(), args);
        for key in good.as_object().unwrap().keys() {
            let mut bad = good.clone();
            bad.as_object_mut().unwrap().remove(key);
            assert!(!errors(schema, &bad).is_empty(), "{schema} without {key}");
        }
    }
}
