//! The plan of the night that comes, each item with a square to tick.

use super::Told;
use crate::programme::{Battery, NightPlan, PlanItem, Reason};
use crate::sheet::document::Block;
use crate::sheet::figures::clock;
use crate::timeline::shift_of;
use chrono::{DateTime, NaiveDate, TimeDelta, Utc};

pub(super) fn blocks(told: &Told<'_>) -> Vec<Block> {
    let date = told.programme.date.succ_opt().unwrap_or(told.programme.date);
    let heading = told.with("programme-tonight", &[("date", told.figures.date(date).into())]);
    let mut blocks = vec![Block::Heading(heading)];
    let several = told.programme.tonight.len() > 1;
    for plan in &told.programme.tonight {
        if several {
            blocks.push(Block::Text(vec![told.machine(plan.machine)]));
        }
        if plan.items.is_empty() {
            blocks.push(Block::Text(vec![told.say("programme-plan-empty")]));
            continue;
        }
        blocks.push(Block::Ticks(lines(told, plan, date)));
        blocks.push(Block::Text(vec![totals(told, plan)]));
    }
    blocks.push(Block::Text(vec![told.say("programme-plan-note")]));
    blocks
}

/// Items; daily runs that follow each other stand on one line.
fn lines(told: &Told<'_>, plan: &NightPlan, date: NaiveDate) -> Vec<String> {
    let start = shift_of(told.site, date).map(|shift| shift.span.from).ok();
    let mut lines = Vec::new();
    let mut items = plan.items.iter().peekable();
    while let Some(item) = items.next() {
        let mut line = line(told, item, start);
        let mut together = vec![told.section(item.section)];
        if item.in_band.is_none() {
            while let Some(next) = items.next_if(|next| goes_on(item, next)) {
                together.push(told.section(next.section));
            }
        }
        if together.len() > 1 {
            let values = [
                ("at", at(told, item, start).into()),
                ("sections", together.join(", ").into()),
                ("count", together.len().into()),
                ("work", work(told, item).into()),
                ("reason", reason(told, item.reason).into()),
            ];
            line = told.with("programme-plan-runs", &values);
        }
        if item.change {
            let grit = item.grit.as_deref().unwrap_or_default();
            let grit = told.clean.name(grit);
            lines.push(told.with("programme-plan-change", &[("grit", grit.into())]));
        }
        lines.push(line);
    }
    lines
}

fn goes_on(item: &PlanItem, next: &PlanItem) -> bool {
    (next.phase, next.reason, next.change) == (item.phase, item.reason, false)
}

fn line(told: &Told<'_>, item: &PlanItem, start: Option<DateTime<Utc>>) -> String {
    let values = [
        ("at", at(told, item, start).into()),
        ("section", told.section_and_name(item.section).into()),
        ("work", work(told, item).into()),
        ("reason", reason(told, item.reason).into()),
    ];
    told.with("programme-plan-item", &values)
}

/// When it begins, if all before it goes as planned.
fn at(told: &Told<'_>, item: &PlanItem, start: Option<DateTime<Utc>>) -> String {
    let begins = TimeDelta::milliseconds((item.begins.0 * 1000.0) as i64);
    start.map_or_else(String::new, |start| clock(told.site.zone, start + begins))
}

fn work(told: &Told<'_>, item: &PlanItem) -> String {
    let phase = told.phase(item.phase);
    let Some(time) = item.in_band else { return phase };
    let values = [("work", phase.into()), ("time", told.figures.duration(time).into())];
    told.with(if item.whole { "programme-plan-band" } else { "programme-plan-part" }, &values)
}

fn reason(told: &Told<'_>, reason: Reason) -> String {
    let since = |id: &str, date| told.with(id, &[("since", told.day(date).into())]);
    match reason {
        Reason::Overdue { since: date, known: true } => since("programme-why-missed", date),
        Reason::Overdue { since: date, known: false } => since("programme-why-not-known", date),
        Reason::Due => told.say("programme-why-due"),
        Reason::GoOn => told.say("programme-why-go-on"),
        Reason::NextStep => told.say("programme-why-next"),
        Reason::Refresh { since: date } => since("programme-why-refresh", date),
        Reason::Begin => told.say("programme-why-begin"),
        Reason::Book => told.say("programme-why-book"),
    }
}

fn totals(told: &Told<'_>, plan: &NightPlan) -> String {
    let figures = told.figures;
    let values = [
        ("takes", figures.duration(plan.takes).into()),
        ("hours", figures.duration(plan.hours).into()),
        ("brush", figures.duration(plan.brush_time).into()),
    ];
    let time = told.with("programme-plan-takes", &values);
    let battery = match plan.battery {
        Battery::Given(time) => {
            told.with("programme-battery-given", &[("time", figures.duration(time).into())])
        }
        Battery::Learned { time, nights } => told.with(
            "programme-battery-learned",
            &[("time", figures.duration(time).into()), ("nights", nights.into())],
        ),
        Battery::Unknown => told.say("programme-battery-unknown"),
    };
    let pace = told.programme.pace.get(plan.machine);
    let assumed = match pace {
        Some(pace) if !pace.learned && plan.items.iter().any(|item| item.in_band.is_some()) => {
            format!(" {}", told.say("programme-pace-assumed"))
        }
        _ => String::new(),
    };
    format!("{time} {battery}{assumed}")
}
