//! Archives and lists made by hand, for a log directory in memory.

use super::dice::Dice;
use super::disk::Disk;
use underbrush_agent::record::{Appender, FileUse, LogName, Storage};
use underbrush_protocol::archive::Writer;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::{Entry, Identity};
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::{BootMs, UtcMs};

pub(crate) const HOUR_MS: i64 = 3_600_000;

pub(crate) fn archive_name(boot: u32, part: u32) -> LogName {
    LogName { boot, part, kind: FileUse::Archive }
}

/// An archive of so many noisy readings that begins at `utc`; the last is an hour later.
pub(crate) fn archive(boot: u32, part: u32, utc: Option<i64>, readings: u64) -> Vec<u8> {
    let machine = "T1".to_owned();
    let identity = Identity { machine, boot, segment: part, agent: "test".to_owned() };
    let mut writer = Writer::new(&identity).unwrap();
    if let Some(utc) = utc {
        let (source, uncertainty_ms) = (ClockSource::Network, 100);
        let fix = ClockFix { utc: UtcMs(utc), source, uncertainty_ms };
        writer.push(Entry::Note(BootMs(0), Note::ClockFix(fix)));
    }
    let last = readings.max(2) - 1;
    let mut dice = Dice::new(u64::from(boot) << 32 | u64::from(part));
    for i in 0..=last {
        let at = BootMs(i * HOUR_MS as u64 / last);
        let raw = (dice.next() >> 48) as i16;
        let reading = Reading { at, channel: Channel::SPEED, raw: raw.into() };
        writer.push(Entry::Reading(reading));
    }
    writer.finish();
    writer.take_bytes()
}

/// Writes a file so that a power cut leaves it.
pub(crate) fn put(disk: &Disk, name: &str, bytes: &[u8]) {
    let _ = disk.remove(name);
    let mut file = Appender::new(disk.create(name).unwrap());
    file.append(bytes).unwrap();
    file.sync().unwrap();
    disk.sync_dir().unwrap();
}

pub(crate) fn content(disk: &Disk, name: &str) -> Option<Vec<u8>> {
    disk.contents().into_iter().find(|(found, _)| found == name).map(|(_, bytes)| bytes)
}
