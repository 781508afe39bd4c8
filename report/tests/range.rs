//! A range against two other ways to its sums: `Totals` over the same span, which reads
//! the logs by columns, and the findings of the single shifts.
//!
//! The logs are made by hand.

mod common;

use chrono::{DateTime, Days, NaiveDate};
use common::{SHIFT_START, SITE, drive, fix, machine, open, write_archive};
use std::process::Command;
use tempfile::TempDir;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::si::Seconds;
use underbrush_protocol::time::BootMs;
use underbrush_report::findings::{Inputs, Span, Totals, judge};
use underbrush_report::ledger::{Building, Ledger};
use underbrush_report::range::{RangeFinding, table};
use underbrush_report::settings::site::Language;
use underbrush_report::settings::{Book, Site};
use underbrush_report::sheet::{RangeInput, Sheet, SheetOptions};
use underbrush_report::timeline::{Walk, shift_of};

/// Work from `after_h` hours after the first shift's start, with a stop on the spot.
fn work(dir: &TempDir, boot: u32, after_h: i64, minutes: u64, tag: u64) {
    let mut entries = vec![fix(after_h * 3_600_000)];
    let mark = |at, mark| Entry::Note(BootMs(at), Note::Mark(mark));
    entries.push(mark(50, Mark::Tag(tag)));
    entries.push(mark(60, Mark::Button(1)));
    entries.extend(drive(100, minutes * 60, 550, 20));
    entries.extend(drive(minutes * 60_000 + 200, 8, 0, 20));
    entries.extend(drive(minutes * 60_000 + 8_400, 120, 1_100, 20));
    entries.sort_by_key(Entry::at);
    write_archive(dir.path(), boot, 1, &entries);
}

fn first() -> NaiveDate {
    DateTime::from_timestamp_millis(SHIFT_START).unwrap().date_naive()
}

/// Nights 0, 1 and 3 worked; that of day 3 has work at noon too, between the shifts.
fn logs() -> TempDir {
    let dir = TempDir::new().unwrap();
    work(&dir, 1, 2, 50, 1);
    work(&dir, 2, 26, 20, 2);
    work(&dir, 3, 74, 30, 1);
    work(&dir, 4, 86, 15, 1);
    dir
}

const BOOK: &str = "[[measured]]\ndate = 2026-11-25\nlength = \"9 mm\"\n\
    [[crew]]\ndate = 2026-11-23\nname = \"Ada\"\n[[crew]]\ndate = 2026-11-26\nname = \"=Ben\"\n";

fn close(a: Seconds, b: Seconds) -> bool {
    (a.0 - b.0).abs() < 1e-6
}

#[test]
fn sums_are_those_of_totals_and_of_the_shifts() {
    let (dir, machine, site) = (logs(), machine(), Site::parse("site.toml", SITE).unwrap());
    let (logs, book) = (open(dir.path()), Book::parse("book.toml", BOOK).unwrap());
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let building = Building::new(&site, &book, std::slice::from_ref(&inputs));
    let last = first() + Days::new(6);
    let ledger = Ledger::read(&building, last);
    let found = RangeFinding::judge(&building, &ledger, first()..=last);
    assert_eq!((found.together.nights, found.machines[0].nights.len()), (3, 7));
    let data: Vec<bool> = found.machines[0].nights.iter().map(|(_, n)| n.is_some()).collect();
    assert_eq!(data, [true, true, false, true, false, false, false]);
    // The same span, by columns.
    let span = Span {
        from: shift_of(&site, first()).unwrap().span.from,
        to: shift_of(&site, last + Days::new(1)).unwrap().span.from,
    };
    let totals = Totals::of(&logs, Walk::of(&machine, span), machine.limits());
    let standing: Seconds = totals.stationary.iter().map(|s| s.span.length()).sum();
    assert!(close(found.together.brush_time, totals.histogram.total()), "{:?}", found.together);
    assert_eq!(found.together.stationary_events as usize, totals.stationary.len());
    assert!(close(found.together.stationary_time, standing));
    // The sheets of the shifts leave out the work at noon and nothing else.
    let mut of_shifts = Seconds(0.0);
    let mut noon = Seconds(0.0);
    for date in first().iter_days().take(7) {
        let shift = shift_of(&site, date).unwrap();
        of_shifts += judge(inputs, &shift).area.brush_time;
        let next = shift_of(&site, date + Days::new(1)).unwrap();
        let between = Span { from: shift.span.to, to: next.span.from };
        let how = Walk::of(&machine, between);
        noon += Totals::of(&logs, how, machine.limits()).histogram.total();
    }
    assert!(noon > Seconds(900.0), "{noon:?}");
    assert!(close(found.together.brush_time, of_shifts + noon), "{of_shifts:?} {noon:?}");
    // 23 Nov 2026 is a Monday: all seven nights are of one week.
    assert_eq!(found.weeks.len(), 1);
    assert_eq!(found.weeks[0].sums, found.together);
    // 50 min of step 1 in band in section A-01 are more than its 45.
    assert_eq!(found.finished.len(), 1);
    assert_eq!((found.finished[0].on, found.finished[0].step), (first(), 1));
    assert!(found.together.forbidden > Seconds(1_200.0), "20 min and 128 s in X-01");
    assert!(found.operators.is_empty(), "off unless the site wants it");
}

// IANA tz: clocks in Chicago go back on 2026-11-01 and forward on 2026-03-08.
#[test]
fn a_month_with_a_clock_change_has_an_hour_more_or_less() {
    let site = Site::parse("site.toml", &SITE.replace("\"UTC\"", "\"America/Chicago\"")).unwrap();
    let (machine, book) = (machine(), Book::default());
    let dir = TempDir::new().unwrap();
    // From 2026-11-01T03:00:00Z, 22:00 by the clock on the wall, 9 h to 06:00.
    let from_ms = "2026-11-01T03:00:00Z".parse::<DateTime<chrono::Utc>>().unwrap();
    let mut entries = vec![fix(from_ms.timestamp_millis() - SHIFT_START)];
    entries.extend(drive(0, 9 * 3_600, 600, 20));
    write_archive(dir.path(), 1, 1, &entries);
    let logs = open(dir.path());
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let building = Building::new(&site, &book, std::slice::from_ref(&inputs));
    let date = |month, day| NaiveDate::from_ymd_opt(2026, month, day).unwrap();
    let ledger = Ledger::read(&building, date(10, 31));
    let autumn = RangeFinding::judge(&building, &ledger, date(10, 1)..=date(10, 31));
    assert_eq!(autumn.shift_hours, Seconds((31.0 * 8.0 + 1.0) * 3_600.0));
    assert!(close(autumn.together.brush_time, Seconds(9.0 * 3_600.0)), "{:?}", autumn.together);
    let spring = RangeFinding::judge(&building, &ledger, date(3, 1)..=date(3, 31));
    assert_eq!(spring.shift_hours, Seconds((31.0 * 8.0 - 1.0) * 3_600.0));
    assert_eq!(spring.together.nights, 0);
}

#[test]
fn the_summary_shows_gaps_as_gaps_and_people_only_where_wanted() {
    let (dir, machine) = (logs(), machine());
    let (logs, book) = (open(dir.path()), Book::parse("book.toml", BOOK).unwrap());
    for wanted in [false, true] {
        let text = format!("per_operator = {wanted}\n{SITE}");
        let site = Site::parse("site.toml", &text).unwrap();
        let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
        let building = Building::new(&site, &book, std::slice::from_ref(&inputs));
        let last = first() + Days::new(6);
        let ledger = Ledger::read(&building, last);
        let finding = RangeFinding::judge(&building, &ledger, first()..=last);
        let machines = [&machine];
        let input = RangeInput { site: &site, machines: &machines, finding: &finding };
        for language in Language::ALL {
            let options = SheetOptions { language, ..SheetOptions::of(&site) };
            let sheet = Sheet::of_range(&input, &options);
            let text = sheet.to_text(100);
            assert_eq!(text.contains("Ada"), wanted, "{text}");
            assert!(!text.contains("[range-"), "{text}");
            // Seven nights, of which the third and the last three have no data.
            let bars = text.lines().find(|l| l.contains(", h (0")).unwrap();
            let bars: Vec<char> = bars.chars().rev().take(7).collect();
            let gaps: String =
                bars.iter().rev().map(|c| if *c == '/' { '/' } else { '#' }).collect();
            assert_eq!(gaps, "##/#///", "{text}");
            let pdf = sheet.to_pdf().unwrap();
            assert!(pdf.len() < 200_000, "{} bytes", pdf.len());
            let read = lopdf::Document::load_mem(&pdf).unwrap();
            assert!(read.get_pages().len() <= 2, "{} pages", read.get_pages().len());
        }
        let csv = table::csv(&finding, &machines);
        let rows: Vec<&str> = csv.lines().collect();
        assert_eq!(rows.len(), 8);
        assert_eq!(rows[3], "2026-11-25,\"T1\",no,,,,,,,,,,,");
        let json = table::json(&finding, &site, &machines);
        assert_eq!(json["together"]["brush_time_s"], finding.together.brush_time.0);
        assert!(json["machines"][0]["nights"][2]["data"].is_null());
        assert_eq!(json["operators"].as_array().unwrap().len(), if wanted { 2 } else { 0 });
        // Every number of the JSON's nights stands in the CSV.
        let of_csv: f64 =
            rows[1..].iter().filter_map(|r| r.split(',').nth(5)?.parse::<f64>().ok()).sum();
        assert!((of_csv - finding.together.brush_time.0).abs() < 0.01, "{of_csv}");
    }
}

#[test]
fn the_command_writes_all_of_it() {
    let dir = TempDir::new().unwrap();
    let path = |name: &str| dir.path().join(name);
    std::fs::rename(logs().keep(), path("log")).unwrap();
    std::fs::write(path("site.toml"), SITE).unwrap();
    std::fs::write(path("machine.toml"), common::MACHINE).unwrap();
    let run = |args: &[&str]| {
        let mut command = Command::new(env!("CARGO_BIN_EXE_underbrush"));
        let output = command.arg("sheet").args(args).current_dir(dir.path()).output().unwrap();
        let text = String::from_utf8_lossy(&output.stdout).into_owned();
        (output.status.code(), text + &String::from_utf8_lossy(&output.stderr))
    };
    let dates = ["--from", "2026-11-23", "--to", "2026-11-29"];
    let (code, text) = run(&dates);
    assert_eq!(code, Some(0), "{text}");
    assert!(path("summary-2026-11-23-2026-11-29.pdf").exists());
    let (_, csv) = run(&[&dates[..], &["--csv", "-"]].concat());
    assert!(csv.starts_with("date,machine,data,recorded_s"), "{csv}");
    let (_, json) = run(&[&dates[..], &["--json", "-"]].concat());
    assert!(json.contains("\"in_band_share\""), "{json}");
    let (code, text) = run(&["--from", "2025-11-23", "--to", "2025-11-29"]);
    assert_eq!(code, Some(3), "{text}");
    assert!(text.contains("no log covers"), "{text}");
    for (args, wanted) in [
        (&["--from", "2026-11-23"][..], "both --from and --to"),
        (&["--from", "2026-11-23", "--to", "2026-11-01"][..], "--to is before --from"),
        (&["--csv", "x"][..], "give --from and --to"),
    ] {
        let (code, text) = run(args);
        assert_eq!(code, Some(1));
        assert!(text.contains(wanted), "{text}");
    }
}
