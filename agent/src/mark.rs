//! Marks told by hand: from words to the note that the log keeps.
//!
//! `section A-12 step 2`, `section A-12 maintenance`, `section A-12`, `step 2`,
//! `maintenance`. A section's id may have spaces. What is not named stays as it was.
//! The board has no site file: whether the section exists is told by the report.

use underbrush_protocol::note::{MAX_SECTION_ID, SectionId, Told, ToldPhase};

const FORMS: &str = "write `section A-12 step 2`, `section A-12 maintenance`, `section A-12`, \
                     `step 2` or `maintenance`";

/// Reads the words behind `mark`.
pub(crate) fn read(words: &str) -> Result<Told, String> {
    if words.chars().any(char::is_control) {
        return Err(format!("a mark has no control characters: {FORMS}"));
    }
    let words: Vec<&str> = words.split_whitespace().collect();
    let (rest, phase) = match words.as_slice() {
        [rest @ .., "maintenance"] => (rest, Some(ToldPhase::Maintenance)),
        [rest @ .., "step", number] => (rest, Some(ToldPhase::Step(step(number)?))),
        rest => (rest, None),
    };
    let section = match rest {
        [] if phase.is_some() => None,
        ["section", id @ ..] if !id.is_empty() => Some(section(&id.join(" "))?),
        [] | ["section"] => return Err(format!("what is marked is missing: {FORMS}")),
        _ => return Err(format!("`{}` is no mark: {FORMS}", words.join(" ").escape_debug())),
    };
    Ok(Told { section, phase })
}

fn step(number: &str) -> Result<u8, String> {
    number.parse().ok().filter(|number| *number > 0).ok_or_else(|| {
        format!("`step {}` is no step: they are numbered 1, 2, 3 ...", number.escape_debug())
    })
}

fn section(id: &str) -> Result<SectionId, String> {
    SectionId::try_from(id).map_err(|_| {
        format!(
            "the section's id is longer than {MAX_SECTION_ID} bytes: write it as the site file does"
        )
    })
}

/// What was understood: `section A-12, step 2`.
pub(crate) fn said(told: &Told) -> String {
    let section = told.section.as_ref().map(|id| format!("section {id}"));
    let phase = told.phase.map(|phase| match phase {
        ToldPhase::Maintenance => "maintenance".to_owned(),
        ToldPhase::Step(number) => format!("step {number}"),
    });
    section.into_iter().chain(phase).collect::<Vec<_>>().join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_become_marks() {
        let told = |section: &str, phase| Told {
            section: (!section.is_empty()).then(|| SectionId::try_from(section).unwrap()),
            phase,
        };
        let (upkeep, step) = (Some(ToldPhase::Maintenance), Some(ToldPhase::Step(2)));
        assert_eq!(read(" section A-12 step 2"), Ok(told("A-12", step)));
        assert_eq!(read("section Aisle 12  step 2"), Ok(told("Aisle 12", step)));
        assert_eq!(read("section A-12 maintenance"), Ok(told("A-12", upkeep)));
        assert_eq!(read("section A-12"), Ok(told("A-12", None)));
        assert_eq!(read("maintenance"), Ok(told("", upkeep)));
        assert_eq!(read("step 2"), Ok(told("", step)));
        assert_eq!(
            read("section ПРОХОД-12-ВОСТОК").map(|t| said(&t)).unwrap(),
            "section ПРОХОД-12-ВОСТОК"
        );
        assert_eq!(said(&told("A-12", step)), "section A-12, step 2");
    }

    #[test]
    fn what_is_no_mark_is_told_what_to_write() {
        let long = format!("section {}", "x".repeat(MAX_SECTION_ID + 1));
        for wrong in [
            "",
            "section",
            "A-12",
            "step 0",
            "step 300",
            "step two",
            "step",
            "section step 1",
            "note x",
            "section a\tb",
            "section \u{1b}[2J",
            &long,
        ] {
            let said = read(wrong).expect_err(wrong);
            assert!(!said.chars().any(char::is_control), "{said}");
        }
    }
}
