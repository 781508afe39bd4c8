//! Nights kept on disk: the same numbers as by reading the logs, and none that are stale.
//!
//! The logs are made by hand.

mod common;

use chrono::NaiveDate;
use common::{MACHINE, SITE, drive, fix, machine, open, site, write_archive};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Arc;
use tempfile::TempDir;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;
use underbrush_report::events;
use underbrush_report::findings::{Inputs, KeptNights};
use underbrush_report::ledger::{Building, Ledger};
use underbrush_report::settings::{Book, Site};

const NIGHTS: u32 = 5;
const FIRST: NaiveDate = NaiveDate::from_ymd_opt(2026, 11, 23).unwrap();
const LAST: NaiveDate = NaiveDate::from_ymd_opt(2026, 11, 27).unwrap();

struct Hall {
    logs: TempDir,
    kept: TempDir,
    machine: Machine,
    site: Site,
    book: Book,
}

/// How many nights were read from the logs, and how many shifts judged by them.
type Anew = (usize, usize);

impl Hall {
    /// Five nights: in even ones nobody told of the work.
    fn new() -> Self {
        let logs = TempDir::new().unwrap();
        for number in 0..NIGHTS {
            write_night(logs.path(), number, 600 + i32::try_from(number).unwrap());
        }
        let kept = TempDir::new().unwrap();
        Self { logs, kept, machine: machine(), site: site(), book: Book::default() }
    }

    fn file(&self) -> PathBuf {
        self.kept.path().join("in/a/folder/of.nights")
    }

    fn told(&self, kept: &[Arc<KeptNights>]) -> String {
        let logs = open(self.logs.path());
        let Self { machine, site, book, .. } = self;
        let inputs = [Inputs { logs: &logs, machine, site, book }];
        let building = Building { kept, ..Building::new(site, book, &inputs) };
        let ledger = Ledger::read(&building, LAST);
        let nights: Vec<_> = ledger.nights(0).collect();
        let dates = || FIRST.iter_days().take(NIGHTS as usize);
        let found: Vec<_> = dates().map(|date| events::night(&building, 0, date)).collect();
        let events = events::read(&building, &(FIRST..=LAST)).unwrap();
        format!("{:?} {nights:?} {found:?} {events:?}", ledger.records)
    }

    fn keep(&self) -> Arc<KeptNights> {
        let Self { machine, site, book, .. } = self;
        Arc::new(KeptNights::open(&self.file(), machine, site, book, book))
    }

    /// A run of the program with what earlier ones kept, held against the logs alone.
    fn run(&self) -> Anew {
        let kept = self.keep();
        assert_eq!(self.told(std::slice::from_ref(&kept)), self.told(&[]));
        kept.read_anew()
    }
}

fn write_night(dir: &Path, number: u32, speed_mm_s: i32) {
    let after_ms = (i64::from(number) * 24 + 1) * 3_600_000;
    let mut entries = vec![fix(after_ms)];
    if number % 2 == 1 {
        entries.push(Entry::Note(BootMs(50), Note::Mark(Mark::Tag(1))));
        entries.push(Entry::Note(BootMs(60), Note::Mark(Mark::Button(1))));
    }
    entries.extend(drive(100, 45 * 60, speed_mm_s, 20));
    // Standing for 8 s, brushes on: an event.
    entries.extend(drive(45 * 60_000 + 200, 8, 0, 20));
    write_archive(dir, number + 1, 1, &entries);
}

/// Both readings of a night in which nobody told: as it was, and with its places assumed.
const UNTOLD: usize = 2;
/// Nights 0, 2 and 4 are untold, 1 and 3 are not.
const READ: usize = 3 * UNTOLD + 2;
/// Each night is read, and its shift judged once for all who ask.
const ALL: Anew = (READ, NIGHTS as usize);
const NOTHING: Anew = (0, 0);

#[test]
fn the_second_run_reads_no_log_and_tells_the_same() {
    let hall = Hall::new();
    let told = hall.told(&[]);
    assert!(told.contains("Assumed") && told.contains("Stationary"), "places, events: {told}");
    assert_eq!(hall.run(), ALL);
    assert_eq!(hall.run(), NOTHING);
    assert_eq!(hall.run(), NOTHING);
}

#[test]
fn a_changed_log_is_read_again() {
    let hall = Hall::new();
    hall.run();
    // Another speed; the archive may well be of the same length.
    write_night(hall.logs.path(), 3, 450);
    assert_eq!(hall.run(), (1, 2), "its shift and the one after it are judged again");
    // A second power-on in the same night.
    let after_ms = (3 * 24 + 4) * 3_600_000;
    let mut entries = vec![fix(after_ms)];
    entries.extend(drive(100, 600, 500, 20));
    write_archive(hall.logs.path(), 77, 1, &entries);
    let (read, judged) = hall.run();
    assert!((1..=UNTOLD).contains(&read) && judged == 2, "{read} {judged}");
    std::fs::remove_file(hall.logs.path().join("boot-00000077.part-0001.archive")).unwrap();
    assert_eq!(hall.run(), (1, 2));
    assert_eq!(hall.run(), NOTHING);
    // A new night tells nothing of those before it.
    write_night(hall.logs.path(), NIGHTS, 500);
    assert_eq!(hall.run(), NOTHING);
}

#[test]
fn a_file_that_grew_after_it_was_opened_is_read_again() {
    let hall = Hall::new();
    let Hall { machine, site, book, .. } = &hall;
    {
        let logs = open(hall.logs.path());
        write_night(hall.logs.path(), 4, 700);
        let inputs = [Inputs { logs: &logs, machine, site, book }];
        let kept = [hall.keep()];
        let building = Building { kept: &kept, ..Building::new(site, book, &inputs) };
        Ledger::read(&building, LAST);
        events::night(&building, 0, LAST).unwrap();
    }
    assert_eq!(hall.run(), (UNTOLD, NIGHTS as usize));
}

#[test]
fn changed_settings_are_heeded() {
    let mut hall = Hall::new();
    hall.run();
    hall.site = Site::parse("site.toml", &SITE.replace("575 sq ft", "500 sq ft")).unwrap();
    assert_eq!(hall.run(), ALL);
    hall.machine.deck.path_width.0 *= 1.5;
    assert_eq!(hall.run(), ALL);
    // A plan changes only what is assumed.
    let plan = "[[plan]]\ndate = 2026-11-27\nsection = \"A-01\"\nphase = \"step 2\"\n";
    hall.book = Book::parse("book.toml", plan).unwrap();
    let shifts = NIGHTS as usize;
    assert_eq!(hall.run(), (1, shifts));
    // A mark tells of its night and of those after it.
    let mark = "[[begun]]\nat = 2026-11-26 22:30\nsection = \"A-01\"\nphase = \"step 2\"\n";
    hall.book = Book::parse("book.toml", mark).unwrap();
    let (read, judged) = hall.run();
    assert!((2..READ).contains(&read) && judged == shifts, "{read} {judged}");
    assert_eq!(hall.run(), NOTHING);
    // A remark is on the sheet of its night.
    let remark = "[[remark]]\ndate = 2026-11-25\ntext = \"a loose cable\"\n";
    hall.book = Book::parse("book.toml", &format!("{mark}{remark}")).unwrap();
    assert_eq!(hall.run(), (0, shifts));
    assert_eq!(hall.run(), NOTHING);
}

#[test]
fn a_damaged_file_is_as_good_as_none() {
    let hall = Hall::new();
    hall.run();
    let damage = |file: &Path, anew: Anew| {
        let whole = std::fs::read(file).unwrap();
        for at in (0..whole.len()).step_by(whole.len() / 6) {
            let mut flipped = whole.clone();
            flipped[at] ^= 1 << (at % 8);
            for damaged in [&flipped[..], &whole[..at]] {
                std::fs::write(file, damaged).unwrap();
                assert_eq!(hall.run(), anew, "{}, byte {at}", file.display());
                assert_eq!(hall.run(), NOTHING, "it is whole again");
            }
        }
    };
    // Shifts that are kept ask for no night.
    damage(&hall.file(), (READ, 0));
    damage(&hall.file().with_extension("judged").join(LAST.to_string()), (0, 1));
}

#[test]
fn no_harm_where_none_can_be_written() {
    let hall = Hall::new();
    std::fs::write(hall.kept.path().join("in"), "a file where the folder should be").unwrap();
    let (read, judged) = hall.run();
    assert_eq!((read, hall.run().0), (READ, READ));
    assert!(judged >= NIGHTS as usize);
}

/// What the program prints and draws of one event, and of its night.
fn printed(hall: &Path, nights: &str) -> Vec<Vec<u8>> {
    let run = |args: &str| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush"));
        let command = command.args(args.split(' ')).current_dir(hall);
        let output = command.env("UNDERBRUSH_NIGHTS", nights).output().unwrap();
        assert!(output.status.success(), "{args}: {}", String::from_utf8_lossy(&output.stderr));
        output.stdout
    };
    let mut all = vec![
        run("trace 2026-11-27.1"),
        run("trace 2026-11-27.1 --json"),
        run("events --from 2026-11-24 --to 2026-11-27 --csv"),
        run("sheet --shift 2026-11-27 --text --technician"),
        run("browse 2026-11-27.1 --print 100x30"),
    ];
    for form in ["pdf", "png", "svg"] {
        run(&format!("trace 2026-11-27.1 --{form} page"));
        all.push(std::fs::read(hall.join("page")).unwrap());
    }
    all
}

#[test]
fn the_program_keeps_twenty_nights_and_prints_the_same_from_them() {
    let hall = TempDir::new().unwrap();
    let log = hall.path().join("log");
    std::fs::create_dir(&log).unwrap();
    std::fs::write(hall.path().join("machine.toml"), MACHINE).unwrap();
    std::fs::write(hall.path().join("site.toml"), SITE).unwrap();
    let kept = TempDir::new().unwrap();
    let folder = kept.path().to_str().unwrap();
    let count = || std::fs::read_dir(kept.path()).unwrap().count();
    (0..19).for_each(|number| write_night(&log, number, 600));
    let of_few = printed(hall.path(), "");
    assert!(printed(hall.path(), folder) == of_few && count() == 0, "19 are read again");
    write_night(&log, 19, 600);
    let told = printed(hall.path(), "");
    assert!(told[0] == of_few[0], "a new night tells nothing of those before it");
    for run in 1..=3 {
        assert!(printed(hall.path(), folder) == told, "run {run}");
        assert_eq!(count(), 2, "a file for all nights, and a folder of shifts");
    }
}
