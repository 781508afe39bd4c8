//! Wear in words: every remark is a whole sentence, and the brushes have their rows.

use super::sample::typical;
use super::{SI_A4, US_LETTER, sheet};
use crate::findings::*;
use chrono::NaiveDate;
use underbrush_protocol::si::*;

fn day(d: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 11, d).unwrap()
}

/// One of each, with words that its sentence must hold.
fn remarks() -> Vec<(WearRemark, &'static str)> {
    let (date, length, brush) = (day(20), Metres(0.0127), Some(1));
    let doubts = [
        (LengthDoubt::LongerThanNew, "longer than a new segment"),
        (LengthDoubt::Grew { since: day(13), from: Metres(0.01) }, "no tool was fitted between"),
        (LengthDoubt::TooShort { expected: Metres(0.02) }, "far shorter than the 0.79 in"),
        (LengthDoubt::TooLong { expected: Metres(0.01) }, "far longer than the 0.39 in"),
    ];
    let mut all: Vec<(WearRemark, &'static str)> = doubts
        .into_iter()
        .flat_map(|(doubt, words)| {
            [
                (WearRemark::Doubtful { brush, date, length, doubt }, words),
                (WearRemark::LeftOut { brush: None, date, length, doubt }, "It was left out."),
            ]
        })
        .collect();
    let uneven = |energy_ratio| WearRemark::Uneven {
        date,
        short: (0, Metres(0.0127)),
        long: (1, Metres(0.0254)),
        energy_ratio,
    };
    let rate = MetresPerJoule;
    all.extend([
        (WearRemark::NothingNoted, "--book"),
        (WearRemark::NotLogged { since: date, logged: None }, "There are no logs"),
        (WearRemark::NotLogged { since: day(2), logged: Some(date) }, "The logs begin on"),
        (WearRemark::FilledUp { since: day(18), logged: date }, "the mean day was assumed"),
        (WearRemark::NoWork { since: date }, "no day can be told"),
        (WearRemark::FarAway, "More than two years"),
        (WearRemark::UsedUp, "used up by this estimate"),
        (uneven(Some(1.4)), "40 % more friction work: check that the deck is level"),
        (uneven(Some(1.0)), "The motors do not explain it"),
        (uneven(None), "brush 1 (left) has 0.50 in, brush 2 (right) has 1.00 in"),
        (WearRemark::NeverMeasured { brush: None, fitted: date }, "Never measured"),
        (WearRemark::NeverMeasured { brush, fitted: date }, "Brush 2 (right) was never"),
        (WearRemark::MeasureDue { last: date }, "measure the segments today"),
        (
            WearRemark::RateDiffers { brush, measured: rate(2.54e-10), file: rate(2.54e-11) },
            "10 thousandths of an inch per MJ",
        ),
        (
            WearRemark::Scatter { brush: None, deviation: Metres(1e-3), file: Metres(4e-4) },
            "scatter by 0.039 in",
        ),
        (WearRemark::Damaged { places: 1 }, "damaged in 1 place ("),
        (WearRemark::LittleSeen { share: 0.5 }, "Only 50 %"),
        (WearRemark::Future { entries: 2, first: day(30) }, "2 entries of the shift book"),
        (WearRemark::WhichBrush { date, brush: 0 }, "taken as brush 1 (left)'s"),
        (WearRemark::NoSuchBrush { date, brushes: 2 }, "more brushes than the 2"),
        (
            WearRemark::Quadrants { date, brush: 1, short: Metres(0.0155), long: Metres(0.0188) },
            "0.61 in to 0.74 in on brush 2",
        ),
        (
            WearRemark::SeatingUneven {
                date,
                brush: 1,
                fitted: day(18),
                short: Metres(0.0155),
                long: Metres(0.0188),
            },
            "Brush 2 (right) looks fitted wrongly",
        ),
        (
            WearRemark::Seating {
                date,
                brush: None,
                fitted: day(18),
                length: Metres(0.0155),
                expected: Metres(0.02),
            },
            "Brush looks fitted wrongly",
        ),
        (WearRemark::NotApart, "not recorded apart"),
        (WearRemark::SeveralTools { date }, "More than one tool"),
    ]);
    all
}

#[test]
fn every_remark_is_a_whole_sentence() {
    for (remark, words) in remarks() {
        let mut f = typical();
        f.wear.remarks = vec![remark.clone()];
        let text = sheet(&f, US_LETTER).to_text(4000);
        let line = text.lines().find(|line| line.contains(words));
        let line = line.unwrap_or_else(|| panic!("{remark:?} without `{words}`: {text}")).trim();
        assert!(
            line.starts_with(char::is_uppercase) || line.starts_with(char::is_numeric),
            "{line}"
        );
        assert!(line.ends_with('.'), "{line}");
        assert!(!line.contains("  ") && !line.contains("NaN"), "{line}");
    }
}

#[test]
fn a_refusal_says_why_at_a_glance() {
    let mut f = typical();
    f.wear = WearFinding { remarks: vec![remarks()[2].0.clone()], ..WearFinding::default() };
    let text = sheet(&f, US_LETTER).to_text(4000);
    let glance: Vec<&str> = text.lines().take_while(|line| *line != "To do this morning").collect();
    assert!(glance.iter().any(|l| l.contains("no tool was fitted between")), "{glance:#?}");
    assert!(!text.contains("Order new segments"), "no order on a refused length");
}

#[test]
fn each_brush_has_its_row() {
    let mut f = typical();
    let brush = |mm: f64| BrushWear {
        measured: Some((day(20), Metres(mm / 1000.0))),
        energy_fitted: Joules(186e6),
        left: Some(Estimate {
            best: Metres((mm - 1.0) / 1000.0),
            low: Metres((mm - 2.0) / 1000.0),
            high: Metres(mm / 1000.0),
        }),
        ..BrushWear::default()
    };
    f.wear.brushes = vec![brush(12.0), brush(15.0)];
    let text = sheet(&f, SI_A4).to_text(140);
    let rows = || text.lines().skip_while(|line| *line != "Segments");
    let row = |name: &str| rows().find(|l| l.trim_start().starts_with(name)).unwrap();
    assert!(row("1 (left)").contains("11.0, 10.0 to 12.0 mm"), "{text}");
    assert!(row("2 (right)").contains("14.0, 13.0 to 15.0 mm"), "{text}");
}
