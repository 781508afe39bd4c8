//! Wrong use, files that are there already, full disks, readers that leave.

use crate::night::{folder, run, said};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn files(dir: &Path) -> Vec<PathBuf> {
    let Ok(list) = std::fs::read_dir(dir) else { return Vec::new() };
    list.map(|entry| entry.unwrap().path()).collect()
}

#[test]
fn wrong_use_is_told_with_what_to_do() {
    let dir = folder();
    for (args, told) in [
        (
            &[][..],
            "export needs a table: readings, steps, events, nights, sections, measurements, or all",
        ),
        (&["night"], "there is no table `night`; there are: readings,"),
        (&["nights", "--format", "xlsx"], "--format xlsx: use one of csv, jsonl, parquet, mcap"),
        (&["nights", "--units", "metric"], "--units metric: use si, us, or people"),
        (&["nights", "--machine", "T3"], "there is no machine `T3`; there are: T1, T2"),
        (&["nights", "--from", "2026-11-23"], "give both --from and --to"),
        (&["nights", "--from", "2026-11-24", "--to", "2026-11-23"], "--to is before --from"),
        (
            &["nights", "--shift", "2026-11-23", "--to", "2026-11-23"],
            "either --shift, or --from and --to",
        ),
        (&["nights", "--shift", "23.11."], "23.11."),
        (&["all", "--out", "-"], "--out - prints one table: name one"),
        (&["nights", "--json"], "rows as JSON are --format jsonl"),
        (&["nights", "--dictionary"], "--dictionary is of all tables"),
        (&["nights", "--format", "parquet", "--out", "-"], "parquet cannot be printed"),
        (&["nights", "--what"], "--what"),
        (&["nights", "-x"], "-x"),
    ] {
        let args: Vec<&str> = ["export"].iter().chain(args).copied().collect();
        let output = run(dir.path(), &args);
        assert_eq!(output.status.code(), Some(1), "{args:?}: {}", said(&output));
        assert!(said(&output).contains(told), "{args:?}: {}", said(&output));
        assert!(output.stdout.is_empty());
    }
}

#[test]
fn a_format_that_is_not_built_in_says_how_to_get_it() {
    let dir = folder();
    for (format, built_in) in
        [("parquet", cfg!(feature = "parquet")), ("mcap", cfg!(feature = "mcap"))]
    {
        let output = run(dir.path(), &["export", "nights", "--format", format]);
        let command = format!("cargo build --release -p underbrush-report --features {format}");
        // 3 for the gap in the night.
        let code = if built_in { 3 } else { 1 };
        assert_eq!(output.status.code(), Some(code), "{}", said(&output));
        assert_eq!(said(&output).contains(&command), !built_in, "{}", said(&output));
        assert_eq!(dir.path().join(format!("nights.{format}")).exists(), built_in);
    }
}

#[test]
fn a_file_that_is_there_stays() {
    let dir = folder();
    let out = dir.path().join("out");
    std::fs::create_dir(&out).unwrap();
    std::fs::write(out.join("steps.csv"), "mine").unwrap();
    let output = run(dir.path(), &["export", "all", "--out", "out"]);
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(said(&output).contains("steps.csv is there already"), "{}", said(&output));
    assert_eq!(files(&out), [out.join("steps.csv")], "nothing is begun");
    assert_eq!(std::fs::read_to_string(out.join("steps.csv")).unwrap(), "mine");
    let output = run(dir.path(), &["export", "all", "--out", "out", "--force"]);
    assert_eq!(output.status.code(), Some(3), "{}", said(&output));
    assert!(std::fs::read_to_string(out.join("steps.csv")).unwrap().starts_with("machine,"));
    assert_eq!(files(&out).len(), 6);
}

/// Nothing is left of a table that did not fit, nor of those before it.
#[test]
fn a_full_disk_is_told_and_leaves_nothing() {
    let dir = folder();
    // A file may have 64 blocks of at most 1 KiB: the nights fit, the steps do not.
    let script = "trap '' XFSZ; ulimit -f 64; exec \"$0\" export nights steps --out out";
    let output = Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_underbrush")])
        .current_dir(dir.path())
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("steps.csv: File too large"), "{}", said(&output));
    assert_eq!(files(&dir.path().join("out")), Vec::<PathBuf>::new());
    // A place that is no folder.
    std::fs::write(dir.path().join("file"), "").unwrap();
    let output = run(dir.path(), &["export", "nights", "--out", "file/nights.csv"]);
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("file/nights.csv: "), "{}", said(&output));
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_behind_standard_output_is_told() {
    let dir = folder();
    for table in ["nights", "readings"] {
        for format in ["csv", "jsonl"] {
            let full = std::fs::File::options().write(true).open("/dev/full").unwrap();
            let output = Command::new(env!("CARGO_BIN_EXE_underbrush"))
                .args(["export", table, "--format", format, "--out", "-"])
                .current_dir(dir.path())
                .stdout(full)
                .stderr(Stdio::piped())
                .output()
                .unwrap();
            assert_eq!(output.status.code(), Some(2), "{}", said(&output));
            let told = "standard output: No space left on device";
            assert!(said(&output).contains(told), "{}", said(&output));
        }
    }
}

/// `underbrush export readings --out - | head`
#[test]
fn a_reader_may_leave() {
    let dir = folder();
    let mut child = Command::new(env!("CARGO_BIN_EXE_underbrush"))
        .args(["export", "readings", "--out", "-"])
        .current_dir(dir.path())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut some = [0; 100];
    child.stdout.take().unwrap().read_exact(&mut some).unwrap();
    let mut told = String::new();
    child.stderr.take().unwrap().read_to_string(&mut told).unwrap();
    assert_eq!((child.wait().unwrap().code(), told.as_str()), (Some(0), ""));
    assert!(some.starts_with(b"machine,boot,boot_ms,"));
}
