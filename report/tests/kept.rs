//! Nights kept on disk: the same numbers as by reading the logs, and none that are stale.
//!
//! The logs are made by hand.

mod common;

use chrono::NaiveDate;
use common::{SITE, drive, fix, machine, open, site, write_archive};
use std::path::{Path, PathBuf};
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

/// What a ledger tells, and how many nights were read from the logs for it.
type Told = (String, usize);

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
        let events = events::read(&building, &(FIRST..=LAST)).unwrap();
        format!("{:?} {nights:?} {events:?}", ledger.records)
    }

    /// A run of the program with what earlier ones kept.
    fn run_keeping(&self, least: usize) -> Told {
        let Self { machine, site, book, .. } = self;
        let kept = Arc::new(KeptNights::open(&self.file(), least, machine, site, book));
        let told = self.told(std::slice::from_ref(&kept));
        (told, kept.read_anew())
    }

    /// Runs, and holds what it told against the logs alone; how many nights it read from them.
    fn run(&self) -> usize {
        let (told, anew) = self.run_keeping(1);
        assert_eq!(told, self.told(&[]));
        anew
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
const ALL: usize = 3 * UNTOLD + 2;

#[test]
fn the_second_run_reads_no_log_and_tells_the_same() {
    let hall = Hall::new();
    let told = hall.told(&[]);
    assert!(told.contains("Assumed") && told.contains("Stationary"), "places, events: {told}");
    assert_eq!(hall.run(), ALL);
    assert_eq!(hall.run(), 0);
    assert_eq!(hall.run(), 0);
}

#[test]
fn a_changed_log_is_read_again() {
    let hall = Hall::new();
    hall.run();
    // Another speed; the archive may well be of the same length.
    write_night(hall.logs.path(), 3, 450);
    assert_eq!(hall.run(), 1);
    // A second power-on in the same night.
    let after_ms = (3 * 24 + 4) * 3_600_000;
    let mut entries = vec![fix(after_ms)];
    entries.extend(drive(100, 600, 500, 20));
    write_archive(hall.logs.path(), 77, 1, &entries);
    assert!((1..=UNTOLD).contains(&hall.run()));
    std::fs::remove_file(hall.logs.path().join("boot-00000077.part-0001.archive")).unwrap();
    assert_eq!(hall.run(), 1);
    assert_eq!(hall.run(), 0);
}

#[test]
fn a_file_that_grew_after_it_was_opened_is_read_again() {
    let hall = Hall::new();
    let Hall { machine, site, book, .. } = &hall;
    {
        let logs = open(hall.logs.path());
        write_night(hall.logs.path(), 4, 700);
        let inputs = [Inputs { logs: &logs, machine, site, book }];
        let kept = [Arc::new(KeptNights::open(&hall.file(), 1, machine, site, book))];
        Ledger::read(&Building { kept: &kept, ..Building::new(site, book, &inputs) }, LAST);
    }
    assert_eq!(hall.run(), UNTOLD);
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
    assert_eq!(hall.run(), 1);
    // A mark tells of its night and of those after it.
    let mark = "[[begun]]\nat = 2026-11-26 22:30\nsection = \"A-01\"\nphase = \"step 2\"\n";
    hall.book = Book::parse("book.toml", mark).unwrap();
    let anew = hall.run();
    assert!((2..ALL).contains(&anew), "{anew}");
    assert_eq!(hall.run(), 0);
}

#[test]
fn a_damaged_file_is_as_good_as_none() {
    let hall = Hall::new();
    hall.run();
    let whole = std::fs::read(hall.file()).unwrap();
    for at in (0..whole.len()).step_by(whole.len() / 6) {
        let mut flipped = whole.clone();
        flipped[at] ^= 1 << (at % 8);
        for damaged in [&flipped[..], &whole[..at]] {
            std::fs::write(hall.file(), damaged).unwrap();
            assert_eq!(hall.run(), ALL, "byte {at}");
            assert_eq!(std::fs::read(hall.file()).unwrap(), whole, "it is whole again");
        }
    }
}

#[test]
fn no_file_for_few_nights_and_no_harm_where_none_can_be_written() {
    let hall = Hall::new();
    assert_eq!(hall.run_keeping(ALL + 1).1, ALL);
    assert!(!hall.file().exists());
    assert_eq!(std::fs::read_dir(hall.kept.path()).unwrap().count(), 0);
    std::fs::write(hall.kept.path().join("in"), "a file where the folder should be").unwrap();
    assert_eq!(hall.run(), ALL);
    assert_eq!(hall.run(), ALL);
}
