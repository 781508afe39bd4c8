//! What was made and printed: one small file beside the sheets, written before and
//! after each step that cannot be taken back.
//!
//! A sheet is printed at most once. Its entry says `begun`, durably, before the print
//! command starts, and `done` after it has ended well. An entry that is found as `begun`
//! later is of a run that died between the two: nobody knows whether paper came out, so
//! it becomes `unclear`, is told, and is not printed again.

use super::durable;
use crate::cli::CliError;
use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Its name in the folder of the sheets.
pub(super) const NAME: &str = "underbrush-watch.json";
const FORMAT: u32 = 1;
/// Nights that are remembered.
const MOST_NIGHTS: usize = 400;

#[derive(Clone, Debug, Default, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct Content {
    format: u32,
    /// The first night that this folder is about.
    began: Option<String>,
    /// By date.
    nights: BTreeMap<String, Night>,
}

/// One night.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Night {
    /// 1, and one more each time that more logs changed the sheet.
    pub(super) issue: u32,
    /// When it was made.
    pub(super) made: String,
    /// Name of the PDF.
    pub(super) file: String,
    /// Fingerprint of the log files that it was made from.
    pub(super) logs: String,
    /// Fingerprint of the sheet without the mark of its issue.
    pub(super) sheet: String,
    pub(super) print: Print,
}

/// How far the printing is.
#[derive(Clone, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(tag = "state", rename_all = "snake_case", deny_unknown_fields)]
pub(super) enum Print {
    /// Nobody wanted it.
    NotAsked,
    /// To be printed.
    Wanted,
    /// The print command was about to start.
    Begun { issue: u32, at: String },
    /// The print command ended well.
    Done { issue: u32, at: String, said: String },
    /// Whether paper came out is not known.
    Unclear { issue: u32, since: String },
}

/// The file and what it holds.
#[derive(Debug)]
pub(super) struct State {
    path: PathBuf,
    content: Content,
}

impl State {
    /// Reads the file in `folder`, or makes it.
    pub(super) fn open(folder: &Path) -> Result<Self, CliError> {
        let path = folder.join(NAME);
        let text = match std::fs::read_to_string(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
                let state =
                    Self { path, content: Content { format: FORMAT, ..Content::default() } };
                state.save()?;
                return Ok(state);
            }
            Err(source) => {
                return Err(CliError::File { path: path.display().to_string(), source });
            }
        };
        let damaged = |why: String| CliError::State { path: path.display().to_string(), why };
        let content: Content = serde_json::from_str(&text).map_err(|e| damaged(e.to_string()))?;
        if content.format != FORMAT {
            let why = format!("its format is {}, not {FORMAT}", content.format);
            return Err(damaged(why));
        }
        if let Some(wrong) = content.began.iter().find(|d| d.parse::<NaiveDate>().is_err()) {
            return Err(damaged(format!("`{wrong}` is not a date")));
        }
        Ok(Self { path, content })
    }

    /// The first night that this folder is about.
    pub(super) fn began(&self) -> Option<NaiveDate> {
        self.content.began.as_ref().and_then(|date| date.parse().ok())
    }

    pub(super) fn begin(&mut self, date: NaiveDate) -> Result<(), CliError> {
        self.content.began = Some(date.to_string());
        self.save()
    }

    pub(super) fn night(&self, date: NaiveDate) -> Option<&Night> {
        self.content.nights.get(&date.to_string())
    }

    /// Enters a night and writes the file. Where that fails the entry holds for this run
    /// all the same, and the next writing has it.
    pub(super) fn set(&mut self, date: NaiveDate, night: Night) -> Result<(), CliError> {
        self.content.nights.insert(date.to_string(), night);
        while self.content.nights.len() > MOST_NIGHTS {
            self.content.nights.pop_first();
        }
        self.save()
    }

    /// Makes `unclear` of what a run that died had begun to print, and names it.
    pub(super) fn settle(&mut self) -> Result<Vec<(String, Night)>, CliError> {
        let mut found = Vec::new();
        for (date, night) in &mut self.content.nights {
            if let Print::Begun { issue, at } = &night.print {
                night.print = Print::Unclear { issue: *issue, since: at.clone() };
                found.push((date.clone(), night.clone()));
            }
        }
        if !found.is_empty() {
            self.save()?;
        }
        Ok(found)
    }

    fn save(&self) -> Result<(), CliError> {
        let mut text = serde_json::to_string_pretty(&self.content).map_err(|error| {
            CliError::State { path: self.path.display().to_string(), why: error.to_string() }
        })?;
        text.push('\n');
        durable::write(&self.path, text.as_bytes())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn night(print: Print) -> Night {
        let text = || "x".to_owned();
        Night { issue: 1, made: text(), file: text(), logs: text(), sheet: text(), print }
    }

    fn date(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 11, day).unwrap()
    }

    #[test]
    fn a_begun_print_is_unclear_after_a_crash_and_never_wanted_again() {
        let dir = tempfile::tempdir().unwrap();
        let mut state = State::open(dir.path()).unwrap();
        let begun = Print::Begun { issue: 1, at: "06:00".to_owned() };
        state.set(date(23), night(begun)).unwrap();
        state.set(date(24), night(Print::Wanted)).unwrap();
        let mut again = State::open(dir.path()).unwrap();
        let found = again.settle().unwrap();
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].0, "2026-11-23");
        let mut third = State::open(dir.path()).unwrap();
        assert!(matches!(third.night(date(23)).unwrap().print, Print::Unclear { issue: 1, .. }));
        assert_eq!(third.night(date(24)).unwrap().print, Print::Wanted);
        assert!(third.settle().unwrap().is_empty(), "told once");
    }

    #[test]
    fn a_damaged_file_is_refused_not_forgotten() {
        let dir = tempfile::tempdir().unwrap();
        State::open(dir.path()).unwrap();
        for text in ["", "{", "{\"format\":2,\"began\":null,\"nights\":{}}", "[]"] {
            std::fs::write(dir.path().join(NAME), text).unwrap();
            let error = State::open(dir.path()).unwrap_err().to_string();
            assert!(error.contains(NAME) && error.contains("printed"), "{error}");
        }
    }
}
