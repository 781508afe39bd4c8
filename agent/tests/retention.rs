//! Which archives go: the policy under clocks that lie, and the removals on a disk that
//! fails, against plain models.

mod common;

use common::archives::{HOUR_MS, archive, archive_name, content, put};
use common::dice::Dice;
use common::disk::Disk;
use common::power::Kept;
use common::pulled::{Trouble, sides};
use std::collections::BTreeMap;
use underbrush_agent::offload::copy_log;
use underbrush_agent::record::{
    Archive, BY_AGE_FOR_EACH_NEW, COPIED_LIST, End, LAST_NIGHT, Limits, ListFile, Reason, Retainer,
    Situation, Storage, WITNESSES, plan,
};
use underbrush_protocol::time::UtcMs;

/// 2026-11-23T22:00:00Z by `date -u -d @1795471200` (GNU coreutils).
const START_MS: i64 = 1_795_471_200_000;
const DAY_MS: i64 = 24 * HOUR_MS;
const YEAR_MS: i64 = 365 * DAY_MS;
/// A roll-over of the GPS week number (IS-GPS-200: 10 bits of weeks).
const ROLL_OVER_MS: i64 = 1024 * 7 * DAY_MS;
const KEEP_DAYS: i64 = 100;

fn archives(count: usize, bytes: u64) -> Vec<Archive> {
    let made = |i: usize| Archive {
        name: archive_name(1 + i as u32 / 8, 1 + i as u32 % 8),
        bytes,
        end: End::Undated,
        copied: false,
        fixed: false,
    };
    (0..count).map(made).collect()
}

fn situation(archives: &[Archive]) -> Situation<'_> {
    Situation { archives, free_bytes: Some(1 << 40), now: None, age_allowance: usize::MAX }
}

/// Places of the removals in `archives`, with their reasons.
fn places(archives: &[Archive], limits: &Limits, free: u64) -> Vec<(usize, Reason)> {
    let situation = Situation { free_bytes: Some(free), ..situation(archives) };
    let removals = plan(limits, &situation).removals.into_iter();
    let place = |name| archives.iter().position(|a| a.name == name).unwrap();
    removals.map(|removal| (place(removal.name), removal.reason)).collect()
}

#[test]
fn the_oldest_go_first_and_no_more_than_needed() {
    let mut archives = archives(20, 10_000_000);
    let limits = Limits { max_bytes: Some(165_000_000), ..Limits::default() };
    let four = |places: [usize; 4], reason| places.map(|place| (place, reason)).to_vec();
    assert_eq!(places(&archives, &limits, 1 << 40), four([0, 1, 2, 3], Reason::OverSize));
    // What must stay does not stop the others.
    archives[1].fixed = true;
    assert_eq!(places(&archives, &limits, 1 << 40), four([0, 2, 3, 4], Reason::OverSize));
    let waiting = Limits { wait_for_copy: true, ..limits };
    assert_eq!(places(&archives, &waiting, 1 << 40), []);
    for place in [3, 5, 7, 8, 9] {
        archives[place].copied = true;
    }
    assert_eq!(places(&archives, &waiting, 1 << 40), four([3, 5, 7, 8], Reason::OverSize));
    let situation = situation(&archives);
    assert_eq!(plan(&waiting, &situation).held_for_copy, 4);

    // Room: first those that were copied, then the others; both oldest first.
    let room = Limits { min_free_bytes: Some(60_000_000), ..Limits::default() };
    let goes = places(&archives, &room, 0);
    let order: Vec<usize> = goes.iter().map(|(place, _)| *place).collect();
    assert_eq!(order, [3, 5, 7, 8, 9, 0]);
    assert!(goes.iter().all(|(_, reason)| *reason == Reason::DiskFull));
    let waiting = Limits { wait_for_copy: true, ..room };
    assert_eq!(places(&archives, &waiting, 0), goes, "room to record comes first");
    assert_eq!(places(&archives, &room, 60_000_000), []);
}

#[test]
fn last_night_stays_and_a_wish_for_too_much_room_is_cut() {
    let archives = archives(LAST_NIGHT + 3, 1_000_000);
    let all = Limits { max_bytes: Some(1), min_free_bytes: Some(u64::MAX), ..Limits::default() };
    assert_eq!(places(&archives, &all, 0).len(), 3);
    let situation = Situation { free_bytes: Some(0), ..situation(&archives) };
    assert_eq!(plan(&all, &situation).short_bytes, 11_000_000 / 2 - 3_000_000);
    // Without a wish: a tenth of what the log can have, at most 200 MB.
    assert_eq!(places(&archives, &Limits::default(), 0).len(), 2);
    assert_eq!(places(&archives, &Limits::default(), 1_200_000).len(), 1);
    assert_eq!(places(&archives, &Limits::default(), 200_000_000), []);
}

/// A board's life: the true end and the date of each archive.
struct Life {
    dice: Dice,
    true_ms: i64,
    /// Error of the clock, and the archives that it lasts.
    wrong: (Option<i64>, usize),
    archives: Vec<Archive>,
    truth: BTreeMap<(u32, u32), i64>,
    boot: u32,
}

impl Life {
    fn new(seed: u64) -> Self {
        Self {
            dice: Dice::new(seed),
            true_ms: START_MS,
            wrong: (Some(0), 0),
            archives: Vec::new(),
            truth: BTreeMap::new(),
            boot: 0,
        }
    }

    /// Records an archive. A clock never lies for more than `longest_lie` archives.
    fn record(&mut self, longest_lie: usize) {
        if self.boot == 0 || self.dice.in_1000(150) {
            self.boot += 1;
            let away = if self.dice.in_1000(5) { 90 } else { 1 };
            self.true_ms += self.dice.below(away * 20 + 1) as i64 * HOUR_MS;
        }
        if self.wrong.1 > 0 {
            self.wrong.1 -= 1;
        } else if self.wrong.0 != Some(0) {
            // At least one right date between two lies.
            self.wrong.0 = Some(0);
        } else if longest_lie > 0 && self.dice.in_1000(40) {
            let errors = [
                None,
                Some(-YEAR_MS),
                Some(10 * YEAR_MS),
                Some(ROLL_OVER_MS),
                Some(-ROLL_OVER_MS),
                Some(-30 * DAY_MS),
                Some(200 * DAY_MS),
                Some(3 * YEAR_MS),
            ];
            self.wrong = (self.dice.pick(&errors), self.dice.below(longest_lie));
        }
        self.true_ms += HOUR_MS;
        let part = self.archives.last().map_or(1, |a| a.name.part + 1);
        let name = archive_name(self.boot, part);
        let end = self.clock().map_or(End::Undated, |utc| End::At(UtcMs(utc)));
        self.archives.push(Archive { name, bytes: 1_000, end, copied: false, fixed: false });
        self.truth.insert((name.boot, name.part), self.true_ms);
    }

    fn clock(&self) -> Option<i64> {
        let date = self.true_ms + self.wrong.0?;
        // Earlier ones are not believed: see `archive_end`.
        (date >= 1_735_689_600_000).then_some(date)
    }

    /// Removes by age; gives the true ages of what went, in days.
    fn tend(&mut self, allowance: usize) -> Vec<i64> {
        let limits = Limits { keep_ms: Some(KEEP_DAYS * DAY_MS), ..Limits::default() };
        let situation = Situation {
            archives: &self.archives,
            free_bytes: Some(1 << 40),
            now: self.clock().map(UtcMs),
            age_allowance: allowance,
        };
        let removals = plan(&limits, &situation).removals;
        assert!(removals.iter().all(|removal| removal.reason == Reason::TooOld));
        assert!(removals.is_sorted_by_key(|removal| removal.name));
        self.archives.retain(|a| !removals.iter().any(|removal| removal.name == a.name));
        let age = |name: underbrush_agent::record::LogName| {
            self.true_ms - self.truth[&(name.boot, name.part)]
        };
        removals.iter().map(|removal| age(removal.name) / DAY_MS).collect()
    }
}

#[test]
fn by_age_nothing_goes_early_whatever_the_clock_says() {
    let (mut removed, mut oldest) = (0, 0);
    for seed in 0..60 {
        let mut life = Life::new(seed);
        for step in 0..2_500 {
            life.record(WITNESSES - 1);
            for age_days in life.tend(BY_AGE_FOR_EACH_NEW) {
                removed += 1;
                assert!(age_days >= KEEP_DAYS, "seed {seed}, step {step}: {age_days} days old");
            }
            let dated = life.archives.iter().filter(|a| a.end != End::Undated);
            let first = dated.map(|a| life.truth[&(a.name.boot, a.name.part)]).next();
            oldest = oldest.max((life.true_ms - first.unwrap_or(life.true_ms)) / DAY_MS);
        }
    }
    assert!(removed > 20_000, "the limit does something: {removed}");
    println!("{removed} removed; the oldest dated one left was {oldest} days old");
}

#[test]
fn right_clocks_remove_all_that_is_too_old() {
    let mut life = Life::new(7);
    for _ in 0..4_000 {
        life.record(0);
        life.tend(BY_AGE_FOR_EACH_NEW);
    }
    let age = |a: &Archive| (life.true_ms - life.truth[&(a.name.boot, a.name.part)]) / DAY_MS;
    let too_old = life.archives.iter().filter(|a| age(a) > KEEP_DAYS).count();
    assert!(too_old <= 2 * WITNESSES, "{too_old}: only those that wait for witnesses");
}

#[test]
fn a_clock_that_lies_for_long_takes_little() {
    for error in [10 * YEAR_MS, ROLL_OVER_MS] {
        let mut life = Life::new(3);
        for _ in 0..1_000 {
            life.record(0);
        }
        let mut gone = 0;
        for archive in 1..=500_usize {
            life.wrong = (Some(error), usize::MAX);
            life.record(0);
            gone += life.tend(BY_AGE_FOR_EACH_NEW).len();
            let by_now = (archive + 1).saturating_sub(WITNESSES) * BY_AGE_FOR_EACH_NEW;
            assert!(gone <= by_now, "{gone} are gone after {archive} archives");
            assert!(life.archives.len() >= WITNESSES);
        }
        assert!(gone > 0);
    }
}

/// A log of `count` archives an hour long, one each day, the last at `START_MS`.
fn log(count: u32) -> Disk {
    let disk = Disk::default();
    for boot in 1..=count {
        let utc = START_MS - i64::from(count - boot) * DAY_MS - HOUR_MS;
        put(&disk, &archive_name(boot, 1).to_string(), &archive(boot, 1, Some(utc), 20));
    }
    disk
}

fn boots(disk: &Disk) -> Vec<u32> {
    let names = disk.list().unwrap();
    let archive = |name: &String| name.ends_with(".archive").then(|| name[5..13].parse().unwrap());
    names.iter().filter_map(archive).collect()
}

fn offload_all(disk: &Disk) {
    let (machine, stick) = sides(disk, &Disk::default());
    let report = copy_log(&machine, &stick, "T1", false, 1, &|| Ok(None)).unwrap();
    assert_eq!(report.exit_code(), 0, "{report}");
}

fn by_age(days: i64) -> Limits {
    Limits { keep_ms: Some(days * DAY_MS), ..Limits::default() }
}

#[test]
fn ages_are_read_from_the_archives() {
    let disk = log(200);
    let mut retainer = Retainer::new(sides(&disk, &Disk::default()).0, by_age(30));
    let now = Some(UtcMs(START_MS));
    let mut gone = Vec::new();
    for call in 0..40 {
        let tended = retainer.tend(now);
        assert!(tended.removed.len() <= BY_AGE_FOR_EACH_NEW, "call {call}: {tended:?}");
        assert!(tended.failures.is_empty());
        gone.extend(tended.removed.iter().map(|removal| removal.name.boot));
    }
    // One start allows so many; each new archive allows more.
    assert_eq!(gone, [1, 2, 3, 4]);
    let mut newest = 200;
    while newest < 300 {
        newest += 1;
        let bytes = archive(newest, 1, Some(START_MS + i64::from(newest - 200) * DAY_MS), 20);
        put(&disk, &archive_name(newest, 1).to_string(), &bytes);
        retainer.tend(Some(UtcMs(START_MS + i64::from(newest - 199) * DAY_MS)));
    }
    let left = boots(&disk);
    // Today is the date of the 64th newest: so those of 64 and 30 days stay, and 64 witnesses.
    let first = *left.first().unwrap();
    assert!((140..=145).contains(&first), "{first}");
    assert_eq!(left.len() as u32, 301 - first);
}

#[test]
fn without_limits_or_with_room_nothing_is_read_or_removed() {
    let disk = log(20);
    let (side, _) = sides(&disk, &Disk::default());
    let mut retainer = Retainer::new(side.clone(), Limits::default());
    retainer.tend(None);
    let before = side.script.lock().unwrap().operations;
    let tended = retainer.tend(Some(UtcMs(START_MS + 50 * YEAR_MS)));
    assert_eq!((tended.removed.len(), tended.archives), (0, 20));
    assert_eq!(side.script.lock().unwrap().operations - before, 2, "a list and the free room");
}

#[test]
fn unconfirmed_archives_wait_and_go_only_for_room() {
    let disk = log(30);
    let size = |boot| disk.size(&archive_name(boot, 1).to_string()).unwrap();
    let max_bytes = (21..=30).map(size).sum();
    let size = size(1);
    let limits = Limits { max_bytes: Some(max_bytes), wait_for_copy: true, ..Limits::default() };
    let mut retainer = Retainer::new(sides(&disk, &Disk::default()).0, limits);
    let waiting = retainer.tend(None);
    assert_eq!((waiting.removed.len(), waiting.held_for_copy), (0, 22));
    // A room of nothing: half of the log would have to go.
    let full = Limits { min_free_bytes: Some(size * 3), ..limits };
    disk.state().room = Some(0);
    let tended = Retainer::new(sides(&disk, &Disk::default()).0, full).tend(None);
    assert_eq!((tended.removed.len(), tended.lost()), (3, 3), "{tended:?}");
    assert!(tended.removed.iter().all(|r| r.reason == Reason::DiskFull && !r.copied));
    disk.state().room = None;

    offload_all(&disk);
    let tended = retainer.tend(None);
    assert_eq!((tended.removed.len(), tended.lost(), tended.held_for_copy), (17, 0, 0));
    assert_eq!(boots(&disk), (21..=30).collect::<Vec<u32>>());
}

#[test]
fn a_list_about_other_archives_is_not_believed() {
    let disk = log(30);
    offload_all(&disk);
    // The same names and lengths, other contents: the log began anew.
    for boot in 1..=30 {
        disk.damage(&archive_name(boot, 1).to_string(), |bytes| bytes[45] ^= 1);
    }
    let limits = Limits { max_bytes: Some(1), wait_for_copy: true, ..Limits::default() };
    let mut retainer = Retainer::new(sides(&disk, &Disk::default()).0, limits);
    for _ in 0..5 {
        assert_eq!(retainer.tend(None).removed, []);
    }
    assert_eq!(boots(&disk).len(), 30);
    assert_eq!(retainer.tend(None).held_for_copy, 22);
}

#[test]
fn a_torn_or_forged_list_frees_nothing() {
    let limits = Limits { max_bytes: Some(1), wait_for_copy: true, ..Limits::default() };
    let whole = log(20);
    offload_all(&whole);
    let list = content(&whole, COPIED_LIST).unwrap();
    for flip in (0..list.len()).step_by(13) {
        let disk = log(20);
        let mut bad = list.clone();
        bad[flip] ^= 2;
        put(&disk, COPIED_LIST, &bad);
        let tended = Retainer::new(sides(&disk, &Disk::default()).0, limits).tend(None);
        assert!(tended.bad_list_lines > 0, "byte {flip}");
        let believed = ListFile::parse(&bad).lines;
        let of_those = believed.iter().filter(|line| line.name.boot <= 12).count();
        assert_eq!((tended.removed.len(), tended.lost()), (of_those, 0), "byte {flip}");
    }
    let text = String::from_utf8(list).unwrap();
    let forged: String = text.lines().flat_map(|l| [&l[..l.len() - 8], "\n"]).collect();
    let disk = log(20);
    put(&disk, COPIED_LIST, format!("underbrush list 1\n{forged}").as_bytes());
    let tended = Retainer::new(sides(&disk, &Disk::default()).0, limits).tend(None);
    assert_eq!((tended.removed.len(), tended.held_for_copy), (0, 12));
}

#[test]
fn journals_and_their_archives_stay() {
    let disk = log(12);
    put(&disk, "boot-00000001.part-0001.journal", b"sealed, but not removed yet");
    put(&disk, "boot-00000013.part-0001.journal", b"live");
    put(&disk, "boot-00000002.part-0002.journal", b"not sealed");
    let limits = Limits { max_bytes: Some(1), ..Limits::default() };
    let mut retainer = Retainer::new(sides(&disk, &Disk::default()).0, limits);
    assert_eq!(retainer.tend(None).removed.len(), 3);
    assert_eq!(boots(&disk), [1, 5, 6, 7, 8, 9, 10, 11, 12]);
    let journals = disk.list().unwrap().iter().filter(|n| n.ends_with(".journal")).count();
    assert_eq!(journals, 3);
}

#[test]
fn errors_are_told_and_tried_again() {
    let limits = Limits { max_bytes: Some(1), ..Limits::default() };
    let disk = log(12);
    disk.state().read_only = true;
    let mut retainer = Retainer::new(sides(&disk, &Disk::default()).0, limits);
    for _ in 0..3 {
        let tended = retainer.tend(None);
        assert!(tended.removed.is_empty() && !tended.failures.is_empty(), "{tended:?}");
    }
    disk.state().read_only = false;
    assert_eq!(retainer.tend(None).removed.len(), 4);

    // Each single operation fails once: at most so much later all is done.
    for at in 0..40 {
        let disk = log(12);
        let (side, _) = sides(&disk, &Disk::default());
        side.script.lock().unwrap().trouble = Some((at, Trouble::Fails));
        let mut retainer = Retainer::new(side, limits);
        let first = retainer.tend(None);
        let told = !first.failures.is_empty() || first.removed.len() == 4 || first.archives < 12;
        assert!(told, "operation {at}: {first:?}");
        for _ in 0..12 {
            retainer.tend(None);
        }
        assert_eq!(boots(&disk), (5..=12).collect::<Vec<u32>>(), "operation {at}");
    }
}

#[test]
fn a_power_cut_while_removing_leaves_the_newest() {
    let limits = Limits { max_bytes: Some(1), ..Limits::default() };
    let mut dice = Dice::new(5);
    for at in 0..40 {
        for kept in [Kept::Nothing, Kept::All, Kept::First, Kept::Any] {
            let disk = log(12);
            // An archive whose journal was removed without a sync.
            put(&disk, "boot-00000001.part-0001.journal", b"sealed");
            disk.remove("boot-00000001.part-0001.journal").unwrap();
            let (side, _) = sides(&disk, &Disk::default());
            side.script.lock().unwrap().trouble = Some((at, Trouble::Dark));
            Retainer::new(side, limits).tend(None);
            let disk = disk.after_power_cut(kept, &mut dice);
            let left = boots(&disk);
            assert!(left.ends_with(&[5, 6, 7, 8, 9, 10, 11, 12]), "{at}, {kept:?}: {left:?}");
            let journal = content(&disk, "boot-00000001.part-0001.journal").is_some();
            assert!(!journal || left[0] == 1, "{at}, {kept:?}: a journal without its archive");
            Retainer::new(sides(&disk, &Disk::default()).0, limits).tend(None);
        }
    }
}
