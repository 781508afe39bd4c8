//! The shift sheet: from findings to a printed page and to the same as text.
//!
//! `wording` chooses the words and rounds, `layout` gives them places on paper,
//! `pdf` writes the file and `text` prints for terminals. Nothing flows back, and
//! only `pdf` and `finish` know what a PDF is.

mod clean;
mod document;
pub(crate) mod figures;
mod finish;
mod layout;
mod map_text;
mod pdf;
mod png;
mod svg;
mod text;
mod trace_text;
mod typeface;
mod wording;
pub(crate) mod words;

#[cfg(test)]
mod tests;

use crate::events::Event;
use crate::events::cause::InTheAir;
use crate::findings::{Findings, Trace};
use crate::programme::Programme;
use crate::range::RangeFinding;
use crate::settings::site::{Language, Paper};
use crate::settings::{Book, Site};
use crate::trends::MachineTrends;
use crate::units::Units;
pub(crate) use clean::Cleaner;
use document::Document;
pub(crate) use text::wrap;
use underbrush_protocol::settings::Machine;
pub(crate) use wording::{SAFETY, TrendWords, kind_id, sign_name};

/// What may differ between two sheets of the same findings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
// Each is an option of the command line.
#[allow(clippy::struct_excessive_bools)]
pub struct SheetOptions {
    /// Units of all figures.
    pub units: Units,
    /// Paper to print on.
    pub paper: Paper,
    /// Language of all words.
    pub language: Language,
    /// Marks also in colour; every one is told apart without it.
    pub colour: bool,
    /// A page for each serious event.
    pub technician: bool,
    /// Maps, brush motors, driving and data.
    pub details: bool,
}

impl SheetOptions {
    /// As the site file wants it, without extra pages.
    pub fn of(site: &Site) -> Self {
        Self {
            units: site.units,
            paper: site.paper,
            language: site.language,
            colour: false,
            technician: false,
            details: false,
        }
    }
}

/// All that a sheet tells of.
#[derive(Clone, Copy, Debug)]
pub struct SheetInput<'a> {
    /// The building.
    pub site: &'a Site,
    /// The same shift of each machine.
    pub nights: &'a [(&'a Machine, &'a Findings)],
    /// Where the programme stands after it, and what comes next.
    pub programme: Option<&'a Programme>,
    /// What the pages for technicians tell beside the findings, one for each of `nights`;
    /// empty where none are wanted.
    pub closeups: &'a [Closeup<'a>],
}

/// What a technician's page tells of a machine's night beside its findings.
#[derive(Clone, Debug)]
pub struct Closeup<'a> {
    /// The machine's part of the shift book.
    pub book: &'a Book,
    /// Readings around serious events.
    pub traces: Vec<Trace>,
    /// What its brushes do in the air; `None`: nobody looked.
    pub air: Option<InTheAir>,
}

/// All that a page of the programme tells of.
#[derive(Clone, Copy, Debug)]
pub struct ProgrammeInput<'a> {
    /// The programme.
    pub programme: &'a Programme,
    /// The building.
    pub site: &'a Site,
    /// Its machines, in the order that the programme counts them by.
    pub machines: &'a [&'a Machine],
}

/// All that the page of one event tells of.
#[derive(Clone, Copy, Debug)]
pub struct EventInput<'a> {
    /// The building.
    pub site: &'a Site,
    /// The machine.
    pub machine: &'a Machine,
    /// Its part of the shift book.
    pub book: &'a Book,
    /// What was found of the night.
    pub findings: &'a Findings,
    /// The event.
    pub event: &'a Event,
    /// Readings around it.
    pub trace: Option<&'a Trace>,
    /// What its brushes do in the air; `None`: nobody looked.
    pub air: Option<&'a InTheAir>,
}

/// All that a summary tells of.
#[derive(Clone, Copy, Debug)]
pub struct RangeInput<'a> {
    /// The building.
    pub site: &'a Site,
    /// The machines, in the order of the finding.
    pub machines: &'a [&'a Machine],
    /// What was found.
    pub finding: &'a RangeFinding,
}

/// All that the page of slow changes tells of.
#[derive(Clone, Copy, Debug)]
pub struct TrendsInput<'a> {
    /// The building.
    pub site: &'a Site,
    /// Its machines, in the order that the trends count them by.
    pub machines: &'a [&'a Machine],
    /// What changed slowly, one for each machine.
    pub trends: &'a [MachineTrends],
}

/// The sheet of one shift, in words, ready to be printed.
#[derive(Clone, Debug)]
pub struct Sheet {
    document: Document,
}

/// Why no PDF could be made.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SheetError {
    /// The typeface inside this program cannot be read.
    #[error("the typeface `{0}` in this program is damaged; install the program again")]
    Typeface(&'static str),
    /// The picture could not be drawn.
    #[error("the picture could not be drawn: {0}; `--svg` writes the same drawing")]
    Picture(String),
    /// The PDF could not be put together.
    #[error("the PDF could not be written: {0}; `--text` prints the same sheet")]
    Write(String),
}

impl Sheet {
    /// Says in words what was found.
    pub fn build(input: &SheetInput, options: &SheetOptions) -> Self {
        Self { document: wording::document(input, *options) }
    }

    /// The summary of a week or a month.
    pub fn of_range(input: &RangeInput, options: &SheetOptions) -> Self {
        Self { document: wording::range::document(input, *options) }
    }

    /// The page of one event.
    pub fn of_event(input: &EventInput<'_>, options: &SheetOptions) -> Self {
        Self { document: wording::event_page::document(input, *options) }
    }

    /// The readings around one event as a drawing of its own, as SVG.
    pub fn event_svg(input: &EventInput<'_>, options: &SheetOptions) -> String {
        svg::write(&layout::picture(&wording::event_page::picture(input, *options)))
    }

    /// The same as PNG, 200 dots to the inch.
    pub fn event_png(
        input: &EventInput<'_>,
        options: &SheetOptions,
    ) -> Result<Vec<u8>, SheetError> {
        png::write(&layout::picture(&wording::event_page::picture(input, *options)))
    }

    /// What changed slowly.
    pub fn of_trends(input: &TrendsInput<'_>, options: &SheetOptions) -> Self {
        Self { document: wording::trends::document(input, *options) }
    }

    /// Says on top and at the foot that it takes the place of an earlier issue.
    #[must_use]
    pub fn of_issue(mut self, number: u32) -> Self {
        let document = &mut self.document;
        let words = &document.words;
        let before = number.saturating_sub(1);
        let replaces =
            words.with("issue-replaces", &[("number", number.into()), ("before", before.into())]);
        document.header.facts.push(replaces);
        let short = words.with("issue-short", &[("number", number.into())]);
        document.footer = format!("{}; {short}", document.footer);
        document.title = format!("{}; {short}", document.title);
        self
    }

    /// Says in words how far the programme is.
    pub fn programme(input: &ProgrammeInput<'_>, options: &SheetOptions) -> Self {
        Self { document: wording::programme::document(input, *options) }
    }

    /// The sheet as a PDF file. The same sheet gives the same bytes every time.
    pub fn to_pdf(&self) -> Result<Vec<u8>, SheetError> {
        pdf::write(&self.document, &layout::pages(&self.document))
    }

    /// The sheet as text, `width` characters wide where that is possible.
    pub fn to_text(&self, width: usize) -> String {
        text::print(&self.document, width)
    }
}
