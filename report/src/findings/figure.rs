//! Where each figure comes from: what `underbrush why` prints.
//!
//! A *figure* is a number or a list of events on the sheet. Its description
//! stands in the file that computes it, so that model, code and explanation
//! change together.

use super::types::{Findings, Span};
use crate::settings::{Book, Site};
use chrono::{DateTime, NaiveDate, Utc};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{
    Amperes, Joules, Metres, MetresPerJoule, MetresPerSecond, Seconds, SquareMetres, Volts,
};

/// One figure and where it comes from.
#[derive(Clone, Copy, Debug)]
pub struct Figure {
    /// Its name for the command line, `area.swept`.
    pub id: &'static str,
    /// What it says, in a few words.
    pub says: &'static str,
    /// Names of the channels it reads; see `Channel::names`.
    pub channels: &'static [&'static str],
    /// Settings it uses, as `machine:deck.path_width`, `site:bands.restoration`, `book:measured`.
    pub settings: &'static [&'static str],
    /// How the numbers become the figure.
    pub formula: &'static str,
    /// Who says so: standard, book, or "common practice, no published source".
    pub source: &'static str,
    /// What was taken for granted, each a whole sentence.
    pub assumed: &'static [&'static str],
    /// The numbers of this shift. A figure has one case; a list of events one for each.
    pub worked: fn(&Known<'_>) -> Vec<Case>,
}

/// What a figure may be explained from.
#[derive(Clone, Copy, Debug)]
pub struct Known<'a> {
    /// What was found.
    pub findings: &'a Findings,
    /// The machine file.
    pub machine: &'a Machine,
    /// The site file.
    pub site: &'a Site,
    /// The shift book.
    pub book: &'a Book,
}

/// One instance of a figure with the numbers put into its formula, result last.
#[derive(Clone, Debug, Default)]
pub struct Case {
    /// What tells it from the others; empty where there is only one.
    pub title: String,
    /// Its time, where it has one: the readings of this time are printed.
    pub span: Option<Span>,
    /// Name and value of each number.
    pub numbers: Vec<(String, Amount)>,
}

impl Case {
    /// A case without name and time.
    pub fn one<const N: usize>(numbers: [(&str, Amount); N]) -> Vec<Self> {
        vec![Self::default().with(numbers)]
    }

    /// A case of an event.
    pub fn event(title: impl Into<String>, span: Span) -> Self {
        Self { title: title.into(), span: Some(span), numbers: Vec::new() }
    }

    /// The same with more numbers.
    #[must_use]
    pub fn with<const N: usize>(mut self, numbers: [(&str, Amount); N]) -> Self {
        self.numbers.extend(numbers.map(|(name, amount)| (name.to_owned(), amount)));
        self
    }
}

/// A quantity, printed in the reader's units.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub enum Amount {
    /// A duration.
    Time(Seconds),
    /// A way on the floor.
    Way(Metres),
    /// A small length: a segment, a strip.
    Length(Metres),
    /// An area.
    Area(SquareMetres),
    /// An area worked in each hour.
    AreaPerHour(SquareMetres),
    /// A speed.
    Speed(MetresPerSecond),
    /// A current.
    Current(Amperes),
    /// A voltage.
    Voltage(Volts),
    /// An energy.
    Energy(Joules),
    /// Length lost per energy.
    WearRate(MetresPerJoule),
    /// A share, 0 to 1, printed in percent.
    Share(f64),
    /// A plain number.
    Number(f64),
    /// How many.
    Count(u64),
    /// An instant.
    Instant(DateTime<Utc>),
    /// A date.
    Day(NaiveDate),
    /// Words.
    Words(String),
    /// Not known, and why.
    Unknown(&'static str),
}

impl Amount {
    /// The amount in `value`, or why there is none.
    pub fn or_unknown<T>(value: Option<T>, make: fn(T) -> Self, why: &'static str) -> Self {
        value.map_or(Self::Unknown(why), make)
    }
}

/// All figures, in the order of the sheet.
pub fn figures() -> impl Iterator<Item = &'static Figure> {
    [
        super::speed::FIGURES,
        super::stationary::FIGURES,
        super::load::FIGURES,
        super::area::FIGURES,
        super::coverage::FIGURES,
        super::steps::FIGURES,
        super::care::FIGURES,
        super::care::BATTERY_FIGURES,
        super::quality::FIGURES,
        super::wear::FIGURES,
        super::whereabouts::FIGURES,
    ]
    .into_iter()
    .flatten()
}
