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
use underbrush_report::findings::{Inputs, judge};
use underbrush_report::ledger::{Building, Ledger};
use underbrush_report::settings::Book;
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
    let ledger = Ledger::read(&Building { site: &site, book: &book, machines: &[inputs] }, last);
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
