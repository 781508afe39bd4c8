//! Findings on small logs made by hand, whose answers can be worked out on paper.

mod common;

use common::{
    SHIFT_START, drive, fix, judge_dir, judge_entries, machine, reading, site, write_archive,
};
use tempfile::TempDir;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::si::{Amperes, Seconds};
use underbrush_protocol::time::BootMs;
use underbrush_report::findings::{PlaceSource, Severity, StepVerdict, WearRemark};
use underbrush_report::settings::{Book, Phase};

fn mark(at_ms: u64, mark: Mark) -> Entry {
    Entry::Note(BootMs(at_ms), Note::Mark(mark))
}

fn sorted(mut entries: Vec<Entry>) -> Vec<Entry> {
    entries.sort_by_key(Entry::at);
    entries
}

/// Works at 0.6 m/s for 10 min, stands 14 s, works again for 10 min.
fn night() -> Vec<Entry> {
    let mut entries = vec![fix(3_600_000), mark(10, Mark::Tag(1)), mark(20, Mark::Button(1))];
    entries.extend(drive(100, 600, 600, 20));
    entries.extend(drive(600_200, 14, 0, 20));
    entries.extend(drive(614_300, 600, 600, 20));
    sorted(entries)
}

#[test]
fn way_area_passes_and_band() {
    let found = judge_entries(&night());
    // 1200 s at 0.6 m/s; path width 0.7 m; section 575 sq ft.
    assert!((found.area.distance.0 - 720.0).abs() < 0.2, "{:?}", found.area);
    assert!((found.area.swept_area.0 - 504.0).abs() < 0.2);
    let section = &found.sections[0];
    assert_eq!((section.place.section, section.place.phase), (Some(0), Some(Phase::Step(1))));
    assert_eq!(section.place.source, PlaceSource::Machine);
    assert!((section.passes.unwrap() - 504.0 / (575.0 * 0.092_903_04)).abs() < 0.01);
    // 0.6 m/s is 1.34 mph: all moving time is in the band, 20 of 45 min.
    assert!((section.in_band.unwrap().0 - 1200.0).abs() < 1.0);
    let StepVerdict::Open { step: 1, missing } = section.verdict else { panic!("{section:?}") };
    assert!((missing.0 - 1500.0).abs() < 1.0);
    let phase = &found.speed.by_phase[0];
    assert!((phase.below.0 - 14.0).abs() < 0.3, "standing is below the band: {phase:?}");
}

#[test]
fn a_stationary_brush_is_found_with_time_place_and_harm() {
    let found = judge_entries(&night());
    let [event] = found.stationary.as_slice() else { panic!("{:?}", found.stationary) };
    let from = event.span.from.timestamp_millis() - SHIFT_START - 3_600_000;
    assert!((600_100..=600_300).contains(&from), "{from}");
    assert!((event.span.length().0 - 14.0).abs() <= 0.2);
    assert_eq!(event.place.section, Some(0));
    // One pass at 1.25 mph over 0.35 m takes 0.6263 s.
    assert!((event.equivalent_passes - event.span.length().0 / 0.626_34).abs() < 0.01);
    // 0.1 N.m/A x 16 A x (36 V - 20 A x 0.05 ohm) / 0.1 V.s/rad = 560 W.
    let energy = event.friction_energy.unwrap().0;
    assert!((energy - 560.0 * event.span.length().0).abs() < 60.0, "{energy}");
    // 22 passes on a section that a 45 min step gives 19.8: more than a whole step.
    assert_eq!(event.severity, Severity::Severe);
    assert_eq!(found.sections[0].stationary_events, 1);
}

#[test]
fn a_short_stop_is_no_event() {
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 60, 600, 20));
    entries.extend(drive(60_100, 1, 0, 20));
    entries.extend(drive(61_200, 60, 600, 20));
    assert_eq!(judge_entries(&entries).stationary, vec![]);
}

#[test]
fn brushes_off_make_no_brush_time() {
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 60, 1000, 0));
    let found = judge_entries(&entries);
    assert_eq!(found.area.brush_time, Seconds(0.0));
    assert_eq!(found.area.area_per_hour, None, "unknown, not 0");
    assert!((found.area.distance.0 - 60.0).abs() < 0.1);
    assert!(found.stationary.is_empty() && found.sections.is_empty());
}

#[test]
fn a_gap_is_unobserved_and_ends_an_event() {
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 10, 0, 20));
    entries.extend(drive(40_000, 10, 0, 20));
    let found = judge_entries(&entries);
    assert_eq!(found.stationary.len(), 2);
    assert!(found.stationary.iter().all(|e| e.cut_short));
    assert_eq!(found.data.gaps.len(), 1);
    assert!((found.data.gaps[0].length().0 - 30.0).abs() < 0.01);
    assert!((found.data.observed.0 - 20.0).abs() < 0.01, "{:?}", found.data);
    assert!((found.data.recorded.0 - 50.0).abs() < 0.01);
}

#[test]
fn stall_and_over_pressure() {
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 20, 600, 20));
    entries.extend(drive(20_100, 8, 600, 41));
    entries.extend(drive(28_200, 20, 600, 20));
    entries.extend(drive(48_300, 1, 600, 120));
    entries.extend(drive(49_400, 20, 600, 20));
    let found = judge_entries(&entries);
    let [over] = found.load.over_pressure.as_slice() else { panic!("{:?}", found.load) };
    assert!((over.span.length().0 - 8.1).abs() < 0.2 && over.peak == Amperes(41.0), "{over:?}");
    let [stall] = found.load.stalls.as_slice() else { panic!("{:?}", found.load) };
    assert!((stall.span.length().0 - 1.1).abs() < 0.2 && stall.peak == Amperes(120.0), "{stall:?}");
    assert!((found.load.motors[0].median.0 - 20.0).abs() < 0.2);
}

#[test]
fn a_forbidden_floor_is_reported() {
    let mut entries = vec![fix(0), mark(0, Mark::Tag(2)), mark(0, Mark::Button(9))];
    entries.extend(drive(100, 30, 1100, 20));
    let found = judge_entries(&sorted(entries));
    assert!(found.sections[0].forbidden);
    assert_eq!(found.sections[0].verdict, StepVerdict::Maintained);
}

#[test]
fn unknown_marks_are_told() {
    let mut entries = vec![fix(0), mark(0, Mark::Tag(77)), mark(0, Mark::Button(5))];
    entries.extend(drive(100, 30, 1100, 20));
    let found = judge_entries(&sorted(entries));
    let told = |what: &str| found.data.problems.iter().any(|p| p.message.contains(what));
    assert!(told("tag 77") && told("Button 5"), "{:?}", found.data.problems);
    assert_eq!(found.sections[0].place.section, None);
}

#[test]
fn the_book_marks_where_the_machine_does_not() {
    let dir = TempDir::new().unwrap();
    let mut entries = vec![fix(0)];
    entries.extend(drive(0, 120, 600, 20));
    write_archive(dir.path(), 1, 1, &entries);
    let text = "[[begun]]\nat = 2026-11-23T22:01:00\nsection = \"A-01\"\nphase = \"step 2\"\n";
    let book = Book::parse("book.toml", text).unwrap();
    let found = judge_dir(dir.path(), &machine(), &site(), &book);
    let phases: Vec<_> = found.sections.iter().map(|s| (s.place.phase, s.place.source)).collect();
    assert_eq!(phases, [(None, PlaceSource::Unmarked), (Some(Phase::Step(2)), PlaceSource::Book)]);
    assert!((found.sections[1].brush_time.0 - 60.0).abs() < 0.2);
}

#[test]
fn wear_from_energy_since_the_measurement() {
    let dir = TempDir::new().unwrap();
    write_archive(dir.path(), 1, 1, &night());
    let text = "[[measured]]\ndate = 2026-11-23\nlength = \"10 mm\"\n";
    let book = Book::parse("book.toml", text).unwrap();
    let found = judge_dir(dir.path(), &machine(), &site(), &book);
    // 560 W for 1214 s, at the default 0.02 mm/MJ.
    let energy = found.wear.energy_since.unwrap().0;
    assert!((energy - 560.0 * 1214.0).abs() < 500.0, "{energy}");
    let left = found.wear.left.unwrap();
    // The rate's chance to be below zero is cut off, so that its middle is a little above 0.02.
    let lost = energy * 2.0e-11;
    assert!((left.best.0 - (0.010 - lost)).abs() < 0.05 * lost, "{left:?}");
    assert!(left.low < left.best && left.best < left.high);
    let none = judge_dir(dir.path(), &machine(), &site(), &Book::default());
    assert_eq!(none.wear.left, None, "without a measurement nothing is left to guess from");
    assert!(!none.wear.remarks.is_empty());
}

#[test]
fn wear_counts_the_nights_before_once() {
    let dir = TempDir::new().unwrap();
    // The same work the night before, as an earlier boot.
    let before: Vec<Entry> = night()
        .into_iter()
        .map(|entry| {
            if matches!(entry, Entry::Note(_, Note::ClockFix(_))) {
                fix(-82_800_000)
            } else {
                entry
            }
        })
        .collect();
    write_archive(dir.path(), 1, 1, &before);
    write_archive(dir.path(), 2, 1, &night());
    let text = "[[measured]]\ndate = 2026-11-22\nlength = \"10 mm\"\n";
    let book = Book::parse("book.toml", text).unwrap();
    let found = judge_dir(dir.path(), &machine(), &site(), &book);
    let (tonight, since) = (found.wear.energy_shift.unwrap(), found.wear.energy_since.unwrap());
    assert!((since.0 - 2.0 * tonight.0).abs() < 1e-6 * since.0, "{since:?} of {tonight:?} a night");
    assert_eq!(found.wear.shifts_since, 2);

    // Damage in the earlier night is told, for it makes the estimate too high.
    let path = dir.path().join("boot-00000001.part-0001.archive");
    let mut bytes = std::fs::read(&path).unwrap();
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0xff;
    std::fs::write(&path, bytes).unwrap();
    let found = judge_dir(dir.path(), &machine(), &site(), &book);
    assert!(
        found.wear.remarks.iter().any(|r| matches!(r, WearRemark::Damaged { places: 1 })),
        "{:?}",
        found.wear.remarks
    );
}

#[test]
fn an_empty_shift_knows_nothing() {
    let found = judge_entries(&[
        fix(-86_400_000),
        reading(0, Channel::SPEED, 0),
        reading(100, Channel::SPEED, 0),
    ]);
    assert_eq!(found.data.boots, 0);
    assert_eq!(found.data.clock_uncertainty, None);
    assert!(found.speed.by_phase.is_empty());
    assert!(found.ribbon.cells.iter().all(|c| c.speed.is_none() && c.brush_on.is_none()));
}
