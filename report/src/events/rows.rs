//! The list as rows: the same fields for JSON and for spreadsheets.
//!
//! Times are UTC, lengths seconds; `figure`, `limit` and `peak` are in the unit beside
//! them. What is not known is `null`, in CSV an empty cell. Keys are only ever added; one
//! that changes its meaning raises `version`. `report/schema/events.json` describes the
//! JSON, `report/JSON.md` names the fields.

use super::{Event, Measure};
use crate::settings::Site;
use crate::settings::table::guarded;
use chrono::{DateTime, NaiveDate, SecondsFormat, Utc};
use serde::Serialize;
use underbrush_protocol::settings::Machine;

/// Raised when a key changes its meaning.
const VERSION: u32 = 1;

/// What the rows need beside the events.
#[derive(Clone, Copy, Debug)]
pub struct Context<'a> {
    /// The building.
    pub site: &'a Site,
    /// Its machines, in the order that events count them by.
    pub machines: &'a [&'a Machine],
}

#[derive(Serialize)]
struct Whole<'a> {
    format: &'static str,
    version: u32,
    site: &'a str,
    zone: &'static str,
    from: NaiveDate,
    to: NaiveDate,
    events: Vec<Row<'a>>,
}

/// One event; the keys are those of JSON and the columns of CSV.
#[derive(Clone, Debug, Serialize)]
pub struct Row<'a> {
    id: &'a str,
    night: NaiveDate,
    machine: &'a str,
    kind: &'static str,
    family: &'static str,
    severity: &'static str,
    begin: DateTime<Utc>,
    end: DateTime<Utc>,
    length_s: f64,
    cut_short: bool,
    section: Option<&'a str>,
    section_name: Option<&'a str>,
    phase: Option<String>,
    motor: Option<usize>,
    figure: &'static str,
    figure_value: Option<f64>,
    figure_unit: &'static str,
    limit: Option<f64>,
    longer_than_s: Option<f64>,
    peak: Option<&'static str>,
    peak_value: Option<f64>,
    peak_unit: Option<&'static str>,
}

/// Names of the columns.
const HEAD: [&str; 22] = [
    "id",
    "night",
    "machine",
    "kind",
    "family",
    "severity",
    "begin",
    "end",
    "length_s",
    "cut_short",
    "section",
    "section_name",
    "phase",
    "motor",
    "figure",
    "figure_value",
    "figure_unit",
    "limit",
    "longer_than_s",
    "peak",
    "peak_value",
    "peak_unit",
];

impl<'a> Row<'a> {
    /// Of one event. Motors are counted from 1 here, as on the sheet.
    pub fn of(event: &'a Event, context: Context<'a>) -> Self {
        let machine = context.machines.get(event.machine);
        let section = event.place.section.and_then(|i| context.site.sections.get(i));
        let known = |measure: &Measure| Some(measure.value).filter(|value| value.is_finite());
        Self {
            id: &event.id,
            night: event.night,
            machine: machine.map_or("", |machine| machine.id.as_str()),
            kind: event.kind.word(),
            family: event.kind.family().word(),
            severity: event.severity.word(),
            begin: event.span.from,
            end: event.span.to,
            length_s: event.lasted().0,
            cut_short: event.cut_short,
            section: section.map(|section| section.id.as_str()),
            section_name: section.map(|section| section.name.as_str()),
            phase: event.place.phase.map(|phase| phase.to_string()),
            motor: event.motor.map(|motor| motor + 1),
            figure: event.figure.of,
            figure_value: known(&event.figure),
            figure_unit: event.figure.unit,
            limit: event.limit.filter(|limit| limit.is_finite()),
            longer_than_s: event.longer_than.map(|time| time.0),
            peak: event.peak.map(|peak| peak.of),
            peak_value: event.peak.as_ref().and_then(known),
            peak_unit: event.peak.map(|peak| peak.unit),
        }
    }

    fn cells(&self) -> [String; HEAD.len()] {
        let time = |at: DateTime<Utc>| at.to_rfc3339_opts(SecondsFormat::Millis, true);
        let number = |value: Option<f64>| value.map_or(String::new(), |value| value.to_string());
        [
            guarded(self.id),
            self.night.to_string(),
            guarded(self.machine),
            self.kind.to_owned(),
            self.family.to_owned(),
            self.severity.to_owned(),
            time(self.begin),
            time(self.end),
            self.length_s.to_string(),
            self.cut_short.to_string(),
            self.section.map_or(String::new(), guarded),
            self.section_name.map_or(String::new(), text),
            self.phase.clone().unwrap_or_default(),
            self.motor.map_or(String::new(), |motor| motor.to_string()),
            self.figure.to_owned(),
            number(self.figure_value),
            self.figure_unit.to_owned(),
            number(self.limit),
            number(self.longer_than_s),
            self.peak.unwrap_or_default().to_owned(),
            number(self.peak_value),
            self.peak_unit.unwrap_or_default().to_owned(),
        ]
    }
}

/// An empty text is an empty cell here.
fn text(text: &str) -> String {
    if text.is_empty() { String::new() } else { guarded(text) }
}

/// The list as JSON.
pub fn to_json(
    events: &[&Event],
    (from, to): (NaiveDate, NaiveDate),
    context: Context<'_>,
) -> String {
    let rows = events.iter().map(|event| Row::of(event, context)).collect();
    let whole = Whole {
        format: "underbrush events",
        version: VERSION,
        site: &context.site.name,
        zone: context.site.zone.name(),
        from,
        to,
        events: rows,
    };
    // Only names as keys and finite numbers: nothing here can fail.
    let text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    format!("{text}\n")
}

/// The list for spreadsheets: comma, CRLF, quotes as RFC 4180; text that a spreadsheet
/// would take for a formula is guarded as in the shift book.
pub fn to_csv(events: &[&Event], context: Context<'_>) -> String {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Writing to memory cannot fail, and every row is as long as the head.
    let _ = writer.write_record(HEAD);
    for event in events {
        let _ = writer.write_record(Row::of(event, context).cells());
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}
