//! What there is to show.

use super::lane::Lane;
use crate::events::Event;
use crate::findings::Span;
use crate::settings::site::Language;
use crate::sheet::words::Words;
use chrono::NaiveDate;
use chrono_tz::Tz;

/// What is still being read.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Waiting {
    /// The readings of the whole night: what is shown was read alone.
    pub overview: bool,
    /// The events.
    pub events: bool,
}

/// A night of one machine.
#[derive(Clone, Debug)]
pub struct Scene {
    /// Building and machine.
    pub title: String,
    /// Local date on which its shift starts.
    pub night: NaiveDate,
    /// The building's time zone.
    pub zone: Tz,
    /// From when to when it can be looked at.
    pub extent: Span,
    /// From top to bottom.
    pub lanes: Vec<Lane>,
    /// In order of begin.
    pub events: Vec<Event>,
    /// What is still to come.
    pub waiting: Waiting,
    /// Nothing at all was recorded.
    pub empty: bool,
    /// Of all words but names.
    pub language: Language,
}

impl Scene {
    /// All words in its language.
    pub(super) fn words(&self) -> Words {
        Words::new(self.language)
    }
}

/// Whether marks come also in colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Colours {
    /// Bold, dim and reversed only.
    None,
    /// Sixteen colours of the terminal's own choice.
    Sixteen,
}
