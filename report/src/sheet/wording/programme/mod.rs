//! The programme: where the floor stands, what to do tonight, what needs something.

mod rows;
mod summary;
mod tonight;

use crate::programme::Programme;
use crate::settings::{Phase, Site};
use crate::sheet::clean::{Cleaner, SUBSTITUTE};
use crate::sheet::document::{Block, Document, Header, Signal};
use crate::sheet::figures::Figures;
use crate::sheet::words::Value;
use crate::sheet::{ProgrammeInput, SheetOptions};
use crate::timeline::shift_of;
use underbrush_protocol::settings::Machine;

/// What the wording of the programme needs at hand.
pub(in crate::sheet) struct Told<'a> {
    pub(super) programme: &'a Programme,
    pub(super) site: &'a Site,
    pub(super) machines: &'a [&'a Machine],
    pub(super) figures: &'a Figures,
    pub(super) clean: &'a Cleaner,
}

impl Told<'_> {
    fn say(&self, id: &str) -> String {
        self.figures.words.say(id)
    }

    fn with(&self, id: &str, values: &[(&'static str, Value)]) -> String {
        self.figures.words.with(id, values)
    }

    fn section(&self, section: usize) -> String {
        self.site.sections.get(section).map_or_else(String::new, |s| self.clean.name(&s.id))
    }

    fn section_and_name(&self, section: usize) -> String {
        match self.site.sections.get(section) {
            Some(s) if !s.name.is_empty() && s.name != s.id => {
                format!("{} {}", self.clean.name(&s.id), self.clean.name(&s.name))
            }
            _ => self.section(section),
        }
    }

    /// `step 2`, `daily run`.
    fn phase(&self, phase: Phase) -> String {
        match phase {
            Phase::Maintenance => self.say("place-daily"),
            Phase::Step(number) => self.with("place-step", &[("number", number.into())]),
        }
    }

    fn machine(&self, machine: usize) -> String {
        let Some(machine) = self.machines.get(machine) else { return String::new() };
        let (name, id) = (&machine.name, &machine.id);
        if name.is_empty() || name == id {
            self.clean.name(id)
        } else {
            format!("{} ({})", self.clean.name(name), self.clean.name(id))
        }
    }

    /// A date without its year where that is the year of the night.
    fn day(&self, date: chrono::NaiveDate) -> String {
        self.figures.day(date, chrono::Datelike::year(&self.programme.date))
    }

    fn area(&self, area: underbrush_protocol::si::SquareMetres) -> String {
        format!("{} {}", self.figures.area(area), self.figures.area_unit())
    }
}

/// The programme on the sheet: the plan, how far the floor is, and what needs something.
pub(in crate::sheet) fn blocks(told: &Told<'_>) -> Vec<Block> {
    let mut blocks = tonight::blocks(told);
    blocks.push(Block::Heading(told.say("programme-heading")));
    blocks.extend(summary::blocks(told));
    blocks.extend(rows::groups(told));
    blocks.extend(rows::needing(told));
    blocks
}

/// The programme as a document of its own: the summary first, every section, the plan last.
pub(in crate::sheet) fn document(input: &ProgrammeInput<'_>, options: SheetOptions) -> Document {
    let figures = Figures::new(options.units, options.language);
    let clean = Cleaner::default();
    let ProgrammeInput { programme, site, machines } = *input;
    let told = Told { programme, site, machines, figures: &figures, clean: &clean };
    let name = clean.name(&site.name);
    let mut blocks = vec![Block::Heading(told.say("programme-summary"))];
    blocks.extend(summary::blocks(&told));
    blocks.extend(rows::groups(&told));
    blocks.extend(rows::all(&told));
    blocks.extend(tonight::blocks(&told));
    if clean.replaced() {
        let sign = SUBSTITUTE.to_string();
        let notice = told.with("sheet-unprintable", &[("sign", sign.into())]);
        blocks.push(Block::Signal(Signal::Notice, notice));
    }
    let date = figures.date(programme.date);
    let title = told
        .with("programme-title", &[("site", name.as_str().into()), ("date", date.as_str().into())]);
    let end = shift_of(site, programme.date).map(|shift| shift.span.to);
    Document {
        footer: title.clone(),
        subject: told.with("programme-subject", &[("site", name.as_str().into())]),
        dated: end.unwrap_or(chrono::DateTime::UNIX_EPOCH),
        paper: options.paper,
        colour: options.colour,
        header: Header {
            heading: told.say("programme-heading"),
            facts: vec![name, told.with("programme-as-of", &[("date", date.into())])],
        },
        blocks,
        title,
        words: figures.words.clone(),
    }
}
