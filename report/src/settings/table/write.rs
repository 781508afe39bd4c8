//! From the text of a shift book in TOML to a table.

use super::columns::{COLUMNS, DATE, ENTRY, Kind, TIME, date_key};
use super::guard::guarded;
use std::collections::BTreeMap;
use underbrush_protocol::settings::{SettingsError, Spanned, Value, parse};

/// Why there is no table.
#[derive(Debug, thiserror::Error)]
pub enum TableError {
    /// The shift book is off.
    #[error(transparent)]
    Settings(#[from] SettingsError),
    /// It cannot be written.
    #[error("the table cannot be written: {0}")]
    Csv(#[from] csv::Error),
}

type Entry = BTreeMap<String, Value>;

/// The shift book as a table, one row an entry in the order of the file. Comments are not kept.
pub fn to_table(file: &str, toml: &str, separator: u8) -> Result<String, TableError> {
    // The rules of a book come first: what they let pass has a place in the table.
    crate::settings::Book::parse(file, toml)?;
    let tables: BTreeMap<String, Vec<Spanned<Entry>>> = parse(file, toml)?;
    let mut rows: Vec<(usize, &str, &Entry)> = tables
        .iter()
        .flat_map(|(name, list)| {
            list.iter().map(|entry| (entry.span().start, name.as_str(), entry.get_ref()))
        })
        .collect();
    rows.sort_by_key(|(at, ..)| *at);
    let mut writer = csv::WriterBuilder::new()
        .delimiter(separator)
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    writer.write_record(COLUMNS.map(|(name, _)| name))?;
    for (_, name, entry) in rows {
        writer.write_record(COLUMNS.map(|column| cell(name, entry, column)))?;
    }
    let bytes = writer.into_inner().map_err(|error| csv::Error::from(error.into_error()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn cell(name: &str, entry: &Entry, (column, kind): (&str, Kind)) -> String {
    match column {
        ENTRY => return name.to_owned(),
        DATE | TIME => return moment(entry.get(date_key(name)), column == TIME),
        _ => {}
    }
    let Some(value) = entry.get(column) else { return String::new() };
    match (kind, value) {
        (Kind::Text, Value::String(text)) => {
            guarded(&text.replace("\r\n", "\n").replace('\r', "\n"))
        }
        (Kind::Grid, Value::Array(brushes)) => {
            brushes.iter().map(lengths).collect::<Vec<_>>().join(" | ")
        }
        (Kind::Lengths, list) => lengths(list),
        (_, Value::String(text)) => text.trim().to_owned(),
        (_, Value::Integer(number)) => number.to_string(),
        (_, Value::Datetime(day)) => day.to_string(),
        // No key of a book holds anything else: `parse` above let it pass.
        _ => String::new(),
    }
}

/// Day or time of `2026-11-23T22:05:00`, a date of TOML or a quoted one.
fn moment(value: Option<&Value>, time: bool) -> String {
    let text = match value {
        Some(Value::String(text)) => text.clone(),
        Some(Value::Datetime(moment)) => moment.to_string(),
        _ => return String::new(),
    };
    let (day, at) = text.split_once(['T', ' ', 't']).unwrap_or((&text, ""));
    if time { at.to_owned() } else { day.to_owned() }
}

fn lengths(list: &Value) -> String {
    let texts = list.as_array().into_iter().flatten().filter_map(Value::as_str);
    texts.map(str::trim).collect::<Vec<_>>().join(" / ")
}
