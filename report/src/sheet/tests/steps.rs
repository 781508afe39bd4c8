//! Which step is named as the next one.

use super::sample::{machine, place, site, typical};
use super::{Sheet, SheetInput, US_LETTER, sheet};
use crate::findings::{SectionWork, StepVerdict};
use crate::programme::{Programme, ProgrammeCase};
use crate::settings::{Book, Phase};
use underbrush_protocol::si::Seconds;

/// The words for section A-12 after steps with these verdicts, by number.
fn text_after(verdicts: &[(u8, StepVerdict)]) -> String {
    let mut f = typical();
    let work = f.sections[0].clone();
    f.sections = verdicts
        .iter()
        .map(|(n, verdict)| SectionWork {
            place: place(0, Phase::Step(*n)),
            verdict: *verdict,
            ..work.clone()
        })
        .collect();
    let text = sheet(&f, US_LETTER).to_text(400);
    let tonight = text.lines().find(|l| l.starts_with("[ ] A-12: "));
    // The answer on the first page says the same as the list.
    if let Some(line) = tonight {
        let task = line.trim_start_matches("[ ] A-12: ").trim_end_matches('.');
        assert!(text.matches(task).count() >= 2, "{text}");
    }
    tonight.unwrap_or_default().to_owned()
}

fn open(step: u8, minutes: f64) -> StepVerdict {
    StepVerdict::Open { step, missing: Seconds(60.0 * minutes) }
}

#[test]
fn the_lowest_step_not_done_comes_first() {
    let line = text_after(&[(1, open(1, 16.0)), (2, open(2, 8.0))]);
    assert_eq!(line, "[ ] A-12: step 1 needs 16 min more in band before step 2.");
    let line = text_after(&[(2, StepVerdict::Done { next: Some(3) }), (1, open(1, 16.0))]);
    assert_eq!(line, "[ ] A-12: step 1 needs 16 min more in band before step 2.");
}

#[test]
fn a_step_that_is_done_is_named_with_the_one_to_go_on_with() {
    let done = StepVerdict::Done { next: Some(2) };
    let line = text_after(&[(1, done), (2, open(2, 8.0))]);
    assert_eq!(line, "[ ] A-12: step 1 done; go on with step 2: 8 min more in band.");
    let line = text_after(&[(2, open(2, 8.0))]);
    assert_eq!(line, "[ ] A-12: go on with step 2: 8 min more in band.");
}

#[test]
fn after_all_steps_of_the_shift_the_next_has_its_grit_and_minutes() {
    let done = |next| StepVerdict::Done { next };
    let line = text_after(&[(1, done(Some(2))), (2, done(Some(3)))]);
    assert_eq!(line, "[ ] A-12: begin step 3 (grit 400), 30 min in band.");
    assert_eq!(text_after(&[(3, done(None))]), "");
}

/// The list of the night that comes, after step 2 of section A-12 with this shift book.
fn tonight_by_plan(book: &str) -> Vec<String> {
    let (site, machine, book) = (site(), machine(), Book::parse("book.toml", book).unwrap());
    let mut f = typical();
    f.sections = vec![SectionWork {
        place: place(0, Phase::Step(2)),
        verdict: StepVerdict::Done { next: Some(3) },
        ..f.sections[0].clone()
    }];
    let case = ProgrammeCase {
        site: &site,
        book: &book,
        machines: &[&machine],
        records: &[],
        nights: &[],
        date: f.shift.date,
    };
    let programme = Programme::judge(&case);
    let input = SheetInput {
        site: &site,
        nights: &[(&machine, &f)],
        programme: Some(&programme),
        closeups: &[],
    };
    let text = Sheet::build(&input, &US_LETTER).to_text(400);
    let told = |line: &&str| line.starts_with("[ ] Plan: ") || line.starts_with("[ ] A-12: ");
    text.lines().filter(told).map(str::to_owned).collect()
}

const STEP_2_DONE: &str = "[[done]]\ndate = 2026-11-23\nsection = \"A-12\"\nphase = \"step 2\"\n";

#[test]
fn the_first_page_says_what_the_plan_says() {
    let task = "[ ] A-12: begin step 3 (grit 400), 30 min in band";
    let list = tonight_by_plan(STEP_2_DONE);
    assert!(list.len() == 2 && list[0].ends_with("; see Tonight."), "{list:?}");
    assert_eq!(list[1], format!("{task}."));
    // The lead plans another section: A-12 waits, and the sheet does not tell to begin there.
    let other = "[[plan]]\ndate = 2026-11-24\nsection = \"A-13\"\nphase = \"step 1\"\n";
    let list = tonight_by_plan(&format!("{STEP_2_DONE}{other}"));
    assert!(list.len() == 2 && list[0].starts_with("[ ] Plan: 1 job, "), "{list:?}");
    assert_eq!(list[1], format!("{task} (not in tonight's plan)."));
}
