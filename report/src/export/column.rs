//! What a column of a table is: the data dictionary is made of these.

use crate::units::{METRES_PER_FOOT, METRES_PER_INCH, METRES_PER_SECOND_PER_MPH};
use crate::units::{SQUARE_METRES_PER_SQUARE_FOOT, Units};

/// Type of a column's values. A value is missing only where the column says when.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// An instant, UTC, to the millisecond.
    Time,
    /// A local date.
    Date,
    /// Text that people wrote.
    Text,
    /// A word or an id of the program's own.
    Word,
    /// A number of 32 bits, as sensors' values are computed.
    Float,
    /// A number of 64 bits.
    Double,
    /// A whole number.
    Whole,
    /// Yes or no.
    Flag,
}

impl Kind {
    /// What the dictionary calls it.
    pub fn name(self) -> &'static str {
        match self {
            Self::Time => "timestamp (ms, UTC)",
            Self::Date => "date",
            Self::Text => "text",
            Self::Word => "word",
            Self::Float => "float 32",
            Self::Double => "float 64",
            Self::Whole => "integer 64",
            Self::Flag => "boolean",
        }
    }
}

/// Unit of a column's values.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// A count, an id, a state, a ratio.
    None,
    /// Seconds.
    Seconds,
    /// Speed of travel.
    Speed,
    /// A way driven.
    Way,
    /// Length of segments.
    Length,
    /// Floor.
    Area,
    /// Current.
    Amperes,
    /// Voltage.
    Volts,
    /// Rotation of a brush.
    Rotation,
    /// Turn rate of the machine.
    TurnRate,
    /// Percent of a setting.
    Percent,
    /// Energy.
    Joules,
}

impl Unit {
    /// How it is written, and what ends the name of the column.
    pub fn names(self, units: Units) -> (&'static str, &'static str) {
        match (self, units) {
            (Self::None, _) => ("", ""),
            (Self::Seconds, _) => ("s", "_s"),
            (Self::Speed, Units::Si) => ("m/s", "_m_s"),
            (Self::Speed, Units::Us) => ("mph", "_mph"),
            (Self::Way | Self::Length, Units::Si) => ("m", "_m"),
            (Self::Way, Units::Us) => ("ft", "_ft"),
            (Self::Length, Units::Us) => ("in", "_in"),
            (Self::Area, Units::Si) => ("m²", "_m2"),
            (Self::Area, Units::Us) => ("sq ft", "_sq_ft"),
            (Self::Amperes, _) => ("A", "_a"),
            (Self::Volts, _) => ("V", "_v"),
            (Self::Rotation, _) => ("r/min", "_rpm"),
            (Self::TurnRate, _) => ("rad/s", "_rad_s"),
            (Self::Percent, _) => ("%", "_percent"),
            (Self::Joules, _) => ("J", "_j"),
        }
    }

    /// What an SI value is divided by.
    pub(super) fn divisor(self, units: Units) -> f64 {
        match (self, units) {
            (Self::Speed, Units::Us) => METRES_PER_SECOND_PER_MPH,
            (Self::Way, Units::Us) => METRES_PER_FOOT,
            (Self::Length, Units::Us) => METRES_PER_INCH,
            (Self::Area, Units::Us) => SQUARE_METRES_PER_SQUARE_FOOT,
            _ => 1.0,
        }
    }
}

/// A column of a table.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Its name without the unit.
    stem: &'static str,
    /// Type of its values.
    pub kind: Kind,
    /// Unit of its values.
    pub unit: Unit,
    /// When a value is missing; empty: never.
    pub missing: &'static str,
    /// What values it may have.
    pub range: &'static str,
    /// What it means.
    pub meaning: &'static str,
    /// Which figure of `underbrush sheet --json` it equals: a path in the findings, or
    /// `count(path)` or `sum(path[].name)`; empty where there is none.
    pub equals: &'static str,
    /// What it is made of.
    pub source: &'static str,
}

impl Column {
    pub(super) const fn new(stem: &'static str, kind: Kind, unit: Unit) -> Self {
        let (missing, range, meaning, equals, source) = ("", "", "", "", "");
        Self { stem, kind, unit, missing, range, meaning, equals, source }
    }

    /// A value may be missing, and what that means.
    pub(super) const fn missing(mut self, when: &'static str) -> Self {
        self.missing = when;
        self
    }

    pub(super) const fn range(mut self, range: &'static str) -> Self {
        self.range = range;
        self
    }

    pub(super) const fn says(mut self, meaning: &'static str) -> Self {
        self.meaning = meaning;
        self
    }

    /// Whether every row has a value. An instant beyond the years 0 to 9999, which only a log
    /// that lies can have, is missing nevertheless.
    pub fn always(&self) -> bool {
        self.missing.is_empty()
    }

    /// Whether a file may rest on that.
    pub(super) fn required(&self) -> bool {
        self.always() && self.kind != Kind::Time
    }

    pub(super) const fn equals(mut self, figure: &'static str) -> Self {
        self.equals = figure;
        self
    }

    pub(super) const fn from(mut self, source: &'static str) -> Self {
        self.source = source;
        self
    }

    /// Its name in a file with these units.
    pub fn name(&self, units: Units) -> String {
        format!("{}{}", self.stem, self.unit.names(units).1)
    }
}

/// The machine that a row is of; every table but the book's begins with it.
pub(super) const MACHINE: Column = Column::new("machine", Kind::Text, Unit::None)
    .says("Id of the machine")
    .from("machine file, `id`");

/// The night that a row belongs to.
pub(super) const NIGHT: Column = Column::new("night", Kind::Date, Unit::None)
    .says("Local date on which the shift starts; a night goes on until the next shift starts")
    .equals("shift.date")
    .from("site file, `[shift]`");

/// The section that a row speaks of.
pub(super) const SECTION: Column = Column::new("section", Kind::Text, Unit::None)
    .says("Id of the section")
    .missing("nobody marked it, and no plan tells")
    .from("marks, shift book, or the plan");

/// What was done there.
pub(super) const PHASE: Column = Column::new("phase", Kind::Word, Unit::None)
    .range("`step` or `maintenance`")
    .says("What was done there")
    .missing("nobody said, and no plan tells")
    .from("marks, shift book, or the plan");

/// What it is done with.
pub(super) const GRIT: Column = Column::new("grit", Kind::Text, Unit::None)
    .says("Grit that the site file names for it")
    .missing("nobody said, or the site file names none")
    .from("site file, `[[step]]` and `[maintenance]`");

/// Which grit step that was.
pub(super) const STEP: Column = Column::new("step", Kind::Whole, Unit::None)
    .range("1 or more")
    .says("Number of the grit step")
    .missing("the phase is no step, or not known")
    .from("the same");
