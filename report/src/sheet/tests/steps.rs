//! Which step is named as the next one.

use super::sample::{place, typical};
use super::{US_LETTER, sheet};
use crate::findings::{SectionWork, StepVerdict};
use crate::settings::Phase;
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
