//! From findings to words: what is said, in which order, and how it is rounded.

mod actions;
mod answers;
mod building;
mod care;
mod causes;
mod charts;
mod consumables;
mod coverage;
mod data;
mod driving;
pub(super) mod event_page;
mod events;
mod kinds;
mod loads;
mod orders;
mod pages;
mod place;
pub(super) mod programme;
pub(super) mod range;
mod sections;
mod segments;
mod standing;
mod steps;
mod technician;
mod trace;
mod trend_words;
pub(super) mod trends;
mod wear_remarks;
mod wrong;

use super::clean::{Cleaner, SUBSTITUTE};
use super::document::{Block, Document, Header, Signal};
use super::figures::{Figures, clock};
use super::words::{Value, Words};
use super::{SheetInput, SheetOptions};
use crate::findings::Findings;
use crate::programme::NightPlan;
use crate::settings::Site;
use crate::units::Units;
pub(crate) use causes::SAFETY;
pub(crate) use kinds::kind_id;
pub(crate) use trend_words::{TrendWords, sign_name};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::Seconds;

/// What all wording needs at hand.
struct Source<'a> {
    findings: &'a Findings,
    site: &'a Site,
    machine: &'a Machine,
    /// What the programme plans for the night that comes, one for each machine; empty: nobody
    /// looked.
    plans: &'a [NightPlan],
    /// The machine's place among the plans.
    place: usize,
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

    /// That only the longest of many stand in a table.
    fn longest_listed(&self, shown: usize, hidden: usize, rest: Seconds) -> String {
        let rest = self.figures.duration(rest);
        let values = [("shown", shown.into()), ("hidden", hidden.into()), ("rest", rest.into())];
        self.with("note-longest", &values)
    }

    fn with(&self, id: &str, values: &[(&'static str, Value)]) -> String {
        self.words().with(id, values)
    }
}

/// The whole sheet in words.
pub(super) fn document(input: &SheetInput, options: SheetOptions) -> Document {
    let figures = Figures::new(options.units, options.language);
    let sources: Vec<Source> = input
        .nights
        .iter()
        .enumerate()
        .map(|(place, (machine, findings))| Source {
            findings,
            site: input.site,
            machine,
            plans: input.programme.map_or(&[], |programme| &programme.tonight),
            place,
            units: options.units,
            figures: figures.clone(),
            clean: Cleaner::default(),
        })
        .collect();
    let Some(first) = sources.first() else { return no_machine(options, &figures) };
    let mut blocks = pages::blocks(input, &sources, options);
    let header = header(first, &sources);
    let date = first.figures.date(first.findings.shift.date);
    let machine = building::names(&sources);
    let title = first.with("sheet-title", &[("machine", machine.into()), ("date", date.into())]);
    let subject = first.with("sheet-subject", &[("site", first.site_name().into())]);
    let mut footer = title.clone();
    if sources.iter().any(|source| source.clean.replaced()) {
        let sign = SUBSTITUTE.to_string();
        let notice = first.with("sheet-unprintable", &[("sign", sign.as_str().into())]);
        blocks.push(Block::Signal(Signal::Notice, notice));
        footer =
            first.with("sheet-unprintable-foot", &[("foot", footer.into()), ("sign", sign.into())]);
    }
    let (dated, words) = (first.findings.shift.span.to, first.words().clone());
    let SheetOptions { paper, colour, .. } = options;
    Document { title, subject, dated, words, paper, colour, header, footer, blocks }
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

fn nothing_recorded(findings: &Findings) -> bool {
    let data = &findings.data;
    data.readings == 0 && data.recorded.0 <= 0.0 && findings.sections.is_empty()
}

fn header(source: &Source, all: &[Source]) -> Header {
    let shift = &source.findings.shift;
    let figures = &source.figures;
    let (zone, to) = (shift.zone, shift.span.to);
    let (begin, end) = (shift.span.from.with_timezone(&zone), to.with_timezone(&zone));
    let hours = source.with(
        "sheet-hours",
        &[
            ("first", figures.date(begin.date_naive()).into()),
            ("begin", clock(zone, shift.span.from).into()),
            ("last", figures.date(end.date_naive()).into()),
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
        facts: vec![format!("{}; {}", source.site_name(), building::names(all)), hours],
    }
}

fn heading(source: &Source, id: &str) -> Block {
    Block::Heading(source.say(id))
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
