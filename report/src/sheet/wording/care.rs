//! Care of machine and floor: switches in the wrong place, the battery, and what
//! to do about each. Only what there is something to say of.
//!
//! The cautions are the usual ones of the trade in our own words; the machine's
//! and the battery's manuals and local rules always come first.

use super::{Source, events};
use crate::findings::{BatteryFinding, BatteryState, CareEvent, CareRule, ENOUGH, Place};
use crate::sheet::document::{Block, Column, Signal, Table};
use crate::sheet::figures::clock;
use crate::sheet::words::Value;
use chrono::{DateTime, Utc};
use underbrush_protocol::si::{Seconds, Volts};

/// Events listed one by one; of more, the longest.
const MOST_EVENTS: usize = 15;
/// A rule that could not be judged for longer than this is told.
const UNSEEN: Seconds = Seconds(60.0);

/// The block; empty where there is nothing to say.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let care = &source.findings.care;
    let mut blocks = Vec::new();
    if !care.events.is_empty() {
        blocks.push(Block::Table(table(source)));
    }
    let lines: Vec<String> = unjudged(source).into_iter().chain(battery(source)).collect();
    if !lines.is_empty() {
        blocks.push(Block::Text(lines));
    }
    let on_floor = |e: &CareEvent| matches!(e.rule, CareRule::Vacuum | CareRule::Water);
    if care.events.iter().any(on_floor) {
        blocks.push(Block::Signal(Signal::Warning, source.say("care-warning-slurry")));
    }
    if charging_advised(source) {
        blocks.push(Block::Signal(Signal::Warning, source.say("care-warning-charge")));
    }
    if !blocks.is_empty() {
        blocks.insert(0, Block::Heading(source.say("care-heading")));
    }
    blocks
}

fn what(rule: CareRule) -> &'static str {
    match rule {
        CareRule::Vacuum => "care-vacuum",
        CareRule::Water => "care-water",
        CareRule::Pressure => "care-pressure",
        CareRule::Head => "care-head",
        CareRule::Forbidden => "care-forbidden",
    }
}

fn to_do(rule: CareRule) -> &'static str {
    match rule {
        CareRule::Vacuum => "care-do-vacuum",
        CareRule::Water => "care-do-water",
        CareRule::Pressure => "care-do-pressure",
        CareRule::Head => "care-do-head",
        CareRule::Forbidden => "care-do-forbidden",
    }
}

fn table(source: &Source) -> Table {
    let zone = source.findings.shift.zone;
    let mut shown: Vec<&CareEvent> = source.findings.care.events.iter().collect();
    shown.sort_by(|a, b| b.held().0.total_cmp(&a.held().0));
    let hidden = shown.len().saturating_sub(MOST_EVENTS);
    let rest: Seconds = shown.iter().skip(MOST_EVENTS).map(|e| e.held()).sum();
    shown.truncate(MOST_EVENTS);
    shown.sort_by_key(|e| (e.span.from, e.rule));
    let rows = shown.iter().map(|e| {
        let mut lasted = source.figures.seconds(e.held());
        if e.cut_short {
            lasted.push('+');
        }
        let mut place = source.section_and_name(e.place);
        let others = e.places.iter().filter(|(p, _)| p.section != e.place.section).count();
        if others > 0 {
            let values = [("place", place.into()), ("count", others.into())];
            place = source.with("care-and-more", &values);
        }
        let (what, to_do) = (source.say(what(e.rule)), source.say(to_do(e.rule)));
        vec![clock(zone, e.span.from), lasted, what, place, to_do]
    });
    let columns = vec![
        Column::words(source.say("column-at"), 0.09),
        Column::decimal(source.say("column-lasted"), "s", 0.10),
        Column::words(source.say("column-what"), 0.26),
        Column::words(source.say("column-where"), 0.25),
        Column::words(source.say("column-what-to-do"), 0.30),
    ];
    let mut notes = Vec::new();
    if shown.iter().any(|e| e.cut_short) {
        notes.push(format!("+ {}", source.say("note-cut-short")));
    }
    if hidden > 0 {
        notes.push(source.longest_listed(MOST_EVENTS, hidden, rest));
    }
    Table::new(source.words(), columns, rows.collect(), notes)
}

/// Rules that could not be judged for most of the time, in one line.
fn unjudged(source: &Source) -> Option<String> {
    let name = |rule| match rule {
        CareRule::Vacuum => Some("care-name-vacuum"),
        CareRule::Water => Some("care-name-water"),
        CareRule::Pressure => Some("care-name-pressure"),
        CareRule::Head => Some("care-name-head"),
        // Unmarked work has a line of its own.
        CareRule::Forbidden => None,
    };
    let parts: Vec<String> = CareRule::ALL
        .into_iter()
        .filter_map(|rule| {
            let observed = source.findings.care.observed(rule);
            if observed.enough() || observed.of.0 - observed.seen.0 <= UNSEEN.0 {
                return None;
            }
            let seen = source.figures.percent(observed.seen.0, observed.of.0);
            Some(format!("{} {seen}", source.say(name(rule)?)))
        })
        .collect();
    (!parts.is_empty()).then(|| {
        let least = format!("{:.0} %", 100.0 * ENOUGH);
        let values = [("least", least.into()), ("parts", parts.join(", ").into())];
        source.with("care-too-little", &values)
    })
}

fn volts(source: &Source, v: Volts) -> String {
    format!("{} V", source.figures.fixed(v.0, 1))
}

fn battery(source: &Source) -> Vec<String> {
    let (found, figures) = (&source.findings.battery, &source.figures);
    let run = &found.run;
    let volts = |v| Value::from(volts(source, v));
    let mut lines = Vec::new();
    let at_rest = [
        ("battery-start", run.start),
        ("battery-end", run.end),
        ("battery-lowest", run.lowest.map(|t| t.voltage)),
    ];
    let parts: Vec<String> = at_rest
        .into_iter()
        .filter_map(|(id, v)| Some(source.with(id, &[("volts", volts(v?))])))
        .collect();
    if !parts.is_empty() {
        let parts = ("parts", parts.join(", ").into());
        lines.push(match run.resistance {
            None => source.with("battery-rest", &[parts]),
            Some(r) => {
                let drop = figures.fixed(1000.0 * r.best.0, 0);
                source.with("battery-rest-drop", &[parts, ("drop", drop.into())])
            }
        });
    }
    if let Some(t) = run.lowest_loaded {
        let id = if run.resistance.is_some() {
            "battery-load"
        } else if run.current_read {
            "battery-load-steady"
        } else {
            "battery-load-alone"
        };
        let at = clock(source.findings.shift.zone, t.at);
        lines.push(source.with(id, &[("volts", volts(t.voltage)), ("at", at.into())]));
    }
    let limits = source.machine.battery.limits();
    let low = if run.resistance.is_some() { limits.low } else { limits.under_load };
    match found.state {
        BatteryState::Deep if run.resistance.is_some() => {
            lines.push(source.with("battery-deep", &[("volts", volts(limits.deep))]));
        }
        BatteryState::Low | BatteryState::Deep => {
            lines.push(source.with("battery-low", &[("volts", volts(low))]));
        }
        BatteryState::Good | BatteryState::Unknown => {}
    }
    if found.not_full.is_some() {
        lines.push(source.with("battery-not-full", &[("volts", volts(limits.full))]));
    }
    if let Some(charge) = found.charge {
        let time = ("time", figures.duration(charge).into());
        lines.push(match found.usual {
            None => source.with("battery-charge", &[time]),
            Some(usual) => {
                let charges = source.count("count-charges", usual.charges);
                let usual = figures.duration(usual.median);
                let values = [time, ("usual", usual.into()), ("charges", charges.into())];
                source.with("battery-charge-usual", &values)
            }
        });
    }
    lines
}

fn charging_advised(source: &Source) -> bool {
    let battery = &source.findings.battery;
    battery.state >= BatteryState::Low || battery.not_full.is_some()
}

/// Lines for this morning: the battery, and one for each rule that leaves traces on the floor.
pub(super) fn morning(source: &Source) -> Vec<String> {
    let mut list = battery_tasks(source);
    let floor = [(CareRule::Vacuum, "care-task-slurry"), (CareRule::Water, "care-task-water")];
    list.extend(floor.into_iter().filter_map(|(rule, id)| {
        let mut sections = by_section(source, rule);
        sections.sort_by(|a, b| b.time.0.total_cmp(&a.time.0));
        let worst = sections.first()?;
        let place = match sections.len() - 1 {
            0 => String::new(),
            n => format!(" {}", source.count("care-task-more", n)),
        };
        Some(source.with(
            id,
            &[
                ("section", events::sentence(&source.section(worst.place)).into()),
                ("at", clock(source.findings.shift.zone, worst.first).into()),
                ("time", source.figures.duration(worst.time).into()),
                ("more", place.into()),
            ],
        ))
    }));
    list
}

/// Time of all events of one rule in one section.
struct InSection {
    place: Place,
    first: DateTime<Utc>,
    time: Seconds,
}

fn by_section(source: &Source, rule: CareRule) -> Vec<InSection> {
    let mut list: Vec<InSection> = Vec::new();
    for event in source.findings.care.of(rule) {
        for (place, time) in &event.places {
            match list.iter_mut().find(|known| known.place.section == place.section) {
                Some(known) => known.time += *time,
                None => list.push(InSection { place: *place, first: event.span.from, time: *time }),
            }
        }
    }
    list
}

fn battery_tasks(source: &Source) -> Vec<String> {
    let found = &source.findings.battery;
    let not_full = found.not_full.is_some();
    let say = |id: &str, with_volts: &str| match lowest(found) {
        None => source.say(id),
        Some(v) => source.with(with_volts, &[("volts", volts(source, v).into())]),
    };
    let mut list = Vec::new();
    match found.state {
        BatteryState::Deep => list.push(say("battery-task-deep", "battery-task-deep-volts")),
        BatteryState::Low if not_full => {
            list.push(say("battery-task-charger", "battery-task-charger-volts"));
        }
        BatteryState::Low => list.push(say("battery-task-low", "battery-task-low-volts")),
        BatteryState::Good | BatteryState::Unknown if not_full => {
            list.push(source.say("battery-task-not-full"));
        }
        BatteryState::Good | BatteryState::Unknown => {}
    }
    if found.weak {
        list.push(source.say("battery-task-weak"));
    }
    list
}

/// The lowest voltage that the battery is judged by.
fn lowest(found: &BatteryFinding) -> Option<Volts> {
    let run = &found.run;
    let trough = if run.resistance.is_some() { run.lowest } else { run.lowest_loaded };
    trough.map(|t| t.voltage)
}
