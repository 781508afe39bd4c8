//! Past nights: each is counted once, whoever looks back on it.

mod common;

use chrono::{DateTime, Days, TimeDelta};
use common::{SHIFT_START, drive, fix, machine, open, site, write_archive};
use tempfile::TempDir;
use underbrush_protocol::log::Entry;
use underbrush_report::findings::{Inputs, Judge, judge};
use underbrush_report::settings::Book;
use underbrush_report::timeline::shift_of;

const HOUR_MS: i64 = 3_600_000;
const BOOK: &str = "[[tool]]\nfitted = 2026-11-23\ngrit = \"100\"\n[[measured]]\ndate = 2026-11-23\nlength = \"25 mm\"\n";

/// One power-on that begins so many hours after the first shift's start.
fn boot(dir: &TempDir, number: u32, after_h: i64, minutes: u64) {
    let mut entries = vec![fix(after_h * HOUR_MS)];
    entries.extend(drive(100, minutes * 60, 550, 20));
    entries.sort_by_key(Entry::at);
    write_archive(dir.path(), number, 1, &entries);
}

/// 22:00 to 06:00 each night; the second boot is at noon, between two shifts.
fn three_nights() -> TempDir {
    let dir = TempDir::new().unwrap();
    let boots = [(1, 30), (14, 10), (25, 20), (49, 40)];
    for (number, (after_h, minutes)) in boots.into_iter().enumerate() {
        boot(&dir, number as u32 + 1, after_h, minutes);
    }
    dir
}

#[test]
fn one_reading_of_the_nights_serves_all_sheets() {
    let dir = three_nights();
    let (logs, machine, site) = (open(dir.path()), machine(), site());
    let book = Book::parse("book.toml", BOOK).unwrap();
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let first = DateTime::from_timestamp_millis(SHIFT_START).unwrap().date_naive();
    let mut together = Judge::new(inputs);
    for day in 0..4 {
        let shift = shift_of(&site, first + Days::new(day)).unwrap();
        let same =
            format!("{:?}", together.shift(&shift)) == format!("{:?}", judge(inputs, &shift));
        assert!(same, "day {day}: a sheet of a range differs from the same sheet alone");
    }
}

#[test]
fn work_between_shifts_counts_for_the_segments() {
    let dir = three_nights();
    let (logs, machine, site) = (open(dir.path()), machine(), site());
    let book = Book::parse("book.toml", BOOK).unwrap();
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let third = DateTime::from_timestamp_millis(SHIFT_START).unwrap() + TimeDelta::days(2);
    let found = judge(inputs, &shift_of(&site, third.date_naive()).unwrap());
    // 30 + 10 + 20 min before and 40 min in the shift, all at the same load: 2.5 times the shift's.
    let (shift, since) = (found.wear.energy_shift.unwrap(), found.wear.energy_since.unwrap());
    assert!((since / shift - 2.5).abs() < 0.001, "{since:?} is not 2.5 x {shift:?}");
}
