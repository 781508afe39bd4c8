//! Who is believed where marks differ, and what is told then.

use super::*;
use underbrush_protocol::note::SectionId;

const SITE: &str = r#"
name = "Bench"
time_zone = "UTC"
[shift]
start = "22:00"
end = "06:00"
[[step]]
number = 1
grit = "100"
minutes = 45
[[section]]
id = "A-12"
area = "500 sq ft"
[[section]]
id = "M \"east\""
area = "2000 sq ft"
tag = 7
[[button]]
number = 1
phase = "step 1"
"#;

fn site() -> Site {
    Site::parse("site.toml", SITE).unwrap()
}

fn book(entries: &str) -> Book {
    Book::parse("book.toml", entries).unwrap()
}

/// Minutes after 2026-11-24T22:00:00Z, in UTC ms.
fn at(minute: i64) -> i64 {
    1_795_557_600_000 + minute * 60_000
}

fn assumed(minute: i64, section: usize, confidence: f64) -> AssumedMark {
    let place = Place {
        section: Some(section),
        phase: Some(Phase::Maintenance),
        source: PlaceSource::Assumed,
    };
    AssumedMark { at: UtcMs(at(minute)), place, confidence, against: None }
}

fn key(place: Place) -> (Option<usize>, Option<Phase>, PlaceSource) {
    (place.section, place.phase, place.source)
}

/// The lines that a sentence asks to be written, as a book.
fn lines_of(message: &str) -> Book {
    let quoted: Vec<&str> = message.split('`').skip(1).step_by(2).collect();
    book(&quoted.join("\n"))
}

const ENTRY: &str = "[[begun]]\nat = 2026-11-24T22:30:00\nsection = \"A-12\"\nphase = \"step 1\"\n";

#[test]
fn machine_before_book_before_assumed() {
    let (site, book) = (site(), book(ENTRY));
    let marks = [assumed(10, 1, 0.8), assumed(60, 1, 0.6), assumed(90, 0, 0.9)];
    let mut places = Places::new(&site, &book, &marks);
    let upkeep = Some(Phase::Maintenance);
    assert_eq!(key(places.at(at(5))), (None, None, PlaceSource::Unmarked));
    assert_eq!(key(places.at(at(20))), (Some(1), upkeep, PlaceSource::Assumed));
    assert_eq!(places.stay().confidence, Some(0.8));
    assert_eq!(key(places.at(at(40))), (Some(0), Some(Phase::Step(1)), PlaceSource::Book));
    assert_eq!(places.stay().confidence, None);
    // The next block is not that of the book's line.
    assert_eq!(key(places.at(at(70))), (Some(1), upkeep, PlaceSource::Assumed));
    places.note(UtcMs(at(80)), &Note::Mark(Mark::Tag(7)));
    places.note(UtcMs(at(80)), &Note::Mark(Mark::Button(1)));
    let told = (Some(1), Some(Phase::Step(1)), PlaceSource::Machine);
    assert_eq!(key(places.at(at(85))), told);
    assert_eq!(key(places.at(at(95))), told, "what the machine was told stays");
    assert!(places.into_problems().is_empty());
}

#[test]
fn an_assumed_mark_fills_in_what_the_machine_was_not_told() {
    let (site, book) = (site(), Book::default());
    let marks = [assumed(10, 1, 0.8)];
    let mut places = Places::new(&site, &book, &marks);
    places.note(UtcMs(at(9)), &Note::Mark(Mark::Tag(7)));
    assert_eq!(key(places.at(at(9))), (Some(1), None, PlaceSource::Machine));
    let filled = (Some(1), Some(Phase::Maintenance), PlaceSource::Assumed);
    assert_eq!(key(places.at(at(11))), filled);
    // The phase was not told: it goes with the next mark.
    places.note(UtcMs(at(20)), &Note::Mark(Mark::Tag(7)));
    assert_eq!(key(places.at(at(21))), (Some(1), None, PlaceSource::Machine));
}

#[test]
fn a_difference_to_the_plan_is_told_with_the_lines_that_settle_it() {
    let (site, book) = (site(), book(ENTRY));
    let against =
        Some(Place { section: Some(0), phase: Some(Phase::Step(1)), source: PlaceSource::Book });
    let marks = [AssumedMark { against, ..assumed(31, 1, 0.93) }];
    let mut places = Places::new(&site, &book, &marks);
    assert_eq!(places.at(at(40)).section, Some(0), "what was told is used");
    let problems = places.into_problems();
    let [problem] = problems.as_slice() else { panic!("{problems:?}") };
    let message = &problem.message;
    for part in ["22:31", "M \"east\", maintenance", "93 %", "A-12, step 1", "at 22:30"] {
        assert!(message.contains(part), "{part}: {message}");
    }
    let begun = &lines_of(message).begun;
    assert_eq!(begun.len(), 1);
    assert_eq!(begun[0].at.to_string(), "2026-11-24 22:31:00");
    assert_eq!((&*begun[0].section, begun[0].phase), ("M \"east\"", Phase::Maintenance));
}

#[test]
fn a_difference_of_machine_and_book_is_told_with_both_times() {
    let (site, book) = (site(), book(ENTRY));
    let mut places = Places::new(&site, &book, &[]);
    let told = Told {
        section: SectionId::try_from("M \"east\"").ok(),
        phase: Some(ToldPhase::Maintenance),
    };
    places.note(UtcMs(at(28)), &Note::Told(told));
    assert_eq!(places.at(at(35)).section, Some(1));
    let problems = places.into_problems();
    let [problem] = problems.as_slice() else { panic!("{problems:?}") };
    for part in ["22:28", "22:30", "M \"east\", maintenance", "A-12, step 1"] {
        assert!(problem.message.contains(part), "{part}: {}", problem.message);
    }
    assert_eq!(lines_of(&problem.message).begun[0].section, "M \"east\"");
}

#[test]
fn an_unknown_section_comes_with_the_nearest_one() {
    let (site, book) = (site(), Book::default());
    let mut places = Places::new(&site, &book, &[]);
    let told = |id| Told { section: SectionId::try_from(id).ok(), phase: None };
    places.note(UtcMs(at(1)), &Note::Told(told("A12")));
    places.note(UtcMs(at(2)), &Note::Told(told("Tower of the moon")));
    assert_eq!(places.at(at(3)).section, None);
    let problems = places.into_problems();
    let [near, far] = problems.as_slice() else { panic!("{problems:?}") };
    assert!(
        near.message.contains("22:01") && near.message.ends_with("; did you mean A-12?"),
        "{near:?}"
    );
    assert!(far.message.ends_with("no section Tower of the moon."), "{far:?}");
}
