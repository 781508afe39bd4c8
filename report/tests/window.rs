//! Windows of any span against the same worked out by brute force over the entries, and
//! heat and detectors against their definitions.

mod common;

use chrono::{DateTime, Utc};
use common::{SHIFT_START, drive, fix, machine, open, reading, site, write_archive};
use std::path::Path;
use tempfile::TempDir;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_report::findings::{Inputs, Span};
use underbrush_report::settings::Book;
use underbrush_report::window::{DetectorKind, Overview, Quantity, Window, read, run_up};

fn utc(ms: i64) -> DateTime<Utc> {
    DateTime::from_timestamp_millis(SHIFT_START + ms).unwrap()
}

fn window(dir: &Path, from_ms: i64, to_ms: i64, cells: usize, wanted: &[Quantity]) -> Window {
    let (logs, machine, site, book) = (open(dir), machine(), site(), Book::default());
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    read(&inputs, Span { from: utc(from_ms), to: utc(to_ms) }, cells, wanted)
}

fn written(boots: &[Vec<Entry>]) -> TempDir {
    let dir = TempDir::new().unwrap();
    for (boot, entries) in (1..).zip(boots) {
        let mut entries = entries.clone();
        entries.sort_by_key(Entry::at);
        write_archive(dir.path(), boot, 1, &entries);
    }
    dir
}

/// Ten minutes with a wandering speed, one spike of a single reading and a gap.
fn wandering() -> Vec<Entry> {
    let mut entries = vec![fix(0)];
    for i in 0..6_000_u64 {
        let at = 1_000 + i * 100 + i * 7 % 5;
        if (200_000..215_000).contains(&at) {
            continue;
        }
        let spike = if i == 4_321 { 2_500 } else { 0 };
        entries.push(reading(at, Channel::SPEED, 400 + (i * 37 % 160) as i32 + spike));
    }
    entries
}

/// Smallest and largest of all readings that speak for a part of each cell, and for how long.
fn by_force(
    entries: &[Entry],
    from_ms: i64,
    to_ms: i64,
    cells: usize,
) -> Vec<(Option<(f64, f64)>, f64)> {
    let at = |entry: &Entry| match entry {
        Entry::Reading(r) if r.channel == Channel::SPEED => Some((r.at.0 as f64, r.raw)),
        _ => None,
    };
    let readings: Vec<(f64, i32)> = entries.iter().filter_map(at).collect();
    let gap = machine().longest_gap_ms() as f64;
    let edge = |i: usize| from_ms as f64 + i as f64 * (to_ms - from_ms) as f64 / cells as f64;
    let cell = |i: usize| {
        let (begin, end) = (edge(i), edge(i + 1));
        let (mut range, mut seen) = (None, 0.0);
        for pair in readings.windows(2) {
            let [(before, _), (at, raw)] = pair else { unreachable!() };
            let shared = at.min(end) - before.max(begin);
            if at - before <= gap && shared > 1e-9 {
                let value = f64::from(*raw) * Channel::SPEED.resolution();
                let (low, high) = range.unwrap_or((value, value));
                range = Some((value.min(low), value.max(high)));
                seen += shared / 1000.0;
            }
        }
        (range, seen)
    };
    (0..cells).map(cell).collect()
}

#[test]
fn any_span_in_any_number_of_cells_is_brute_force() {
    let entries = wandering();
    let dir = written(std::slice::from_ref(&entries));
    let mut spiked = 0;
    for (from, to, cells) in [
        (0, 602_000, 600),
        (0, 602_000, 7),
        (-5_000, 30_000, 350),
        (199_130, 216_777, 111),
        (433_000, 433_400, 1_000),
        (590_000, 700_000, 40),
    ] {
        let got = window(dir.path(), from, to, cells, &[Quantity::Speed]);
        let line = got.line(Quantity::Speed).unwrap();
        assert_eq!(line.cells.len(), cells);
        for (i, (cell, (range, seen_s))) in
            line.cells.iter().zip(by_force(&entries, from, to, cells)).enumerate()
        {
            let here = format!("cell {i} of {cells} from {from} to {to}: {cell:?}, {range:?}");
            assert_eq!(cell.range.is_some(), range.is_some(), "{here}");
            if let (Some(a), Some(b)) = (cell.range, range) {
                assert!((f64::from(a.0) - b.0).abs() < 1e-5, "{here}");
                assert!((f64::from(a.1) - b.1).abs() < 1e-5, "{here}");
                spiked += usize::from(a.1 > 2.5);
            }
            assert!((cell.seen.0 - seen_s).abs() < 1e-6, "{here}, {seen_s}");
        }
    }
    assert!(spiked >= 3, "the spike is in {spiked} cells");
}

/// What the screen scrolls through is what is read for the page.
#[test]
fn a_window_of_the_whole_is_the_same_as_one_read_alone() {
    let mut entries = wandering();
    entries.extend((0..600).map(|i| reading(1_000 * i, Channel::VACUUM_ON, (i / 50 % 2) as i32)));
    entries.push(reading(0, Channel::BRUSH_COMMAND, 1));
    let mut second = vec![fix(590_000)];
    second.extend(drive(0, 60, 600, 20));
    // The second power-on begins 11 s before the record of the first one ends.
    let dir = written(&[entries, second]);
    let (logs, machine, site, book) = (open(dir.path()), machine(), site(), Book::default());
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let wanted = [Quantity::Speed, Quantity::Vacuum, Quantity::Current(0)];
    let whole = Span { from: utc(0), to: utc(3_600_000) };
    let overview = Overview::read(&inputs, whole, &wanted);
    for (from, to, cells) in [
        (0, 3_600_000, 97),
        (0, 700_000, 700),
        (199_130, 216_777, 111),
        (433_000, 433_400, 1_000),
        (580_000, 660_000, 333),
        (-5_000, 30_000, 35),
    ] {
        let span = Span { from: utc(from), to: utc(to) };
        let (cut, alone) =
            (overview.window(span, cells, &wanted), read(&inputs, span, cells, &wanted));
        for quantity in wanted {
            let Some(alone) = alone.line(quantity) else { continue };
            let cut = cut.line(quantity).unwrap();
            for (i, (a, b)) in cut
                .cells
                .iter()
                .zip(&alone.cells)
                .enumerate()
                .skip(from.min(0).unsigned_abs() as usize / 1_000)
            {
                assert_eq!(a.range, b.range, "{quantity:?}, cell {i} of {cells} from {from}");
                assert!((a.seen.0 - b.seen.0).abs() < 1e-6, "{a:?}, {b:?}");
            }
        }
    }
}

#[test]
fn no_span_and_no_cells_give_nothing() {
    let dir = written(&[wandering()]);
    assert!(window(dir.path(), 5_000, 5_000, 10, &[Quantity::Speed]).lines.is_empty());
    assert!(window(dir.path(), 9_000, 5_000, 10, &[Quantity::Speed]).lines.is_empty());
    assert!(window(dir.path(), 0, 5_000, 0, &[Quantity::Speed]).lines.is_empty());
    assert!(window(dir.path(), 0, 5_000, 5, &[]).lines.is_empty());
}

// The closed form of the replica (IEC 60255-149): share = h (1 - e^(-t/tau)) from cold, and
// e^(-t/tau) of it is left after a power-off of t.
#[test]
fn heat_is_the_closed_form_and_goes_over_a_power_off() {
    let half_hour = 1_800_000;
    let mut second = vec![fix(half_hour + 600_000)];
    second.extend(drive(0, 60, 600, 0));
    let mut first = vec![fix(0)];
    first.extend(drive(0, 1_800, 600, 40));
    let dir = written(&[first, second]);
    let settings = machine().thermal_settings();
    let h = (40.0 / settings.limit_a).powi(2);
    let left = |s: f64| (-s / settings.time_constant_s).exp();
    let wanted = [Quantity::Heat(0)];
    let at = |from: i64, to: i64| {
        let got = window(dir.path(), from, to, 1, &wanted);
        f64::from(got.line(Quantity::Heat(0)).unwrap().cells[0].range.unwrap().1)
    };
    let hot = h * (1.0 - left(1_799.0));
    assert!((at(1_798_000, 1_799_000) - hot).abs() < 1e-3, "{hot}");
    let cooled = h * (1.0 - left(1_800.0)) * left(600.0);
    let begin = half_hour + 600_000;
    let found = at(begin, begin + 1_000);
    assert!((found - cooled).abs() < 2e-3, "{found}, not {cooled}");
}

#[test]
fn the_run_up_is_long_enough_for_what_is_asked() {
    let machine = machine();
    assert_eq!(run_up(&machine, &[Quantity::Speed]).num_seconds(), 0);
    let heat = run_up(&machine, &[Quantity::Heat(1)]).num_seconds() as f64;
    assert!((heat - 5.0 * machine.thermal.time_constant.0).abs() < 1.0);
    // What is left out of the heat at the begin of a window: e^-5 of the share then.
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 3 * 3_600, 600, 33));
    let dir = written(&[entries]);
    let late = window(dir.path(), 9_000_000, 9_001_000, 1, &[Quantity::Heat(0)]);
    let whole = window(dir.path(), 0, 9_001_000, 9_001, &[Quantity::Heat(0)]);
    let share = |w: &Window| f64::from(w.lines[0].cells.last().unwrap().range.unwrap().1);
    let (late, whole) = (share(&late), share(&whole));
    assert!(late <= whole && whole - late < 0.007 * whole, "{late}, {whole}");
    assert!(whole - late > 0.0, "the run-up should be shorter than the drive");
}

#[test]
fn a_detector_shows_its_run_and_then_its_event() {
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 60, 600, 20));
    entries.extend(drive(60_100, 10, 0, 20));
    entries.extend(drive(70_200, 20, 600, 20));
    let dir = written(&[entries]);
    let stationary = Quantity::Detector(DetectorKind::Stationary);
    let got = window(dir.path(), 50_000, 80_000, 300, &[stationary, Quantity::Speed]);
    let cells = &got.line(stationary).unwrap().cells;
    let state = |second: usize| cells[(second - 50) * 10 + 5].range.unwrap();
    assert_eq!(state(55), (0.0, 0.0), "it moves");
    assert_eq!(state(61), (0.5, 0.5), "it stands, not yet for 2 s");
    assert_eq!(state(65), (1.0, 1.0), "the event goes on");
    assert_eq!(state(72), (0.0, 0.0), "it moves on");
    // The same where the span begins in the middle of the event.
    let late = window(dir.path(), 65_000, 66_000, 10, &[stationary]);
    assert!(late.lines[0].cells.iter().all(|cell| cell.range == Some((1.0, 1.0))));
    // Over-pressure was never near.
    let other = Quantity::Detector(DetectorKind::ALL[4]);
    let quiet = window(dir.path(), 50_000, 80_000, 1, &[other]);
    assert_eq!(quiet.lines[0].cells[0].range, Some((0.0, 0.0)));
}
