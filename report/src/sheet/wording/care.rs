//! Care of machine and floor: switches in the wrong place, the battery, and what
//! to do about each. Only what there is something to say of.
//!
//! The cautions are the usual ones of the trade in our own words; the machine's
//! and the battery's manuals and local rules always come first.

use super::{Source, events};
use crate::findings::{BatteryFinding, BatteryState, CareEvent, CareRule, ENOUGH, Place};
use crate::sheet::document::{Block, Column, Signal, Table};
use crate::sheet::figures::{clock, count, duration, grouped, percent, seconds};
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
        let caution = "Slurry may hold crystalline silica: rinse and take it up wet, do not dry-sweep; \
             close off wet floor. The machine's manual and local codes decide.";
        blocks.push(Block::Signal(Signal::Warning, caution.to_owned()));
    }
    if charging_advised(source) {
        let caution = "A battery on charge can give off explosive gas: air the room, no flames, no \
             sparks. The battery's manual and local codes decide.";
        blocks.push(Block::Signal(Signal::Warning, caution.to_owned()));
    }
    if !blocks.is_empty() {
        blocks.insert(0, Block::Heading("Care of machine and floor".to_owned()));
    }
    blocks
}

fn what(rule: CareRule) -> &'static str {
    match rule {
        CareRule::Vacuum => "Vacuum off, brush turning",
        CareRule::Water => "Too little water",
        CareRule::Pressure => "Below full pressure",
        CareRule::Head => "Head up, brush turning",
        CareRule::Forbidden => "Floor never to polish",
    }
}

fn to_do(rule: CareRule) -> &'static str {
    match rule {
        CareRule::Vacuum => "Check for a haze and rinse",
        CareRule::Water => "Check floor and segments for heat marks",
        CareRule::Pressure => "Check the finish; set full pressure",
        CareRule::Head => "Lower the head before switching on",
        CareRule::Forbidden => "Inspect the floor",
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
        let mut lasted = seconds(e.held());
        if e.cut_short {
            lasted.push('+');
        }
        let mut place = source.section_and_name(e.place);
        let others = e.places.iter().filter(|(p, _)| p.section != e.place.section).count();
        if others > 0 {
            place = format!("{place} and {others} more");
        }
        let (what, to_do) = (what(e.rule).to_owned(), to_do(e.rule).to_owned());
        vec![clock(zone, e.span.from), lasted, what, place, to_do]
    });
    let columns = vec![
        Column::words("At", 0.09),
        Column::decimal("Lasted", "s", 0.10),
        Column::words("What", 0.26),
        Column::words("Where", 0.25),
        Column::words("What to do", 0.30),
    ];
    let mut notes = Vec::new();
    if shown.iter().any(|e| e.cut_short) {
        notes.push("+ readings end there: it may have lasted longer.".to_owned());
    }
    if hidden > 0 {
        notes.push(format!(
            "The {MOST_EVENTS} longest are listed; {} more, {} in all.",
            grouped(hidden as u64),
            duration(rest)
        ));
    }
    Table::new(source.words(), columns, rows.collect(), notes)
}

/// Rules that could not be judged for most of the time, in one line.
fn unjudged(source: &Source) -> Option<String> {
    let name = |rule| match rule {
        CareRule::Vacuum => Some("vacuum"),
        CareRule::Water => Some("water"),
        CareRule::Pressure => Some("pressure setting"),
        CareRule::Head => Some("head position"),
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
            let seen = percent(observed.seen.0, observed.of.0);
            Some(format!("{} {seen}", name(rule)?))
        })
        .collect();
    (!parts.is_empty()).then(|| {
        format!(
            "Too little was read to judge by (less than {:.0} % of the time brushes turned): {}.",
            100.0 * ENOUGH,
            parts.join(", ")
        )
    })
}

fn volts(v: Volts) -> String {
    if v.0.is_finite() { format!("{:.1} V", v.0) } else { "not known".to_owned() }
}

fn battery(source: &Source) -> Vec<String> {
    let (found, zone) = (&source.findings.battery, source.findings.shift.zone);
    let run = &found.run;
    let mut lines = Vec::new();
    let mut parts = Vec::new();
    let mut say = |name: &str, v: Option<Volts>| {
        if let Some(v) = v {
            parts.push(format!("{name} {}", volts(v)));
        }
    };
    say("at the start", run.start);
    say("at the end", run.end);
    say("lowest", run.lowest.map(|t| t.voltage));
    if !parts.is_empty() {
        let how = match run.resistance {
            Some(r) => format!(" (its drop of {:.0} mV per A added)", 1000.0 * r.best.0),
            None => String::new(),
        };
        lines.push(format!("Battery at rest: {}{how}.", parts.join(", ")));
    }
    if let Some(t) = run.lowest_loaded {
        let alone = if run.resistance.is_some() {
            ""
        } else if run.current_read {
            "; its current hardly changed, so rest was not worked out"
        } else {
            "; its current is not recorded, so rest is not known at work"
        };
        let at = clock(zone, t.at);
        lines.push(format!("Battery under load: lowest {} at {at}{alone}.", volts(t.voltage)));
    }
    let limits = source.machine.battery.limits();
    let low = if run.resistance.is_some() { limits.low } else { limits.under_load };
    match found.state {
        BatteryState::Deep if run.resistance.is_some() => lines.push(format!(
            "It was discharged too deep (below {} at rest), which shortens its life.",
            volts(limits.deep)
        )),
        BatteryState::Low | BatteryState::Deep => {
            lines.push(format!("It was low (below {}).", volts(low)));
        }
        BatteryState::Good | BatteryState::Unknown => {}
    }
    if found.not_full.is_some() {
        let full = volts(limits.full);
        lines.push(format!("It was not full when the shift began (full from {full} at rest)."));
    }
    if let Some(charge) = found.charge {
        let usual = found.usual.map_or_else(String::new, |u| {
            format!("; usual {} ({})", duration(u.median), count(u.charges, "charge", "charges"))
        });
        lines
            .push(format!("Brush time from full to low at this use: {}{usual}.", duration(charge)));
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
    let floor = [
        (CareRule::Vacuum, "slurry left", "check, rinse"),
        (CareRule::Water, "little water", "look for heat marks"),
    ];
    list.extend(floor.into_iter().filter_map(|(rule, what, to_do)| {
        let mut sections = by_section(source, rule);
        sections.sort_by(|a, b| b.time.0.total_cmp(&a.time.0));
        let worst = sections.first()?;
        let more = match sections.len() - 1 {
            0 => String::new(),
            n => format!(" and in {n} more"),
        };
        Some(format!(
            "{} ({}): {what} {}{more}: {to_do}.",
            events::sentence(&source.section(worst.place)),
            clock(source.findings.shift.zone, worst.first),
            duration(worst.time)
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
    let fell = lowest(found).map_or_else(String::new, |v| format!(", {}", volts(v)));
    let not_full = found.not_full.is_some();
    let mut list = Vec::new();
    match found.state {
        BatteryState::Deep => list.push(format!("Charge the battery at once: too deep{fell}.")),
        BatteryState::Low if not_full => {
            list.push(format!("Battery low{fell}, not full at start: check charger."));
        }
        BatteryState::Low => list.push(format!("Charge the battery to full: low{fell}.")),
        BatteryState::Good | BatteryState::Unknown if not_full => {
            list.push("Battery not full at the start: check the charger.".to_owned());
        }
        BatteryState::Good | BatteryState::Unknown => {}
    }
    if found.weak {
        list.push("A charge gives less than usual: have the battery tested.".to_owned());
    }
    list
}

/// The lowest voltage that the battery is judged by.
fn lowest(found: &BatteryFinding) -> Option<Volts> {
    let run = &found.run;
    let trough = if run.resistance.is_some() { run.lowest } else { run.lowest_loaded };
    trough.map(|t| t.voltage)
}
