//! Where the machine was: marks from the machine, from the shift book, and assumed ones.
//!
//! A tag says which section begins, a button which phase; each stays in force
//! until the next. The machine's marks come first: a mark of the book is used
//! only where the machine gave none within [`MACHINE_MARK_NEAR_MS`]. What was assumed
//! (see `whereabouts`) comes last: it fills in what nobody told. Whoever is not
//! believed is told in a sentence, with the lines that change it.

use super::moment::Stay;
use super::types::{Place, PlaceSource, Problem};
use super::whereabouts::AssumedMark;
use crate::settings::{Book, Phase, Site};
use crate::timeline::utc_of;
use chrono::DateTime;
use std::collections::BTreeSet;
use underbrush_protocol::frame::Mark;
use underbrush_protocol::note::{Note, Told, ToldPhase};
use underbrush_protocol::settings::did_you_mean;
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
    assumed: &'a [AssumedMark],
    /// The place in force.
    place: Place,
    /// Of it, what machine or book told.
    told: Place,
    stay: Stay,
    last_machine_mark: Option<i64>,
    last_book_mark: Option<BookMark>,
    unknown: BTreeSet<String>,
    problems: Vec<Problem>,
}

fn note(message: String) -> Problem {
    Problem { data_lost: false, message }
}

impl<'a> Places<'a> {
    /// `assumed` is in order of time.
    pub(super) fn new(site: &'a Site, book: &Book, assumed: &'a [AssumedMark]) -> Self {
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
            assumed,
            place: Place::default(),
            told: Place::default(),
            stay: Stay::default(),
            last_machine_mark: None,
            last_book_mark: None,
            unknown: BTreeSet::new(),
            problems,
        }
    }

    /// The place at `utc`; times come in order.
    pub(super) fn at(&mut self, utc: i64) -> Place {
        loop {
            let book = self.book.get(self.next_book).copied().filter(|m| m.at <= utc);
            let assumed = self.assumed.first().copied().filter(|m| m.at.0 <= utc);
            match (book, assumed) {
                // At the same time what was told comes later, so that it counts.
                (Some(book), Some(assumed)) if book.at < assumed.at.0 => self.book_mark(book),
                (Some(book), None) => self.book_mark(book),
                (_, Some(assumed)) => self.assumed_mark(&assumed),
                (None, None) => return self.place,
            }
        }
    }

    /// The place in force.
    pub(super) fn current(&self) -> Place {
        self.place
    }

    /// How the place in force is known.
    pub(super) fn stay(&self) -> Stay {
        self.stay
    }

    /// A note of the log: those that tell a place count.
    pub(super) fn note(&mut self, at: UtcMs, note: &Note) {
        match note {
            Note::Mark(mark) => self.machine(at, mark),
            Note::Told(told) => self.told(at, told),
            _ => {}
        }
    }

    /// A mark at the machine.
    fn machine(&mut self, at: UtcMs, mark: &Mark) {
        self.at(at.0);
        self.begin_machine();
        match mark {
            Mark::Tag(tag) => {
                self.told.section = self.site.section_by_tag(*tag);
                if self.told.section.is_none() && self.unknown.insert(format!("tag {tag}")) {
                    self.problems.push(note(format!(
                        "The machine read floor tag {tag}, which no section of the site file has: the work there is listed as not marked."
                    )));
                }
            }
            Mark::Button(number) => {
                self.told.phase = self.site.buttons.get(number).copied();
                if self.told.phase.is_none() && self.unknown.insert(format!("button {number}")) {
                    self.problems.push(note(format!(
                        "Button {number} was pressed at the machine, but the site file does not say what it means."
                    )));
                }
            }
        }
        self.machine_told(at);
    }

    /// A mark that somebody told the machine's agent by hand.
    fn told(&mut self, at: UtcMs, told: &Told) {
        self.at(at.0);
        self.begin_machine();
        if let Some(id) = &told.section {
            self.told.section = self.site.section_by_id(id);
            if self.told.section.is_none() && self.unknown.insert(format!("section {id}")) {
                let known = self.site.sections.iter().map(|section| &*section.id);
                let hint = did_you_mean(id, known);
                self.problems.push(note(format!(
                    "The work told at {} is listed as not marked: the site file has no section {id}{}",
                    self.clock(at.0),
                    if hint.is_empty() { "." } else { &hint }
                )));
            }
        }
        match told.phase {
            Some(ToldPhase::Maintenance) => self.told.phase = Some(Phase::Maintenance),
            Some(ToldPhase::Step(number)) => self.told.phase = Some(Phase::Step(number)),
            None => {}
        }
        self.machine_told(at);
    }

    /// What the book told before holds for the phase only, until the machine tells its own.
    fn begin_machine(&mut self) {
        if self.told.source != PlaceSource::Machine {
            self.told =
                Place { source: PlaceSource::Machine, ..Place { section: None, ..self.told } };
        }
    }

    fn machine_told(&mut self, at: UtcMs) {
        self.last_machine_mark = Some(at.0);
        self.use_told(at.0);
        let recent = self.last_book_mark.filter(|m| (at.0 - m.at).abs() <= MACHINE_MARK_NEAR_MS);
        if let (Some(mark), Some(_), Some(_)) = (recent, self.told.section, self.told.phase) {
            self.compare(&mark);
        }
    }

    pub(super) fn into_problems(self) -> Vec<Problem> {
        self.problems
    }

    fn use_told(&mut self, at: i64) {
        self.place = self.told;
        self.stay = Stay { confidence: None, told_at: Some(at) };
    }

    fn book_mark(&mut self, mark: BookMark) {
        self.next_book += 1;
        self.last_book_mark = Some(mark);
        let near =
            self.last_machine_mark.is_some_and(|at| (mark.at - at).abs() <= MACHINE_MARK_NEAR_MS);
        if near {
            self.compare(&mark);
        } else {
            self.told = mark.place;
            self.use_told(mark.at);
        }
    }

    fn assumed_mark(&mut self, mark: &AssumedMark) {
        self.assumed = self.assumed.get(1..).unwrap_or_default();
        if let Some(told) = mark.against {
            self.differs(mark, told);
            return;
        }
        let fits = |told: Option<usize>| told.is_none() || told == mark.place.section;
        let phase_fits = self.told.phase.is_none() || self.told.phase == mark.place.phase;
        let machine = self.told.source == PlaceSource::Machine;
        if !machine || (fits(self.told.section) && phase_fits) {
            // Work that fits nothing that was planned stays unmarked.
            let placed = mark.place.section.is_some();
            let source = if placed { PlaceSource::Assumed } else { PlaceSource::Unmarked };
            self.place = Place { source, ..mark.place };
            self.stay.confidence = placed.then_some(mark.confidence);
        }
    }

    fn name(&self, place: &Place) -> String {
        let section = place.section.map_or("an unknown section", |i| &self.site.sections[i].id);
        place.phase.map_or(section.to_owned(), |phase| format!("{section}, {phase}"))
    }

    fn compare(&mut self, book: &BookMark) {
        let (told, said) = (self.told, book.place);
        let differs = (told.section, told.phase) != (said.section, said.phase);
        let machine_at = self.stay.told_at.unwrap_or(book.at);
        let (told_name, said_name) = (self.name(&told), self.name(&said));
        if differs && self.unknown.insert(format!("{told_name} against {said_name}")) {
            let lines = correction(self.site, book.at, &told)
                .map(|lines| format!(" If the machine is right, write into the book: {lines}."));
            self.problems.push(note(format!(
                "The machine was told {told_name} at {}, the shift book says {said_name} at {}: the machine's mark was used.{}",
                self.clock(machine_at),
                self.clock(book.at),
                lines.unwrap_or_default(),
            )));
        }
    }

    /// The plan says something else than what was told.
    fn differs(&mut self, mark: &AssumedMark, told: Place) {
        let (plan, said) = (self.name(&mark.place), self.name(&told));
        let who = match told.source {
            PlaceSource::Machine => "the machine was told",
            _ => "the shift book says",
        };
        if !self.unknown.insert(format!("{plan} by the plan, {said}, {}", mark.at.0)) {
            return;
        }
        let lines = correction(self.site, mark.at.0, &mark.place)
            .map(|lines| format!(" If the plan is right, write into the book: {lines}."));
        self.problems.push(note(format!(
            "From {} on the work fits {plan} of the plan ({:.0} % sure), but {who} {said}{}: what was told was used.{}",
            self.clock(mark.at.0),
            mark.confidence * 100.0,
            self.stay.told_at.map_or(String::new(), |at| format!(" at {}", self.clock(at))),
            lines.unwrap_or_default(),
        )));
    }

    fn clock(&self, at: i64) -> String {
        local(self.site, at).map_or("an unknown time".to_owned(), |t| t.format("%H:%M").to_string())
    }
}

fn local(site: &Site, at: i64) -> Option<chrono::NaiveDateTime> {
    Some(DateTime::from_timestamp_millis(at)?.with_timezone(&site.zone).naive_local())
}

/// The lines that tell the shift book of work begun at `at`; `None` where section or
/// phase is not known. Each line stands in quotes of its own: TOML needs them apart.
pub(crate) fn correction(site: &Site, at: i64, place: &Place) -> Option<String> {
    let section = site.sections.get(place.section?)?;
    let at = local(site, at)?.format("%Y-%m-%dT%H:%M:%S");
    let id = section.id.replace('\\', "\\\\").replace('"', "\\\"");
    Some(format!("`[[begun]]` `at = {at}` `section = \"{id}\"` `phase = \"{}\"`", place.phase?))
}

#[cfg(test)]
#[path = "place_tests.rs"]
mod tests;
