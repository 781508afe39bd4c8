//! From a table to the text of a shift book in TOML.

use super::columns::{COLUMNS, DATE, ENTRIES, ENTRY, Kind, TIME, date_key};
use super::guard::unguarded;
use super::when;
use crate::settings::unknown;
use std::fmt::Write as _;
use underbrush_protocol::settings::{SettingsError, line_of};

/// A table as TOML.
#[derive(Clone, Debug, Default)]
pub struct Converted {
    /// The shift book.
    pub toml: String,
    /// The line of the table that each line of `toml` is from.
    lines: Vec<usize>,
    /// What is wrong with cells; their rows are left out.
    pub wrong: Vec<SettingsError>,
}

impl Converted {
    /// The line of the table behind a line of the TOML text, both from 1.
    pub fn line(&self, toml_line: usize) -> usize {
        self.lines.get(toml_line.wrapping_sub(1)).copied().unwrap_or(toml_line)
    }

    fn push(&mut self, line: usize, text: &str) {
        self.toml.push_str(text);
        self.toml.push('\n');
        self.lines.push(line);
    }
}

/// A column of the file: its name and how its cells are read.
type Column = (&'static str, Kind);

struct Reading<'a> {
    file: &'a str,
    out: Converted,
}

/// Reads a table. `file` is its name for messages.
pub fn to_toml(file: &str, text: &str) -> Converted {
    let mut reading = Reading { file, out: Converted::default() };
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (skipped, body) = match text.split_once('\n') {
        Some((first, rest)) if first.trim().to_lowercase().starts_with("sep=") => (1, rest),
        _ => (0, text),
    };
    let head = body.lines().next().unwrap_or_default();
    let count = |sign: u8| head.bytes().filter(|b| *b == sign).count();
    let delimiter = *[b',', b';', b'\t'].iter().max_by_key(|sign| count(**sign)).unwrap_or(&b',');
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .from_reader(body.as_bytes());
    let mut columns: Option<Vec<Option<Column>>> = None;
    for record in reader.records() {
        match record {
            Ok(record) => {
                // The reader's own count of lines is one off behind CRLF.
                let byte = record.position().map_or(0, csv::Position::byte) as usize;
                let ends = body
                    .get(byte..)
                    .map_or(0, |rest| rest.len() - rest.trim_start_matches(['\r', '\n']).len());
                let line = skipped + line_of(body, byte + ends);
                let empty = record.iter().all(|cell| cell.trim().is_empty());
                if empty || record.get(0).is_some_and(|cell| cell.starts_with('#')) {
                    continue;
                }
                match &columns {
                    None => columns = Some(reading.head(line, &record)),
                    Some(columns) => reading.row(line, columns, &record),
                }
            }
            Err(error) => reading.wrong(None, None, format!("{error}")),
        }
    }
    reading.out
}

impl Reading<'_> {
    fn wrong(&mut self, line: Option<usize>, key: Option<&str>, message: String) {
        let (file, key) = (self.file.to_owned(), key.map(str::to_owned));
        self.out.wrong.push(SettingsError { file, line, key, message });
    }

    fn head(&mut self, line: usize, record: &csv::StringRecord) -> Vec<Option<Column>> {
        let mut found: Vec<Option<Column>> = Vec::new();
        for cell in record {
            let name = cell.trim().to_lowercase();
            let column = COLUMNS.into_iter().find(|(known, _)| *known == name);
            if column.is_none() && !name.is_empty() {
                let known = COLUMNS.iter().map(|(known, _)| *known);
                let message = unknown("column", cell.trim(), "one of a shift book", known);
                self.wrong(Some(line), None, message);
            } else if column.is_some() && found.contains(&column) {
                self.wrong(Some(line), None, format!("the column {name} is there twice"));
            }
            found.push(column);
        }
        for needed in [ENTRY, DATE] {
            if !found.iter().flatten().any(|(name, _)| *name == needed) {
                let message = format!("the first line must name the columns; there is no {needed}");
                self.wrong(Some(line), None, message);
            }
        }
        found
    }

    fn row(&mut self, line: usize, columns: &[Option<Column>], record: &csv::StringRecord) {
        let cell = |wanted: &str| {
            let at = columns.iter().position(|c| c.is_some_and(|(name, _)| name == wanted))?;
            record.get(at).filter(|cell| !cell.trim().is_empty())
        };
        let asked = cell(ENTRY).unwrap_or_default().trim().to_lowercase();
        let Some(entry) = ENTRIES.into_iter().find(|known| *known == asked) else {
            let known = ENTRIES.iter().copied();
            let message =
                unknown("entry", &asked, &format!("one of {}", ENTRIES.join(", ")), known);
            return self.wrong(Some(line), Some(ENTRY), message);
        };
        let told = self.out.wrong.len();
        let mut keys = vec![format!("[[{entry}]]")];
        if let Some(day) = cell(DATE) {
            match moment(entry, day, cell(TIME)) {
                Ok(value) => keys.push(format!("{} = {value}", date_key(entry))),
                Err((key, message)) => self.wrong(Some(line), Some(key), message),
            }
        }
        for (at, cell) in record.iter().enumerate().filter(|(_, cell)| !cell.trim().is_empty()) {
            let Some(Some((name, kind))) = columns.get(at).copied() else {
                let message = format!("cell {} has `{}`, but no column name", at + 1, cell.trim());
                self.wrong(Some(line), None, message);
                continue;
            };
            if matches!(name, ENTRY | DATE | TIME) {
                continue;
            }
            match value(kind, cell) {
                Ok(value) => keys.push(format!("{name} = {value}")),
                Err(message) => self.wrong(Some(line), Some(name), message),
            }
        }
        // Without a wrong cell the rest of its row would be told as incomplete.
        if self.out.wrong.len() == told {
            for key in &keys {
                self.out.push(line, key);
            }
        }
    }
}

/// The day of an entry, with its time where it has one; or the column at fault and why.
fn moment(entry: &str, day: &str, time: Option<&str>) -> Result<String, (&'static str, String)> {
    let day = when::date(day).map_err(|message| (DATE, message))?;
    match (entry, time) {
        ("begun", Some(time)) => {
            let time = when::time(time).map_err(|message| (TIME, message))?;
            Ok(format!("{day}T{}", time.format("%H:%M:%S")))
        }
        ("begun", None) => Err((TIME, "the time is missing; write it like 22:05".to_owned())),
        (_, None) => Ok(day.to_string()),
        (_, Some(_)) => Err((TIME, format!("{entry} has no time; only begun has one"))),
    }
}

/// A cell as TOML.
fn value(kind: Kind, cell: &str) -> Result<String, String> {
    let lengths = |cell: &str| {
        let texts: Vec<String> = cell.split('/').map(|text| quoted(&length(text))).collect();
        format!("[{}]", texts.join(", "))
    };
    Ok(match kind {
        Kind::Text => quoted(unguarded(cell)),
        Kind::Word => quoted(&cell.trim().to_lowercase()),
        Kind::Date => when::date(cell)?.to_string(),
        Kind::Number => match cell.trim().parse::<u32>() {
            Ok(number) => number.to_string(),
            Err(_) => return Err(format!("`{}` is not a whole number", cell.trim())),
        },
        Kind::Length => quoted(&length(cell)),
        Kind::Lengths => lengths(cell),
        Kind::Grid => {
            let brushes: Vec<String> = cell.split('|').map(lengths).collect();
            format!("[{}]", brushes.join(", "))
        }
    })
}

/// With a decimal point, and plain spaces.
fn length(cell: &str) -> String {
    let text = cell.trim().replace(['\u{a0}', '\u{202f}'], " ");
    match text.split_once(',') {
        Some((whole, part)) if !text.contains('.') && !part.contains(',') => {
            format!("{whole}.{part}")
        }
        _ => text,
    }
}

/// A basic string of TOML.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            '\r' => out.push_str("\\r"),
            c if c.is_control() => {
                let _ = write!(out, "\\u{:04X}", u32::from(c));
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}
