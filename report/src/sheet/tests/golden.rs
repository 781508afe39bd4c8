//! The sheet as text, compared letter by letter with files in `tests/golden`.
//!
//! After a wanted change of words: `UPDATE_GOLDEN=1 cargo test -p underbrush-report
//! golden`, then read the difference.

use super::sample::{empty, typical};
use super::{SI_A4, SheetOptions, US_LETTER, sheet};
use crate::findings::Findings;
use crate::kept;
use crate::settings::site::Language;

fn compare(name: &str, findings: &Findings, options: SheetOptions) {
    kept::against(name, &sheet(findings, options).to_text(100));
}

#[test]
fn golden_usual_night() {
    compare("sheet-typical-us", &typical(), US_LETTER);
}

#[test]
fn golden_usual_night_si() {
    compare("sheet-typical-si", &typical(), SI_A4);
}

#[test]
fn golden_in_german_and_spanish() {
    compare("sheet-typical-de", &typical(), SheetOptions { language: Language::German, ..SI_A4 });
    let spanish = SheetOptions { language: Language::Spanish, ..US_LETTER };
    compare("sheet-typical-es", &typical(), spanish);
}

/// Of every language, the typical sheet holds no id in place of words.
#[test]
fn no_message_is_missing() {
    for language in Language::ALL {
        let text = sheet(&typical(), SheetOptions { language, ..US_LETTER }).to_text(100);
        let missing = |line: &&str| {
            line.contains("{$")
                || line
                    .split('[')
                    .skip(1)
                    .any(|part| part.split(']').next().is_some_and(|id| id.contains('-')))
        };
        assert_eq!(text.lines().find(missing), None, "{}", language.tag());
    }
}

#[test]
fn golden_empty_shift() {
    compare("sheet-empty-us", &empty(), US_LETTER);
}

#[test]
fn every_line_fits_the_width() {
    for width in [80, 100, 140] {
        let text = sheet(&typical(), US_LETTER).to_text(width);
        for line in text.lines() {
            assert!(line.chars().count() <= width, "{} > {width}: {line}", line.chars().count());
        }
    }
}

#[test]
fn unknown_is_never_zero() {
    let mut f = typical();
    f.data.observed = underbrush_protocol::si::Seconds(0.0);
    f.stationary.clear();
    f.load = crate::findings::LoadFinding::default();
    f.wear = crate::findings::WearFinding::default();
    f.speed.by_phase.clear();
    f.area = crate::findings::AreaFinding::default();
    let text = sheet(&f, US_LETTER).to_text(100);
    let glance: Vec<&str> = text.lines().skip_while(|l| *l != "At a glance").take(12).collect();
    let unknown = glance.iter().filter(|l| l.contains("Not known")).count();
    // Speed, standing, area, motor and blade; steps and data are known here.
    assert_eq!(unknown, 5, "{glance:#?}");
    assert!(!text.contains("None seen"), "{text}");
}
