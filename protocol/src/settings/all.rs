//! Reads a settings file on after an error, so that all errors are told at once.
//!
//! The TOML reader stops at the first key that it cannot take. That key is told and
//! cut out of the table, and the table is read again, until it reads or until what
//! is cut would be the whole file. Where a cut leaves a required key missing, that
//! is our doing and not told; the entry around it is cut then. Nor is it told where the
//! table has a key that is not known: most of the time that is the missing one misspelt.

use super::{MAX_TEXT, SettingsError, error_of, parse};
use serde::de::DeserializeOwned;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue, Deserializer, Error};

/// More errors than this in one file are not looked for: it is another kind of file.
const MOST: usize = 100;

/// What could be read of a file, and all that is wrong with it, in order of lines. The value is
/// `None` where nothing sensible remains.
pub fn parse_all<T: DeserializeOwned>(file: &str, text: &str) -> (Option<T>, Vec<SettingsError>) {
    let first = match parse(file, text) {
        Ok(value) => return (Some(value), Vec::new()),
        Err(error) => error,
    };
    if text.len() > MAX_TEXT {
        return (None, vec![first]);
    }
    let (mut table, broken) = DeTable::parse_recoverable(text);
    if !broken.is_empty() {
        // What stands behind a broken line may be read as something else: only the lines are told.
        let told = broken.iter().map(|error| error_of(file, text, error)).collect();
        return (None, in_order(told));
    }
    let mut told = Vec::new();
    let mut cut = Vec::new();
    while cut.len() < MOST {
        match T::deserialize(Deserializer::from(table.clone())) {
            Ok(value) => return (Some(value), in_order(told)),
            Err(error) => {
                if !caused_by(&cut, &error) {
                    told.push(error_of(file, text, &error));
                }
                let whole = table.span();
                let mut found = error.span().and_then(|at| remove(table.get_mut(), whole, &at));
                let Some(cut_here) = found.as_mut() else { break };
                cut_here.unknown = error.message().starts_with("unknown field");
                cut.extend(found);
            }
        }
    }
    (None, in_order(told))
}

fn in_order(mut told: Vec<SettingsError>) -> Vec<SettingsError> {
    told.sort_by_key(|error| error.line);
    told.dedup();
    told
}

/// A key that was cut out.
struct Cut {
    /// Where its table stands.
    table: Range<usize>,
    key: String,
    unknown: bool,
}

/// Whether an error about a whole table comes from a cut in it.
fn caused_by(cut: &[Cut], error: &Error) -> bool {
    let mut here = cut.iter().filter(|cut| error.span().as_ref() == Some(&cut.table));
    let missing = error.message().strip_prefix("missing field `");
    match missing.and_then(|rest| rest.split('`').next()) {
        Some(key) => here.any(|cut| cut.unknown || cut.key == key),
        None => here.next().is_some(),
    }
}

/// Takes the innermost key or entry that covers `at` out of the table that stands at `own`.
fn remove(table: &mut DeTable<'_>, own: Range<usize>, at: &Range<usize>) -> Option<Cut> {
    let mut covering = None;
    for (key, value) in table.iter_mut() {
        let inside = value.span();
        let inner = match value.get_mut() {
            DeValue::Table(inner) => remove(inner, inside, at),
            DeValue::Array(list) => list.iter_mut().find_map(|entry| {
                let inside = entry.span();
                match entry.get_mut() {
                    DeValue::Table(inner) => remove(inner, inside, at),
                    _ => None,
                }
            }),
            _ => None,
        };
        if inner.is_some() {
            return inner;
        }
        if covers(&key.span(), at) || covers(&value.span(), at) || has_entry(value, at) {
            covering = Some(key.get_ref().to_string());
        }
    }
    let key = covering?;
    let cut = |key| Some(Cut { table: own.clone(), key, unknown: false });
    // Of a list of tables only the entry goes.
    if let Some(DeValue::Array(list)) = table.get_mut(key.as_str()).map(Spanned::get_mut) {
        let tables = list.iter().all(|entry| matches!(entry.get_ref(), DeValue::Table(_)));
        let place = list.iter().position(|entry| covers(&entry.span(), at));
        if let (true, Some(place)) = (tables, place) {
            let others = list.iter().enumerate().filter(|(other, _)| *other != place);
            *list = others.map(|(_, entry)| entry.clone()).collect();
            return cut(key);
        }
    }
    table.remove(key.as_str());
    cut(key)
}

fn has_entry(value: &Spanned<DeValue<'_>>, at: &Range<usize>) -> bool {
    match value.get_ref() {
        DeValue::Array(list) => list.iter().any(|entry| covers(&entry.span(), at)),
        _ => false,
    }
}

fn covers(span: &Range<usize>, at: &Range<usize>) -> bool {
    span.start <= at.start && at.end <= span.end
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::si::Metres;

    #[derive(Debug, serde::Deserialize)]
    #[serde(deny_unknown_fields)]
    #[allow(dead_code)]
    struct File {
        name: Option<String>,
        #[serde(default)]
        part: Vec<Part>,
        deck: Option<Part>,
    }

    #[derive(Debug, serde::Deserialize)]
    #[serde(deny_unknown_fields)]
    #[allow(dead_code)]
    struct Part {
        id: String,
        length: Metres,
    }

    #[test]
    fn all_errors_at_once() {
        let text = "name = 3\n[[part]]\nid = \"a\"\nlenght = \"1 m\"\n[[part]]\nid = \"b\"\n\
                    length = \"1 m\"\n[deck]\nid = \"d\"\nlength = 4\n[[part]]\nid = 7\n\
                    length = \"2 lb\"\n[[part]]\nid = \"c\"\n";
        let (read, told) = parse_all::<File>("f", text);
        let told: Vec<String> = told.iter().map(ToString::to_string).collect();
        let begins = [
            "f, line 1, key `name`: invalid type",
            "f, line 4, key `part.lenght`: unknown key `lenght`; did you mean `length`?",
            "f, line 10, key `deck.length`: ",
            "f, line 12, key `part.id`: ",
            "f, line 13, key `part.length`: unknown unit `lb`",
            "f, line 14, key `part`: the key `length` is missing",
        ];
        assert_eq!(told.len(), begins.len(), "{told:#?}");
        for (told, begin) in told.iter().zip(begins) {
            assert!(told.starts_with(begin), "{told}");
        }
        let ids: Vec<String> = read.unwrap().part.into_iter().map(|p| p.id).collect();
        assert_eq!(ids, ["b"], "what is whole remains");
    }

    #[test]
    fn broken_lines_are_all_told() {
        let (read, told) =
            parse_all::<File>("f", "name = \n[[part]]\nid = \"a\nlength = \"1 m\"\n");
        assert!(read.is_none());
        let lines: Vec<_> = told.iter().filter_map(|error| error.line).collect();
        assert!(lines.contains(&1) && lines.contains(&3), "{told:#?}");
        let (read, told) = parse_all::<File>("f", "name = \"x\"\n");
        assert!(read.is_some() && told.is_empty());
    }
}
