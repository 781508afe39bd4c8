//! The lead's files: the site and the shift book.

pub mod book;
mod checks;
mod cross;
mod dates;
mod entries;
mod measured;
mod phase;
mod programme;
mod sections;
pub mod site;
mod stints;
pub mod table;

pub use book::Book;
pub use site::{Band, Check, Group, Language, Phase, Section, Site};
pub use stints::Stint;

use underbrush_protocol::settings::{SettingsError, did_you_mean, error_at_entry};

/// Something that a file must not say, before its line is looked up.
#[derive(Clone, Debug)]
struct Wrong {
    key: &'static str,
    entry: usize,
    message: String,
}

impl Wrong {
    /// About one key.
    fn key(key: &'static str, message: String) -> Self {
        Self::entry(key, 0, message)
    }

    /// About a key of entry number `entry`, from 0, of a list of tables.
    fn entry(key: &'static str, entry: usize, message: String) -> Self {
        Self { key, entry, message }
    }

    /// With its line.
    fn found(self, file: &str, text: &str) -> SettingsError {
        error_at_entry(file, text, self.key, self.entry, self.message)
    }
}

/// The error to stop at: that of the first line.
fn first(file: &str, wrong: Vec<SettingsError>) -> SettingsError {
    wrong.into_iter().min_by_key(|error| error.line).unwrap_or_else(|| SettingsError {
        file: file.to_owned(),
        line: None,
        key: None,
        message: "it cannot be read".to_owned(),
    })
}

/// Says that `asked` is not there, and what was probably meant.
fn unknown<'a>(
    kind: &str,
    asked: &str,
    place: &str,
    known: impl Iterator<Item = &'a str>,
) -> String {
    format!("{kind} {asked} is not {place}{}", did_you_mean(asked, known))
}
