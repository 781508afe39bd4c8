//! `underbrush new-site`, `check-files` and `book`, as a person at a terminal uses them.

use std::io::Write;
use std::path::Path;
use std::process::{Command, Output, Stdio};

fn underbrush(dir: &Path, args: &[&str], typed: &str) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_underbrush"))
        .args(args)
        .current_dir(dir)
        .env("TZ", "Europe/Berlin")
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    // A program that has ended before it read all is seen by its answer.
    let _ = child.stdin.take().unwrap().write_all(typed.as_bytes());
    child.wait_with_output().unwrap()
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr)
}

fn files(dir: &Path) -> Vec<String> {
    let names = std::fs::read_dir(dir).unwrap();
    let mut names: Vec<String> =
        names.map(|e| e.unwrap().file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn answers_make_files_that_check() {
    let dir = tempfile::tempdir().unwrap();
    // Name, zone by a part (too wide first), units, paper, language, hours, machine, brushes (not
    // a number first), width with a comma, grits, surfaces, three groups.
    let typed = "Hall \"9\" = [x]\namerica\nchicago\nsi\n\nde\n21:30\n05:30\nm-7\nmany\n3\n70,5\n\
                 60 200,400\nwood, soft \"mats\"\n2\n50\n0\n1\n80\n";
    let output = underbrush(dir.path(), &["new-site", "hall"], typed);
    assert!(output.status.success(), "{}", said(&output));
    assert!(said(&output).contains("which one: America/"), "{}", said(&output));
    let hall = dir.path().join("hall");
    assert_eq!(files(&hall), ["book.toml", "machine.toml", "schema", "site.toml"]);
    assert_eq!(files(&hall.join("schema")), ["book.json", "machine.json", "site.json"]);
    let site = std::fs::read_to_string(hall.join("site.toml")).unwrap();
    let site = underbrush_report::settings::Site::parse("site.toml", &site).unwrap();
    assert_eq!(site.name, "Hall \"9\" = [x]");
    assert_eq!((site.zone.name(), site.language.tag()), ("America/Chicago", "de"));
    let grits: Vec<_> = site.steps.iter().map(|s| (s.grit.as_str(), s.minutes)).collect();
    assert_eq!(grits, [("60", 45.0), ("200", 30.0), ("400", 30.0)]);
    let sections: Vec<_> = site.sections.iter().map(|s| (s.id.as_str(), s.area.0)).collect();
    assert_eq!(sections, [("A-01", 50.0), ("A-02", 50.0), ("R-01", 80.0)]);
    assert_eq!(site.never_polish, ["wood", "soft \"mats\""]);
    let machine = std::fs::read_to_string(hall.join("machine.toml")).unwrap();
    assert!(machine.contains("path_width = \"70.5 cm\"") && machine.contains("brushes = 3"));
    let check = underbrush(dir.path(), &["check-files", "--in", "hall"], "");
    assert!(check.status.success(), "{}", said(&check));
    // Every line of the book's example works once its `#` is taken away.
    let book = std::fs::read_to_string(hall.join("book.toml")).unwrap();
    let is_example = |line: &&str| line.starts_with("# [[") || line.contains(" = ");
    let example: Vec<&str> = book
        .lines()
        .skip_while(|line| !line.starts_with("# [["))
        .filter(is_example)
        .filter_map(|line| line.strip_prefix("# "))
        .collect();
    std::fs::write(hall.join("book.toml"), example.join("\n")).unwrap();
    let check = underbrush(&hall, &["check-files"], "");
    assert!(check.status.success() && example.len() > 20, "{}", said(&check));
}

#[test]
fn nothing_is_written_over_and_nothing_half() {
    let dir = tempfile::tempdir().unwrap();
    for typed in ["", "Hall\n", "Hall\nchicago\nus\n\n\n\n\n\n\n", "Hall\nchicago\nus"] {
        let output = underbrush(dir.path(), &["new-site", "hall"], typed);
        assert_eq!(output.status.code(), Some(1), "{typed:?}");
        assert!(said(&output).contains("the answers ended at"), "{}", said(&output));
        assert!(!dir.path().join("hall").exists(), "{typed:?}");
    }
    let output = underbrush(dir.path(), &["new-site", "--yes"], "");
    assert!(output.status.success(), "{}", said(&output));
    let site = std::fs::read_to_string(dir.path().join("site.toml")).unwrap();
    assert!(site.contains("time_zone = \"Europe/Berlin\""), "the zone of the computer");
    std::fs::remove_file(dir.path().join("machine.toml")).unwrap();
    let again = underbrush(dir.path(), &["new-site", "--yes"], "");
    assert_eq!(again.status.code(), Some(1));
    assert!(said(&again).contains("site.toml") && said(&again).contains("there already"));
    assert_eq!(std::fs::read_to_string(dir.path().join("site.toml")).unwrap(), site);
    assert!(!dir.path().join("machine.toml").exists());
}

#[test]
fn check_files_tells_everything_at_once() {
    let dir = tempfile::tempdir().unwrap();
    assert!(underbrush(dir.path(), &["new-site", "--yes"], "").status.success());
    let book = "[[done]]\ndate = 2026-11-20\nsection = \"A01\"\nphase = \"step 1\"\n\
                [[remark]]\ndate = 2026-11-20\ntxet = \"x\"\n";
    std::fs::write(dir.path().join("book.toml"), book).unwrap();
    let check = underbrush(dir.path(), &["check-files"], "");
    assert_eq!(check.status.code(), Some(1));
    let text = said(&check);
    assert!(text.contains("book.toml, line 1, key `done.section`: section A01 is not in the site file; did you mean A-01?"), "{text}");
    assert!(
        text.contains(
            "book.toml, line 7, key `remark.txet`: unknown key `txet`; did you mean `text`?"
        ),
        "{text}"
    );
    assert!(text.contains("3 files, 2 to correct"), "{text}");
    for (file, from, to) in [
        ("site.toml", "minutes = 45", "minutes = -1"),
        ("machine.toml", "resistance = \"0.3 ohm\"", "resistance = \"0 ohm\"\nresistence = 3"),
    ] {
        let path = dir.path().join(file);
        let text = std::fs::read_to_string(&path).unwrap().replace(from, to);
        std::fs::write(path, text).unwrap();
    }
    let text = said(&underbrush(dir.path(), &["check-files"], ""));
    for part in [
        "key `step.minutes`: step 1: must be more than 0",
        "key `motor.resistence`: unknown key `resistence`; did you mean `resistance`?",
        "key `motor.resistance`: must be more than 0",
        "key `remark.txet`",
        "looked up once the other files are right",
        "3 files, 4 to correct",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
}

#[test]
fn the_book_goes_to_a_table_and_back() {
    let dir = tempfile::tempdir().unwrap();
    let toml = "[[remark]]\ndate = 2026-11-20\ntext = \"=1+1\"\n";
    std::fs::write(dir.path().join("book.toml"), toml).unwrap();
    let there = underbrush(dir.path(), &["book", "book.toml", "--out", "book.csv"], "");
    assert!(there.status.success(), "{}", said(&there));
    let csv = std::fs::read_to_string(dir.path().join("book.csv")).unwrap();
    assert!(csv.contains(",'=1+1,"), "{csv}");
    let back = underbrush(dir.path(), &["book", "book.csv"], "");
    assert_eq!(String::from_utf8_lossy(&back.stdout), toml);
    let over = underbrush(dir.path(), &["book", "book.toml", "--out", "book.csv"], "");
    assert_eq!(over.status.code(), Some(2), "an existing file stays");
    // What Windows writes without being asked for UTF-8.
    std::fs::write(dir.path().join("book.csv"), b"entry,date,text\nremark,2026-11-20,\xfc\n")
        .unwrap();
    let latin = underbrush(dir.path(), &["book", "book.csv"], "");
    assert_eq!(latin.status.code(), Some(1));
    assert!(said(&latin).contains("line 2: it is not text in UTF-8"), "{}", said(&latin));
}
