//! Sections: counted by group, those that need something one by one.

use super::Told;
use crate::programme::{Due, SectionRemark, SectionState, State, StepProgress};
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::DASH;
use underbrush_protocol::si::Seconds;

/// Counts by group of the site file; sections without a group stand last.
pub(super) fn groups(told: &Told<'_>) -> Vec<Block> {
    if told.programme.sections.is_empty() {
        return Vec::new();
    }
    let columns = vec![
        Column::words(told.say("programme-column-group"), 0.3),
        Column::decimal(told.say("programme-column-sections"), "", 0.1),
        Column::decimal(told.say("programme-restored"), "", 0.12),
        Column::decimal(told.say("programme-in-work"), "", 0.1),
        Column::decimal(told.say("programme-waiting"), "", 0.1),
        Column::decimal(told.say("programme-column-never"), "", 0.1),
        Column::decimal(told.say("programme-column-due"), "", 0.09),
        Column::decimal(told.say("programme-column-missed"), "", 0.09),
    ];
    let rows = by_group(told).into_iter().map(|(name, sections)| {
        let count = |is: fn(&SectionState) -> bool| {
            let count = sections.iter().filter(|section| is(section)).count();
            told.figures.grouped(count as u64)
        };
        vec![
            name,
            told.figures.grouped(sections.len() as u64),
            count(restored),
            count(|s| matches!(s.state, State::InWork { .. })),
            count(|s| s.state == State::Waiting),
            count(|s| s.state == State::Never),
            count(|s| matches!(s.state, State::DueForRefresh { .. })),
            count(|s| s.upkeep.is_some_and(|u| matches!(u.standing, Due::Missed { .. }))),
        ]
    });
    let notes = vec![told.say("programme-groups-note")];
    vec![Block::Table(Table::new(&told.figures.words, columns, rows.collect(), notes))]
}

fn restored(section: &SectionState) -> bool {
    matches!(section.state, State::Restored { .. } | State::DueForRefresh { .. })
}

fn by_group<'a>(told: &'a Told<'_>) -> Vec<(String, Vec<&'a SectionState>)> {
    let of = |group: Option<&str>| -> Vec<&'a SectionState> {
        let of_group = |section: &&SectionState| {
            told.site.group_of(section.section).map(|g| g.id.as_str()) == group
        };
        told.programme.sections.iter().filter(of_group).collect()
    };
    let mut groups = Vec::new();
    for group in &told.site.groups {
        let name = if group.name.is_empty() { &group.id } else { &group.name };
        groups.push((told.clean.name(name), of(Some(&group.id))));
    }
    let name = if groups.is_empty() { "programme-all-sections" } else { "programme-no-group" };
    groups.push((told.say(name), of(None)));
    groups.retain(|(_, sections)| !sections.is_empty());
    groups
}

/// The sections that need something: in work, due, missed, or odd.
pub(super) fn needing(told: &Told<'_>) -> Vec<Block> {
    let needs = |section: &&SectionState| {
        let due = section
            .upkeep
            .is_some_and(|upkeep| matches!(upkeep.standing, Due::Missed { .. } | Due::NotKnown));
        let state = matches!(section.state, State::InWork { .. } | State::DueForRefresh { .. });
        let odd = section.remarks.iter().any(|remark| !is_daily(remark));
        state || due || odd
    };
    let sections: Vec<&SectionState> = told.programme.sections.iter().filter(needs).collect();
    let heading = Block::Heading(told.say("programme-needing"));
    let mut blocks = vec![heading];
    blocks.push(if sections.is_empty() {
        Block::Text(vec![told.say("programme-needing-none")])
    } else {
        table(told, &sections)
    });
    blocks.extend(daily_runs(told).map(|line| Block::Text(vec![line])));
    blocks
}

fn is_daily(remark: &SectionRemark) -> bool {
    matches!(remark, SectionRemark::NotRestoredYet { .. })
}

/// Sections that are run as if they were restored: the record may have begun after that.
fn daily_runs(told: &Told<'_>) -> Option<String> {
    let run = |section: &&SectionState| section.remarks.iter().any(is_daily);
    let sections = told.programme.sections.iter().filter(run);
    let ids: Vec<String> = sections.map(|section| told.section(section.section)).collect();
    let last = told.site.steps.last()?.number;
    let values = [("sections", ids.join(", ").into()), ("step", last.into())];
    (!ids.is_empty()).then(|| told.with("programme-daily-runs", &values))
}

/// Every section, group by group.
pub(super) fn all(told: &Told<'_>) -> Vec<Block> {
    let mut blocks = Vec::new();
    for (name, sections) in by_group(told) {
        blocks.push(Block::Heading(name));
        blocks.push(table(told, &sections));
    }
    blocks.extend(daily_runs(told).map(|line| Block::Text(vec![line])));
    blocks
}

fn table(told: &Told<'_>, sections: &[&SectionState]) -> Block {
    let figures = told.figures;
    let columns = vec![
        Column::words(told.say("programme-column-section"), 0.17),
        Column::words(told.say("programme-column-state"), 0.15),
        Column::decimal(told.say("programme-column-in-band"), told.say("programme-h-mm"), 0.075),
        Column::decimal(told.say("programme-column-needed"), told.say("programme-h-mm"), 0.075),
        Column::decimal(told.say("programme-column-passes"), "", 0.07),
        Column::decimal(told.say("programme-column-speed"), figures.speed_unit(), 0.07),
        Column::words(told.say("programme-column-nights"), 0.14),
        Column::words(told.say("programme-column-what"), 0.25),
    ];
    let rows = sections.iter().map(|section| row(told, section)).collect();
    let mut notes = vec![told.say("programme-table-note")];
    if told.site.per_operator {
        notes.extend(crew(told, sections));
    }
    Block::Table(Table::new(&figures.words, columns, rows, notes))
}

fn row(told: &Told<'_>, section: &SectionState) -> Vec<String> {
    let dash = || DASH.to_owned();
    let figures = told.figures;
    let step = shown(section);
    let nights = step.and_then(|step| Some((step.first?, step.last?)));
    let nights = nights.map_or_else(dash, |(first, last)| {
        if first == last {
            told.day(first)
        } else {
            format!("{}–{}", told.day(first), told.day(last))
        }
    });
    let worked = step.filter(|step| step.brush_time.0 > 0.0);
    vec![
        told.section_and_name(section.section),
        state(told, section),
        step.map_or_else(dash, |step| figures.hours_minutes(step.in_band)),
        step.map_or_else(dash, |step| figures.hours_minutes(step.required)),
        worked.map_or_else(dash, |step| figures.passes(step.passes)),
        worked.and_then(|step| step.mean_speed).map_or_else(dash, |speed| figures.speed(speed)),
        nights,
        what(told, section),
    ]
}

/// The step that the row tells of: the open one, else the last one.
fn shown(section: &SectionState) -> Option<&StepProgress> {
    match section.state {
        State::Never => None,
        State::InWork { step, .. } => section.steps.iter().find(|s| s.number == step),
        State::Waiting => section.steps.first(),
        State::Restored { .. } | State::DueForRefresh { .. } => section.steps.last(),
    }
}

fn state(told: &Told<'_>, section: &SectionState) -> String {
    match section.state {
        State::Never => told.say("programme-state-never"),
        State::Waiting => told.say("programme-waiting"),
        State::InWork { step, .. } => {
            told.with("programme-state-in-work", &[("step", step.into())])
        }
        State::Restored { on: None } => told.say("programme-restored"),
        State::Restored { on: Some(on) } => {
            told.with("programme-state-restored", &[("date", told.day(on).into())])
        }
        State::DueForRefresh { refresh, .. } => {
            told.with("programme-state-due", &[("since", told.day(refresh.since).into())])
        }
    }
}

/// What is missing, due or odd.
fn what(told: &Told<'_>, section: &SectionState) -> String {
    let mut parts = Vec::new();
    let lacks = |time: Seconds| {
        told.with("programme-what-missing", &[("time", told.figures.duration(time).into())])
    };
    match section.state {
        State::InWork { missing, .. } => parts.push(lacks(missing)),
        State::DueForRefresh { refresh, .. } => parts.push(lacks(refresh.missing)),
        State::Never | State::Waiting | State::Restored { .. } => {}
    }
    if let Some(upkeep) = section.upkeep {
        let last = upkeep.last.map_or_else(|| told.say("programme-never-run"), |on| told.day(on));
        let run = |id: &str| told.with(id, &[("last", last.as_str().into())]);
        parts.push(match upkeep.standing {
            Due::Missed { nights } => told.with(
                "programme-what-missed",
                &[("nights", nights.into()), ("last", last.as_str().into())],
            ),
            Due::NotKnown => run("programme-what-not-known"),
            Due::Tonight => run("programme-what-tonight"),
            Due::Later => {
                let on = told.day(upkeep.due_on);
                told.with("programme-what-later", &[("on", on.into())])
            }
        });
    }
    let remarks = section.remarks.iter().filter(|remark| !is_daily(remark));
    parts.extend(remarks.map(|remark| odd(told, remark)));
    let by_hand = section.steps.iter().filter(|step| step.done.is_some_and(|done| done.by_hand));
    let by_hand: Vec<String> = by_hand.map(|step| step.number.to_string()).collect();
    if !by_hand.is_empty() {
        parts.push(told.with("programme-what-by-hand", &[("steps", by_hand.join(", ").into())]));
    }
    parts.join(" ")
}

fn odd(told: &Told<'_>, remark: &SectionRemark) -> String {
    let figures = told.figures;
    let time = |id: &str, time: Seconds| told.with(id, &[("time", figures.duration(time).into())]);
    let step = |id: &str, step: u8, time: Seconds| {
        told.with(id, &[("step", step.into()), ("time", figures.duration(time).into())])
    };
    match *remark {
        SectionRemark::Forbidden { brush_time } => time("programme-odd-forbidden", brush_time),
        SectionRemark::TooEarly { step: n, time } => step("programme-odd-early", n, time),
        SectionRemark::WorkedAgain { step: n, time } => step("programme-odd-again", n, time),
        SectionRemark::Assumed { share } => {
            let share = figures.percent(share, 1.0);
            told.with("programme-odd-assumed", &[("share", share.into())])
        }
        // Told for all sections together.
        SectionRemark::NotRestoredYet { .. } => String::new(),
        SectionRemark::NoSuchStep { brush_time } => time("programme-odd-no-step", brush_time),
    }
}

/// Who worked on the steps shown, where the site wants it told.
fn crew(told: &Told<'_>, sections: &[&SectionState]) -> Option<String> {
    let line = |section: &&SectionState| {
        let names = &shown(section)?.operators;
        let names: Vec<String> = names.iter().map(|name| told.clean.name(name)).collect();
        let of = told.section(section.section);
        (!names.is_empty()).then(|| format!("{of}: {}", names.join(", ")))
    };
    let lines: Vec<String> = sections.iter().filter_map(line).collect();
    let list = lines.join("; ");
    (!lines.is_empty()).then(|| told.with("programme-crew", &[("list", list.into())]))
}
