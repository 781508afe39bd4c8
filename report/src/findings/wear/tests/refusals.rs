//! What cannot be right is left out or refused, and said.

use super::super::{LengthDoubt, WearRemark};
use super::{book, day, has, judge, measured, mm, night, nights, says_nothing, tool, worn};
use crate::findings::Observed;
use underbrush_protocol::si::Seconds;

/// The doubt of the last length, of which nothing is said.
fn refused(lengths: &[(u64, f64)], last: u64) -> LengthDoubt {
    let found = judge(&book(lengths), &nights(last));
    assert!(says_nothing(&found), "{found:?}");
    match found.remarks[0] {
        WearRemark::Doubtful { doubt, .. } => doubt,
        ref other => panic!("{other:?}"),
    }
}

#[test]
fn nothing_noted_nothing_said() {
    let found = judge("", &nights(24));
    assert!(says_nothing(&found));
    assert_eq!(found.remarks, [WearRemark::NothingNoted]);
    let found = judge(&book(&[]), &[]);
    assert!(says_nothing(&found) || found.left.is_some());
}

#[test]
fn growth_without_a_tool_change() {
    let before = [(7, worn(7)), (14, worn(14))];
    let doubt = refused(&[before[0], before[1], (21, worn(14) + 1.5)], 24);
    assert!(matches!(doubt, LengthDoubt::Grew { since, .. } if since == day(14)), "{doubt:?}");
    // 1.3 mm are 2.33 x 0.4 x root 2: less than that is reading error.
    let found = judge(&book(&[(0, 25.2), (1, 25.9)]), &nights(2));
    assert!(found.left.is_some(), "{:?}", found.remarks);
    // A tool fitted between makes it right.
    let mut noted = book(&before);
    noted += &tool(18, 400);
    noted += &measured(21, "length = \"24.7 mm\"");
    assert!(judge(&noted, &nights(24)).left.is_some());
}

#[test]
fn jumps_to_either_side() {
    let short = refused(&[(7, worn(7)), (14, worn(14)), (21, worn(21) - 4.0)], 24);
    let LengthDoubt::TooShort { expected } = short else { panic!("{short:?}") };
    assert!((mm(expected) - worn(21)).abs() < 0.4, "{expected:?}");
    let heavy: Vec<_> = (0..=24).map(|n| night(n, &[12.0])).collect();
    let lengths =
        book(&[(7, 25.4 - 0.96 * 7.0), (14, 25.4 - 0.96 * 14.0), (21, 25.4 - 0.96 * 15.0)]);
    let found = judge(&lengths, &heavy);
    assert!(says_nothing(&found));
    let WearRemark::Doubtful { doubt: LengthDoubt::TooLong { .. }, .. } = found.remarks[0] else {
        panic!("{:?}", found.remarks)
    };
}

#[test]
fn longer_than_new() {
    assert_eq!(refused(&[(7, 30.0)], 24), LengthDoubt::LongerThanNew);
}

// The next length agrees with those before the doubtful one: that one is left out.
#[test]
fn a_slip_of_the_pen_is_left_out() {
    let right = [(7, worn(7)), (21, worn(21))];
    let found = judge(&book(&[right[0], (14, 2.21), right[1]]), &nights(24));
    let without = judge(&book(&right), &nights(24));
    assert_eq!(found.left, without.left);
    assert_eq!(found.reorder_day, without.reorder_day);
    assert!(has(&found, |r| matches!(
        r,
        WearRemark::LeftOut { doubt: LengthDoubt::TooShort { .. }, .. }
    )));
}

// Three times the file's rate, over and over: the measurements win.
#[test]
fn agreeing_lengths_outvote_the_machine_file() {
    let fast = |n: u64| (n, 25.4 - 0.72 * n as f64);
    let found = judge(&book(&[fast(7), fast(14), fast(21)]), &nights(24));
    assert!(has(&found, |r| matches!(r, WearRemark::RateDiffers { .. })), "{:?}", found.remarks);
    assert!((mm(found.left.unwrap().best) - (25.4 - 0.72 * 25.0)).abs() < 0.4);
    // One such length alone is doubtful.
    assert!(matches!(refused(&[fast(21)], 24), LengthDoubt::TooShort { .. }));
}

#[test]
fn scatter_is_said_and_widens() {
    let up_and_down = |k: u64| (4 * k, worn(4 * k) + if k.is_multiple_of(2) { 0.9 } else { -0.9 });
    let lengths: Vec<_> = (1..=6).map(up_and_down).collect();
    let found = judge(&book(&lengths), &nights(24));
    assert!(has(&found, |r| matches!(r, WearRemark::Scatter { .. })), "{:?}", found.remarks);
    let plain: Vec<_> = (1..=6).map(|k| (4 * k, worn(4 * k))).collect();
    let plain = judge(&book(&plain), &nights(24)).left.unwrap();
    let left = found.left.unwrap();
    assert!((left.high - left.low).0 > 1.5 * (plain.high - plain.low).0);
}

#[test]
fn logs_that_begin_late() {
    let late: Vec<_> = (20..=24).map(|n| night(n, &[3.0, 3.0])).collect();
    // 20 days without logs since the tool was fitted, nothing measured in the logs.
    let found = judge(&book(&[]), &late);
    assert!(says_nothing(&found));
    let refusal = WearRemark::NotLogged { since: day(0), logged: Some(day(20)) };
    assert_eq!(found.remarks[0], refusal);
    // 6 days are filled up with mean days: 6 + 5 days of 0.24 mm.
    let found = judge(&book(&[(14, 20.0)]), &late);
    assert!(has(&found, |r| matches!(r, WearRemark::FilledUp { .. })));
    let left = found.left.unwrap();
    assert!((mm(left.best) - (20.0 - 11.0 * 0.24)).abs() < 0.15, "{left:?}");
    let seen = judge(&book(&[(20, 20.0 - 6.0 * 0.24)]), &late).left.unwrap();
    assert!((left.high - left.low).0 > (seen.high - seen.low).0, "filling up costs certainty");
    assert!((mm(seen.best) - (20.0 - 11.0 * 0.24)).abs() < 0.15, "{seen:?}");
}

#[test]
fn entries_of_the_future() {
    let text = book(&[(7, worn(7)), (90, 3.0)]);
    let found = judge(&text, &nights(24));
    assert!(found.remarks.contains(&WearRemark::Future { entries: 1, first: day(90) }));
    let without = judge(&book(&[(7, worn(7))]), &nights(24));
    assert_eq!(found.left, without.left);
    // The morning after the last night is no future.
    assert!(!has(&judge(&book(&[(25, worn(25))]), &nights(24)), |r| matches!(
        r,
        WearRemark::Future { .. }
    )));
}

#[test]
fn the_records_are_doubted_aloud() {
    let mut seen = nights(24);
    for night in &mut seen {
        night.observed = Observed { seen: Seconds(5.0), of: Seconds(10.0) };
        night.unread = 1;
    }
    let mut text = book(&[(7, worn(7))]);
    text += &tool(0, 800);
    text += &measured(24, "brush = 3\nlength = \"20 mm\"");
    let found = judge(&text, &seen);
    assert!(found.remarks.contains(&WearRemark::Damaged { places: 25 }));
    assert!(found.remarks.contains(&WearRemark::LittleSeen { share: 0.5 }));
    assert!(found.remarks.contains(&WearRemark::SeveralTools { date: day(0) }));
    assert!(found.remarks.contains(&WearRemark::NoSuchBrush { date: day(24), brushes: 2 }));
    assert!(!has(&found, |r| matches!(r, WearRemark::MeasureDue { .. })));
    assert!(has(&judge(&book(&[(7, worn(7))]), &nights(24)), |r| matches!(
        r,
        WearRemark::MeasureDue { .. }
    )));
}
