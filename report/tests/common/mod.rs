//! Logs made by hand, for tests of the report alone.
#![allow(dead_code, unreachable_pub)]

use chrono::{DateTime, NaiveDate, Utc};
use std::path::Path;
use tempfile::TempDir;
use underbrush_protocol::archive::Writer;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::{Entry, Identity};
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Findings, Inputs, Shift, Span, judge};
use underbrush_report::logset::{LogSet, OpenSettings};
use underbrush_report::settings::{Book, Site};

pub const MACHINE: &str = r#"
id = "T1"
name = "Test machine"
[deck]
brushes = 1
path_width = "0.7 m"
contact_length = "0.35 m"
[motor]
torque_constant = "0.1 N.m/A"
resistance = "0.05 ohm"
no_load_current = "4 A"
gear_ratio = 10.0
rated_current = "30 A"
[battery]
nominal_voltage = "36 V"
"#;

pub const SITE: &str = r#"
name = "Test hall"
time_zone = "UTC"
[shift]
start = "22:00"
end = "06:00"
[[step]]
number = 1
grit = "100"
minutes = 45
[[step]]
number = 2
grit = "400"
minutes = 30
[maintenance]
grit = "1500"
[[section]]
id = "A-01"
area = "575 sq ft"
tag = 1
[[section]]
id = "X-01"
area = "200 sq ft"
polish = false
tag = 2
[[button]]
number = 1
phase = "step 1"
[[button]]
number = 9
phase = "maintenance"
"#;

/// 2026-11-23T22:00:00Z, the start of the shift that all these logs are in.
pub const SHIFT_START: i64 = 1_795_471_200_000;

pub fn machine() -> Machine {
    Machine::parse("machine.toml", MACHINE).unwrap()
}

pub fn site() -> Site {
    Site::parse("site.toml", SITE).unwrap()
}

pub fn shift() -> Shift {
    let at = |ms| DateTime::<Utc>::from_timestamp_millis(ms).unwrap();
    Shift {
        date: NaiveDate::from_ymd_opt(2026, 11, 23).unwrap(),
        span: Span { from: at(SHIFT_START), to: at(SHIFT_START + 8 * 3_600_000) },
        zone: chrono_tz::UTC,
    }
}

/// A clock fix at the boot's start, `after_ms` into the shift.
pub fn fix(after_ms: i64) -> Entry {
    let utc = UtcMs(SHIFT_START + after_ms);
    Entry::Note(
        BootMs(0),
        Note::ClockFix(ClockFix { utc, source: ClockSource::Network, uncertainty_ms: 50 }),
    )
}

pub fn reading(at_ms: u64, channel: Channel, raw: i32) -> Entry {
    Entry::Reading(Reading { at: BootMs(at_ms), channel, raw })
}

pub fn identity(boot: u32, segment: u32) -> Identity {
    Identity { machine: "T1".to_owned(), boot, segment, agent: "test".to_owned() }
}

pub fn archive_bytes(identity: &Identity, entries: &[Entry]) -> Vec<u8> {
    let mut writer = Writer::new(identity).unwrap();
    for entry in entries {
        writer.push(entry.clone());
    }
    writer.finish();
    writer.take_bytes()
}

pub fn write_archive(dir: &Path, boot: u32, segment: u32, entries: &[Entry]) {
    let name = format!("boot-{boot:08}.part-{segment:04}.archive");
    std::fs::write(dir.join(name), archive_bytes(&identity(boot, segment), entries)).unwrap();
}

/// Speed (mm/s) and current (A) at 10 Hz for `seconds`, from `from_ms` on.
pub fn drive(from_ms: u64, seconds: u64, speed_mm_s: i32, current_a: i32) -> Vec<Entry> {
    (0..=seconds * 10)
        .flat_map(|i| {
            let at = from_ms + i * 100;
            let current = Channel::brush_current(0).unwrap();
            [reading(at, Channel::SPEED, speed_mm_s), reading(at, current, current_a * 10)]
        })
        .collect()
}

pub fn open(dir: &Path) -> LogSet {
    let settings = OpenSettings { machine: "T1".to_owned(), ..OpenSettings::default() };
    LogSet::open(dir, &settings).unwrap()
}

pub fn judge_dir(dir: &Path, machine: &Machine, site: &Site, book: &Book) -> Findings {
    judge(Inputs { logs: &open(dir), machine, site, book }, &shift())
}

/// Judges one boot with these entries and default settings.
pub fn judge_entries(entries: &[Entry]) -> Findings {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, entries);
    judge_dir(dir.path(), &machine(), &site(), &Book::default())
}

/// A minute into the shift the machine drives for ten minutes at a wandering speed with one
/// spike of a single reading (4 min 3.2 s), its motor is held for 3 s (2 min), and for half
/// a minute nothing is read (6 min). Times count from the power-on.
pub fn eventful() -> Vec<Entry> {
    let current = Channel::brush_current(0).unwrap();
    let volts = |v: f64| (v / Channel::BATTERY_VOLTAGE.resolution()).round() as i32;
    let mut entries = vec![fix(60_000)];
    for i in 0..6_000_u64 {
        let at = i * 100;
        if (360_000..390_000).contains(&at) {
            continue;
        }
        let held = (120_000..123_000).contains(&at);
        let speed = if at == 243_200 { 1_900 } else { 430 + (i * 37 % 160) as i32 };
        entries.push(reading(at, Channel::SPEED, if held { 150 } else { speed }));
        let amperes = if held { 880 } else { 180 + (i * 53 % 90) as i32 };
        entries.push(reading(at, current, amperes));
        entries.push(reading(at, Channel::BRUSH_COMMAND, 1));
        if i % 10 == 0 {
            entries.push(reading(at, Channel::BATTERY_VOLTAGE, volts(36.4 - i as f64 / 5_000.0)));
            entries.push(reading(at, Channel::HEAD_DOWN, 1));
            entries.push(reading(at, Channel::VACUUM_ON, i32::from(i < 4_500)));
        }
    }
    entries.sort_by_key(Entry::at);
    entries
}

/// A folder with settings and the log of that night.
pub fn hall() -> TempDir {
    folder(SITE, eventful())
}

/// A folder with settings and a log.
pub fn folder(site: &str, mut entries: Vec<Entry>) -> TempDir {
    let dir = TempDir::new().unwrap();
    std::fs::write(dir.path().join("site.toml"), site).unwrap();
    std::fs::write(dir.path().join("machine.toml"), MACHINE).unwrap();
    let log = dir.path().join("log");
    std::fs::create_dir(&log).unwrap();
    entries.sort_by_key(Entry::at);
    write_archive(&log, 1, 1, &entries);
    dir
}

/// Stops with the brush on, so many seconds long each, after work of 10 s each; and when the
/// last is over, in ms.
pub fn stops(stops_s: impl IntoIterator<Item = u64>) -> (Vec<Entry>, u64) {
    let mut entries = vec![fix(60_000), reading(500, Channel::HEAD_DOWN, 1)];
    let mut at = 1_000;
    for stop in stops_s {
        entries.extend(drive(at, 10, 550, 20));
        entries.extend(drive(at + 10_100, stop, 0, 20));
        at += 10_200 + 1_000 * stop;
    }
    (entries, at)
}
