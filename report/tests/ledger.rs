//! The ledger against the sheets of the same nights: two ways to the same numbers.
//!
//! The logs are made by hand.

mod common;

use chrono::{DateTime, Days, NaiveDate};
use common::{SHIFT_START, drive, fix, machine, open, site, write_archive};
use tempfile::TempDir;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::time::BootMs;
use underbrush_report::findings::{Inputs, PlaceSource, judge};
use underbrush_report::ledger::{Building, Ledger};
use underbrush_report::settings::{Book, Phase};
use underbrush_report::timeline::shift_of;

/// A night that begins so many hours after the first shift's start: step 1, then maintenance.
fn night(dir: &TempDir, boot: u32, after_h: i64, minutes: u64) {
    let mut entries = vec![fix(after_h * 3_600_000)];
    let mark = |at, mark| Entry::Note(BootMs(at), Note::Mark(mark));
    entries.push(mark(50, Mark::Tag(1)));
    entries.push(mark(60, Mark::Button(1)));
    entries.extend(drive(100, minutes * 60, 550, 20));
    // Standing for 8 s, brushes on.
    entries.extend(drive(minutes * 60_000 + 200, 8, 0, 20));
    let later = minutes * 60_000 + 20_000;
    entries.push(mark(later, Mark::Button(9)));
    entries.extend(drive(later + 100, 300, 1_100, 20));
    entries.sort_by_key(Entry::at);
    write_archive(dir.path(), boot, 1, &entries);
}

#[test]
fn records_are_the_work_that_the_sheets_show() {
    let dir = TempDir::new().unwrap();
    for (number, after_h) in [2, 26, 74].into_iter().enumerate() {
        night(&dir, number as u32 + 1, after_h, 20 + 5 * number as u64);
    }
    let (logs, machine, site, book) = (open(dir.path()), machine(), site(), Book::default());
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let first = DateTime::from_timestamp_millis(SHIFT_START).unwrap().date_naive();
    let last = first + Days::new(5);
    let ledger = Ledger::read(&Building::new(&site, &book, &[inputs]), last);
    assert_eq!(ledger.first, Some(first));
    let dates: Vec<NaiveDate> = ledger.nights(0).map(|night| night.date).collect();
    assert_eq!(
        dates,
        [0, 1, 3].map(|days| first + Days::new(days)),
        "nights without a log are none"
    );
    for night in ledger.nights(0) {
        let found = judge(inputs, &shift_of(&site, night.date).unwrap());
        let shown: Vec<_> = found.sections.iter().collect();
        let kept: Vec<_> =
            ledger.records.iter().filter(|r| r.date == night.date).map(|r| &r.work).collect();
        assert_eq!(kept, shown, "{}", night.date);
        assert_eq!(kept.len(), 2, "a step and the daily run");
        assert_eq!(night.stationary_events, found.stationary.len() as u32);
        assert_eq!(night.stationary_events, 1, "the stand is there to be seen");
        assert!((night.swept_area.0 - found.area.swept_area.0).abs() < 1e-9);
        let within: f64 = found.speed.by_phase.iter().map(|p| p.within.0).sum();
        assert!(within > 1_000.0);
        assert!((night.bands.within.0 - within).abs() < 1e-6);
    }
    // What the sheet of a night adds to the nights before it.
    let second = first + Days::new(1);
    let found = judge(inputs, &shift_of(&site, second).unwrap());
    let until = ledger.until(&[inputs], second, std::slice::from_ref(&found));
    assert_eq!(until.len(), 4);
    assert!(until.iter().all(|record| record.date <= second));
}

/// Ground for 45 min, then the daily run for 5; nobody told where.
fn unmarked_night(dir: &TempDir) {
    let mut entries = vec![fix(3_600_000)];
    entries.extend(drive(100, 45 * 60, 550, 20));
    entries.extend(drive(60 * 60_000, 300, 1_100, 20));
    write_archive(dir.path(), 1, 1, &entries);
}

#[test]
fn work_that_nobody_told_of_is_placed_by_the_plan_and_says_so() {
    let dir = TempDir::new().unwrap();
    unmarked_night(&dir);
    let date = DateTime::from_timestamp_millis(SHIFT_START).unwrap().date_naive();
    let plan =
        |phase: &str| format!("[[plan]]\ndate = {date}\nsection = \"A-01\"\nphase = \"{phase}\"\n");
    let text = plan("step 1") + &plan("maintenance");
    let (logs, machine, site) = (open(dir.path()), machine(), site());
    let book = Book::parse("book.toml", &text).unwrap();
    let inputs = [Inputs { logs: &logs, machine: &machine, site: &site, book: &book }];
    let ledger = Ledger::read(&Building::new(&site, &book, &inputs), date);
    let placed: Vec<_> = ledger
        .records
        .iter()
        .map(|r| (r.work.place.section, r.work.place.phase, r.work.place.source))
        .collect();
    let assumed = |phase| (Some(0), Some(phase), PlaceSource::Assumed);
    assert_eq!(placed, [assumed(Phase::Step(1)), assumed(Phase::Maintenance)]);
    for record in &ledger.records {
        let sure = record.work.confidence.unwrap();
        assert!(sure > 0.5 && sure <= 1.0, "{sure}");
    }
    // Without a plan in the book, the programme's own proposal is what the night is held against.
    let none = Book::default();
    let inputs = [Inputs { book: &none, ..inputs[0] }];
    let ledger = Ledger::read(&Building::new(&site, &none, &inputs), date);
    let first = &ledger.records[0].work;
    assert_eq!(first.place.section, Some(0));
    assert_eq!(first.place.phase, Some(Phase::Step(1)), "nothing was done before: step 1 is next");
    assert_eq!(first.place.source, PlaceSource::Assumed);
}
