//! Events in order of time: brushes that turned while standing, stalls and
//! over-pressure, and what to do about each.

use super::{Source, loads};
use crate::findings::{LoadFindingEvent, Place, Severity, Span, StationaryFinding};
use crate::sheet::document::{Block, Column, MarkKind, Table};
use crate::sheet::figures::{clock, duration, energy, passes, seconds};

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
pub(super) fn remedy(severity: Severity) -> &'static str {
    match severity {
        Severity::Slight => "glance at the spot",
        Severity::Inspect => "look for a ring",
        Severity::Severe => "expect a ring or dish",
    }
}

fn bad(source: &Source, event: &Event) -> String {
    match event {
        Event::Stationary(e) => {
            let severity = match e.severity {
                Severity::Slight => "slight",
                Severity::Inspect => "inspect",
                Severity::Severe => "severe",
            };
            let energy = e.friction_energy.map_or_else(|| "energy not known".to_owned(), energy);
            format!("{severity}: {} passes, {energy}", passes(e.equivalent_passes))
        }
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => loads::bad(source, e),
    }
}

fn what(event: &Event) -> &'static str {
    match event {
        Event::Stationary(_) => "Stood, brush turning",
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => loads::what(e),
    }
}

fn to_do(event: &Event) -> String {
    match event {
        Event::Stationary(e) => sentence(remedy(e.severity)),
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => loads::advice_sentence(e),
    }
}

/// First letter large.
pub(super) fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_uppercase().chain(letters).collect())
}

/// The table of events.
pub(super) fn blocks(source: &Source, events: &[Event]) -> Vec<Block> {
    if events.is_empty() {
        let text = if source.findings.data.observed.0 > 0.0 {
            format!("None in {} of observed time.", duration(source.findings.data.observed))
        } else {
            "Not known: nothing was observed.".to_owned()
        };
        return vec![Block::Text(vec![text])];
    }
    let zone = source.findings.shift.zone;
    let rows = events
        .iter()
        .enumerate()
        .map(|(i, event)| {
            let mut lasted = seconds(event.span().length());
            if event.cut_short() {
                lasted.push('+');
            }
            vec![
                (i + 1).to_string(),
                clock(zone, event.span().from),
                lasted,
                what(event).to_owned(),
                source.section_and_name(event.place()),
                bad(source, event),
                to_do(event),
            ]
        })
        .collect();
    let columns = vec![
        Column::decimal("No.", "", 0.045),
        Column::words("At", 0.07),
        Column::decimal("Lasted", "s", 0.08),
        Column::words("What", 0.18),
        Column::words("Where", 0.18),
        Column::words("How bad", 0.24),
        Column::words("What to do", 0.205),
    ];
    let mut notes = Vec::new();
    if events.iter().any(Event::cut_short) {
        notes.push("+ readings end there: it may have lasted longer.".to_owned());
    }
    if !source.findings.stationary.is_empty() {
        notes.push(
            "Passes: as much grinding on that spot as so many passes at the middle of the band. \
             Slight: less than a quarter of the passes of one whole step; inspect: up to a whole \
             step; severe: more. These limits are our own choice."
                .to_owned(),
        );
    }
    vec![Block::Table(Table::new(source.words(), columns, rows, notes))]
}
