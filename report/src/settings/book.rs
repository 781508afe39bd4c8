//! The shift book: what people noted by hand.

pub use super::entries::{Begun, CheckResult, Checked, CrewEntry, Done, Fitted, PlanEntry, Remark};
pub use super::measured::{Lengths, Measured, QUADRANTS};

use super::entries::Entry;
use super::first;
use super::table::to_toml;
use chrono::NaiveDate;
use serde::Deserialize;
use std::path::Path;
use underbrush_protocol::settings::{SettingsError, Spanned, line_in_entry, line_of, parse_all};

/// The whole file, each list in order of date.
#[derive(Clone, Debug, Default)]
pub struct Book {
    /// Its name, for messages.
    pub file: String,
    /// What in it is doubtful, each a whole sentence for the sheet; filled by who compares it.
    pub doubts: Vec<String>,
    /// Tools fitted.
    pub tool: Vec<Fitted>,
    /// Segment lengths measured.
    pub measured: Vec<Measured>,
    /// Work begun, where the machine was not told.
    pub begun: Vec<Begun>,
    /// Work finished without a record.
    pub done: Vec<Done>,
    /// What was meant to be done, in order.
    pub plan: Vec<PlanEntry>,
    /// Who worked.
    pub crew: Vec<CrewEntry>,
    /// Checks made.
    pub check: Vec<Checked>,
    /// Anything else.
    pub remark: Vec<Remark>,
}

#[derive(Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
struct BookFile {
    tool: Vec<Spanned<Fitted>>,
    measured: Vec<Spanned<Measured>>,
    begun: Vec<Spanned<Begun>>,
    done: Vec<Spanned<Done>>,
    plan: Vec<Spanned<PlanEntry>>,
    crew: Vec<Spanned<CrewEntry>>,
    check: Vec<Spanned<Checked>>,
    remark: Vec<Spanned<Remark>>,
}

/// The entries with their lines.
fn lined<T: Entry>(text: &str, entries: Vec<Spanned<T>>) -> Vec<T> {
    let with_line = |entry: Spanned<T>| {
        let line = line_of(text, entry.span().start);
        let mut entry = entry.into_inner();
        entry.set_line(line);
        entry
    };
    entries.into_iter().map(with_line).collect()
}

impl Book {
    /// Reads a shift book. `file` is its name for messages.
    pub fn parse(file: &str, text: &str) -> Result<Self, SettingsError> {
        match Self::check(file, text) {
            (book, wrong) if wrong.is_empty() => Ok(book),
            (_, wrong) => Err(first(file, wrong)),
        }
    }

    /// What can be read of a shift book, and all that is wrong with it. A file that is named
    /// `.csv` is a table, any other TOML.
    pub fn check(file: &str, text: &str) -> (Self, Vec<SettingsError>) {
        let is_table = Path::new(file).extension().is_some_and(|e| e.eq_ignore_ascii_case("csv"));
        if !is_table {
            return Self::check_toml(file, text);
        }
        let table = to_toml(file, text);
        let (mut book, mut wrong) = Self::check_toml(file, &table.toml);
        book.for_each_line(|line| table.line(line));
        for error in &mut wrong {
            error.line = error.line.map(|line| table.line(line));
        }
        wrong.extend(table.wrong);
        wrong.sort_by_key(|error| error.line);
        (book, wrong)
    }

    fn check_toml(file: &str, text: &str) -> (Self, Vec<SettingsError>) {
        let (raw, mut wrong) = parse_all::<BookFile>(file, text);
        let raw = raw.unwrap_or_default();
        let mut book = Self {
            file: file.to_owned(),
            doubts: Vec::new(),
            tool: lined(text, raw.tool),
            measured: lined(text, raw.measured),
            begun: lined(text, raw.begun),
            done: lined(text, raw.done),
            plan: lined(text, raw.plan),
            crew: lined(text, raw.crew),
            check: lined(text, raw.check),
            remark: lined(text, raw.remark),
        };
        for tool in &book.tool {
            let mut say = |key: &str, message: &str| {
                let key_line = line_in_entry(text, tool.line, key);
                let key = format!("tool.{key}");
                wrong.push(book.wrong(key_line, &key, message.to_owned()));
            };
            if tool.length.is_some_and(|length| length.0 <= 0.0) {
                say("length", "must be more than 0; leave it out for a new tool");
            }
            if tool.removed.is_some_and(|removed| removed < tool.on) {
                say("removed", "must not be before the day it was fitted");
            }
        }
        book.sort();
        (book, wrong)
    }

    /// An error about a key of this book.
    pub(super) fn wrong(&self, line: usize, key: &str, message: String) -> SettingsError {
        SettingsError {
            file: self.file.clone(),
            line: Some(line),
            key: Some(key.to_owned()),
            message,
        }
    }

    fn for_each_line(&mut self, line: impl Fn(usize) -> usize) {
        fn of<T: Entry>(entries: &mut [T], line: &impl Fn(usize) -> usize) {
            for entry in entries {
                entry.set_line(line(entry.line()));
            }
        }
        of(&mut self.tool, &line);
        of(&mut self.measured, &line);
        of(&mut self.begun, &line);
        of(&mut self.done, &line);
        of(&mut self.plan, &line);
        of(&mut self.crew, &line);
        of(&mut self.check, &line);
        of(&mut self.remark, &line);
    }

    /// By date; entries of one date stay as they are written.
    fn sort(&mut self) {
        self.tool.sort_by_key(|t| t.on);
        self.measured.sort_by_key(|m| m.date);
        self.begun.sort_by_key(|b| b.at);
        self.done.sort_by_key(|d| d.date);
        self.plan.sort_by_key(|p| p.date);
        self.crew.sort_by_key(|c| c.date);
        self.check.sort_by_key(|c| c.date);
        self.remark.sort_by_key(|r| r.date);
    }

    /// The entries of one machine: its own, and those that name none.
    #[must_use]
    pub fn for_machine(&self, id: &str) -> Self {
        fn of<T: Entry + Clone>(entries: &[T], id: &str) -> Vec<T> {
            entries.iter().filter(|entry| is_of(*entry, id)).cloned().collect()
        }
        Self {
            file: self.file.clone(),
            doubts: self.doubts.clone(),
            tool: of(&self.tool, id),
            measured: of(&self.measured, id),
            begun: of(&self.begun, id),
            done: of(&self.done, id),
            plan: of(&self.plan, id),
            crew: of(&self.crew, id),
            check: of(&self.check, id),
            remark: of(&self.remark, id),
        }
    }

    /// The names of the crew in the shift of `date` on a machine, as they are written.
    pub fn crew_on(&self, date: NaiveDate, machine_id: &str) -> Vec<&str> {
        let there = self.crew.iter().filter(|c| c.date == date && is_of(*c, machine_id));
        there.map(|c| c.name.as_str()).collect()
    }

    /// What was meant to be done in the shift of `date` by a machine, in order.
    pub fn plan_on(&self, date: NaiveDate, machine_id: &str) -> Vec<&PlanEntry> {
        self.plan.iter().filter(|p| p.date == date && is_of(*p, machine_id)).collect()
    }

    /// The tool that was on the machine on `date`: the last one fitted by then, unless it was
    /// taken off before that day.
    pub fn tool_on(&self, date: NaiveDate) -> Option<&Fitted> {
        let last = self.tool.iter().rev().find(|tool| tool.on <= date)?;
        last.removed.is_none_or(|removed| removed > date).then_some(last)
    }

    /// Where an entry stands, for messages: `book.toml, line 31`.
    pub fn at(&self, line: usize) -> String {
        format!("{}, line {line}", self.file)
    }
}

/// Whether an entry is about a machine: it names it, or none.
fn is_of(entry: &impl Entry, machine_id: &str) -> bool {
    entry.machine().is_none_or(|machine| machine == machine_id)
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "
[[crew]]
date = 2026-11-23
name = \"Anna\"
[[crew]]
date = 2026-11-23
machine = \"two\"
name = \"Ben\"
[[tool]]
fitted = 2026-11-02
grit = \"1500\"
removed = 2026-11-10
[[plan]]
date = 2026-11-23
section = \"B\"
phase = \"step 2\"
by = \"lead\"
[[plan]]
date = 2026-11-23
section = \"A\"
phase = \"step 1\"
[[check]]
date = 2026-11-23
what = \"filter\"
[[done]]
date = 2026-11-20
section = \"A\"
phase = \"maintenance\"
";

    #[test]
    fn entries_know_their_lines_and_their_machine() {
        let book = Book::parse("book.toml", TEXT).unwrap();
        let lines: Vec<usize> = book.plan.iter().map(|p| p.line).collect();
        assert_eq!((lines, book.tool[0].line), (vec![13, 18], 9));
        assert_eq!(book.at(book.done[0].line), "book.toml, line 25");
        let day = NaiveDate::from_ymd_opt(2026, 11, 23).unwrap();
        assert_eq!(book.crew_on(day, "one"), ["Anna"]);
        assert_eq!(book.crew_on(day, "two"), ["Anna", "Ben"]);
        let order: Vec<&str> = book.plan_on(day, "one").iter().map(|p| &*p.section).collect();
        assert_eq!(order, ["B", "A"]);
        assert_eq!(book.for_machine("one").crew.len(), 1);
        assert_eq!(book.check[0].result, CheckResult::Done);
    }

    #[test]
    fn a_tool_taken_off_is_off() {
        let book = Book::parse("book.toml", TEXT).unwrap();
        let on = |day| book.tool_on(NaiveDate::from_ymd_opt(2026, 11, day).unwrap()).is_some();
        assert_eq!([on(1), on(2), on(9), on(10)], [false, true, true, false]);
        let late = TEXT.replace("2026-11-10", "2026-11-01");
        let said = Book::parse("book.toml", &late).unwrap_err().to_string();
        assert!(said.starts_with("book.toml, line 12, key `tool.removed`: "), "{said}");
    }
}
