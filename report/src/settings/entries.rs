//! The entries of the shift book.
//!
//! Each may name the machine it is about (left out: any) and who noted it.

use super::dates::{date, date_time, maybe_date};
use super::measured::Measured;
use super::phase::Phase;
use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};
use underbrush_protocol::si::Metres;

/// A set of brushes was fitted.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fitted {
    /// Local date.
    #[serde(rename = "fitted", deserialize_with = "date")]
    pub on: NaiveDate,
    /// Grit as printed on the tool.
    pub grit: String,
    /// Bonded abrasive on that day, where the tool was not new.
    #[serde(default)]
    pub length: Option<Metres>,
    /// Name of the set, where it comes off and on again.
    #[serde(default)]
    pub set: Option<String>,
    /// Local date on which it was taken off; left out: when the next one was fitted.
    #[serde(default, deserialize_with = "maybe_date")]
    pub removed: Option<NaiveDate>,
    /// The machine; left out: any.
    #[serde(default)]
    pub machine: Option<String>,
    /// Who noted it.
    #[serde(default)]
    pub by: Option<String>,
    /// Its line in the book.
    #[serde(skip)]
    pub line: usize,
}

/// Work on a section began.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Begun {
    /// Local time.
    #[serde(deserialize_with = "date_time")]
    pub at: NaiveDateTime,
    /// Section id.
    pub section: String,
    /// Step or maintenance.
    pub phase: Phase,
    /// The machine; left out: any.
    #[serde(default)]
    pub machine: Option<String>,
    /// Who noted it.
    #[serde(default)]
    pub by: Option<String>,
    /// Its line in the book.
    #[serde(skip)]
    pub line: usize,
}

/// Work that was finished without a record.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Done {
    /// Local date of the shift's start.
    #[serde(deserialize_with = "date")]
    pub date: NaiveDate,
    /// Section id.
    pub section: String,
    /// Step or maintenance.
    pub phase: Phase,
    /// The machine; left out: any.
    #[serde(default)]
    pub machine: Option<String>,
    /// Who noted it.
    #[serde(default)]
    pub by: Option<String>,
    /// Its line in the book.
    #[serde(skip)]
    pub line: usize,
}

/// Work that was to be done in a shift; the order of the entries is the order of the work.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanEntry {
    /// Local date of the shift's start.
    #[serde(deserialize_with = "date")]
    pub date: NaiveDate,
    /// Section id.
    pub section: String,
    /// Step or maintenance.
    pub phase: Phase,
    /// The machine; left out: any.
    #[serde(default)]
    pub machine: Option<String>,
    /// Who noted it.
    #[serde(default)]
    pub by: Option<String>,
    /// Its line in the book.
    #[serde(skip)]
    pub line: usize,
}

/// Who worked in a shift.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CrewEntry {
    /// Local date of the shift's start.
    #[serde(deserialize_with = "date")]
    pub date: NaiveDate,
    /// The person, by whatever name the site uses.
    pub name: String,
    /// The machine; left out: any.
    #[serde(default)]
    pub machine: Option<String>,
    /// Who noted it.
    #[serde(default)]
    pub by: Option<String>,
    /// Its line in the book.
    #[serde(skip)]
    pub line: usize,
}

/// How a check came out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum CheckResult {
    /// Done, nothing found.
    #[default]
    Done,
    /// Something needs repair or replacement.
    Bad,
    /// Left out that day.
    Skipped,
}

/// A check was made.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Checked {
    /// Local date of the shift's start.
    #[serde(deserialize_with = "date")]
    pub date: NaiveDate,
    /// Id of the check in the site file.
    pub what: String,
    /// How it came out; left out: done.
    #[serde(default)]
    pub result: CheckResult,
    /// What was found.
    #[serde(default)]
    pub text: Option<String>,
    /// The machine; left out: any.
    #[serde(default)]
    pub machine: Option<String>,
    /// Who noted it.
    #[serde(default)]
    pub by: Option<String>,
    /// Its line in the book.
    #[serde(skip)]
    pub line: usize,
}

/// A remark.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Remark {
    /// Local date of the shift's start.
    #[serde(deserialize_with = "date")]
    pub date: NaiveDate,
    /// What was noted.
    pub text: String,
    /// The machine; left out: any.
    #[serde(default)]
    pub machine: Option<String>,
    /// Who noted it.
    #[serde(default)]
    pub by: Option<String>,
    /// Its line in the book.
    #[serde(skip)]
    pub line: usize,
}

/// What all entries have.
pub(super) trait Entry {
    /// The table it stands in: `[[table]]`.
    const TABLE: &'static str;
    fn machine(&self) -> Option<&str>;
    fn line(&self) -> usize;
    fn set_line(&mut self, line: usize);
}

macro_rules! entries {
    ($($name:ident = $table:literal),+ $(,)?) => {$(
        impl Entry for $name {
            const TABLE: &'static str = $table;
            fn machine(&self) -> Option<&str> {
                self.machine.as_deref()
            }
            fn line(&self) -> usize {
                self.line
            }
            fn set_line(&mut self, line: usize) {
                self.line = line;
            }
        }
    )+};
}

entries! {
    Fitted = "tool",
    Measured = "measured",
    Begun = "begun",
    Done = "done",
    PlanEntry = "plan",
    CrewEntry = "crew",
    Checked = "check",
    Remark = "remark",
}
