//! The files that a command works on.

use super::CliError;
use super::args::Files;
use crate::findings::Inputs;
use crate::logset::{LogSet, OpenSettings};
use crate::settings::{Book, Site};
use crate::timeline::utc_of;
use crate::why::SettingsText;
use std::path::Path;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::UtcMs;

/// A settings file as it was written.
struct Text {
    name: String,
    text: String,
}

impl Text {
    fn read(path: &Path) -> Result<Self, CliError> {
        let name = path.display().to_string();
        match std::fs::read_to_string(path) {
            Ok(text) => Ok(Self { name, text }),
            Err(source) => Err(CliError::File { path: name, source }),
        }
    }

    fn both(&self) -> (&str, &str) {
        (&self.name, &self.text)
    }
}

/// All files of one run, read and checked.
pub(super) struct Loaded {
    pub(super) machine: Machine,
    pub(super) site: Site,
    pub(super) book: Book,
    pub(super) logs: LogSet,
    texts: (Text, Text, Option<Text>),
}

impl Loaded {
    pub(super) fn open(files: &Files) -> Result<Self, CliError> {
        let (machine_text, site_text) = (Text::read(&files.machine)?, Text::read(&files.site)?);
        let book_text = files.book.as_deref().map(Text::read).transpose()?;
        let machine = Machine::parse(&machine_text.name, &machine_text.text)?;
        let site = Site::parse(&site_text.name, &site_text.text)?;
        let book = match &book_text {
            Some(book) => Book::parse(&book.name, &book.text)?,
            None => Book::default(),
        };
        let start = |(boot, local): &(u32, chrono::NaiveDateTime)| {
            Some((*boot, UtcMs(utc_of(site.zone, *local, false)?.timestamp_millis())))
        };
        let boot_starts = files.boots.iter().filter_map(start).collect();
        let settings = OpenSettings { machine: machine.id.clone(), boot_starts };
        let logs = LogSet::open(&files.log, &settings)?;
        Ok(Self { machine, site, book, logs, texts: (machine_text, site_text, book_text) })
    }

    pub(super) fn inputs(&self) -> Inputs<'_> {
        let Self { machine, site, book, logs, .. } = self;
        Inputs { logs, machine, site, book }
    }

    pub(super) fn texts(&self) -> SettingsText<'_> {
        let (machine, site, book) = &self.texts;
        let book = book.as_ref().map(Text::both);
        SettingsText { machine: machine.both(), site: site.both(), book }
    }
}
