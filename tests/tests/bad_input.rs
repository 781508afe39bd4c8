//! Wrong use and bad files, at the real programs: a reason in one line, an exit code, no panic.

use std::path::Path;
use std::process::Output;
use tempfile::TempDir;
use underbrush_fixtures::{ShiftPlan, Simulation};
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_tests::{program, scenario};

const SHIFT: &str = "2026-11-23";

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A log of 30 simulated minutes.
fn log(dir: &Path) {
    let plan = ShiftPlan::short(3, 30);
    let start = UtcMs(plan.start_utc_ms);
    let chunks = Simulation::new(plan, 3).map(|c| (BootMs(c.arrival_ms), c.bytes));
    underbrush_agent::record_chunks(dir, "fh-scrubber-1", start, chunks).unwrap();
}

fn sheet(log: &Path, site: &Path, machine: &Path, more: &[&str]) -> Output {
    program("underbrush")
        .arg("sheet")
        .arg("--log")
        .arg(log)
        .arg("--site")
        .arg(site)
        .arg("--machine")
        .arg(machine)
        .args(more)
        .output()
        .unwrap()
}

fn fails(output: &Output, code: i32, reason: &str) {
    let said = text(&output.stderr);
    assert_eq!(output.status.code(), Some(code), "{said}");
    assert!(said.contains(reason), "`{reason}` is not in: {said}");
    assert!(!said.contains("panicked"), "{said}");
}

#[test]
fn wrong_arguments() {
    let run = |args: &[&str]| program("underbrush").args(args).output().unwrap();
    fails(&run(&[]), 1, "no command given");
    fails(&run(&["frobnicate"]), 1, "no command `frobnicate`");
    fails(&run(&["sheet", "--shift", "2026-13-01"]), 1, "not a date");
    fails(&run(&["sheet", "--shift", SHIFT]), 1, "--log is missing");
    fails(&run(&["sheet", "--shift", "2026-11-23..2026-11-01"]), 1, "before the first");
    assert_eq!(run(&["--help"]).status.code(), Some(0));
    let agent = |args: &[&str]| program("underbrush-agent").args(args).output().unwrap();
    assert_eq!(agent(&["run", "--config", "/nowhere/agent.toml"]).status.code(), Some(1));
    assert_eq!(agent(&["run"]).status.code(), Some(1));
}

#[test]
fn wrong_files_are_named_with_line_and_key() {
    let dir = TempDir::new().unwrap();
    log(&dir.path().join("log"));
    let (log, site, machine) =
        (dir.path().join("log"), scenario("site.toml"), scenario("machine.toml"));
    let bad = dir.path().join("bad.toml");
    let good = std::fs::read_to_string(&site).unwrap();
    for (from, to, reason) in [
        (
            "America/Chicago",
            "America/Nowhere",
            "key `time_zone`: time zone America/Nowhere is not in the IANA list",
        ),
        ("start = \"22:00\"", "start = \"25:00\"", "key `shift.start`: `25:00` is not a time"),
        ("area = \"575 sq ft\"", "area = \"575\"", "needs a unit"),
        (
            "area = \"575 sq ft\"",
            "arae = \"575 sq ft\"",
            "unknown key `arae`; did you mean `area`?",
        ),
        ("id = \"A-02\"", "id = \"A-01\"", "section A-01 is given twice"),
        ("number = 2\ngrit", "number = 7\ngrit", "found 7"),
    ] {
        assert!(good.contains(from), "{from}");
        std::fs::write(&bad, good.replacen(from, to, 1)).unwrap();
        let output = sheet(&log, &bad, &machine, &["--shift", SHIFT, "--text"]);
        fails(&output, 1, reason);
        fails(&output, 1, "bad.toml, line ");
        assert_eq!(text(&output.stderr).trim_end().lines().count(), 1, "one line");
    }
    std::fs::write(&bad, [0xff, 0xfe, 0x00]).unwrap();
    fails(&sheet(&log, &bad, &machine, &["--shift", SHIFT, "--text"]), 1, "not text in UTF-8");
}

#[test]
fn no_log_and_an_empty_shift() {
    let dir = TempDir::new().unwrap();
    let (site, machine) = (scenario("site.toml"), scenario("machine.toml"));
    let none = dir.path().join("none");
    fails(&sheet(&none, &site, &machine, &["--shift", SHIFT]), 1, "none");
    fails(
        &sheet(dir.path(), &site, &machine, &["--shift", SHIFT]),
        1,
        "no .journal or .archive file",
    );

    let log_dir = dir.path().join("log");
    log(&log_dir);
    let pdf = dir.path().join("empty.pdf");
    let empty = sheet(
        &log_dir,
        &site,
        &machine,
        &["--shift", "2026-11-20", "--out", pdf.to_str().unwrap()],
    );
    fails(&empty, 3, "nothing was recorded");
    assert!(std::fs::read(&pdf).unwrap().starts_with(b"%PDF-"));
}

#[test]
fn another_machines_log_alone_is_refused_with_its_name() {
    let dir = TempDir::new().unwrap();
    log(dir.path());
    let machine = std::fs::read_to_string(scenario("machine.toml")).unwrap();
    let other = dir.path().join("machine.toml");
    std::fs::write(&other, machine.replacen("fh-scrubber-1", "fh-scrubber-2", 1)).unwrap();
    let output = sheet(dir.path(), &scenario("site.toml"), &other, &["--shift", SHIFT]);
    fails(&output, 1, "is of machine `fh-scrubber-1`, not `fh-scrubber-2`");
}

#[test]
fn a_whole_log_is_verified_and_not_touched() {
    let dir = TempDir::new().unwrap();
    log(dir.path());
    let contents = || {
        let mut files: Vec<_> = std::fs::read_dir(dir.path())
            .unwrap()
            .map(|e| e.unwrap().path())
            .map(|path| (std::fs::read(&path).unwrap(), path))
            .collect();
        files.sort();
        files
    };
    let before = contents();
    let verified = program("underbrush").arg("verify").arg(dir.path()).output().unwrap();
    assert_eq!(verified.status.code(), Some(0), "{}", text(&verified.stdout));
    assert!(text(&verified.stdout).contains(": whole: "));
    assert!(contents() == before);
    let none = program("underbrush").args(["verify", "/nowhere"]).output().unwrap();
    fails(&none, 1, "/nowhere");
}

#[test]
fn a_damaged_log_makes_a_sheet_that_says_so() {
    let dir = TempDir::new().unwrap();
    log(dir.path());
    let mut damaged = 0;
    for entry in std::fs::read_dir(dir.path()).unwrap() {
        let path = entry.unwrap().path();
        if path.extension().is_some_and(|e| e == "archive") {
            let mut bytes = std::fs::read(&path).unwrap();
            let middle = bytes.len() / 2;
            bytes[middle..middle + 64].fill(0xA5);
            std::fs::write(&path, bytes).unwrap();
            damaged += 1;
        }
    }
    assert!(damaged > 0);
    let verified = program("underbrush").arg("verify").arg(dir.path()).output().unwrap();
    let said = text(&verified.stdout);
    assert_eq!(verified.status.code(), Some(3), "{said}");
    assert!(said.contains("DAMAGED") && said.contains(" damaged: "), "{said}");
    assert!(said.ends_with(&format!("{damaged} files, {damaged} of them damaged\n")), "{said}");
    let output = sheet(
        dir.path(),
        &scenario("site.toml"),
        &scenario("machine.toml"),
        &["--shift", SHIFT, "--text"],
    );
    fails(&output, 3, "are damaged");
    assert!(text(&output.stdout).contains("damaged"));
}

/// Names that try to break terminal, PDF or layout come out as harmless text.
#[test]
fn hostile_names() {
    let dir = TempDir::new().unwrap();
    let log_dir = dir.path().join("log");
    log(&log_dir);
    let site = dir.path().join("site.toml");
    let hostile = format!("\\u001b[31m{}\\u0007 床 Ђ (\\\\)", "long ".repeat(200));
    let good = std::fs::read_to_string(scenario("site.toml")).unwrap();
    let bad = good.replacen("name = \"Aisle 1\"", &format!("name = \"{hostile}\""), 1);
    assert_ne!(bad, good);
    std::fs::write(&site, bad).unwrap();
    let pdf = dir.path().join("sheet.pdf");
    let made = sheet(
        &log_dir,
        &site,
        &scenario("machine.toml"),
        &["--shift", SHIFT, "--out", pdf.to_str().unwrap()],
    );
    assert!(matches!(made.status.code(), Some(0 | 3)), "{}", text(&made.stderr));
    let printed = sheet(&log_dir, &site, &scenario("machine.toml"), &["--shift", SHIFT, "--text"]);
    let printed = text(&printed.stdout);
    assert!(
        printed.contains("long long") && !printed.contains('\u{1b}') && !printed.contains('\u{7}')
    );
}
