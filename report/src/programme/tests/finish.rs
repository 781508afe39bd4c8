//! Rate and forecast against hand-made cases and values computed by numpy and scipy
//! (`tests/reference/programme_values.py` computes them anew).

use super::super::finish::Ahead;
use super::super::{Finish, NoForecast};
use super::{Input, day, minutes, stay};
use crate::findings::DayRange;
use crate::settings::Phase::Step;
use chrono::Weekday;

/// Minutes of twelve nights.
pub(super) const NIGHTS: [f64; 12] =
    [95.0, 110.0, 0.0, 80.0, 120.0, 105.0, 0.0, 90.0, 100.0, 130.0, 75.0, 115.0];

fn close(a: f64, b: f64) {
    assert!((a - b).abs() < 1e-6 * b.abs().max(1.0), "{a} is not {b}");
}

// Source: scipy 1.x, stats.t.cdf and a search over t = 1, 2, ...
#[test]
fn chances_are_those_of_scipy() {
    let ahead = Ahead::of(&NIGHTS, 2000.0);
    for (nights, chance) in REFERENCE_CHANCES {
        close(ahead.done_within(nights), chance);
    }
    for (chance, night) in REFERENCE_NIGHTS {
        assert_eq!(ahead.night(chance), Some(night), "chance {chance}");
    }
}

const REFERENCE_CHANCES: [(u32, f64); 4] = [
    (15, 0.006_975_736_248_1),
    (22, 0.353_718_299_285),
    (24, 0.542_912_728_281),
    (40, 0.984_918_853_762),
];
const REFERENCE_NIGHTS: [(f64, u32); 3] = [(0.1, 19), (0.5, 24), (0.9, 31)];

/// Twelve nights from Monday the 2nd on, one section each, and twenty sections waiting.
fn twelve() -> Input {
    let work =
        |(i, minutes): (usize, &f64)| stay(day(2 + i as u32), i, Step(1), *minutes, *minutes);
    let mut input = Input::new(32, NIGHTS.iter().enumerate().map(work).collect());
    // One long step, so that no minute is more than the section needs.
    input.rules.steps.truncate(1);
    input.rules.steps[0].required = minutes(210.0);
    input
}

#[test]
fn the_rate_is_mean_and_students_interval() {
    let programme = twelve().judge(day(13));
    let rate = programme.rate.unwrap();
    assert_eq!((rate.nights, rate.worked, rate.since), (12, 10, day(2)));
    assert_eq!(rate.unseen, 0, "the stays of no minutes were recorded all the same");
    // 1020 min in 12 nights: 85; in area 50 m² for 210 min.
    close(rate.time.mean.0, 85.0 * 60.0);
    close(rate.area.mean.0, 85.0 * 50.0 / 210.0);
    let [low, high] = REFERENCE_INTERVAL;
    close(rate.time.low.0, low * 60.0);
    close(rate.time.high.0, high * 60.0);
    // 32 sections of 210 min, less 1020.
    close(programme.missing.0, (32.0 * 210.0 - 1020.0) * 60.0);
}

const REFERENCE_INTERVAL: [f64; 2] = [68.175_428_578_3, 101.824_571_422];

#[test]
fn minutes_beyond_a_step_count_once() {
    // Two machines at the same step: 30 + 30 of 45 min.
    let mut second = stay(day(2), 0, Step(1), 30.0, 30.0);
    second.machine = 1;
    let input = Input::new(1, vec![stay(day(2), 0, Step(1), 30.0, 30.0), second]);
    let programme = input.judge(day(2));
    let rate = programme.rate.unwrap();
    close(rate.time.mean.0, 45.0 * 60.0);
    close(rate.area.mean.0, 50.0 * 45.0 / 105.0);
    assert_eq!(
        (rate.area.low.0, rate.area.high.0),
        (0.0, f64::INFINITY),
        "one night has no spread"
    );
    close(programme.missing.0 + 45.0 * 60.0, 105.0 * 60.0);
}

#[test]
fn days_off_are_no_nights_of_the_programme() {
    // Four weeks, Monday to Friday, 105 min each: one section a night; 5 of 25 are left.
    let mut input = Input::new(25, Vec::new());
    let mut section = 0;
    for week in 0..4 {
        for weekday in 0..5 {
            let night = day(2 + week * 7 + weekday);
            for (step, minutes) in [(1, 45.0), (2, 30.0), (3, 30.0)] {
                input.stays.push(stay(night, section, Step(step), minutes, minutes));
            }
            section += 1;
        }
    }
    // Sunday the 29th: the fourth weekend is over.
    let programme = input.judge(day(29));
    let rate = programme.rate.unwrap();
    assert_eq!((rate.nights, &rate.days_off[..]), (20, &[Weekday::Sat, Weekday::Sun][..]));
    close(rate.area.mean.0, 50.0);
    // Without any spread the 5 sections take Monday the 30th to Friday the 4th.
    let friday = day(34);
    assert_eq!(friday.to_string(), "2026-12-04");
    let range = DayRange { best: friday, early: friday, late: Some(friday) };
    assert_eq!(programme.finish, Finish::Expected(range));
    // A week before, weekends came three times only: they count as nights without work.
    let rate = input.judge(day(22)).rate.unwrap();
    assert_eq!((rate.nights, rate.days_off.len(), rate.unseen), (21, 0, 6));
}

#[test]
fn what_cannot_be_said_is_refused() {
    let finish = |input: &Input, date| input.judge(day(date)).finish;
    assert_eq!(finish(&Input::new(3, vec![]), 5), Finish::Refused(NoForecast::NotBegun));
    assert_eq!(finish(&Input::new(0, vec![]), 5), Finish::Refused(NoForecast::NothingToRestore));
    let few = Input::new(3, vec![stay(day(2), 0, Step(1), 30.0, 30.0)]);
    let too_few = |nights, worked| Finish::Refused(NoForecast::TooFewNights { nights, worked });
    assert_eq!(finish(&few, 4), too_few(3, 1));
    assert_eq!(finish(&few, 20), too_few(19, 1));
    // 4 min in 13 nights against 10,000 sections.
    let slow = (0..4).map(|i| stay(day(2 + i), 0, Step(1), 1.0, 1.0)).collect();
    assert_eq!(finish(&Input::new(10_000, slow), 14), Finish::Refused(NoForecast::BeyondHorizon));
    let mut done = Input::new(1, vec![]);
    done.by_hand = vec![super::ByHand { date: day(2), section: 0, phase: Step(3) }];
    assert_eq!(finish(&done, 5), Finish::Done);
}
