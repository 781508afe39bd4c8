//! Power cuts by the thousand, on a disk that also fails, against a plain model.
//!
//! A seed is a history: up to eight lives of the agent, one after the other on the same
//! disk, each ended by a power cut at a random operation. In every other life a bridge sends
//! full-rate readings and detectors fire, so that windows of them are stored meanwhile, up to
//! seconds after their time. Repeat one history, or run more:
//!
//! ```text
//! UNDERBRUSH_CRASH_SEEDS=123..124 cargo test -p underbrush-agent --test crashes
//! UNDERBRUSH_CRASH_SEEDS=0..1000000 cargo test --release -p underbrush-agent --test crashes
//! ```

mod common;

use common::dice::Dice;
use common::disk::{Disk, Faults};
use common::given::Given;
use common::model::{judge, read};
use common::power::Kept;
use std::collections::BTreeMap;
use std::ops::Range;
use std::sync::atomic::{AtomicU64, Ordering};
use underbrush_agent::record::{Durability, LogName, Recorder, Rotation, Sealer};
use underbrush_agent::ring::{HighRate, HighRateSettings};
use underbrush_agent::watch::{Alarm, AlarmKind, Stage};
use underbrush_protocol::log::Entry;
use underbrush_protocol::time::BootMs;

const LIVES: u64 = 8;
/// Seeds of a usual run: 32,000 power cuts. `tests/long.sh` runs 100,000.
const USUAL: Range<u64> = 0..4_000;

/// Shorter windows than usual, so that many fit into a life; no rows are made of them.
const HIGH_RATE: HighRateSettings = HighRateSettings {
    before_ms: 1_000,
    after_ms: 500,
    normal_ms: u64::MAX,
    memory_bytes: Some(64_000),
};
/// A full-rate reading each so many ms.
const FINE_MS: u64 = 15;
/// At most so many of them at once go to the recorder: a window takes several pieces.
const PIECE: usize = 60;
/// So many at once, while the disk fails, are more than the recorder keeps.
const FLOOD: usize = 33_000;

/// One start of the agent, until its power goes.
struct Life {
    recorder: Recorder<Disk>,
    /// Full-rate readings wait here; `None`: the bridge sends none.
    ring: Option<HighRate>,
    sealer: Sealer<Disk>,
    to_seal: Vec<LogName>,
    sync_every_ms: u64,
    now: BootMs,
    /// Full-rate readings were taken up to then, in ms.
    sampled: u64,
    given: Given,
}

impl Life {
    fn begin(disk: &Disk, dice: &mut Dice) -> Self {
        let rotation = Rotation {
            after_ms: dice.pick(&[1_000, 3_000, 10_000, 3_600_000]),
            bytes: dice.pick(&[300, 4_096, 65_536, 1 << 20]),
        };
        let sync_every_ms = dice.pick(&[100, 500, 1_000]);
        let durability = Durability::Every(sync_every_ms);
        Self {
            recorder: Recorder::new(disk.clone(), "T1", durability, rotation),
            ring: dice.coin().then(|| HighRate::new(HIGH_RATE, 2)),
            sealer: Sealer::new(disk.clone(), "T1"),
            to_seal: Vec::new(),
            sync_every_ms,
            now: BootMs(0),
            sampled: 0,
            given: Given::default(),
        }
    }

    /// Gives `count` rows and what is wanted at full rate, and lets the recorder do what is due.
    fn give(&mut self, count: usize) {
        let mut entries: Vec<_> = (0..count).map(|_| self.given.next(self.now)).collect();
        if let Some(ring) = &mut self.ring {
            let since = self.now.0.saturating_sub(500).max(self.sampled);
            let due = (since..self.now.0).step_by(FINE_MS as usize);
            entries.extend(due.map(|at| self.given.measure(BootMs(at))));
            self.sampled = self.now.0;
            ring.sort_out(&mut entries);
            ring.release(PIECE, &mut entries);
        }
        self.push(entries);
    }

    fn push(&mut self, mut entries: Vec<Entry>) {
        self.given.give_fine(self.now, &entries);
        self.recorder.push(self.now, &mut entries);
        self.given.drop_last(self.recorder.counts());
        self.after();
    }

    /// A detector fires.
    fn event(&mut self) {
        let (at, began) = (self.now, BootMs(self.now.0.saturating_sub(200)));
        let kind = AlarmKind::Stall;
        let alarm = Alarm { at, kind, stage: Stage::Event, motor: None, began, on: true };
        if let Some(ring) = &mut self.ring {
            ring.fired(&alarm);
        }
    }

    /// More full-rate readings than are kept while the disk fails.
    fn flood(&mut self) {
        let at = BootMs(self.now.0.saturating_sub(10));
        let entries = (0..FLOOD).map(|_| self.given.measure(at)).collect();
        self.push(entries);
    }

    fn after(&mut self) {
        self.to_seal.extend(self.recorder.take_closed());
        self.given.acknowledge(self.recorder.counts());
    }

    fn seal(&mut self) {
        for journal in self.to_seal.drain(..) {
            self.sealer.seal(journal);
        }
    }

    /// Some time at work.
    fn step(&mut self, dice: &mut Dice) {
        let pause = if dice.in_1000(20) { 6_000 } else { 1 + dice.below(120) as u64 };
        self.now = self.now.plus(pause);
        if self.ring.is_some() && dice.in_1000(40) {
            self.event();
        }
        let count = if dice.in_1000(1) { 6_000 } else { dice.below(6) };
        self.give(count);
        if self.ring.is_some() && self.recorder.failure().is_some() && dice.in_1000(3) {
            self.flood();
        }
        // The sealer is another thread: it comes when it comes.
        if dice.in_1000(300) {
            self.seal();
        }
    }

    fn end_in_good_order(&mut self) {
        if let Some(mut ring) = self.ring.take() {
            let mut entries = Vec::new();
            ring.finish(&mut entries);
            self.push(entries);
        }
        let dropped = self.recorder.counts().dropped;
        self.recorder.finish(self.now);
        self.after();
        let all_written = self.recorder.counts().dropped == dropped;
        self.given.whole = all_written && self.recorder.failure().is_none();
        self.seal();
    }

    /// The oldest entry that a power cut could take was given within the sync interval.
    fn loses_no_more_than_an_interval(&self) -> Result<(), String> {
        let age = self.given.oldest_waits_ms(self.now);
        // An entry given when a sync falls due is synced then: none waits for a whole interval.
        if age < self.sync_every_ms.max(1) {
            Ok(())
        } else {
            Err(format!("an entry waited {age} ms for a sync, every {} ms", self.sync_every_ms))
        }
    }
}

#[derive(Default)]
struct Tally {
    cuts: AtomicU64,
    acknowledged: AtomicU64,
    /// Of them, those at full rate.
    fine: AtomicU64,
    /// At full rate, given and not acknowledged when the power went.
    cut: AtomicU64,
    dropped: AtomicU64,
    torn: AtomicU64,
    faulty: AtomicU64,
    part_ends: AtomicU64,
}

/// Eight lives and deaths on one disk.
fn history(seed: u64, tally: &Tally) -> Result<(), String> {
    let mut dice = Dice::new(seed);
    let mut disk = Disk::default();
    let mut given: BTreeMap<u32, Given> = BTreeMap::new();
    for life in 0..LIVES {
        let context = |message| format!("life {life}: {message}");
        let faulty = dice.in_1000(300);
        if faulty {
            disk.state().faults = Some(bad_luck(&mut dice));
            tally.faulty.fetch_add(1, Ordering::Relaxed);
        }
        disk.state().power_left = Some(dice.below(150));
        let (boot, last) = live(&disk, faulty, &mut dice, tally).map_err(context)?;
        let kept = dice.pick(&[Kept::Nothing, Kept::All, Kept::First, Kept::Any, Kept::Torn]);
        disk = disk.after_power_cut(kept, &mut dice);
        tally.cuts.fetch_add(1, Ordering::Relaxed);
        let fine = &last.fine;
        tally.acknowledged.fetch_add((last.rows.safe + fine.safe) as u64, Ordering::Relaxed);
        tally.fine.fetch_add(fine.safe as u64, Ordering::Relaxed);
        tally.cut.fetch_add(u64::from(fine.safe < fine.entries.len()), Ordering::Relaxed);
        tally.dropped.fetch_add(last.dropped.len() as u64, Ordering::Relaxed);
        if let Some(boot) = boot {
            // A number comes again only if nothing of the first one was ever safe.
            if given.remove(&boot).is_some_and(|before| !before.nothing_safe()) {
                return Err(context(format!("boot {boot} came twice")));
            }
            given.insert(boot, last);
        }
        let found = read(&disk);
        judge(&found, &given).map_err(|message| context(format!("{message} (kept: {kept:?})")))?;
        tally.torn.fetch_add(found.torn.len() as u64, Ordering::Relaxed);
    }
    repaired(&disk, &mut dice, given)
}

fn bad_luck(dice: &mut Dice) -> Faults {
    Faults {
        dice: Dice::new(dice.next()),
        short_write: dice.pick(&[0, 100, 500]),
        interrupted: dice.pick(&[0, 100, 500]),
        write_error: dice.pick(&[0, 20, 200]),
        sync_error: dice.pick(&[0, 20, 200]),
        other_error: dice.pick(&[0, 20, 200]),
    }
}

fn live(
    disk: &Disk,
    faulty: bool,
    dice: &mut Dice,
    tally: &Tally,
) -> Result<(Option<u32>, Given), String> {
    let mut life = Life::begin(disk, dice);
    for _ in 0..400 {
        if disk.dark() {
            break;
        }
        if faulty && dice.in_1000(50) {
            let room = dice.below(2_000);
            let mut state = disk.state();
            state.room = state.room.map_or(Some(room), |_| None);
        }
        life.step(dice);
        if !faulty && !disk.dark() {
            life.loses_no_more_than_an_interval()?;
        }
        if dice.in_1000(3) {
            life.end_in_good_order();
            break;
        }
    }
    tally.part_ends.fetch_add(life.to_seal.len() as u64, Ordering::Relaxed);
    Ok((life.recorder.boot(), life.given))
}

/// A start with the power on: everything is sealed, and what was cut is told.
fn repaired(disk: &Disk, dice: &mut Dice, mut given: BTreeMap<u32, Given>) -> Result<(), String> {
    let before = read(disk);
    let mut life = Life::begin(disk, dice);
    life.give(1);
    life.end_in_good_order();
    let boot = life.recorder.boot().ok_or("no boot number")?;
    given.insert(boot, life.given);
    let after = read(disk);
    judge(&after, &given).map_err(|message| format!("after the last start: {message}"))?;
    if (after.journals, after.leftovers, after.damaged) != (0, 0, 0) {
        let (journals, leftovers, damaged) = (after.journals, after.leftovers, after.damaged);
        return Err(format!(
            "left: {journals} journals, {leftovers} others, {damaged} damaged bytes"
        ));
    }
    for (part, torn) in &before.torn {
        let told = after.repaired.get(part).map_or(0, |repaired| repaired.torn_bytes as usize);
        if told != *torn {
            return Err(format!("part {part:?}: {torn} bytes were torn, {told} were told"));
        }
    }
    Ok(())
}

fn seeds() -> Range<u64> {
    let Ok(text) = std::env::var("UNDERBRUSH_CRASH_SEEDS") else { return USUAL };
    let ends = text.split_once("..").and_then(|(a, b)| Some(a.parse().ok()?..b.parse().ok()?));
    ends.expect("UNDERBRUSH_CRASH_SEEDS is two numbers: 0..1000")
}

#[test]
fn power_cuts_by_the_thousand_lose_nothing_acknowledged() {
    let (seeds, tally) = (seeds(), Tally::default());
    let next = AtomicU64::new(seeds.start);
    let threads = std::thread::available_parallelism().map_or(2, usize::from);
    let failures: Vec<String> = std::thread::scope(|scope| {
        let run = || {
            let mut failures = Vec::new();
            loop {
                let seed = next.fetch_add(1, Ordering::Relaxed);
                if seed >= seeds.end || failures.len() >= 3 {
                    return failures;
                }
                if let Err(message) = history(seed, &tally) {
                    failures.push(format!(
                        "seed {seed}: {message}\n  repeat: UNDERBRUSH_CRASH_SEEDS={seed}..{} \
                         cargo test -p underbrush-agent --test crashes",
                        seed + 1
                    ));
                }
            }
        };
        let workers: Vec<_> = (0..threads).map(|_| scope.spawn(run)).collect();
        workers.into_iter().flat_map(|worker| worker.join().unwrap()).collect()
    });
    assert!(failures.is_empty(), "{}", failures.join("\n"));
    let count = |counter: &AtomicU64| counter.load(Ordering::Relaxed);
    println!(
        "{} power cuts ({} in lives with a failing disk, {} while full-rate readings were on \
         their way), {} entries acknowledged, {} of them at full rate, {} dropped and told, {} \
         torn tails",
        count(&tally.cuts),
        count(&tally.faulty),
        count(&tally.cut),
        count(&tally.acknowledged),
        count(&tally.fine),
        count(&tally.dropped),
        count(&tally.torn)
    );
    // The histories really hold what they are about.
    let cuts = (seeds.end - seeds.start) * LIVES;
    assert_eq!(count(&tally.cuts), cuts);
    if cuts > 1_000 {
        assert!(count(&tally.acknowledged) > cuts * 10, "{}", count(&tally.acknowledged));
        assert!(count(&tally.fine) > cuts * 2, "{}", count(&tally.fine));
        assert!(count(&tally.cut) > cuts / 50, "{}", count(&tally.cut));
        assert!(count(&tally.dropped) > 0);
        assert!(count(&tally.torn) > cuts / 50, "{}", count(&tally.torn));
        assert!(count(&tally.faulty) > cuts / 5 && count(&tally.part_ends) > cuts / 100);
    }
}

/// A short night, cut at every operation and there at every byte.
#[test]
fn every_operation_and_every_byte() {
    let night = |power_left: Option<usize>| {
        let disk = Disk::default();
        disk.state().power_left = power_left;
        let mut dice = Dice::new(0);
        let rotation = Rotation { after_ms: 2_000, bytes: 1 << 20 };
        let mut life = Life::begin(&disk, &mut dice);
        let every = Durability::Every(500);
        life.recorder = Recorder::new(disk.clone(), "T1", every, rotation);
        life.ring = Some(HighRate::new(HIGH_RATE, 2));
        for step in 0..60 {
            life.now = life.now.plus(100);
            if matches!(step, 15 | 40) {
                life.event();
            }
            life.give(2);
            life.seal();
        }
        let boot = life.recorder.boot();
        life.end_in_good_order();
        (disk, boot, life.given)
    };
    let (whole, _, fine) = night(None);
    let operations = whole.state().operations;
    assert!(operations > 60, "{operations}");
    assert!(fine.fine.safe > 200, "{}", fine.fine.safe);
    let mut images = 0;
    for cut in 0..operations {
        let (disk, boot, given) = night(Some(cut));
        let given: BTreeMap<u32, Given> = boot.map(|boot| (boot, given)).into_iter().collect();
        for bytes in 0..=disk.unsynced_bytes() {
            let mut dice = Dice::new(0);
            let image = disk.after_power_cut(Kept::Bytes(bytes), &mut dice);
            let context = format!("cut at operation {cut}, {bytes} bytes kept");
            judge(&read(&image), &given).unwrap_or_else(|message| panic!("{context}: {message}"));
            repaired(&image, &mut dice, given.clone())
                .unwrap_or_else(|message| panic!("{context}: {message}"));
            images += 1;
        }
    }
    println!("{operations} operations, {images} images");
    assert!(images > 4 * operations, "{images}");
}
