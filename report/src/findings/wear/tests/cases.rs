//! Worked cases of what is said.

use super::super::WearRemark;
use super::{blade, book, day, has, judge, measured, mm, night, nights, tool, worn};
use underbrush_protocol::si::{Joules, Metres};

#[test]
fn lengths_as_the_file_says_give_the_plain_answer() {
    let found = judge(&book(&[(7, worn(7)), (14, worn(14)), (21, worn(21))]), &nights(24));
    // 25 nights of 0.24 mm are gone: 19.4 mm. To 6.35 mm 13.05 mm, 54.4 nights more.
    let left = found.left.unwrap();
    assert!((mm(left.best) - 19.4).abs() < 0.1, "{left:?}");
    assert!(left.low < left.best && left.best < left.high);
    let reorder = found.reorder_day.unwrap();
    let off = (reorder.best - day(24 + 55)).num_days();
    assert!(off.abs() <= 1, "{reorder:?}");
    assert!(reorder.early < reorder.best && Some(reorder.best) < reorder.late);
    // To 1/16 in 17.81 mm, 74.2 nights.
    let end = found.end_day.unwrap();
    assert!((end.best - day(24 + 75)).num_days().abs() <= 1, "{end:?}");
    assert_eq!(found.order_by.unwrap(), reorder.early - chrono::Days::new(14));
    assert_eq!(found.energy_fitted, Some(Joules(75e6)));
    assert_eq!((found.energy_since, found.shifts_since), (Some(Joules(12e6)), 4));
    assert_eq!(found.rate.unwrap().measurements, 3);
    assert_eq!(found.remarks, []);
}

#[test]
fn measuring_narrows_the_interval() {
    let width = |lengths: &[(u64, f64)]| {
        let left = judge(&book(lengths), &nights(24)).left.unwrap();
        mm(left.high - left.low)
    };
    let never = width(&[]);
    let once = width(&[(7, worn(7))]);
    let often = width(&[(7, worn(7)), (14, worn(14)), (21, worn(21))]);
    assert!(never > 1.5 * once && once > 2.0 * often, "{never} {once} {often}");
}

#[test]
fn never_measured_rests_on_the_file() {
    let found = judge(&book(&[]), &nights(24));
    assert!(has(&found, |r| matches!(r, WearRemark::NeverMeasured { .. })));
    // 6 mm gone by the file's rate, which is uncertain by 40 %: 2.4 mm.
    let left = found.left.unwrap();
    assert!((mm(left.best) - 19.4).abs() < 0.1 && mm(left.high - left.low) > 5.0, "{left:?}");
    assert_eq!(found.rate.unwrap().measurements, 0);
}

#[test]
fn a_new_tool_begins_anew() {
    let mut text = book(&[(7, worn(7)), (14, worn(14))]);
    text += &tool(20, 800);
    let found = judge(&text, &nights(24));
    assert_eq!(found.energy_fitted, Some(Joules(15e6)));
    assert_eq!((found.measured, found.grit.as_deref()), (None, Some("800")));
    assert!((mm(found.left.unwrap().best) - (25.4 - 5.0 * 0.24)).abs() < 0.1);
    // The same tool fitted again, worn: its length on that day is noted.
    let again = judge(&(text + "length = \"15 mm\"\n"), &nights(24));
    assert!((mm(again.left.unwrap().best) - (15.0 - 5.0 * 0.24)).abs() < 0.1);
}

#[test]
fn reached_means_order_today() {
    let found = judge(&book(&[(7, worn(7)), (70, worn(70))]), &nights(80));
    assert!(mm(found.left.unwrap().best) < 6.35);
    assert_eq!((found.order_by, found.reorder_day.unwrap().best), (Some(day(80)), day(80)));
    assert!(found.end_day.unwrap().best > day(80));
    let found = judge(&book(&[(7, worn(7)), (70, worn(70))]), &nights(104));
    assert_eq!(found.remarks[0], WearRemark::UsedUp);
}

#[test]
fn little_use_is_far_away() {
    let few: Vec<_> = (0..=24).map(|n| night(n, &[0.02, 0.02])).collect();
    let found = judge(&book(&[(21, 25.4)]), &few);
    assert!(has(&found, |r| matches!(r, WearRemark::FarAway)) && found.order_by.is_none());
    let none: Vec<_> = (0..=24).map(|n| night(n, &[0.0])).collect();
    let found = judge(&book(&[(21, 25.4)]), &none);
    assert!(has(&found, |r| matches!(r, WearRemark::NoWork { .. })) && found.left.is_some());
}

/// The right brush does twice the work of the left one; both wear by the same rate.
#[test]
fn brushes_are_judged_by_their_own_energy() {
    let nights: Vec<_> = (0..=24).map(|n| night(n, &[2.0, 4.0])).collect();
    let (left, right) = (|n: f64| 25.4 - 0.16 * n, |n: f64| 25.4 - 0.32 * n);
    let mut text = book(&[]);
    for n in [7, 14, 21] {
        let (a, b) = (left(n as f64), right(n as f64));
        text += &measured(n, &format!("lengths = [\"{a} mm\", \"{b} mm\"]"));
    }
    let found = judge(&text, &nights);
    assert_eq!(found.brushes.len(), 2);
    for (brush, expected) in found.brushes.iter().zip([left(25.0), right(25.0)]) {
        assert!((mm(brush.left.unwrap().best) - expected).abs() < 0.1, "{brush:?}");
        assert!((brush.rate.unwrap().best.0 - 8e-11).abs() < 2e-12, "{brush:?}");
    }
    assert_eq!(found.left, found.brushes[1].left);
    assert_eq!(found.reorder_day, found.brushes[1].reorder_day);
    assert!(found.brushes[0].reorder_day.unwrap().best > found.reorder_day.unwrap().best);
    assert_eq!(found.energy_fitted, Some(Joules(100e6)));
    let uneven = found.remarks.iter().find_map(|r| match r {
        WearRemark::Uneven { short, long, energy_ratio, .. } => {
            Some((short.0, long.0, *energy_ratio))
        }
        _ => None,
    });
    assert_eq!(uneven, Some((1, 0, Some(2.0))));
    // The same lengths as `brush = 1` and `brush = 2`.
    let mut single = book(&[]);
    for n in [7, 14, 21] {
        for (brush, length) in [(1, left(n as f64)), (2, right(n as f64))] {
            single += &measured(n, &format!("brush = {brush}\nlength = \"{length} mm\""));
        }
    }
    assert_eq!(judge(&single, &nights), found);
}

#[test]
fn even_brushes_are_not_called_uneven() {
    let even = measured(14, "lengths = [\"22 mm\", \"22.9 mm\"]");
    let found = judge(&(book(&[]) + &even), &nights(24));
    assert!(!has(&found, |r| matches!(r, WearRemark::Uneven { .. })), "{:?}", found.remarks);
    // 0.4 mm to each reading: more than 1.46 mm is no reading error.
    let uneven = even.replace("22.9", "23.6");
    let found = judge(&(book(&[]) + &uneven), &nights(24));
    assert!(has(&found, |r| matches!(r, WearRemark::Uneven { energy_ratio: Some(_), .. })));
}

#[test]
fn motors_that_are_not_apart_are_said() {
    let one: Vec<_> = (0..=24).map(|n| night(n, &[3.0])).collect();
    let lengths = measured(14, "lengths = [\"22 mm\", \"21.9 mm\"]");
    let found = judge(&(book(&[]) + &lengths), &one);
    assert!(has(&found, |r| matches!(r, WearRemark::NotApart)));
    assert_eq!(found.brushes[0].energy_fitted, found.brushes[1].energy_fitted);
}

#[test]
fn a_length_of_no_named_brush_goes_to_the_busiest() {
    let nights: Vec<_> = (0..=24).map(|n| night(n, &[2.0, 4.0])).collect();
    let text =
        book(&[(7, 25.4 - 0.32 * 7.0)]) + &measured(14, "lengths = [\"23.2 mm\", \"20.9 mm\"]");
    let found = judge(&text, &nights);
    let taken = WearRemark::WhichBrush { date: day(7), brush: 1 };
    assert!(found.remarks.contains(&taken), "{:?}", found.remarks);
    assert_eq!(found.brushes[0].rate.unwrap().measurements, 1);
    assert_eq!(found.brushes[1].rate.unwrap().measurements, 2);
}

// Common practice, no published source: 1/16 in, but never above half the order length.
#[test]
fn the_end_lies_below_the_order_length() {
    let mut blade = blade();
    assert!((mm(blade.end()) - 25.4 / 16.0).abs() < 1e-9);
    blade.reorder_length = Metres(0.002);
    assert!((mm(blade.end()) - 1.0).abs() < 1e-9);
    blade.end_length = Some(Metres(0.0015));
    assert!((mm(blade.end()) - 1.5).abs() < 1e-9);
}
