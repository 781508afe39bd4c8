//! Rules shared by all TOML files, and the machine file.
//!
//! Parsing text is done here; reading files is the caller's.

mod all;
pub mod machine;
mod quantity;
mod suggest;

pub use all::parse_all;
pub use machine::Machine;
pub use quantity::{QuantityError, parse_quantity};
pub use suggest::did_you_mean;
/// A date or time as TOML writes it.
pub use toml::value::Datetime;
/// Any value, and a value with its place in the text.
pub use toml::{Spanned, Value};

use serde::de::DeserializeOwned;
use std::fmt;

/// What is wrong in a settings file, and where.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SettingsError {
    /// The file's name, as the caller gave it.
    pub file: String,
    /// Line, from 1; `None` if it concerns the whole file.
    pub line: Option<usize>,
    /// The key, with its table: `deck.path_width`.
    pub key: Option<String>,
    /// What is wrong and what to do.
    pub message: String,
}

impl fmt::Display for SettingsError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ", line {line}")?;
        }
        if let Some(key) = &self.key {
            write!(f, ", key `{key}`")?;
        }
        write!(f, ": {}", self.message)
    }
}

impl std::error::Error for SettingsError {}

/// The longest settings file, in bytes: a shift book of some 15,000 remarks. Parsing
/// takes many times the memory of the text.
pub const MAX_TEXT: usize = 1 << 20;

/// Reads a settings file. `file` is only its name for messages.
pub fn parse<T: DeserializeOwned>(file: &str, text: &str) -> Result<T, SettingsError> {
    if text.len() > MAX_TEXT {
        let message = format!(
            "it has {} bytes, a settings file at most {MAX_TEXT}: is it the right file?",
            text.len()
        );
        return Err(SettingsError { file: file.to_owned(), line: None, key: None, message });
    }
    toml::from_str(text).map_err(|error| error_of(file, text, &error))
}

/// An error of the TOML reader with its place.
fn error_of(file: &str, text: &str, error: &toml::de::Error) -> SettingsError {
    let at = error.span().map(|span| span.start.min(text.len()));
    SettingsError {
        file: file.to_owned(),
        line: at.map(|at| line_of(text, at)),
        key: at.and_then(|at| key_at(text, at)),
        message: suggest::friendly(error.message()),
    }
}

/// An error about `key` (`table.name`) found after parsing; looks its line up.
pub fn error_at(file: &str, text: &str, key: &str, message: impl Into<String>) -> SettingsError {
    error_at_entry(file, text, key, 0, message)
}

/// The same for `key` of entry number `entry` (from 0) of a list of tables (`[[table]]`).
pub fn error_at_entry(
    file: &str,
    text: &str,
    key: &str,
    entry: usize,
    message: impl Into<String>,
) -> SettingsError {
    SettingsError {
        file: file.to_owned(),
        line: find_key(text, key, entry),
        key: Some(key.to_owned()),
        message: message.into(),
    }
}

/// The lines that set `key` (`table.name`, or a whole `table`), with their numbers from 1.
/// Tables of a list (`[[table]]`) all count. Empty where the file does not set it.
pub fn quote<'a>(text: &'a str, key: &str) -> Vec<(usize, &'a str)> {
    let (parent, name) = key.rsplit_once('.').map_or((None, key), |(t, n)| (Some(t), n));
    let mut table = None;
    let mut found = Vec::new();
    for (i, line) in text.lines().enumerate() {
        if let Some(name) = table_name(line) {
            table = Some(name);
        } else if let Some(here) = line_key(line) {
            let inside = table.is_some_and(|t| {
                t == key || t.strip_prefix(key).is_some_and(|rest| rest.starts_with('.'))
            });
            if inside || (table == parent && here == name) {
                found.push((i + 1, line.trim()));
            }
        }
    }
    found
}

/// The line of byte `at`, from 1.
pub fn line_of(text: &str, at: usize) -> usize {
    let at = at.min(text.len());
    text.as_bytes()[..at].split(|b| *b == b'\n').count()
}

fn table_name(line: &str) -> Option<&str> {
    let name = line.trim().strip_prefix('[')?.split(']').next()?;
    Some(name.trim_start_matches('[').trim())
}

fn line_key(line: &str) -> Option<&str> {
    let (key, _) = line.split_once('=')?;
    let key = key.trim();
    (!key.is_empty() && !key.starts_with('#')).then_some(key)
}

/// The key on the line that holds byte `at`, with the table above it.
fn key_at(text: &str, at: usize) -> Option<String> {
    let number = line_of(text, at);
    let table = text.lines().take(number).filter_map(table_name).last();
    let key = text.lines().nth(number - 1).and_then(line_key);
    match (table, key) {
        (Some(table), Some(key)) => Some(format!("{table}.{key}")),
        (Some(one), None) | (None, Some(one)) => Some(one.to_owned()),
        (None, None) => None,
    }
}

/// The line of `key` in table number `entry` of its name; the table's own line where it lacks the key.
fn find_key(text: &str, key: &str, entry: usize) -> Option<usize> {
    let (table, name) = key.rsplit_once('.').map_or((None, key), |(t, n)| (Some(t), n));
    let mut inside = table.is_none();
    let (mut seen, mut head) = (0, None);
    for (i, line) in text.lines().enumerate() {
        if let Some(found) = table_name(line) {
            inside = Some(found) == table && seen == entry;
            seen += usize::from(Some(found) == table);
            head = if inside { Some(i + 1) } else { head };
        } else if inside && line_key(line) == Some(name) {
            return Some(i + 1);
        }
    }
    head
}

/// The line of `key` in the table that begins at `line` (from 1); `line` where it lacks the key.
pub fn line_in_entry(text: &str, line: usize, key: &str) -> usize {
    let body = text.lines().enumerate().skip(line);
    let mut body = body.take_while(|(_, l)| table_name(l).is_none());
    body.find(|(_, l)| line_key(l) == Some(key)).map_or(line, |(at, _)| at + 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Debug, serde::Deserialize)]
    #[serde(deny_unknown_fields)]
    #[allow(dead_code)]
    struct File {
        deck: Deck,
    }

    #[derive(Debug, serde::Deserialize)]
    #[serde(deny_unknown_fields)]
    #[allow(dead_code)]
    struct Deck {
        path_width: crate::si::Metres,
    }

    fn message(text: &str) -> String {
        parse::<File>("machine.toml", text).unwrap_err().to_string()
    }

    #[test]
    fn errors_name_file_line_and_key() {
        let bare = message("# hi\n[deck]\npath_width = 28\n");
        assert!(bare.starts_with("machine.toml, line 3, key `deck.path_width`: "), "{bare}");
        assert!(bare.contains("unit"), "{bare}");
        let unit = message("[deck]\npath_width = \"28 lb\"\n");
        assert!(unit.contains("`lb`") && unit.contains("in"), "{unit}");
        let unknown = message("[deck]\npath_width = \"28 in\"\npath_with = 1\n");
        assert!(unknown.starts_with("machine.toml, line 3, key `deck.path_with`: "), "{unknown}");
        let missing = message("[deck]\n");
        assert!(missing.contains("path_width"), "{missing}");
        let broken = message("[deck\n");
        assert!(broken.starts_with("machine.toml, line 1"), "{broken}");
    }

    #[test]
    fn lines_of_a_key_and_of_a_table() {
        let text =
            "a = 1\n[x]\na = 2 # two\nb = 3\n# a = 9\n[[y]]\nc = 4\n[[y]]\nc = 5\n[x.z]\nd = 6\n";
        assert_eq!(quote(text, "a"), [(1, "a = 1")]);
        assert_eq!(quote(text, "x.a"), [(3, "a = 2 # two")]);
        assert_eq!(quote(text, "y"), [(7, "c = 4"), (9, "c = 5")]);
        assert_eq!(quote(text, "x"), [(3, "a = 2 # two"), (4, "b = 3"), (11, "d = 6")]);
        assert_eq!(quote(text, "x.q"), []);
    }

    #[test]
    fn later_errors_find_their_line() {
        let text = "a = 1\n[x]\na = 2\n[y]\na = 3\n";
        assert_eq!(error_at("f", text, "y.a", "no").to_string(), "f, line 5, key `y.a`: no");
        assert_eq!(error_at("f", text, "a", "no").line, Some(1));
        let list = "[[s]]\nid = 1\n[[s]]\nid = 2\n[[s]]\nx = 3\n";
        assert_eq!(error_at_entry("f", list, "s.id", 1, "no").line, Some(4));
        assert_eq!(error_at_entry("f", list, "s.id", 2, "no").line, Some(5), "the table's line");
        assert_eq!(error_at("f", list, "t.id", "no").line, None);
    }
}
