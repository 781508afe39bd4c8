//! The data for other programs: tables as CSV, JSON lines, Parquet or MCAP.
//!
//! Words: a *table* has columns that the data dictionary names (`column`, `dictionary`); a
//! *pen* takes its values and hands them on a batch at a time; a *sink* makes a file of
//! batches. Figures of nights, sections and events are the findings of the sheet, steps are
//! what these are summed up from, readings are what the log has. Nothing is held longer
//! than a batch, so a year takes no more memory than a night.
//!
//! A file comes to its name only when it is whole, and replaces another only if asked to.

mod batch;
mod column;
pub mod dictionary;
mod file;
mod format;
mod loss;
mod pen;
mod tables;

pub use column::{Column, Kind, Unit};
pub use format::Format;
pub use tables::{Table, Told};

pub(crate) use file::Out;
pub(crate) use loss::{Dates, Gaps, Loss, Window};
pub(crate) use pen::Pen;
pub(crate) use tables::{Judged, write_judged, write_measurements, write_readings, write_steps};

use crate::units::Units;
use std::path::PathBuf;

/// Why there is no export.
#[derive(Debug, thiserror::Error)]
pub enum ExportError {
    /// The file is there.
    #[error("{0} is there already; give another --out, or --force to replace it")]
    Exists(PathBuf),
    /// The program was built without a format.
    #[error(
        "this program was built without {name}; build it with: cargo build --release -p underbrush-report --features {name}",
        name = .0.name()
    )]
    NotBuilt(Format),
    /// Reading or writing failed.
    #[error("{0}")]
    Io(#[from] std::io::Error),
    /// A format's library refused.
    #[error("{0}")]
    Encoder(String),
    /// What failed, and with which file.
    #[error("{path}: {source}")]
    File {
        /// The file.
        path: String,
        /// What failed.
        source: Box<ExportError>,
    },
}

impl ExportError {
    pub(crate) fn at(self, path: &str) -> Self {
        Self::File { path: path.to_owned(), source: Box::new(self) }
    }

    /// Whether other arguments would help.
    pub fn wrong_use(&self) -> bool {
        match self {
            Self::File { source, .. } => source.wrong_use(),
            other => matches!(other, Self::Exists(_) | Self::NotBuilt(_)),
        }
    }

    /// Whether the reader of a pipe closed its end: it has seen enough.
    pub(crate) fn reader_left(&self) -> bool {
        match self {
            Self::File { source, .. } => source.reader_left(),
            Self::Io(error) => error.kind() == std::io::ErrorKind::BrokenPipe,
            _ => false,
        }
    }
}

/// How files are to be written.
#[derive(Clone, Debug)]
pub(crate) struct Manner {
    pub(crate) format: Format,
    pub(crate) units: Units,
    pub(crate) told: Told,
}

/// A table that is being written.
pub(crate) struct Open {
    pub(crate) table: Table,
    pub(crate) pen: Pen<'static>,
    out: Out,
}

impl Open {
    /// Begins the file of a table.
    pub(crate) fn begin(table: Table, out: Out, manner: &Manner) -> Result<Self, ExportError> {
        let name = out.name();
        let head = format::Head { table, units: manner.units, told: &manner.told };
        let begun = out.writer().and_then(|to| format::sink(manner.format, &head, to));
        let sink = begun.map_err(|error| error.at(&name))?;
        Ok(Self { table, pen: Pen::new(table.columns(), manner.units, sink), out })
    }

    /// Writes all that is left of it.
    pub(crate) fn finish(self) -> Result<Written, ExportError> {
        let name = self.out.name();
        let rows = self.pen.finish().map_err(|error| error.at(&name))?;
        Ok(Written { name, rows, out: self.out })
    }
}

/// A table that is written to its end, and has yet to come to its name.
pub(crate) struct Written {
    /// The file's name.
    pub(crate) name: String,
    /// How many rows it has.
    pub(crate) rows: u64,
    out: Out,
}

impl Written {
    /// Gives the file its name.
    pub(crate) fn keep(self) -> Result<(String, u64), ExportError> {
        let Self { name, rows, out } = self;
        out.keep().map_err(|error| error.at(&name))?;
        Ok((name, rows))
    }
}
