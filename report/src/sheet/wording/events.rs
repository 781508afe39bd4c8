//! Events in order of time: brushes that turned while standing, stalls and
//! over-pressure, and what to do about each.

use super::{Source, loads};
use crate::findings::{LoadFindingEvent, Place, Severity, Span, StationaryFinding};
use crate::sheet::document::{Block, Column, MarkKind, Table};
use crate::sheet::figures::clock;

/// One event; its number on the sheet is its place in the list, from 1.
#[derive(Clone, Copy)]
pub(super) enum Event<'a> {
    Stationary(&'a StationaryFinding),
    Stall(&'a LoadFindingEvent),
    OverPressure(&'a LoadFindingEvent),
    OtherLoad(&'a LoadFindingEvent),
}

impl Event<'_> {
    pub(super) fn span(&self) -> Span {
        match self {
            Self::Stationary(e) => e.span,
            Self::Stall(e) | Self::OverPressure(e) | Self::OtherLoad(e) => e.span,
        }
    }

    pub(super) fn kind(&self) -> MarkKind {
        match self {
            Self::Stationary(_) => MarkKind::Stationary,
            Self::Stall(_) => MarkKind::Stall,
            Self::OverPressure(_) => MarkKind::OverPressure,
            Self::OtherLoad(_) => MarkKind::Other,
        }
    }

    fn place(&self) -> Place {
        match self {
            Self::Stationary(e) => e.place,
            Self::Stall(e) | Self::OverPressure(e) | Self::OtherLoad(e) => e.place,
        }
    }

    fn cut_short(&self) -> bool {
        match self {
            Self::Stationary(e) => e.cut_short,
            Self::Stall(e) | Self::OverPressure(e) | Self::OtherLoad(e) => e.cut_short,
        }
    }
}

/// All events in order of begin.
pub(super) fn all<'a>(source: &Source<'a>) -> Vec<Event<'a>> {
    let load = &source.findings.load;
    let mut events: Vec<Event> = source.findings.stationary.iter().map(Event::Stationary).collect();
    events.extend(load.stalls.iter().map(Event::Stall));
    events.extend(load.over_pressure.iter().map(Event::OverPressure));
    events.extend(load.others.iter().map(Event::OtherLoad));
    events.sort_by_key(|e| e.span().from);
    events
}

/// What a lead does about a spot.
pub(super) fn remedy(source: &Source, severity: Severity) -> String {
    source.say(match severity {
        Severity::Slight => "events-glance",
        Severity::Inspect => "events-look",
        Severity::Severe => "events-expect",
    })
}

fn bad(source: &Source, event: &Event) -> String {
    match event {
        Event::Stationary(e) => {
            let energy = e.friction_energy.map_or_else(
                || source.say("events-energy-unknown"),
                |energy| source.figures.energy(energy),
            );
            let id = match e.severity {
                Severity::Slight => "events-slight",
                Severity::Inspect => "events-inspect",
                Severity::Severe => "events-severe",
            };
            let passes = source.figures.passes(e.equivalent_passes);
            source.with(id, &[("passes", passes.into()), ("energy", energy.into())])
        }
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => loads::bad(source, e),
    }
}

fn what(source: &Source, event: &Event) -> String {
    match event {
        Event::Stationary(_) => source.say("events-stood"),
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => loads::what(source, e),
    }
}

fn to_do(source: &Source, event: &Event) -> String {
    match event {
        Event::Stationary(e) => sentence(&remedy(source, e.severity)),
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => {
            loads::advice_sentence(source, e)
        }
    }
}

/// First letter large.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// The table of events.
pub(super) fn blocks(source: &Source, events: &[Event]) -> Vec<Block> {
    numbered(source, events, 1)
}

/// The table of events whose first has this number on the sheet.
pub(super) fn numbered(source: &Source, events: &[Event], first: usize) -> Vec<Block> {
    if events.is_empty() {
        let text = if source.findings.data.observed.0 > 0.0 {
            let time = source.figures.duration(source.findings.data.observed);
            source.with("events-none", &[("time", time.into())])
        } else {
            source.say("events-unknown")
        };
        return vec![Block::Text(vec![text])];
    }
    let zone = source.findings.shift.zone;
    let rows = events
        .iter()
        .enumerate()
        .map(|(i, event)| {
            let mut lasted = source.figures.seconds(event.span().length());
            if event.cut_short() {
                lasted.push('+');
            }
            vec![
                (i + first).to_string(),
                clock(zone, event.span().from),
                lasted,
                what(source, event),
                source.section_and_name(event.place()),
                bad(source, event),
                to_do(source, event),
            ]
        })
        .collect();
    let columns = vec![
        Column::decimal(source.say("column-number"), "", 0.045),
        Column::words(source.say("column-at"), 0.07),
        Column::decimal(source.say("column-lasted"), "s", 0.08),
        Column::words(source.say("column-what"), 0.18),
        Column::words(source.say("column-where"), 0.18),
        Column::words(source.say("events-how-bad"), 0.24),
        Column::words(source.say("column-what-to-do"), 0.205),
    ];
    let mut notes = Vec::new();
    if events.iter().any(Event::cut_short) {
        notes.push(format!("+ {}", source.say("note-cut-short")));
    }
    if events.iter().any(|event| matches!(event, Event::Stationary(_))) {
        notes.push(source.say("events-note"));
    }
    vec![Block::Table(Table::new(source.words(), columns, rows, notes))]
}
