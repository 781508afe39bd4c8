//! Sections and their steps as one flat table.
//!
//! One row for each step of each section; a floor that is never polished, or a site
//! without steps, has one row with empty step columns. Comma, CRLF, quotes as RFC 4180.
//! Text that a spreadsheet would take for a formula is guarded as in the shift book.

use super::Told;
use super::rows::{SectionRow, StepRow};
use crate::settings::table::guarded;
use chrono::NaiveDate;

const HEAD: [&str; 26] = [
    "section",
    "name",
    "group",
    "area_m2",
    "state",
    "restored",
    "refreshed",
    "refresh_due_since",
    "maintained",
    "maintenance_due_on",
    "maintenance",
    "step",
    "required_min",
    "in_band_min",
    "missing_min",
    "assumed_min",
    "extra_min",
    "too_early_min",
    "brush_min",
    "passes",
    "mean_speed_m_s",
    "first",
    "last",
    "nights",
    "done",
    "operators",
];

/// The sections as a table for spreadsheets.
pub fn to_csv(told: Told<'_>) -> String {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Writing to memory cannot fail, and every row is as long as the head.
    let _ = writer.write_record(HEAD);
    for state in &told.programme.sections {
        let Some(row) = SectionRow::of(told.site, state) else { continue };
        let steps: Vec<Option<&StepRow>> = match row.state {
            "never polish" => vec![None],
            _ if row.steps.is_empty() => vec![None],
            _ => row.steps.iter().map(Some).collect(),
        };
        for step in steps {
            let _ = writer.write_record(cells(&row, step));
        }
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}

fn cells(row: &SectionRow<'_>, step: Option<&StepRow<'_>>) -> [String; 26] {
    let upkeep = row.maintenance.as_ref();
    let number = |of: fn(&StepRow<'_>) -> f64| step.map_or(String::new(), |s| of(s).to_string());
    let missing = |s: &StepRow<'_>| match s.done {
        Some(_) => 0.0,
        None => (s.required_min - s.in_band_min).max(0.0),
    };
    [
        guarded(row.id),
        text(row.name),
        row.group.map_or(String::new(), text),
        row.area_m2.to_string(),
        row.state.to_owned(),
        day(row.restored),
        day(row.refreshed),
        day(row.refresh_due_since),
        day(upkeep.and_then(|upkeep| upkeep.last)),
        day(upkeep.map(|upkeep| upkeep.due_on)),
        upkeep.map_or("", |upkeep| upkeep.standing).to_owned(),
        step.map_or(String::new(), |s| s.number.to_string()),
        number(|s| s.required_min),
        number(|s| s.in_band_min),
        number(missing),
        number(|s| s.assumed_min),
        number(|s| s.extra_min),
        number(|s| s.too_early_min),
        number(|s| s.brush_min),
        number(|s| s.passes),
        step.and_then(|s| s.mean_speed_m_s).map_or(String::new(), |speed| speed.to_string()),
        day(step.and_then(|s| s.first)),
        day(step.and_then(|s| s.last)),
        step.map_or(String::new(), |s| s.nights.to_string()),
        day(step.and_then(|s| s.done)),
        text(&step.map_or(String::new(), |s| s.operators.join("; "))),
    ]
}

/// An empty text is an empty cell here.
fn text(text: &str) -> String {
    if text.is_empty() { String::new() } else { guarded(text) }
}

fn day(date: Option<NaiveDate>) -> String {
    date.map_or(String::new(), |date| date.to_string())
}
