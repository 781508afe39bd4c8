//! The checks of a machine on a night: answered by the shift book, or due.
//!
//! Words: a check is *due* when it was never answered with `done`, or as many days ago as the
//! site file says, or more. `bad` stays until `done` is noted on a later day, or after it on
//! the same; `skipped` answers nothing. Only a due check needs a tick box.

use crate::settings::book::CheckResult;
use crate::settings::{Book, Site};
use chrono::{Days, NaiveDate};
use serde::{Deserialize, Serialize};

/// All checks of one machine on one night, in the order of the site file.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct CheckList {
    /// The checks.
    pub items: Vec<CheckItem>,
}

/// One check.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct CheckItem {
    /// Its id in the site file, by which the shift book answers.
    pub id: String,
    /// What to do.
    pub name: String,
    /// Days from one to the next.
    pub every: u16,
    /// The last answer that the shift book has.
    pub last: Option<LastCheck>,
    /// How it stands.
    pub state: CheckState,
}

/// The last answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct LastCheck {
    /// Night of the answer.
    pub date: NaiveDate,
    /// How it came out.
    pub result: CheckResult,
    /// What was noted.
    pub text: Option<String>,
}

/// How a check stands after a night.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum CheckState {
    /// Done in this night.
    Done,
    /// Done not long ago; it comes round on this day.
    Later {
        /// Next.
        next: NaiveDate,
    },
    /// Found bad and not noted as put right.
    Bad {
        /// When.
        since: NaiveDate,
    },
    /// To be done.
    Due {
        /// When it was last done; `None`: no `done` is in the book.
        last: Option<NaiveDate>,
    },
}

impl CheckList {
    /// The checks of the machine `id` after the night of `date`.
    pub fn of(site: &Site, book: &Book, id: &str, date: NaiveDate) -> Self {
        let own = |machine: &Option<String>| machine.as_deref().is_none_or(|m| m == id);
        let item = |check: &crate::settings::Check| {
            // The book's lists are in order of date.
            let answers = || {
                let mine = book.check.iter().filter(|c| own(&c.machine) && c.what == check.id);
                mine.filter(|c| c.date <= date && c.result != CheckResult::Skipped)
            };
            let last = answers().next_back();
            let done = answers().rfind(|c| c.result == CheckResult::Done).map(|c| c.date);
            let next = done.and_then(|d| d.checked_add_days(Days::new(check.every.into())));
            let state = match (last, next) {
                (Some(last), _) if last.result == CheckResult::Bad => {
                    CheckState::Bad { since: last.date }
                }
                _ if done == Some(date) => CheckState::Done,
                (_, Some(next)) if next > date => CheckState::Later { next },
                _ => CheckState::Due { last: done },
            };
            let last =
                last.map(|c| LastCheck { date: c.date, result: c.result, text: c.text.clone() });
            let (id, name) = (check.id.clone(), check.name.clone());
            CheckItem { id, name, every: check.every, last, state }
        };
        Self { items: site.checks.iter().map(item).collect() }
    }

    /// Those that need hands: due or bad.
    pub fn open(&self) -> impl Iterator<Item = &CheckItem> {
        let open =
            |i: &&CheckItem| matches!(i.state, CheckState::Due { .. } | CheckState::Bad { .. });
        self.items.iter().filter(open)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SITE: &str = "name = \"x\"\ntime_zone = \"UTC\"\n[shift]\nstart = \"22:00\"\nend = \"06:00\"\n\
        [[check]]\nid = \"filter\"\nname = \"Filter\"\nevery = 1\n\
        [[check]]\nid = \"battery\"\nname = \"Battery\"\nevery = 7\n";

    fn states(book: &str, day: u32) -> Vec<CheckState> {
        let site = Site::parse("site.toml", SITE).unwrap();
        let book = Book::parse("book.toml", book).unwrap();
        let date = NaiveDate::from_ymd_opt(2026, 11, day).unwrap();
        CheckList::of(&site, &book, "one", date).items.iter().map(|i| i.state).collect()
    }

    fn entry(day: u32, what: &str, more: &str) -> String {
        format!("[[check]]\ndate = 2026-11-{day:02}\nwhat = \"{what}\"\n{more}\n")
    }

    #[test]
    fn due_done_bad_and_later() {
        use CheckState::{Bad, Done, Due, Later};
        let day = |n| NaiveDate::from_ymd_opt(2026, 11, n).unwrap();
        assert_eq!(states("", 20), [Due { last: None }; 2]);
        let done = entry(20, "filter", "") + &entry(14, "battery", "");
        assert_eq!(states(&done, 20), [Done, Later { next: day(21) }]);
        assert_eq!(states(&done, 21), [Due { last: Some(day(20)) }, Due { last: Some(day(14)) }]);
        assert_eq!(states(&done, 13), [Due { last: None }; 2], "not known yet");
        let bad = done.clone() + &entry(18, "battery", "result = \"bad\"");
        assert_eq!(states(&bad, 20)[1], Bad { since: day(18) });
        let right = bad + &entry(19, "battery", "");
        assert_eq!(states(&right, 20)[1], Later { next: day(26) });
        let other =
            entry(20, "filter", "machine = \"two\"") + &entry(20, "filter", "result = \"skipped\"");
        assert_eq!(states(&other, 20)[0], Due { last: None });
    }

    #[test]
    fn a_site_without_a_list_has_the_usual_one() {
        let text = SITE.split("[[check]]").next().unwrap();
        let ids = |text: &str| -> Vec<String> {
            Site::parse("f", text).unwrap().checks.into_iter().map(|c| c.id).collect()
        };
        assert_eq!(ids(text), ["squeegee", "tank", "filter", "battery"]);
        assert!(ids(&format!("check = []\n{text}")).is_empty());
    }
}
