//! Minutes of steps and the states of sections. All numbers were worked by hand.

use super::super::state::SectionRemark;
use super::super::stay::ByHand;
use super::super::{Done, State};
use super::{Input, day, minutes, stay};
use crate::settings::Phase::{Maintenance, Step};
use underbrush_protocol::si::SquareMetres;

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-9 * b.abs().max(1.0), "{a} is not {b}");
}

#[test]
fn minutes_add_up_over_nights_and_machines() {
    let mut other = stay(day(3), 0, Step(1), 16.0, 15.0);
    other.machine = 1;
    other.operators = vec!["Ana".to_owned()];
    let input = Input::new(2, vec![other, stay(day(2), 0, Step(1), 25.0, 20.0)]);
    let programme = input.judge(day(3));
    let section = &programme.sections[0];
    let step = &section.steps[0];
    assert_eq!(section.state, State::InWork { step: 1, missing: minutes(10.0) });
    assert_eq!((step.in_band, step.brush_time, step.nights), (minutes(35.0), minutes(41.0), 2));
    assert_eq!((step.first, step.last, step.done), (Some(day(2)), Some(day(3)), None));
    assert_eq!((&step.machines[..], &step.operators[..]), (&[0, 1][..], &["Ana".to_owned()][..]));
    // 41 min at 0.5 m/s with 0.6 m: 738 m² on 50 m².
    close(step.passes, 14.76);
    close(step.mean_speed.unwrap().0, 0.5);
    assert_eq!(programme.sections[1].state, State::Waiting);
    // As of the night before, the second machine's work is not there yet.
    assert_eq!(
        input.judge(day(2)).sections[0].state,
        State::InWork { step: 1, missing: minutes(25.0) }
    );
}

#[test]
fn a_later_step_counts_only_after_the_one_before() {
    let mut input = Input::new(
        1,
        vec![
            stay(day(2), 0, Step(1), 44.0, 44.0),
            stay(day(3), 0, Step(2), 30.0, 30.0),
            stay(day(4), 0, Step(1), 2.0, 2.0),
            stay(day(5), 0, Step(2), 12.0, 12.0),
        ],
    );
    let section = &input.judge(day(5)).sections[0];
    assert_eq!(section.state, State::InWork { step: 2, missing: minutes(18.0) });
    assert_eq!(section.steps[0].done, Some(Done { on: day(4), by_hand: false }));
    assert_eq!(section.steps[1].too_early, minutes(30.0));
    assert_eq!(section.remarks, [SectionRemark::TooEarly { step: 2, time: minutes(30.0) }]);
    // The lead says that the first step was good by the 2nd: the rest counts.
    input.by_hand = vec![ByHand { date: day(2), section: 0, phase: Step(1) }];
    let section = &input.judge(day(5)).sections[0];
    assert_eq!(section.state, State::InWork { step: 3, missing: minutes(30.0) });
    assert_eq!(section.steps[0].done, Some(Done { on: day(2), by_hand: true }));
    // Of the 12 min after it was done, and the 44 + 2 of the step done by hand, none counts.
    assert_eq!(section.steps[1].extra, minutes(12.0));
    assert_eq!(section.steps[0].extra, minutes(46.0));
    assert_eq!(section.remarks, []);
}

#[test]
fn restored_on_the_night_of_the_last_step() {
    let input = Input::new(
        2,
        vec![
            stay(day(2), 0, Step(1), 50.0, 50.0),
            stay(day(2), 0, Step(2), 30.0, 30.0),
            stay(day(4), 0, Step(3), 30.0, 30.0),
            stay(day(6), 0, Step(1), 5.0, 4.0),
        ],
    );
    let programme = input.judge(day(6));
    let section = &programme.sections[0];
    assert_eq!(section.state, State::Restored { on: Some(day(4)) });
    assert_eq!(section.remarks, [SectionRemark::WorkedAgain { step: 1, time: minutes(4.0) }]);
    assert_eq!(programme.areas.restored, SquareMetres(50.0));
    assert_eq!(programme.areas.waiting, SquareMetres(50.0));
    assert_eq!(programme.areas.share_restored(), Some(0.5));
    assert_eq!(programme.missing, minutes(105.0));
}

#[test]
fn the_book_says_done_and_the_steps_below_are_done_too() {
    let mut input = Input::new(2, Vec::new());
    input.by_hand = vec![
        ByHand { date: day(2), section: 0, phase: Step(3) },
        ByHand { date: day(3), section: 1, phase: Step(2) },
    ];
    let programme = input.judge(day(4));
    assert_eq!(programme.sections[0].state, State::Restored { on: Some(day(2)) });
    assert_eq!(programme.sections[1].state, State::InWork { step: 3, missing: minutes(30.0) });
    // What is done by hand tells nothing of how fast it goes.
    assert_eq!(programme.rate, None);
    // An entry of a later day does not count yet.
    assert_eq!(input.judge(day(1)).sections[0].state, State::Waiting);
}

#[test]
fn floors_that_must_not_be_polished_stay_so() {
    let mut input = Input::new(2, vec![stay(day(2), 0, Step(1), 45.0, 45.0)]);
    input.rules.sections[0].polish = false;
    let programme = input.judge(day(2));
    let section = &programme.sections[0];
    assert_eq!(section.state, State::Never);
    assert_eq!(section.remarks, [SectionRemark::Forbidden { brush_time: minutes(45.0) }]);
    assert_eq!(
        (programme.areas.never, programme.areas.polish),
        (SquareMetres(50.0), SquareMetres(50.0))
    );
    assert_eq!(programme.rate, None);
    assert!(programme.tonight[0].items.iter().all(|item| item.section == 1));
}

#[test]
fn assumed_and_misplaced_work_is_told() {
    let mut assumed = stay(day(2), 0, Step(1), 15.0, 15.0);
    assumed.assumed = true;
    let mut nowhere = stay(day(2), 0, Step(1), 7.0, 7.0);
    nowhere.section = None;
    let input = Input::new(
        2,
        vec![
            assumed,
            stay(day(3), 0, Step(1), 30.0, 30.0),
            stay(day(3), 1, Maintenance, 5.0, 5.0),
            stay(day(3), 1, Step(9), 6.0, 6.0),
            nowhere,
        ],
    );
    let programme = input.judge(day(3));
    let share = 15.0 / 45.0;
    assert_eq!(programme.sections[0].remarks, [SectionRemark::Assumed { share }]);
    let told = [
        SectionRemark::NotRestoredYet { brush_time: minutes(5.0) },
        SectionRemark::NoSuchStep { brush_time: minutes(6.0) },
    ];
    assert_eq!(programme.sections[1].remarks, told);
    assert_eq!(programme.sections[1].state, State::Waiting);
    assert_eq!(programme.not_marked, minutes(7.0));
}
