//! Nights of boots whose clocks are right, missing or wrong, by chance and by hand.
//!
//! The truth is when each boot was; a boot's label says what its clock told. Whatever the
//! labels are, no boot may be missing from the sheet of its true night without a word.

mod common;

use common::{drive, reading, write_archive};
use proptest::prelude::*;
use std::collections::BTreeMap;
use tempfile::TempDir;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::time::{BootMs, UtcMs};
use underbrush_report::findings::{Problem, Shift, Span};
use underbrush_report::logset::{LogSet, OpenSettings, Undated};

const HOUR: i64 = 3_600_000;
const DAY: i64 = 24 * HOUR;
const ROLLOVER: i64 = 7_168 * DAY;

#[derive(Clone, Copy, Debug, PartialEq)]
enum Told {
    /// By the network.
    Right,
    /// After the first half of the boot.
    RightLate,
    Nothing,
    /// By a clock that nobody set, off by so many ms.
    Wrong(i64),
    RolledOver,
}

/// A boot of half an hour that begins at `begin`.
const LENGTH_MS: u64 = 1_800_000;

fn entries(begin: i64, told: Told) -> Vec<Entry> {
    let fix = |at: u64, off: i64, source, uncertainty_ms| {
        let utc = UtcMs(begin + at as i64 + off);
        Entry::Note(BootMs(at), Note::ClockFix(ClockFix { utc, source, uncertainty_ms }))
    };
    let mut entries: Vec<Entry> = (0..=LENGTH_MS / 60_000)
        .map(|minute| reading(minute * 60_000, Channel::SPEED, 500))
        .collect();
    let fix = match told {
        Told::Right => Some(fix(0, 0, ClockSource::Network, 100)),
        Told::RightLate => Some(fix(LENGTH_MS / 2, 0, ClockSource::Network, 100)),
        Told::Nothing => None,
        Told::Wrong(off) => Some(fix(0, off, ClockSource::System, 60_000)),
        Told::RolledOver => Some(fix(0, -ROLLOVER, ClockSource::Satellite, 50)),
    };
    entries.extend(fix);
    entries.sort_by_key(Entry::at);
    entries
}

fn open(boots: &[(i64, Told)]) -> LogSet {
    let dir = TempDir::new().unwrap();
    for (boot, (begin, told)) in (1..).zip(boots) {
        write_archive(dir.path(), boot, 1, &entries(*begin, *told));
    }
    LogSet::open(dir.path(), &settings([])).unwrap()
}

fn settings<const N: usize>(given: [(u32, i64); N]) -> OpenSettings {
    let boot_starts = given.map(|(boot, utc)| (boot, UtcMs(utc))).into();
    OpenSettings { machine: "T1".to_owned(), others: Vec::new(), boot_starts }
}

/// The night of 12 h around an instant: noon to midnight or midnight to noon, UTC.
fn night_of(utc: i64) -> Shift {
    let at = |ms| chrono::DateTime::from_timestamp_millis(ms).unwrap();
    let from = utc - utc.rem_euclid(DAY / 2);
    let span = Span { from: at(from), to: at(from + DAY / 2) };
    Shift { date: at(from).date_naive(), span, zone: chrono_tz::UTC }
}

fn told_of(problems: &[Problem], boot: usize) -> bool {
    let names = [format!("ower-on {boot} "), format!("ower-on {boot},")];
    problems.iter().any(|problem| names.iter().any(|name| problem.message.contains(name)))
}

/// Whether a boot's date is its true one, as far as its clock could know it.
fn is_right(logs: &LogSet, boot: usize, begin: i64) -> bool {
    logs.boots[boot].utc_span().is_some_and(|(first, _)| (first.0 - begin).abs() <= 60_000)
}

fn told() -> impl Strategy<Value = Told> {
    let off = prop_oneof![
        (DAY..3 * 365 * DAY).prop_map(|ms| -ms),
        DAY..3 * 365 * DAY,
        (-20..20_i64).prop_map(|s| s * 1_000),
    ];
    prop_oneof![
        6 => Just(Told::Right),
        2 => Just(Told::RightLate),
        1 => Just(Told::Nothing),
        2 => off.prop_map(Told::Wrong),
        1 => Just(Told::RolledOver),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, ..ProptestConfig::default() })]

    #[test]
    fn no_boot_is_missing_from_its_night_without_a_word(
        steps in prop::collection::vec((1..60_i64, told()), 1..12),
    ) {
        // From 2028-02 on, so that three years earlier is not before 2025.
        let mut begin = 1_833_800_000_000;
        let boots: Vec<(i64, Told)> = steps
            .iter()
            .map(|(hours, told)| {
                begin += hours * HOUR;
                (begin, *told)
            })
            .collect();
        let logs = open(&boots);
        prop_assert_eq!(logs.boots.len(), boots.len());
        for (i, (begin, told)) in boots.iter().enumerate() {
            let right = is_right(&logs, i, *begin);
            match told {
                // What the network told is never given up for a clock that nobody set.
                Told::Right | Told::RightLate => prop_assert!(right, "boot {}", i + 1),
                Told::Nothing => {
                    prop_assert_eq!(logs.boots[i].undated(), Some(Undated::NeverLearned));
                }
                Told::RolledOver => {
                    let utc = UtcMs(begin - ROLLOVER);
                    prop_assert_eq!(logs.boots[i].undated(), Some(Undated::Impossible(utc)));
                }
                Told::Wrong(_) => {}
            }
            let (before, after) = right_around(&boots, i);
            let claimed = begin + if let Told::Wrong(off) = told { *off } else { 0 };
            let ruled_out = before.is_some_and(|right| claimed < right - HOUR)
                || after.is_some_and(|right| claimed > right + HOUR);
            prop_assert!(!(ruled_out && logs.boots[i].clock().is_some()), "{}", i + 1);
            // What a wrong clock claims within the time between its good neighbours nobody can
            // see, nor whether one is wrong where both it and its neighbour are.
            let alone = alone(&boots, i);
            let undated = logs.boots[i].clock().is_none();
            if !right && alone && (undated || (claimed - begin).abs() > 70 * DAY) {
                let problems = logs.doubts(night_of(*begin).span);
                // By its own number, or as a date that leaps.
                let told = told_of(&problems, i + 1);
                prop_assert!(told, "boot {} {:?}: {:?}", i + 1, steps[i], problems);
            }
        }
    }
}

fn network(told: Told) -> bool {
    matches!(told, Told::Right | Told::RightLate)
}

/// Begins of the nearest boots before and after that the network told the time.
fn right_around(boots: &[(i64, Told)], i: usize) -> (Option<i64>, Option<i64>) {
    let right = |(_, told): &&(i64, Told)| network(*told);
    let before = boots[..i].iter().rfind(right).map(|(begin, _)| *begin);
    (before, boots[i + 1..].iter().find(right).map(|(begin, _)| *begin))
}

/// Whether some boot was told by the network, and none with a wrong clock stands between it
/// and boot `i`, nor before or behind `i` without one.
fn alone(boots: &[(i64, Told)], i: usize) -> bool {
    let wrong = |(_, told): &&(i64, Told)| matches!(told, Told::Wrong(_));
    let until = |boots: &mut dyn Iterator<Item = &(i64, Told)>| {
        boots.take_while(|(_, told)| !network(*told)).filter(wrong).count()
    };
    let none = until(&mut boots[..i].iter().rev()) + until(&mut boots[i + 1..].iter()) == 0;
    none && boots.iter().any(|(_, told)| network(*told))
}

/// The same boots as in the property, one case a line: what the sheet of the night says.
#[test]
fn one_bad_clock_among_good_ones() {
    let night = common::SHIFT_START;
    let on = |day: i64, told: Told| (night + day * DAY, told);
    let year = 365 * DAY;
    for (wrong, words) in [
        (Told::Wrong(-year), "was on 2025-11-24 22:00 UTC by its clock, which"),
        (Told::Wrong(year), "was on 2027-11-24 22:00 UTC by its clock, which"),
        (Told::RolledOver, "learned no time but 2007-04-10 22:00 UTC, which cannot be,"),
        (Told::Nothing, "(30 min of readings) never learned the time and is not"),
    ] {
        let logs = open(&[on(0, Told::Right), on(1, wrong), on(2, Told::Right)]);
        let dated: Vec<bool> = logs.boots.iter().map(|b| b.clock().is_some()).collect();
        assert_eq!(dated, [true, false, true], "{wrong:?}");
        let problems = logs.doubts(night_of(night + DAY).span);
        let [problem] = &problems[..] else { panic!("{wrong:?}: {problems:?}") };
        assert!(problem.data_lost && problem.message.contains("Power-on 2 "), "{problem:?}");
        assert!(problem.message.contains(words), "{problem:?}");
        assert!(problem.message.contains("--boot 2=YYYY-MM-DDTHH:MM"), "{problem:?}");
        // A night that its neighbours rule out says nothing of it.
        assert_eq!(logs.doubts(night_of(night + 3 * DAY).span), []);
        assert_eq!(logs.doubts(night_of(night - DAY).span), []);
    }
}

#[test]
fn a_last_boot_in_another_year_is_told_on_its_true_night() {
    let night = common::SHIFT_START;
    // Nothing contradicts it yet: the next boot will. Until then the leap itself is shown.
    let logs = open(&[(night, Told::Right), (night + HOUR, Told::Wrong(400 * DAY))]);
    let problems = logs.doubts(night_of(night).span);
    let told = problems.iter().any(|p| {
        p.message.contains("power-on 2 began 400 days after the end of power-on 1, on 2027-12-28")
    });
    assert!(told, "{problems:?}");
}

#[test]
fn a_person_is_believed_before_any_clock() {
    let night = common::SHIFT_START;
    let dir = TempDir::new().unwrap();
    for (boot, told) in [(1, Told::Right), (2, Told::Wrong(-300 * DAY)), (3, Told::Right)] {
        write_archive(dir.path(), boot, 1, &entries(night + i64::from(boot) * HOUR, told));
    }
    let begin = |logs: &LogSet, i: usize| logs.boots[i].utc_span().map(|(first, _)| first.0);
    let logs = LogSet::open(dir.path(), &settings([])).unwrap();
    assert_eq!(begin(&logs, 1), None);
    let placed = LogSet::open(dir.path(), &settings([(2, night + 2 * HOUR)])).unwrap();
    assert_eq!(begin(&placed, 1), Some(night + 2 * HOUR));
    assert_eq!(placed.doubts(night_of(night).span), []);
    // Placed where the clocks of both neighbours rule it out, it stays, and they are undated.
    let moved = LogSet::open(dir.path(), &settings([(1, night + 9 * HOUR), (2, night)])).unwrap();
    assert!(begin(&moved, 0).is_some() != begin(&moved, 1).is_some());
}

/// Half an hour of disorder leaves both on the sheet and is told.
#[test]
fn a_little_disorder_is_told_and_nothing_taken_away() {
    let night = common::SHIFT_START;
    let dir = TempDir::new().unwrap();
    for (boot, begin) in [(1, night + HOUR), (2, night + HOUR / 2)] {
        let mut log = entries(begin, Told::Right);
        log.retain(|entry| matches!(entry, Entry::Note(..)));
        log.extend(drive(0, 1_200, 600, 20));
        write_archive(dir.path(), boot, 1, &log);
    }
    let logs = LogSet::open(dir.path(), &settings([])).unwrap();
    assert!(logs.boots.iter().all(|boot| boot.clock().is_some()));
    let told: BTreeMap<_, _> = logs.problems.iter().map(|(b, p)| (*b, &p.message)).collect();
    assert!(
        told[&Some(2)].starts_with("Power-on 2 began 30 min before power-on 1 by their clocks"),
        "{told:?}"
    );
}
