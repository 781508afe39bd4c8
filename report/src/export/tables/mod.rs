//! The tables there are, each in a file of its own: its columns, and how its rows are made.

mod events;
mod measurements;
mod nights;
mod readings;
mod sections;
mod steps;

pub(crate) use readings::write_readings;
pub(crate) use steps::write_steps;

use super::column::Column;
use super::pen::Pen;
use crate::findings::Findings;
use crate::settings::{Book, Site};
use underbrush_protocol::settings::Machine;

/// A table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Table {
    /// What the sensors said, one value a row.
    Readings,
    /// The time line, one step a row.
    Steps,
    /// What went wrong.
    Events,
    /// Each night of each machine.
    Nights,
    /// Work in each section and phase.
    Sections,
    /// Segment lengths that were measured.
    Measurements,
}

/// What a file says of itself beside its rows.
#[derive(Clone, Debug)]
pub struct Told {
    /// Time zone of the site.
    pub zone: String,
    /// The program and its version.
    pub program: &'static str,
}

impl Table {
    /// Every table.
    pub const ALL: [Self; 6] = [
        Self::Readings,
        Self::Steps,
        Self::Events,
        Self::Nights,
        Self::Sections,
        Self::Measurements,
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Readings => "readings",
            Self::Steps => "steps",
            Self::Events => "events",
            Self::Nights => "nights",
            Self::Sections => "sections",
            Self::Measurements => "measurements",
        }
    }

    /// The table of that name.
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|table| table.name() == name)
    }

    /// Its columns in order.
    pub fn columns(self) -> &'static [Column] {
        match self {
            Self::Readings => readings::COLUMNS,
            Self::Steps => steps::COLUMNS,
            Self::Events => events::COLUMNS,
            Self::Nights => nights::COLUMNS,
            Self::Sections => sections::COLUMNS,
            Self::Measurements => measurements::COLUMNS,
        }
    }

    /// What a row is, and in which order rows come.
    pub fn says(self) -> &'static str {
        match self {
            Self::Readings => {
                "One value of one channel a row; only what was observed. In order of machine, power-on, piece of the log (a few minutes), channel and time."
            }
            Self::Steps => {
                "One step of the time line a row: the time from one reading to the next, in which nothing is known to change. Impossible values are left out, and time that two power-ons claim is counted once, as for the sheet. In order of night, machine and time."
            }
            Self::Events => {
                "One event a row, as `underbrush events` lists them. In order of night, machine and begin."
            }
            Self::Nights => {
                "One shift of one machine a row; none where nothing was recorded. In order of night and machine, machines in the order of their files."
            }
            Self::Sections => {
                "Work of one machine in one section and phase in one shift. In order of night, machine and begin."
            }
            Self::Measurements => {
                "One measured length a row, as the shift book has it. In order of date."
            }
        }
    }

    /// Whether its rows come from judged shifts.
    pub fn of_shifts(self) -> bool {
        !matches!(self, Self::Readings | Self::Measurements)
    }
}

/// One judged shift of one machine.
#[derive(Clone, Copy)]
pub(crate) struct Judged<'a> {
    pub(crate) site: &'a Site,
    /// All machines of the building.
    pub(crate) machines: &'a [&'a Machine],
    /// This one's place among them.
    pub(crate) number: usize,
    pub(crate) machine: &'a Machine,
    pub(crate) findings: &'a Findings,
}

/// Writes the rows that a judged shift has in `table`; steps come by [`write_steps`].
pub(crate) fn write_judged(table: Table, judged: &Judged<'_>, pen: &mut Pen<'_>) {
    match table {
        Table::Events => events::write(judged, pen),
        Table::Nights => nights::write(judged, pen),
        Table::Sections => sections::write(judged, pen),
        Table::Readings | Table::Steps | Table::Measurements => {}
    }
}

/// Writes the whole table of measured lengths.
pub(crate) fn write_measurements(book: &Book, wanted: &super::Dates, pen: &mut Pen<'_>) {
    measurements::write(book, wanted, pen);
}
