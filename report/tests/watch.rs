//! A watched folder: each sheet is made, and printed at most once, whatever happens.
//!
//! The printer is a script named `lp` that notes each call. Logs are made by hand; no
//! check of figures rests on them.
#![cfg(unix)]

mod common;

use chrono::{DateTime, NaiveDate, TimeDelta, Utc};
use common::{MACHINE, SITE, archive_bytes, drive};
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant, SystemTime};
use tempfile::TempDir;
use underbrush_protocol::log::{Entry, Identity};
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::time::{BootMs, UtcMs};

/// Notes the call before it answers, as a print system that has the job.
const PRINTS: &str = "echo \"$@\" >>\"$CALLS\"\necho request id is office-1";

struct Folder {
    dir: TempDir,
}

impl Folder {
    fn new(machines: &[&str]) -> Self {
        let folder = Self { dir: tempfile::tempdir().unwrap() };
        std::fs::write(folder.path("site.toml"), SITE).unwrap();
        for id in machines {
            let text = MACHINE.replace("id = \"T1\"", &format!("id = \"{id}\""));
            std::fs::write(folder.path(&format!("machine-{id}.toml")), text).unwrap();
        }
        for name in ["log", "bin", "none"] {
            std::fs::create_dir(folder.path(name)).unwrap();
        }
        folder.printer(PRINTS);
        folder
    }

    fn path(&self, name: &str) -> PathBuf {
        self.dir.path().join(name)
    }

    fn printer(&self, script: &str) {
        let path = self.path("bin/lp");
        std::fs::write(&path, format!("#!/bin/sh\n{script}\n")).unwrap();
        std::fs::set_permissions(&path, PermissionsExt::from_mode(0o755)).unwrap();
    }

    /// Ten minutes of work, from an hour after the begin of the shift of `date`.
    fn night(&self, machine: &str, boot: u32, part: u32, date: NaiveDate) {
        let begin = date.and_hms_opt(23, 0, 0).unwrap().and_utc();
        let utc = UtcMs(begin.timestamp_millis());
        let fix = ClockFix { utc, source: ClockSource::Network, uncertainty_ms: 50 };
        let mut entries = vec![Entry::Note(BootMs(0), Note::ClockFix(fix))];
        entries.extend(drive(u64::from(part) * 900_000, 600, 600, 20));
        let (id, agent) = (machine.to_owned(), "test".to_owned());
        let identity = Identity { machine: id, boot, segment: part, agent };
        std::fs::create_dir_all(self.path("log").join(machine)).unwrap();
        let name = format!("log/{machine}/boot-{boot:08}.part-{part:04}.archive");
        std::fs::write(self.path(&name), archive_bytes(&identity, &entries)).unwrap();
    }

    fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush"));
        command.arg("watch-folder").args(args).arg("--in").arg(self.dir.path());
        let path = std::env::var("PATH").unwrap_or_default();
        command.env("PATH", format!("{}:{path}", self.path("bin").display()));
        command.env("CALLS", self.path("calls"));
        command.stdin(Stdio::null());
        command
    }

    /// One look, without waiting for quiet logs.
    fn once(&self, args: &[&str]) -> (i32, String) {
        said(&self.command(&[&["--once", "--quiet", "0"], args].concat()).output().unwrap())
    }

    /// How often the printer was called.
    fn printed(&self) -> usize {
        std::fs::read_to_string(self.path("calls")).unwrap_or_default().lines().count()
    }

    fn state(&self) -> String {
        std::fs::read_to_string(self.path("sheets/underbrush-watch.json")).unwrap_or_default()
    }
}

fn said(output: &Output) -> (i32, String) {
    let text = String::from_utf8_lossy(&output.stderr).into_owned()
        + &String::from_utf8_lossy(&output.stdout);
    (output.status.code().unwrap_or(-1), text)
}

/// A date whose shift (22:00 to 06:00 UTC) ended `back` days ago or up to a day more.
fn ended(back: i64) -> NaiveDate {
    let now = DateTime::<Utc>::from(SystemTime::now());
    (now - TimeDelta::hours(30) - TimeDelta::days(back)).date_naive()
}

#[test]
fn each_night_is_printed_once() {
    let folder = Folder::new(&["T1"]);
    let nothing = folder.once(&["--print", "office"]);
    assert_eq!((nothing.0, folder.printed()), (0, 0), "no log yet: {}", nothing.1);
    folder.night("T1", 1, 1, ended(4));
    folder.night("T1", 2, 1, ended(3));
    let first = folder.once(&["--print", "office"]);
    assert_eq!(first.0, 0, "{}", first.1);
    // The first start is not for all nights that ever were.
    assert_eq!(folder.printed(), 1, "{}", first.1);
    let call = std::fs::read_to_string(folder.path("calls")).unwrap();
    let sheet = format!("shift-T1-{}.pdf", ended(3));
    assert!(call.starts_with("-d office /") && call.trim_end().ends_with(&sheet), "{call}");
    assert!(folder.path("sheets").join(&sheet).exists());
    assert!(first.1.contains("printed") && first.1.contains("request id is office-1"));
    for _ in 0..3 {
        assert_eq!(folder.once(&["--print", "office"]).0, 0);
    }
    assert_eq!(folder.printed(), 1);
    // Nights that were missed since are caught up, each once.
    folder.night("T1", 3, 1, ended(2));
    folder.night("T1", 4, 1, ended(0));
    folder.once(&["--print", "office"]);
    folder.once(&["--print", "office"]);
    assert_eq!(folder.printed(), 3);
    // The same records under another name are no news.
    let file = |name: &str| folder.path("log/T1").join(name);
    std::fs::rename(file("boot-00000004.part-0001.archive"), file("copy.archive")).unwrap();
    let renamed = folder.once(&["--print", "office", "--reprint-changed"]);
    assert_eq!((renamed.0, folder.printed()), (0, 3), "{}", renamed.1);
    assert!(!folder.state().contains("\"issue\": 2"), "{}", folder.state());
}

#[test]
fn without_print_nothing_is_printed_then_or_later() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    assert_eq!(folder.once(&[]).0, 0);
    assert!(folder.path("sheets").join(format!("shift-T1-{}.pdf", ended(0))).exists());
    folder.once(&["--print"]);
    assert_eq!(folder.printed(), 0);
}

#[test]
fn later_logs_make_a_second_issue_that_is_printed_only_when_asked() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    folder.once(&["--print"]);
    let sheet = folder.path("sheets").join(format!("shift-T1-{}.pdf", ended(0)));
    let before = std::fs::read(&sheet).unwrap();
    folder.night("T1", 1, 2, ended(0));
    let again = folder.once(&["--print"]);
    assert!(again.1.contains("issue 2") && again.1.contains("not printed"), "{}", again.1);
    assert_ne!(std::fs::read(&sheet).unwrap(), before);
    assert_eq!(folder.printed(), 1);
    folder.once(&["--print", "--reprint-changed"]);
    assert_eq!(folder.printed(), 1, "that it was changed is past");
    folder.night("T1", 1, 3, ended(0));
    folder.once(&["--print", "--reprint-changed"]);
    folder.once(&["--print", "--reprint-changed"]);
    assert_eq!(folder.printed(), 2);
    assert!(folder.state().contains("\"issue\": 3"), "{}", folder.state());
}

#[test]
fn a_machine_whose_log_is_to_come_is_waited_for() {
    let folder = Folder::new(&["T1", "T2"]);
    folder.night("T1", 1, 1, ended(0));
    let waiting = folder.once(&["--print", "--wait", "4000"]);
    assert_eq!((waiting.0, folder.printed()), (0, 0));
    assert!(waiting.1.contains("no log yet of T2; waiting until"), "{}", waiting.1);
    folder.night("T2", 1, 1, ended(0));
    let both = folder.once(&["--print", "--wait", "4000"]);
    assert_eq!((both.0, folder.printed()), (0, 1), "{}", both.1);
    assert!(folder.path("sheets").join(format!("shift-{}.pdf", ended(0))).exists());
    // Nor for ever.
    let other = Folder::new(&["T1", "T2"]);
    other.night("T1", 1, 1, ended(0));
    other.once(&["--print", "--wait", "0"]);
    assert_eq!(other.printed(), 1);
}

#[test]
fn a_printer_that_is_not_there_or_refuses_is_tried_again() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    let missing = folder.once(&["--print-command", "no-such-program -x"]);
    assert_eq!(missing.0, 2, "{}", missing.1);
    assert!(missing.1.contains("`no-such-program` could not be started"), "{}", missing.1);
    folder.printer("echo no default destination >&2; exit 1");
    let refused = folder.once(&["--print"]);
    assert_eq!(refused.0, 2);
    assert!(refused.1.contains("no default destination"), "{}", refused.1);
    folder.printer(PRINTS);
    assert_eq!(folder.once(&["--print"]).0, 0);
    assert_eq!(folder.once(&["--print"]).0, 0);
    assert_eq!(folder.printed(), 1);
}

#[test]
fn killed_while_printing_it_does_not_print_again_and_says_so() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    folder.printer(&format!("{PRINTS}\nkill -9 $PPID"));
    assert_eq!(folder.once(&["--print"]).0, -1, "killed");
    assert_eq!(folder.printed(), 1);
    folder.printer(PRINTS);
    let after = folder.once(&["--print"]);
    assert_eq!(after.0, 3);
    assert!(after.1.contains("not known") && after.1.contains("not printed again"), "{}", after.1);
    assert_eq!(folder.once(&["--print"]).0, 0, "said once");
    assert_eq!(folder.printed(), 1);
}

/// As often as `UNDERBRUSH_KILL_ROUNDS` says, 40 times without it.
#[test]
fn killed_at_any_time_no_sheet_comes_twice() {
    let rounds = std::env::var("UNDERBRUSH_KILL_ROUNDS").ok();
    let rounds: u32 = rounds.and_then(|text| text.parse().ok()).unwrap_or(40);
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    folder.printer(&format!("{PRINTS}\nsleep 0.02"));
    let begin = Instant::now();
    folder.once(&["--print"]);
    let whole = begin.elapsed();
    // A fixed walk over the whole length of a run, in steps that never repeat.
    let (mut untouched, mut open, mut done) = (0, 0, 0);
    for round in 0..rounds {
        let folder = Folder::new(&["T1"]);
        folder.night("T1", 1, 1, ended(0));
        folder.printer(&format!("{PRINTS}\nsleep 0.02"));
        let share = (f64::from(round) * 0.618_033_988_749).fract() * 1.8;
        let mut run = folder.command(&["--once", "--quiet", "0", "--print"]);
        let mut child = run.stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(whole.mul_f64(share));
        // It may have ended by itself.
        let _ = child.kill();
        child.wait().unwrap();
        let state = folder.state();
        let was_begun = state.contains("\"begun\"");
        let was_done = state.contains("\"done\"");
        let (code, text) = folder.once(&["--print"]);
        if was_begun {
            open += 1;
            assert_eq!(code, 3, "{text}");
            assert!(text.contains("not printed again"), "{text}");
        } else {
            assert_eq!(code, 0, "round {round}: {text}");
        }
        folder.once(&["--print"]);
        // The script of the killed run may live a little longer than it.
        std::thread::sleep(Duration::from_millis(50));
        let times = folder.printed();
        assert!(times <= 1, "round {round}: printed {times} times");
        assert!(was_begun || times == 1, "round {round}: {text}");
        done += u32::from(was_done);
        untouched += u32::from(!was_begun && !was_done);
    }
    println!("killed before {untouched}, in {open}, after {done} of {rounds}; a run: {whole:?}");
    assert!(untouched > 0 && done > 0, "the kills must be spread over the run");
}

#[test]
fn logs_that_still_grow_are_waited_for() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    let begin = Instant::now();
    let (code, text) =
        said(&folder.command(&["--once", "--quiet", "2", "--print"]).output().unwrap());
    assert_eq!((code, folder.printed()), (0, 1), "{text}");
    assert!(begin.elapsed() >= Duration::from_secs(1), "the file had only been written");
    // One that never comes to rest is left to a later run.
    let folder = Folder::new(&["T1"]);
    let mut child = folder
        .command(&["--once", "--quiet", "2", "--print"])
        .stderr(Stdio::null())
        .stdout(Stdio::null())
        .spawn();
    let child = child.as_mut().unwrap();
    folder.night("T1", 1, 1, ended(0));
    let begin = Instant::now();
    for part in (2..9).cycle() {
        if child.try_wait().unwrap().is_some() {
            break;
        }
        folder.night("T1", 1, part, ended(0));
        std::thread::sleep(Duration::from_millis(100));
        assert!(begin.elapsed() < Duration::from_secs(60), "it never gave up");
    }
    assert_eq!(folder.printed(), 0);
}

#[test]
fn one_watcher_to_a_folder() {
    let folder = Folder::new(&["T1"]);
    let mut first = folder.command(&["--every", "1"]).stderr(Stdio::null()).spawn().unwrap();
    let begin = Instant::now();
    while folder.state().is_empty() && begin.elapsed() < Duration::from_secs(20) {
        std::thread::sleep(Duration::from_millis(20));
    }
    std::thread::sleep(Duration::from_millis(300));
    let second = folder.once(&[]);
    // Sheets elsewhere, but of the same logs.
    let elsewhere = folder.path("none");
    let third = folder.once(&["--out", elsewhere.to_str().unwrap()]);
    // The one that runs finds what comes.
    folder.night("T1", 1, 1, ended(0));
    first.kill().unwrap();
    first.wait().unwrap();
    assert_eq!(second.0, 2);
    let id = format!("(process {})", first.id());
    assert!(second.1.contains("watched already") && second.1.contains(&id), "{}", second.1);
    assert_eq!(third.0, 2);
    assert!(third.1.contains("watched already"), "{}", third.1);
    assert_eq!(folder.once(&[]).0, 0, "free again");
}

#[test]
fn it_goes_on_by_itself_when_the_trouble_is_over() {
    let folder = Folder::new(&["T1"]);
    let site = folder.path("site.toml");
    std::fs::write(&site, "name = \n").unwrap();
    folder.night("T1", 1, 1, ended(0));
    let mut watcher = folder
        .command(&["--every", "1", "--quiet", "0", "--print"])
        .stderr(Stdio::null())
        .stdout(Stdio::null())
        .spawn()
        .unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    let before = folder.printed();
    std::fs::write(&site, SITE).unwrap();
    let begin = Instant::now();
    while folder.printed() == 0 && begin.elapsed() < Duration::from_secs(30) {
        std::thread::sleep(Duration::from_millis(50));
    }
    std::thread::sleep(Duration::from_millis(2500));
    watcher.kill().unwrap();
    watcher.wait().unwrap();
    assert_eq!((before, folder.printed()), (0, 1));
}

#[test]
fn a_full_disk_costs_nothing() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    // No file may become longer than 4096 bytes: room for the state, not for a sheet.
    let limited = |folder: &Folder| {
        let program = env!("CARGO_BIN_EXE_underbrush");
        let line = format!(
            "trap '' XFSZ; ulimit -f 8; exec {program} watch-folder --once --quiet 0 --print --in {}",
            folder.dir.path().display()
        );
        let mut command = Command::new("sh");
        let path = std::env::var("PATH").unwrap_or_default();
        command.env("PATH", format!("{}:{path}", folder.path("bin").display()));
        command.env("CALLS", folder.path("calls"));
        said(&command.arg("-c").arg(line).output().unwrap())
    };
    let full = limited(&folder);
    assert_eq!(full.0, 2, "{}", full.1);
    assert!(full.1.contains("shift-T1"), "{}", full.1);
    let left: Vec<String> = std::fs::read_dir(folder.path("sheets"))
        .unwrap()
        .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
        .filter(|name| name.contains("shift"))
        .collect();
    assert!(left.is_empty(), "{left:?}");
    assert_eq!(folder.once(&["--print"]).0, 0);
    assert_eq!(folder.printed(), 1);
}

#[test]
fn damaged_logs_are_told_and_a_good_copy_makes_a_second_issue() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    let file = folder.path("log/T1/boot-00000001.part-0001.archive");
    let good = std::fs::read(&file).unwrap();
    let mut bad = good.clone();
    let middle = bad.len() / 2;
    bad[middle] ^= 0xFF;
    std::fs::write(&file, &bad).unwrap();
    let first = folder.once(&["--print"]);
    assert_eq!((first.0, folder.printed()), (3, 1), "{}", first.1);
    std::fs::write(&file, &good).unwrap();
    let second = folder.once(&["--print"]);
    assert_eq!((second.0, folder.printed()), (0, 1), "{}", second.1);
    assert!(second.1.contains("issue 2"), "{}", second.1);
}

#[test]
fn what_says_what_was_printed_is_not_lightly_lost() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(0));
    folder.once(&["--print"]);
    let state = folder.path("sheets/underbrush-watch.json");
    std::fs::write(&state, "{").unwrap();
    let damaged = folder.once(&["--print"]);
    assert_eq!(damaged.0, 2);
    assert!(damaged.1.contains("underbrush-watch.json"), "{}", damaged.1);
    std::fs::remove_file(&state).unwrap();
    let without = folder.once(&["--print"]);
    assert!(without.1.contains("nothing says whether it was printed"), "{}", without.1);
    assert_eq!(folder.printed(), 1);
}

#[test]
fn a_night_that_has_not_ended_is_not_made_and_a_wrong_clock_is_told() {
    let folder = Folder::new(&["T1"]);
    folder.night("T1", 1, 1, ended(-3));
    let (code, text) = folder.once(&["--print"]);
    assert_eq!((code, folder.printed()), (0, 0), "{text}");
    assert!(text.contains("check the clock"), "{text}");
}

#[test]
fn wrong_use_is_named() {
    let folder = Folder::new(&["T1"]);
    for (args, wanted) in [
        (["--quiet", "soon"], "--quiet soon: write a whole number"),
        (["--wait", "99999999"], "at most a week"),
        (["--print-command", " "], "--print-command is empty"),
        (["--shift", "2026-11-23"], "invalid option '--shift'"),
    ] {
        let (code, text) = said(&folder.command(&args).output().unwrap());
        assert_eq!(code, 1);
        assert!(text.contains(wanted), "{text}");
    }
    let nowhere = Path::new("/nonexistent");
    let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush"));
    command.args(["watch-folder", "--once", "--out"]).arg(folder.path("none"));
    let (code, text) = said(&command.arg("--in").arg(nowhere).output().unwrap());
    assert_eq!(code, 1, "{text}");
}
