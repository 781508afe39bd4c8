//! From findings to words: what is said, in which order, and how it is rounded.

mod actions;
mod answers;
mod care;
mod charts;
mod coverage;
mod data;
mod driving;
mod events;
mod loads;
mod place;
mod sections;
mod segments;
mod standing;
mod steps;
mod wrong;

use super::clean::{Cleaner, SUBSTITUTE};
use super::document::{Block, Document, Header, Signal};
use super::figures::{clock, date, duration};
use super::{SheetInput, SheetOptions};
use crate::findings::Findings;
use crate::settings::Site;
use crate::units::Units;
use underbrush_protocol::settings::Machine;

/// What all wording needs at hand.
struct Source<'a> {
    findings: &'a Findings,
    site: &'a Site,
    machine: &'a Machine,
    units: Units,
    clean: Cleaner,
}

/// The whole sheet in words.
pub(super) fn document(input: &SheetInput, options: SheetOptions) -> Document {
    let mut nights = input.nights.iter();
    let first = nights.next().map(|night| night_document(input.site, *night, options));
    nights.fold(first.unwrap_or_else(|| no_machine(options)), |mut document, night| {
        let next = night_document(input.site, *night, options);
        document.blocks.push(Block::NewPage);
        document.blocks.push(Block::Heading(next.title));
        document.blocks.extend(next.blocks);
        document
    })
}

/// A sheet without any machine.
fn no_machine(options: SheetOptions) -> Document {
    let heading = "Shift sheet of no machine".to_owned();
    Document {
        title: heading.clone(),
        subject: heading.clone(),
        dated: chrono::DateTime::UNIX_EPOCH,
        paper: options.paper,
        colour: options.colour,
        header: Header { heading: heading.clone(), facts: Vec::new() },
        footer: heading,
        blocks: Vec::new(),
    }
}

fn night_document(
    site: &Site,
    (machine, findings): (&Machine, &Findings),
    options: SheetOptions,
) -> Document {
    let source =
        Source { findings, site, machine, units: options.units, clean: Cleaner::default() };
    let mut blocks = if nothing_recorded(findings) {
        empty_shift(&source)
    } else {
        full_shift(&source, options.details)
    };
    let header = header(&source);
    let shift = &findings.shift;
    let title = format!("Shift sheet, {}, {}", source.machine_name(), date(shift.date));
    let subject = format!("Work of a floor machine at {}", source.site_name());
    let mut footer = title.clone();
    if source.clean.replaced() {
        blocks.push(Block::Signal(Signal::Notice, unprintable()));
        footer = format!("{footer}; {SUBSTITUTE} is a letter that cannot be printed here");
    }
    let (dated, paper, colour) = (shift.span.to, options.paper, options.colour);
    Document { footer, title, subject, dated, paper, colour, header, blocks }
}

fn nothing_recorded(findings: &Findings) -> bool {
    let data = &findings.data;
    data.readings == 0 && data.recorded.0 <= 0.0 && findings.sections.is_empty()
}

fn unprintable() -> String {
    format!(
        "Some names or messages hold letters that this sheet's typeface does not have, or hidden \
         characters; each is printed as {SUBSTITUTE}."
    )
}

fn header(source: &Source) -> Header {
    let shift = &source.findings.shift;
    let (zone, to) = (shift.zone, shift.span.to);
    let (begin, end) = (shift.span.from.with_timezone(&zone), to.with_timezone(&zone));
    let mut hours = format!(
        "{} {} to {} {}",
        date(begin.date_naive()),
        clock(zone, shift.span.from),
        date(end.date_naive()),
        clock(zone, to),
    );
    let (zone_from, zone_to) = (begin.format("%Z").to_string(), end.format("%Z").to_string());
    if zone_from == zone_to {
        hours = format!("{hours} ({zone_from})");
    } else {
        let length = duration(shift.span.length());
        hours = format!(
            "{hours} ({length}: clocks change in this shift from {zone_from} to {zone_to})"
        );
    }
    Header {
        heading: format!("Shift sheet, {}", date(shift.date)),
        facts: vec![format!("{}; {}", source.site_name(), source.machine_name()), hours],
    }
}

/// Page 1: the answers. Page 2: events and sections, and whatever is wrong. Page 3: blades
/// and checks by hand. What only backs these up stands behind, and only where it is wanted.
fn full_shift(source: &Source, details: bool) -> Vec<Block> {
    let events = events::all(source);
    let mut blocks = glance(source, &events);
    blocks.push(Block::NewPage);
    blocks.push(Block::Heading("Events".to_owned()));
    blocks.extend(events::blocks(source, &events));
    if !details {
        blocks.extend(wrong::cautions(source));
    }
    blocks.push(Block::Heading("Sections".to_owned()));
    blocks.extend(sections::blocks(source));
    blocks.extend(care::blocks(source));
    if !details {
        blocks.extend(wrong::data(source));
    }
    blocks.extend(remarks(source));
    blocks.push(Block::NewPage);
    blocks.push(Block::Heading("Segments".to_owned()));
    blocks.extend(segments::blocks(source));
    blocks.extend(standing::checks(source));
    if details {
        blocks.push(Block::NewPage);
        blocks.extend(backing(source));
    }
    blocks
}

/// The first page.
fn glance(source: &Source, events: &[events::Event]) -> Vec<Block> {
    let left = actions::blocks(source);
    let right = vec![
        Block::Heading("Brush time by speed".to_owned()),
        Block::Bars(Box::new(charts::bars(source))),
    ];
    let below = vec![Block::Signal(Signal::Warning, standing::BEFORE_HANDS.to_owned())];
    vec![
        Block::Heading("At a glance".to_owned()),
        Block::Answers(answers::all(source, events)),
        Block::Beside { left, right, below },
        Block::Heading("The shift over time".to_owned()),
        Block::Ribbon(Box::new(charts::ribbon(source, events))),
    ]
}

/// What backs the first pages up.
fn backing(source: &Source) -> Vec<Block> {
    let mut blocks = coverage::blocks(source);
    if !source.findings.speed.by_phase.is_empty() {
        blocks.push(Block::Heading("Time at each speed, brushes turning".to_owned()));
        blocks.push(Block::Speeds(Box::new(charts::speeds(source))));
    }
    blocks.extend(driving::blocks(source));
    blocks.push(Block::Heading("Brush motors".to_owned()));
    blocks.extend(loads::motors(source));
    blocks.push(Block::Heading("Data".to_owned()));
    blocks.extend(data::blocks(source));
    blocks
}

fn empty_shift(source: &Source) -> Vec<Block> {
    let mut blocks = vec![
        Block::Heading("Nothing was recorded in this shift".to_owned()),
        Block::Text(vec![
            "No log of this machine covers these hours. What was done on the floor is not known: \
             this page does not say that no work was done."
                .to_owned(),
        ]),
        Block::Heading("What to check".to_owned()),
        Block::Ticks(standing::when_nothing_came()),
    ];
    if !source.findings.data.problems.is_empty() {
        blocks.push(Block::Heading("Found wrong with the data".to_owned()));
        blocks.push(data::problems(source));
    }
    blocks.extend(remarks(source));
    blocks.extend(standing::checks(source));
    blocks
}

fn remarks(source: &Source) -> Vec<Block> {
    let remarks = &source.findings.remarks;
    if remarks.is_empty() {
        return Vec::new();
    }
    let lines = remarks.iter().map(|r| source.clean.message(r)).collect();
    vec![Block::Heading("Noted in the shift book".to_owned()), Block::Text(lines)]
}
