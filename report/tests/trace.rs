//! Readings around an event against the same worked out by brute force over the entries.

mod common;

use common::{SHIFT_START, drive, fix, machine, open, reading, shift, site, write_archive};
use tempfile::TempDir;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_report::findings::{CELLS, Findings, Inputs, Quantity, Trace, judge, traces};
use underbrush_report::settings::Book;

/// Findings of one boot with these entries, and the traces of its serious events.
fn traced(mut entries: Vec<Entry>) -> (Findings, Vec<Trace>, Vec<Entry>) {
    entries.sort_by_key(Entry::at);
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &entries);
    let (logs, machine, site, book) = (open(dir.path()), machine(), site(), Book::default());
    let inputs = Inputs { logs: &logs, machine: &machine, site: &site, book: &book };
    let findings = judge(inputs, &shift());
    let traces = traces(&inputs, &findings);
    (findings, traces, entries)
}

/// Works with a wandering speed and current, stands 14 s, works again. The boot begins
/// `after_ms` into the shift.
fn night(after_ms: i64, holes_ms: &[std::ops::Range<u64>]) -> Vec<Entry> {
    let current = Channel::brush_current(0).unwrap();
    let mut entries = vec![fix(after_ms)];
    for i in 0..2_000_u64 {
        let at = 1_000 + i * 100;
        if holes_ms.iter().any(|hole| hole.contains(&at)) {
            continue;
        }
        let standing = (100_000..114_000).contains(&at);
        let speed = if standing { 0 } else { 520 + (i * 37 % 160) as i32 };
        entries.push(reading(at, Channel::SPEED, speed));
        entries.push(reading(at, current, 150 + (i * 53 % 90) as i32));
    }
    entries.push(reading(1_000, Channel::HEAD_DOWN, 1));
    let volts = (36.0 / Channel::BATTERY_VOLTAGE.resolution()) as i32;
    entries.extend((0..10).map(|i| reading(1_050 + 20_000 * i, Channel::BATTERY_VOLTAGE, volts)));
    entries
}

/// Smallest and largest in each cell: every reading of the channel speaks for the time
/// since the one before, if that is no longer than the longest gap.
fn by_force(
    trace: &Trace,
    entries: &[Entry],
    channel: Channel,
    after_ms: i64,
) -> Vec<Option<(f64, f64)>> {
    let of_channel = entries.iter().filter_map(|entry| match entry {
        Entry::Reading(r) if r.channel == channel => {
            Some((SHIFT_START + after_ms + r.at.0 as i64, r.raw))
        }
        _ => None,
    });
    let readings: Vec<(i64, i32)> = of_channel.collect();
    let begin = trace.span.from.timestamp_millis() as f64;
    let length = trace.span.to.timestamp_millis() as f64 - begin;
    let gap = machine().longest_gap_ms() as i64;
    (0..CELLS)
        .map(|i| {
            let from = begin + i as f64 * length / CELLS as f64;
            let to = begin + (i + 1) as f64 * length / CELLS as f64;
            let spoken = readings.windows(2).filter(|pair| {
                let (before, at) = (pair[0].0, pair[1].0);
                at - before <= gap && (before as f64) < to - 1e-6 && at as f64 > from + 1e-6
            });
            let values = spoken.map(|pair| f64::from(pair[1].1) * channel.resolution());
            values.map(|v| (v, v)).reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
        })
        .collect()
}

fn compare(trace: &Trace, entries: &[Entry], quantity: Quantity, channel: Channel, after_ms: i64) {
    let wanted = by_force(trace, entries, channel, after_ms);
    let line = trace.line(quantity).unwrap();
    assert_eq!(line.cells.len(), CELLS);
    let mut seen = 0;
    for (i, (cell, wanted)) in line.cells.iter().zip(wanted).enumerate() {
        let got = cell.range.map(|(low, high)| (f64::from(low), f64::from(high)));
        let same = match (got, wanted) {
            (Some(a), Some(b)) => (a.0 - b.0).abs() < 1e-5 && (a.1 - b.1).abs() < 1e-5,
            (None, None) => true,
            _ => false,
        };
        assert!(same, "{quantity:?}, cell {i}: {got:?}, by force {wanted:?}");
        seen += usize::from(got.is_some());
    }
    assert!(seen > CELLS / 4, "{seen}");
}

#[test]
fn a_trace_holds_the_smallest_and_largest_of_all_readings() {
    let (findings, traces, entries) = traced(night(3_600_000, &[]));
    let [trace] = traces.as_slice() else { panic!("{traces:?}") };
    assert_eq!(trace.event, findings.stationary[0].span);
    assert_eq!((trace.event.from - trace.span.from).num_seconds(), 30);
    assert_eq!((trace.span.to - trace.event.to).num_seconds(), 30);
    compare(trace, &entries, Quantity::Speed, Channel::SPEED, 3_600_000);
    let current = Channel::brush_current(0).unwrap();
    compare(trace, &entries, Quantity::Current(0), current, 3_600_000);
    // The machine stood, and nothing told of a brush switch.
    assert_eq!(trace.during_event(Quantity::Speed), Some((0.0, 0.0)));
    assert_eq!(trace.line(Quantity::Command), None);
    let battery = trace.during_event(Quantity::Battery).unwrap();
    assert!((battery.0 - 36.0).abs() < 0.01, "{battery:?}");
    // The head was told of once, 70 s before the span: not known any more.
    assert_eq!(trace.during_event(Quantity::HeadDown), None);
}

#[test]
fn a_gap_is_not_seen_and_not_zero() {
    let hole = 80_000..90_000;
    let (_, traces, entries) = traced(night(3_600_000, std::slice::from_ref(&hole)));
    let [trace] = traces.as_slice() else { panic!("{traces:?}") };
    compare(trace, &entries, Quantity::Speed, Channel::SPEED, 3_600_000);
    let cells = &trace.line(Quantity::Speed).unwrap().cells;
    let empty = cells.iter().filter(|cell| cell.range.is_none());
    // 10 s of a span of 74 s.
    let wanted = 10.0 / trace.cell().0;
    assert!((empty.count() as f64 - wanted).abs() <= 3.0, "{wanted}");
    let seen: f64 = cells.iter().map(|cell| cell.seen.0).sum();
    assert!((seen - (trace.span.length().0 - 10.0)).abs() < 0.3, "{seen}");
}

#[test]
fn a_trace_goes_on_beyond_the_shift() {
    // The stop begins 5 s after the shift does.
    let after_ms = -95_000;
    let (findings, traces, entries) = traced(night(after_ms, &[]));
    let [trace] = traces.as_slice() else { panic!("{traces:?}") };
    assert!(trace.span.from < findings.shift.span.from);
    compare(trace, &entries, Quantity::Speed, Channel::SPEED, after_ms);
    assert!(trace.line(Quantity::Speed).unwrap().cells.iter().all(|cell| cell.range.is_some()));
}

#[test]
fn without_a_serious_event_nothing_is_read() {
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 60, 600, 20));
    assert!(traced(entries).1.is_empty());
}
