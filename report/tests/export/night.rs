//! A night of two machines, and what `underbrush` tells of it.

use crate::common::{MACHINE, SITE, archive_bytes, drive, fix, reading};
use serde_json::{Map, Value};
use std::path::Path;
use std::process::{Command, Output};
use tempfile::TempDir;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::log::{Entry, Identity};
use underbrush_protocol::note::Note;
use underbrush_protocol::time::BootMs;

/// A row by the names of its columns.
pub(crate) type Row = Map<String, Value>;

/// Begin of the first machine's log after the start of the shift.
pub(crate) const LOG_MS: i64 = 60_000;

/// Seconds, mm/s and A of the first machine: on step 1, then the daily run.
pub(crate) const STEP: [(u64, i32, i32); 12] = [
    (600, 550, 20),
    (4, 0, 20),
    (10, 550, 20),
    (6, 0, 20),
    (10, 550, 20),
    (3, 0, 20),
    (10, 550, 20),
    (5, 550, 55),
    (60, -550, 20),
    (60, 300, 20),
    (60, 900, 20),
    (30, 550, 0),
];
pub(crate) const DAILY: [(u64, i32, i32); 2] = [(120, 1_100, 18), (60, 550, 18)];

/// The shift book: texts that tables find hard, and lengths in each form.
const BOOK: &str = r#"
[[tool]]
fitted = 2026-11-02
grit = "100"
set = "=1+1, \"x\""
machine = "T1"
[[measured]]
date = 2026-11-06
length = "24 mm"
machine = "T1"
set = "=1+1, \"x\""
by = "A,\nB"
[[measured]]
date = 2026-11-13
quadrants = [["20 mm", "20.5 mm", "21 mm", "20 mm"]]
machine = "T1"
[[measured]]
date = 2026-11-20
lengths = ["19 mm"]
machine = "T2"
[[measured]]
date = 2026-11-21
length = "0.7 in"
"#;

fn mark(at: u64, mark: Mark) -> Entry {
    Entry::Note(BootMs(at), Note::Mark(mark))
}

/// What the first machine's log has.
pub(crate) fn entries() -> Vec<Entry> {
    let mut entries = vec![
        fix(LOG_MS),
        reading(500, Channel::HEAD_DOWN, 1),
        reading(500, Channel(127), -7),
        mark(600, Mark::Tag(1)),
        mark(700, Mark::Button(1)),
    ];
    let mut at = 1_000;
    for (seconds, speed, current) in STEP {
        entries.extend(drive(at, seconds, speed, current));
        at += seconds * 1000 + 100;
    }
    // Half a minute of silence.
    at += 30_000;
    entries.push(mark(at - 50, Mark::Button(9)));
    for (seconds, speed, current) in DAILY {
        entries.extend(drive(at, seconds, speed, current));
        at += seconds * 1000 + 100;
    }
    entries.sort_by_key(Entry::at);
    entries
}

/// Writes one power-on of a machine.
pub(crate) fn boot(dir: &Path, machine: &str, boot: u32, entries: &[Entry]) {
    let folder = dir.join("log").join(machine);
    std::fs::create_dir_all(&folder).unwrap();
    let identity =
        Identity { machine: machine.to_owned(), boot, segment: 1, agent: "test".to_owned() };
    let name = format!("boot-{boot:08}.part-0001.archive");
    std::fs::write(folder.join(name), archive_bytes(&identity, entries)).unwrap();
}

/// The folder of a building with two machines: the second drove 20 minutes, unmarked, in this
/// night and five minutes in the next.
pub(crate) fn folder() -> TempDir {
    let dir = tempfile::tempdir().unwrap();
    let put = |name: &str, text: &str| std::fs::write(dir.path().join(name), text).unwrap();
    put("site.toml", &SITE.replace("id = \"A-01\"", "id = \"A-01\"\nname = '-Hall \"A\", north'"));
    put("machine.toml", MACHINE);
    put("machine2.toml", &MACHINE.replace("\"T1\"", "\"T2\"").replace("Test machine", "Second"));
    put("book.toml", BOOK);
    boot(dir.path(), "T1", 1, &entries());
    for (number, after_ms, seconds) in [(1, 3_600_000, 1200), (2, 86_400_000 + 60_000, 300)] {
        let mut entries = vec![fix(after_ms)];
        entries.extend(drive(100, seconds, 550, 20));
        boot(dir.path(), "T2", number, &entries);
    }
    dir
}

pub(crate) fn run(dir: &Path, args: &[&str]) -> Output {
    let program = env!("CARGO_BIN_EXE_underbrush");
    Command::new(program).args(args).arg("--in").arg(dir).current_dir(dir).output().unwrap()
}

pub(crate) fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// What is printed, of a run that must go well; the first machine's gap makes it exit code 3.
pub(crate) fn printed(dir: &Path, args: &[&str]) -> String {
    let output = run(dir, args);
    assert!(matches!(output.status.code(), Some(0 | 3)), "{args:?}: {}", said(&output));
    String::from_utf8(output.stdout).unwrap()
}

/// The rows of a table, by JSON lines.
pub(crate) fn rows(dir: &Path, args: &[&str]) -> Vec<Row> {
    let args: Vec<&str> =
        ["export", "--format", "jsonl", "--out", "-"].iter().chain(args).copied().collect();
    let text = printed(dir, &args);
    text.lines().map(|line| serde_json::from_str(line).unwrap()).collect()
}

/// What `underbrush` prints as JSON.
pub(crate) fn json(dir: &Path, args: &[&str]) -> Value {
    serde_json::from_str(&printed(dir, args)).unwrap()
}

/// The columns of a table, as the dictionary has them.
pub(crate) fn columns(table: &str, units: &str) -> Vec<Value> {
    let dir = std::env::temp_dir();
    let output = Command::new(env!("CARGO_BIN_EXE_underbrush"))
        .args(["export", "--dictionary", "--json", "--units", units])
        .current_dir(dir)
        .output()
        .unwrap();
    let all: Value = serde_json::from_slice(&output.stdout).unwrap();
    let tables = all["tables"].as_array().unwrap();
    let found = tables.iter().find(|found| found["table"] == table).unwrap();
    found["columns"].as_array().unwrap().clone()
}

pub(crate) const TABLES: [&str; 6] =
    ["readings", "steps", "events", "nights", "sections", "measurements"];

/// A number as this test reads it: `serde_json` rounds the last bit in its own way.
pub(crate) fn parsed(text: &str) -> f64 {
    serde_json::from_str(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

/// A number of a row.
pub(crate) fn number(row: &Row, column: &str) -> f64 {
    row[column].as_f64().unwrap_or_else(|| panic!("{column}: {}", row[column]))
}
