//! When a set of brushes was on the machine.
//!
//! A *stint* begins with an entry `[[tool]]` and ends with its `removed`, else with the next
//! tool fitted. A set with a name (`set = "1500-B"`) may come off and on again: its stints
//! belong together, and its lengths and energy count only within them. A tool without a
//! name has one stint. One tool is on at a time; on a day with two entries the last counts.

use super::book::Book;
use super::entries::Fitted;
use super::measured::Measured;
use chrono::NaiveDate;

/// From the day of fitting to the day before `until`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stint {
    /// First day on the machine.
    pub from: NaiveDate,
    /// First day no longer on it; `None`: it is on.
    pub until: Option<NaiveDate>,
}

impl Stint {
    /// Whether it was on the machine that day.
    pub fn holds(&self, date: NaiveDate) -> bool {
        self.from <= date && self.until.is_none_or(|until| date < until)
    }
}

impl Book {
    /// The stints of a tool of this book, in order.
    pub fn stints(&self, tool: &Fitted) -> Vec<Stint> {
        let same = |other: &Fitted| match (&tool.set, &other.set) {
            (Some(a), Some(b)) => a == b && tool.grit == other.grit,
            _ => tool.line == other.line && tool.on == other.on,
        };
        let mine = self.tool.iter().enumerate().filter(|(_, other)| same(other));
        mine.map(|(at, one)| {
            let next = self.tool.get(at + 1).map(|next| next.on);
            let until = one.removed.into_iter().chain(next).min();
            Stint { from: one.on, until }
        })
        .collect()
    }

    /// The first entry of a tool: its own, or that of the set's first stint.
    pub fn first_fitting<'a>(&'a self, tool: &'a Fitted) -> &'a Fitted {
        let stints = self.stints(tool);
        let first = |other: &&Fitted| {
            other.set == tool.set && stints.first().is_some_and(|stint| stint.from == other.on)
        };
        self.tool.iter().find(first).filter(|_| tool.set.is_some()).unwrap_or(tool)
    }

    /// The lengths of a tool up to a day: measured on it by name, or while it was on, or on the
    /// day it came off.
    pub fn lengths_of(&self, tool: &Fitted, to: NaiveDate) -> Vec<&Measured> {
        let stints = self.stints(tool);
        let there = |date: NaiveDate| {
            let last_day = |stint: &Stint| stint.until == Some(date);
            // A tool fitted on that day takes the measurement, as long as no name says otherwise.
            let other_began = self.tool.iter().any(|other| other.on == date);
            stints.iter().any(|s| s.holds(date) || (last_day(s) && !other_began))
        };
        let mine = |m: &&Measured| match &m.set {
            Some(set) => tool.set.as_ref() == Some(set),
            None => there(m.date),
        };
        self.measured.iter().filter(|m| m.date <= to).filter(mine).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const BOOK: &str = "
[[tool]]
fitted = 2026-11-01
grit = \"1500\"
set = \"B\"
[[tool]]
fitted = 2026-11-05
grit = \"100\"
removed = 2026-11-08
[[tool]]
fitted = 2026-11-10
grit = \"1500\"
set = \"B\"
[[measured]]
date = 2026-11-04
length = \"1 in\"
[[measured]]
date = 2026-11-06
length = \"0.5 in\"
[[measured]]
date = 2026-11-07
length = \"0.9 in\"
set = \"B\"
[[measured]]
date = 2026-11-08
length = \"0.4 in\"
[[measured]]
date = 2026-11-12
length = \"0.8 in\"
";

    #[test]
    fn a_set_keeps_its_own_days_and_lengths() {
        let day = |n| NaiveDate::from_ymd_opt(2026, 11, n).unwrap();
        let book = Book::parse("book.toml", BOOK).unwrap();
        let (first, other) = (&book.tool[0], &book.tool[1]);
        let stints =
            [Stint { from: day(1), until: Some(day(5)) }, Stint { from: day(10), until: None }];
        assert_eq!(book.stints(first), stints);
        assert_eq!(book.stints(other), [Stint { from: day(5), until: Some(day(8)) }]);
        let on = |n| stints.iter().any(|s| s.holds(day(n)));
        assert_eq!([on(4), on(5), on(9), on(10)], [true, false, false, true]);
        let days = |tool, to| -> Vec<u32> {
            let found = book.lengths_of(tool, day(to));
            found.iter().map(|m| chrono::Datelike::day(&m.date)).collect()
        };
        assert_eq!(days(first, 30), [4, 7, 12]);
        assert_eq!(days(first, 7), [4, 7]);
        assert_eq!(days(other, 30), [6, 8], "the last on the day it came off");
    }
}
