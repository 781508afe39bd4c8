//! Daily runs and refreshes. All numbers were worked by hand.

use super::super::stay::ByHand;
use super::super::{Due, Refresh, State};
use super::{Input, day, minutes, stay};
use crate::settings::Phase::{Maintenance, Step};

/// Section 0 is restored on the 2nd.
fn restored() -> Input {
    let mut input = Input::new(1, Vec::new());
    input.by_hand = vec![ByHand { date: day(2), section: 0, phase: Step(3) }];
    input
}

fn standing(input: &Input, date: u32) -> Due {
    input.judge(day(date)).sections[0].upkeep.unwrap().standing
}

#[test]
fn a_daily_run_is_due_the_night_after() {
    let mut input = restored();
    assert_eq!(standing(&input, 2), Due::Tonight);
    input.rules.sections[0].maintain_every = Some(3);
    assert_eq!(standing(&input, 2), Due::Later);
    assert_eq!(standing(&input, 4), Due::Tonight);
    input.rules.sections[0].maintain_every = None;
    assert_eq!(input.judge(day(9)).sections[0].upkeep, None);
}

#[test]
fn missed_needs_nights_with_a_record() {
    let mut input = restored();
    // Due on the 3rd, nothing recorded on the 3rd and 4th.
    assert_eq!(standing(&input, 4), Due::NotKnown);
    input.seen = vec![day(4)];
    assert_eq!(standing(&input, 4), Due::Missed { nights: 1 });
    assert_eq!(standing(&input, 6), Due::Missed { nights: 1 });
    input.seen = vec![day(2), day(4), day(6)];
    assert_eq!(standing(&input, 6), Due::Missed { nights: 2 });
}

#[test]
fn a_run_is_half_of_the_floor_or_more() {
    let mut input = restored();
    // 1 min at 0.5 m/s with 0.6 m is 18 m² of 50 m²; 25 m² are half.
    input.stays = vec![stay(day(3), 0, Maintenance, 1.0, 1.0)];
    assert_eq!(standing(&input, 3), Due::Missed { nights: 1 });
    let mut second = stay(day(3), 0, Maintenance, 0.5, 0.5);
    second.machine = 1;
    input.stays.push(second);
    assert_eq!(standing(&input, 3), Due::Tonight, "27 m² by two machines");
    let upkeep = input.judge(day(3)).sections[0].upkeep.unwrap();
    assert_eq!((upkeep.last, upkeep.due_on), (Some(day(3)), day(4)));
    // The book says it was done.
    input.stays.clear();
    input.by_hand.push(ByHand { date: day(5), section: 0, phase: Maintenance });
    assert_eq!(standing(&input, 5), Due::Tonight);
}

#[test]
fn traffic_asks_for_a_refresh_which_the_last_step_answers() {
    let mut input = restored();
    input.rules.sections[0].refresh_after = Some(20);
    assert_eq!(input.judge(day(20)).sections[0].state, State::Restored { on: Some(day(2)) });
    let due = |missing: f64| State::DueForRefresh {
        restored: day(2),
        refresh: Refresh { since: day(22), missing: minutes(missing) },
    };
    let programme = input.judge(day(21));
    assert_eq!(programme.sections[0].state, due(30.0));
    assert_eq!(programme.areas.due_for_refresh, programme.areas.restored);
    input.stays = vec![stay(day(22), 0, Step(3), 12.0, 10.0)];
    assert_eq!(input.judge(day(22)).sections[0].state, due(20.0));
    // The rest within two weeks: done, and due again 20 days later.
    input.stays.push(stay(day(30), 0, Step(3), 20.0, 20.0));
    let programme = input.judge(day(30));
    assert_eq!(programme.sections[0].state, State::Restored { on: Some(day(2)) });
    assert_eq!(programme.sections[0].refreshed, Some(day(30)));
    assert_eq!(programme.sections[0].upkeep.unwrap().due_on, day(31));
    // After more than two weeks the first part no longer counts.
    input.stays[1] = stay(day(37), 0, Step(3), 20.0, 20.0);
    assert_eq!(input.judge(day(37)).sections[0].state, due(10.0));
    // A refresh brings no new floor.
    assert_eq!(programme.rate, None);
}
