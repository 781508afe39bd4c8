//! The recorder on a disk that fills, fails and loses power, against a plain model.

mod common;

use common::dice::Dice;
use common::disk::Disk;
use common::power::Kept;
use common::{Log, read_archive};
use underbrush_agent::record::{Durability, Recorder, Rotation, Sealer};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Gap, GapReason, Note};
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

const STEP_MS: u64 = 100;

/// One agent's life on a disk.
struct Life {
    disk: Disk,
    recorder: Recorder<Disk>,
    sealer: Sealer<Disk>,
    /// Readings given so far, and how many of them a sync has covered.
    given: usize,
    safe: usize,
}

impl Life {
    fn begin(disk: &Disk) -> Self {
        let sealer = Sealer::new(disk.clone(), "T1");
        let rotation = Rotation { after_ms: 20_000, bytes: 1 << 20 };
        let every = Durability::Every(1_000);
        let mut recorder = Recorder::new(disk.clone(), "T1", every, rotation);
        recorder.push(BootMs(0), &mut vec![Entry::Note(BootMs(0), Note::Started)]);
        Self { disk: disk.clone(), recorder, sealer, given: 0, safe: 0 }
    }

    fn now(&self) -> BootMs {
        BootMs(self.given as u64 * STEP_MS)
    }

    fn give(&mut self, count: usize) {
        for _ in 0..count {
            let syncs = self.disk.state().syncs;
            let now = self.now();
            self.recorder.push(now, &mut vec![Entry::Reading(reading(self.given))]);
            self.given += 1;
            if self.recorder.failure().is_none() && self.disk.state().syncs > syncs {
                self.safe = self.given;
            }
            for journal in self.recorder.take_closed() {
                self.sealer.seal(journal);
            }
        }
    }

    fn end(mut self) -> (underbrush_agent::record::RecordCounts, Vec<String>) {
        self.recorder.finish(self.now());
        for journal in self.recorder.take_closed() {
            self.sealer.seal(journal);
        }
        (self.recorder.counts(), self.sealer.finish().unsealed)
    }
}

fn reading(number: usize) -> Reading {
    let raw = (number as i32 * 7919) % 1_000;
    Reading { at: BootMs(number as u64 * STEP_MS), channel: Channel::SPEED, raw }
}

fn log_of(disk: &Disk) -> Log {
    let mut log = Log::default();
    for (name, bytes) in disk.contents() {
        if name.ends_with(".archive") {
            read_archive(&bytes, &mut log);
            log.archives.push(name);
        } else {
            log.journals += usize::from(name.ends_with(".journal"));
            log.unfinished += usize::from(name.ends_with(".archive.tmp"));
        }
    }
    log
}

#[track_caller]
fn assert_first(log: &Log, count: usize) {
    let got: Vec<_> = log.readings.iter().map(|(at, _, raw)| (*at, *raw)).collect();
    let model: Vec<_> = (0..count).map(reading).map(|r| (r.at.0, r.raw)).collect();
    assert_eq!(got, model);
}

#[test]
fn a_power_cut_at_every_operation_keeps_all_that_was_synced() {
    let whole = Disk::default();
    let mut life = Life::begin(&whole);
    life.give(450);
    let (counts, unsealed) = life.end();
    assert_eq!((counts.readings, counts.failures, unsealed.len()), (450, 0, 0));
    assert_first(&log_of(&whole), 450);
    let operations = whole.state().operations;
    assert!(operations > 100, "{operations}");

    let mut dice = Dice::new(1);
    for cut in 0..operations {
        for kept in [Kept::Nothing, Kept::All, Kept::First, Kept::Any, Kept::Torn] {
            let disk = Disk::default();
            let mut life = Life::begin_or_dark(&disk, cut);
            let mut safe = 0;
            if let Some(life) = &mut life {
                life.give(450);
                safe = life.safe;
            }
            if let Some(life) = life {
                life.end();
            }
            let found = disk.after_power_cut(kept, &mut dice);
            let (_, unsealed) = Life::begin(&found).end();
            let log = log_of(&found);
            let context = format!("cut at operation {cut}, kept: {kept:?}");
            assert!(unsealed.is_empty(), "{context}");
            assert_eq!((log.journals, log.unfinished), (0, 0), "{context}");
            assert!(log.readings.len() >= safe, "{context}: {} of {safe}", log.readings.len());
            assert_first(&log, log.readings.len());
        }
    }
}

impl Life {
    /// `None` if the power goes before the first listing.
    fn begin_or_dark(disk: &Disk, power_left: usize) -> Option<Self> {
        disk.state().power_left = Some(power_left);
        (power_left > 0).then(|| Self::begin(disk))
    }
}

#[test]
fn a_full_disk_for_a_minute_loses_nothing() {
    let disk = Disk::default();
    let mut life = Life::begin(&disk);
    life.give(300);
    disk.state().room = Some(20);
    life.give(600);
    assert!(life.recorder.failure().is_some());
    disk.state().room = None;
    life.give(100);
    assert!(life.recorder.failure().is_none());
    let (counts, unsealed) = life.end();
    assert_eq!((counts.readings, counts.dropped, unsealed.len()), (1_000, 0, 0));
    assert!(counts.failures > 1);
    let log = log_of(&disk);
    assert_first(&log, 1_000);
    assert_eq!(log.unfinished, 0);
    assert!(!log.notes.iter().any(|(_, note)| matches!(note, Note::Gap(_))));
}

#[test]
fn a_full_disk_for_hours_drops_and_says_how_much() {
    let disk = Disk::default();
    let mut life = Life::begin(&disk);
    life.give(300);
    disk.state().room = Some(0);
    life.give(80_000);
    disk.state().room = None;
    life.give(100);
    let (counts, _) = life.end();
    let log = log_of(&disk);
    assert!(counts.dropped > 10_000, "{counts:?}");
    assert_eq!(log.readings.len() as u64 + counts.dropped, 80_400);
    let gaps: Vec<&Gap> = log
        .notes
        .iter()
        .filter_map(|(_, note)| if let Note::Gap(gap) = note { Some(gap) } else { None })
        .collect();
    let [gap] = gaps[..] else { panic!("{gaps:?}") };
    assert_eq!((gap.reason, u64::from(gap.dropped)), (GapReason::Storage, counts.dropped));
    // It begins with the first reading that is missing.
    let hole = log.readings.windows(2).find(|pair| pair[1].0 - pair[0].0 > STEP_MS).unwrap();
    assert_eq!(gap.from.0, hole[0].0 + STEP_MS);
}

#[test]
fn a_failed_sync_begins_a_new_part_and_doubles_nothing() {
    let disk = Disk::default();
    let mut life = Life::begin(&disk);
    life.give(55);
    disk.state().sync_fails = true;
    life.give(10);
    assert!(life.recorder.failure().is_some());
    disk.state().sync_fails = false;
    life.give(100);
    let (counts, unsealed) = life.end();
    assert_eq!((counts.readings, counts.dropped, unsealed.len()), (165, 0, 0));
    let log = log_of(&disk);
    assert_eq!(log.archives.len(), 2);
    assert_first(&log, 165);
}

#[test]
fn a_journal_that_cannot_be_sealed_stays_and_is_sealed_later() {
    let disk = Disk::default();
    let mut life = Life::begin(&disk);
    life.give(100);
    life.recorder.finish(life.now());
    let closed = life.recorder.take_closed();
    disk.state().room = Some(10);
    for journal in closed {
        life.sealer.seal(journal);
    }
    assert_eq!(life.sealer.finish().unsealed, ["boot-00000001.part-0001.journal"]);
    assert_eq!((log_of(&disk).journals, log_of(&disk).unfinished), (1, 0));
    disk.state().room = None;
    Life::begin(&disk).end();
    assert_first(&log_of(&disk), 100);
}
