//! How far the floor is, how fast it goes and when it will be done.

use super::Told;
use crate::programme::{Finish, NoForecast, Rate};
use crate::sheet::document::Block;
use chrono::Weekday;
use underbrush_protocol::si::{Seconds, SquareMetres};

/// Unmarked brush work longer than this is worth a line.
const UNMARKED: Seconds = Seconds(300.0);

pub(super) fn blocks(told: &Told<'_>) -> Vec<Block> {
    let areas = &told.programme.areas;
    let mut facts = vec![(told.say("programme-restored"), of_all(told, areas.restored))];
    let mut some = |id: &str, area: SquareMetres| {
        if area.0 > 0.0 {
            facts.push((told.say(id), told.area(area)));
        }
    };
    some("programme-due", areas.due_for_refresh);
    some("programme-in-work", areas.in_work);
    some("programme-waiting", areas.waiting);
    some("programme-never", areas.never);
    if told.programme.missing.0 > 0.0 {
        let time = told.figures.duration(told.programme.missing);
        let value = told.with("programme-missing-value", &[("time", time.into())]);
        facts.push((told.say("programme-missing"), value));
    }
    if let Some(rate) = &told.programme.rate {
        facts.push((told.say("programme-rate"), rate_line(told, rate)));
    }
    facts.push((told.say("programme-finish"), finish(told)));
    let mut blocks = vec![Block::Facts(facts)];
    let notes = notes(told);
    if !notes.is_empty() {
        blocks.push(Block::Text(notes));
    }
    blocks
}

fn of_all(told: &Told<'_>, area: SquareMetres) -> String {
    let all = told.programme.areas.polish;
    let values = [
        ("area", told.area(area).into()),
        ("all", told.area(all).into()),
        ("share", told.figures.percent(area.0, all.0).into()),
    ];
    told.with("programme-of-all", &values)
}

fn rate_line(told: &Told<'_>, rate: &Rate) -> String {
    let figures = told.figures;
    let since = told.day(rate.since);
    let mean = told.area(rate.area.mean);
    let nights = ("nights", rate.nights.into());
    if !rate.area.high.0.is_finite() {
        return told.with("programme-rate-first", &[("mean", mean.into())]);
    }
    let values = [
        ("mean", mean.into()),
        ("low", figures.area(rate.area.low).into()),
        ("high", figures.area(rate.area.high).into()),
        ("since", since.into()),
        nights,
    ];
    told.with("programme-rate-value", &values)
}

fn finish(told: &Told<'_>) -> String {
    match told.programme.finish {
        Finish::Done => told.say("programme-finish-done"),
        Finish::Expected(range) => {
            let best = ("best", told.day(range.best).into());
            let early = ("early", told.day(range.early).into());
            match range.late {
                Some(late) if late == range.early => told.with("programme-finish-day", &[best]),
                Some(late) => {
                    let late = ("late", told.day(late).into());
                    told.with("programme-finish-range", &[best, early, late])
                }
                None => told.with("programme-finish-open", &[best, early]),
            }
        }
        Finish::Refused(NoForecast::NothingToRestore) => told.say("programme-finish-nothing"),
        Finish::Refused(NoForecast::NotBegun) => told.say("programme-finish-not-begun"),
        Finish::Refused(NoForecast::TooFewNights { nights, worked }) => {
            let values = [("nights", nights.into()), ("worked", worked.into())];
            told.with("programme-finish-few", &values)
        }
        Finish::Refused(NoForecast::BeyondHorizon) => told.say("programme-finish-far"),
    }
}

fn notes(told: &Told<'_>) -> Vec<String> {
    let mut notes = Vec::new();
    if let Some(rate) = &told.programme.rate {
        let mut small = Vec::new();
        if matches!(told.programme.finish, Finish::Expected(_)) {
            small.push(told.say("programme-note-model"));
        }
        if !rate.days_off.is_empty() {
            let days: Vec<String> =
                rate.days_off.iter().map(|day| told.say(weekday(*day))).collect();
            small.push(told.with("programme-note-days-off", &[("days", days.join(", ").into())]));
        }
        if rate.unseen > 0 {
            small.push(told.with("programme-note-unseen", &[("nights", rate.unseen.into())]));
        }
        if !small.is_empty() {
            notes.push(small.join(" "));
        }
    }
    if told.programme.not_marked > UNMARKED {
        let time = told.figures.duration(told.programme.not_marked);
        notes.push(told.with("programme-note-not-marked", &[("time", time.into())]));
    }
    notes
}

fn weekday(day: Weekday) -> &'static str {
    match day {
        Weekday::Mon => "date-mon",
        Weekday::Tue => "date-tue",
        Weekday::Wed => "date-wed",
        Weekday::Thu => "date-thu",
        Weekday::Fri => "date-fri",
        Weekday::Sat => "date-sat",
        Weekday::Sun => "date-sun",
    }
}
