//! Events for technicians: what happened in which night, one list over all findings.
//!
//! Words: an *event* is a stretch of time in which something was as it should not be, as a
//! detector found it (`protocol::detect`, `findings`); nothing is detected here. Its
//! *figure* is the number that made it an event, its *limit* what that number passed, its
//! *peak* the largest (of a low one: the smallest) reading in it.
//!
//! An event's *id* is what a person reads aloud and types: the shift's date, a dot, and its
//! number in order of begin, `2026-11-13.2`. Brush events are numbered as in the sheet's
//! table of events, so that number 3 of the sheet is `.3` here; events of other families
//! have a letter before a number of their own (`c` care, `b` battery, `s` sensing, `g`
//! gaps), so that a new family never renumbers another. With several machines the machine
//! stands between, `2026-11-13.scrubber-2.1`. An id stays the same as long as the night's
//! logs and settings do.

pub mod cause;
mod compare;
mod filter;
mod id;
mod kind;
mod list;
mod nights;
mod rows;
mod severity;
mod table;
mod trace_rows;

pub use compare::{Compared, Comparison, Fact, OfFact, compare_json, compare_text};
pub use filter::Filter;
pub use id::{IdError, Reference, machine_tags};
pub use kind::{EventKind, Family};
pub use list::{Told, list};
pub(crate) use nights::judged_or;
pub use nights::{NightEvents, night, of_findings, read};
pub use rows::{Context, Row, to_csv, to_json};
pub use severity::Severity;
pub use table::to_text;
pub use trace_rows::trace_json;

use crate::findings::{
    CareEvent, LoadFindingEvent, Place, SensorDoubt, SlipFinding, Span, StationaryFinding,
};
use chrono::NaiveDate;
use underbrush_protocol::si::Seconds;

/// A number with what it is of.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measure {
    /// What it is of, in a word or two.
    pub of: &'static str,
    /// In `unit`.
    pub value: f64,
    /// `s`, `A`, `V`, `%`, or `x` for a ratio; empty for a bare number.
    pub unit: &'static str,
}

/// One event.
#[derive(Clone, Debug, PartialEq)]
pub struct Event {
    /// See the words above.
    pub id: String,
    /// Local date on which its shift starts.
    pub night: NaiveDate,
    /// Which machine, by its place among those of the list.
    pub machine: usize,
    /// What.
    pub kind: EventKind,
    /// How bad.
    pub severity: Severity,
    /// When.
    pub span: Span,
    /// The data, not the event, ended there: it may have lasted longer.
    pub cut_short: bool,
    /// Where.
    pub place: Place,
    /// Brush motor, from 0, where it is of one.
    pub motor: Option<usize>,
    /// The largest (of a low one: the smallest) reading in it.
    pub peak: Option<Measure>,
    /// What made it an event.
    pub figure: Measure,
    /// What the figure passed, in its unit; `None`: there is no limit, as of a gap.
    pub limit: Option<f64>,
    /// How long it had to last to be one.
    pub longer_than: Option<Seconds>,
    /// The finding behind it.
    pub finding: Finding,
}

impl Event {
    /// How long it lasted.
    pub fn lasted(&self) -> Seconds {
        self.span.length()
    }
}

/// The finding behind an event.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// A brush stood.
    Stationary(StationaryFinding),
    /// Load of a motor.
    Load(LoadFindingEvent),
    /// A switch, or a forbidden floor.
    Care(CareEvent),
    /// The battery.
    Battery,
    /// A wheel slipped.
    Slip(SlipFinding),
    /// A sensor in doubt.
    Sensor(SensorDoubt),
    /// Nothing was read.
    Gap,
}
