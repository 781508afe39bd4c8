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
mod wear_remarks;
mod wrong;

use super::clean::{Cleaner, SUBSTITUTE};
use super::document::{Block, Document, Header, Signal};
use super::figures::{Figures, clock};
use super::words::{Value, Words};
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
    figures: Figures,
    clean: Cleaner,
}

impl Source<'_> {
    fn words(&self) -> &Words {
        &self.figures.words
    }

    fn say(&self, id: &str) -> String {
        self.words().say(id)
    }

    /// So many of what the message names: `3 passes`.
    fn count(&self, id: &str, count: usize) -> String {
        self.with(id, &[("count", count.into())])
    }

    fn with(&self, id: &str, values: &[(&'static str, Value)]) -> String {
        self.words().with(id, values)
    }
}

/// The whole sheet in words.
pub(super) fn document(input: &SheetInput, options: SheetOptions) -> Document {
    let figures = Figures::new(options.units, options.language);
    let mut nights = input.nights.iter();
    let first = nights.next().map(|night| night_document(input.site, *night, options, &figures));
    nights.fold(first.unwrap_or_else(|| no_machine(options, &figures)), |mut document, night| {
        let next = night_document(input.site, *night, options, &figures);
        document.blocks.push(Block::NewPage);
        document.blocks.push(Block::Heading(next.title));
        document.blocks.extend(next.blocks);
        document
    })
}

/// A sheet without any machine.
fn no_machine(options: SheetOptions, figures: &Figures) -> Document {
    let heading = figures.words.say("sheet-of-no-machine");
    Document {
        title: heading.clone(),
        subject: heading.clone(),
        dated: chrono::DateTime::UNIX_EPOCH,
        words: figures.words.clone(),
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
    figures: &Figures,
) -> Document {
    let (figures, clean) = (figures.clone(), Cleaner::default());
    let source = Source { findings, site, machine, units: options.units, figures, clean };
    let mut blocks = if nothing_recorded(findings) {
        empty_shift(&source)
    } else {
        full_shift(&source, options.details)
    };
    let header = header(&source);
    let shift = &findings.shift;
    let date = source.figures.date(shift.date);
    let machine = source.machine_name();
    let title = source.with("sheet-title", &[("machine", machine.into()), ("date", date.into())]);
    let subject = source.with("sheet-subject", &[("site", source.site_name().into())]);
    let mut footer = title.clone();
    if source.clean.replaced() {
        let sign = SUBSTITUTE.to_string();
        let notice = source.with("sheet-unprintable", &[("sign", sign.as_str().into())]);
        blocks.push(Block::Signal(Signal::Notice, notice));
        footer = source
            .with("sheet-unprintable-foot", &[("foot", footer.into()), ("sign", sign.into())]);
    }
    let (dated, words) = (shift.span.to, source.words().clone());
    let SheetOptions { paper, colour, .. } = options;
    Document { footer, title, subject, dated, words, paper, colour, header, blocks }
}

fn nothing_recorded(findings: &Findings) -> bool {
    let data = &findings.data;
    data.readings == 0 && data.recorded.0 <= 0.0 && findings.sections.is_empty()
}

fn header(source: &Source) -> Header {
    let shift = &source.findings.shift;
    let figures = &source.figures;
    let (zone, to) = (shift.zone, shift.span.to);
    let (begin, end) = (shift.span.from.with_timezone(&zone), to.with_timezone(&zone));
    let hours = source.with(
        "sheet-hours",
        &[
            ("begin-date", figures.date(begin.date_naive()).into()),
            ("begin", clock(zone, shift.span.from).into()),
            ("end-date", figures.date(end.date_naive()).into()),
            ("end", clock(zone, to).into()),
        ],
    );
    let (from, to) = (begin.format("%Z").to_string(), end.format("%Z").to_string());
    let hours = if from == to {
        format!("{hours} ({from})")
    } else {
        let length = figures.duration(shift.span.length());
        let values = [("length", length.into()), ("from", from.into()), ("to", to.into())];
        format!("{hours} ({})", source.with("sheet-clocks-change", &values))
    };
    Header {
        heading: source.with("sheet-heading", &[("date", figures.date(shift.date).into())]),
        facts: vec![format!("{}; {}", source.site_name(), source.machine_name()), hours],
    }
}

fn heading(source: &Source, id: &str) -> Block {
    Block::Heading(source.say(id))
}

/// Page 1: the answers. Page 2: events and sections, and whatever is wrong. Page 3: blades
/// and checks by hand. What only backs these up stands behind, and only where it is wanted.
fn full_shift(source: &Source, details: bool) -> Vec<Block> {
    let events = events::all(source);
    let mut blocks = glance(source, &events);
    blocks.push(Block::NewPage);
    blocks.push(heading(source, "heading-events"));
    blocks.extend(events::blocks(source, &events));
    if !details {
        blocks.extend(wrong::cautions(source));
    }
    blocks.push(heading(source, "heading-sections"));
    blocks.extend(sections::blocks(source));
    blocks.extend(care::blocks(source));
    if !details {
        blocks.extend(wrong::data(source));
    }
    blocks.extend(remarks(source));
    blocks.push(Block::NewPage);
    blocks.push(heading(source, "heading-segments"));
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
    let right = vec![heading(source, "heading-bars"), Block::Bars(Box::new(charts::bars(source)))];
    let below = vec![Block::Signal(Signal::Warning, standing::before_hands(source))];
    vec![
        heading(source, "heading-glance"),
        Block::Answers(answers::all(source, events)),
        Block::Beside { left, right, below },
        heading(source, "heading-ribbon"),
        Block::Ribbon(Box::new(charts::ribbon(source, events))),
    ]
}

/// What backs the first pages up.
fn backing(source: &Source) -> Vec<Block> {
    let mut blocks = coverage::blocks(source);
    if !source.findings.speed.by_phase.is_empty() {
        blocks.push(heading(source, "heading-speeds"));
        blocks.push(Block::Speeds(Box::new(charts::speeds(source))));
    }
    blocks.extend(driving::blocks(source));
    blocks.push(heading(source, "heading-motors"));
    blocks.extend(loads::motors(source));
    blocks.push(heading(source, "heading-data"));
    blocks.extend(data::blocks(source));
    blocks
}

fn empty_shift(source: &Source) -> Vec<Block> {
    let mut blocks = vec![
        heading(source, "heading-nothing-recorded"),
        Block::Text(vec![source.say("nothing-recorded")]),
        heading(source, "heading-what-to-check"),
        Block::Ticks(standing::when_nothing_came(source)),
    ];
    if !source.findings.data.problems.is_empty() {
        blocks.push(heading(source, "heading-problems"));
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
    vec![heading(source, "heading-remarks"), Block::Text(lines)]
}
