//! Where the machine was: marks from the machine and from the shift book.
//!
//! A tag says which section begins, a button which phase; each stays in force
//! until the next. The machine's marks come first: a mark of the book is used
//! only where the machine gave none within [`MACHINE_MARK_NEAR_MS`].

use super::types::{Place, PlaceSource, Problem};
use crate::settings::{Book, Site};
use crate::timeline::utc_of;
use std::collections::BTreeSet;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::time::UtcMs;

/// A mark of the book this near to one of the machine tells of the same event, in ms.
const MACHINE_MARK_NEAR_MS: i64 = 15 * 60_000;

#[derive(Clone, Copy, Debug)]
struct BookMark {
    at: i64,
    place: Place,
    line: usize,
}

/// Follows the marks.
pub(super) struct Places<'a> {
    site: &'a Site,
    book: Vec<BookMark>,
    next_book: usize,
    place: Place,
    last_machine_mark: Option<i64>,
    last_book_mark: Option<BookMark>,
    unknown: BTreeSet<String>,
    problems: Vec<Problem>,
}

fn note(message: String) -> Problem {
    Problem { data_lost: false, message }
}

impl<'a> Places<'a> {
    pub(super) fn new(site: &'a Site, book: &Book) -> Self {
        let mut problems = Vec::new();
        let mut marks = Vec::new();
        for (line, begun) in book.begun.iter().enumerate() {
            let section = site.section_by_id(&begun.section);
            if section.is_none() {
                problems.push(note(format!(
                    "The shift book begins work on section {} at {}, which the site file does not have: add it there or correct the book.",
                    begun.section, begun.at
                )));
            }
            if let Some(at) = utc_of(site.zone, begun.at, false) {
                let place = Place { section, phase: Some(begun.phase), source: PlaceSource::Book };
                marks.push(BookMark { at: at.timestamp_millis(), place, line });
            }
        }
        marks.sort_by_key(|m| (m.at, m.line));
        Self {
            site,
            book: marks,
            next_book: 0,
            place: Place::default(),
            last_machine_mark: None,
            last_book_mark: None,
            unknown: BTreeSet::new(),
            problems,
        }
    }

    /// The place at `utc`; times come in order.
    pub(super) fn at(&mut self, utc: i64) -> Place {
        while let Some(mark) = self.book.get(self.next_book).copied().filter(|m| m.at <= utc) {
            self.next_book += 1;
            self.last_book_mark = Some(mark);
            let near = self
                .last_machine_mark
                .is_some_and(|at| (mark.at - at).abs() <= MACHINE_MARK_NEAR_MS);
            if near {
                self.compare(mark.place);
            } else {
                self.place = mark.place;
            }
        }
        self.place
    }

    /// The place in force.
    pub(super) fn current(&self) -> Place {
        self.place
    }

    /// A mark at the machine.
    pub(super) fn machine(&mut self, at: UtcMs, mark: &Mark) {
        self.at(at.0);
        if self.place.source != PlaceSource::Machine {
            self.place =
                Place { source: PlaceSource::Machine, ..Place { section: None, ..self.place } };
        }
        match mark {
            Mark::Tag(tag) => {
                self.place.section = self.site.section_by_tag(*tag);
                if self.place.section.is_none() && self.unknown.insert(format!("tag {tag}")) {
                    self.problems.push(note(format!(
                        "The machine read floor tag {tag}, which no section of the site file has: the work there is listed as not marked."
                    )));
                }
            }
            Mark::Button(number) => {
                self.place.phase = self.site.buttons.get(number).copied();
                if self.place.phase.is_none() && self.unknown.insert(format!("button {number}")) {
                    self.problems.push(note(format!(
                        "Button {number} was pressed at the machine, but the site file does not say what it means."
                    )));
                }
            }
        }
        self.last_machine_mark = Some(at.0);
        let recent = self.last_book_mark.filter(|m| (at.0 - m.at).abs() <= MACHINE_MARK_NEAR_MS);
        if let (Some(mark), Some(_), Some(_)) = (recent, self.place.section, self.place.phase) {
            self.compare(mark.place);
        }
    }

    pub(super) fn into_problems(self) -> Vec<Problem> {
        self.problems
    }

    fn compare(&mut self, book: Place) {
        let differs = (self.place.section, self.place.phase) != (book.section, book.phase);
        let name = |place: &Place| {
            let section = place.section.map_or("an unknown section", |i| &self.site.sections[i].id);
            place.phase.map_or(section.to_owned(), |phase| format!("{section}, {phase}"))
        };
        let said = format!("{} against {}", name(&self.place), name(&book));
        if differs && self.unknown.insert(said) {
            self.problems.push(note(format!(
                "The machine was told {}, the shift book says {}: the machine's mark was used.",
                name(&self.place),
                name(&book)
            )));
        }
    }
}
