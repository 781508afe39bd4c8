//! Rows into files of each format.

mod csv;
mod jsonl;
#[cfg(feature = "mcap")]
mod mcap;
#[cfg(feature = "parquet")]
mod parquet;
mod text;

use super::ExportError;
use super::batch::Batch;
use super::tables::{Table, Told};
use crate::units::Units;
use std::io::Write;

/// What a file is written in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// Comma-separated values, RFC 4180.
    Csv,
    /// One JSON object a line.
    Jsonl,
    /// Apache Parquet.
    Parquet,
    /// MCAP, with a JSON message for each row.
    Mcap,
}

impl Format {
    /// Every format, built in or not.
    pub const ALL: [Self; 4] = [Self::Csv, Self::Jsonl, Self::Parquet, Self::Mcap];

    /// Its name, and the ending of its files.
    pub fn name(self) -> &'static str {
        match self {
            Self::Csv => "csv",
            Self::Jsonl => "jsonl",
            Self::Parquet => "parquet",
            Self::Mcap => "mcap",
        }
    }

    /// The format of that name.
    pub fn by_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|format| format.name() == name)
    }

    /// Whether this program was built with it.
    pub fn built_in(self) -> bool {
        match self {
            Self::Csv | Self::Jsonl => true,
            Self::Parquet => cfg!(feature = "parquet"),
            Self::Mcap => cfg!(feature = "mcap"),
        }
    }

    /// Whether it can be printed, too.
    pub fn is_text(self) -> bool {
        matches!(self, Self::Csv | Self::Jsonl)
    }
}

/// What all formats say of a table.
pub(super) struct Head<'a> {
    pub(super) table: Table,
    pub(super) units: Units,
    #[cfg_attr(not(feature = "parquet"), allow(dead_code, reason = "only binary formats tell"))]
    pub(super) told: &'a Told,
}

/// What takes batches of rows and makes a file of them.
pub(super) trait Sink {
    /// Takes the rows of a batch.
    fn rows(&mut self, batch: &Batch) -> Result<(), ExportError>;
    /// Writes what ends the file.
    fn finish(self: Box<Self>) -> Result<(), ExportError>;
}

/// A sink into `out`.
pub(super) fn sink<'a>(
    format: Format,
    head: &Head<'_>,
    out: impl Write + Send + 'a,
) -> Result<Box<dyn Sink + 'a>, ExportError> {
    match format {
        Format::Csv => Ok(Box::new(csv::CsvSink::new(head, out)?)),
        Format::Jsonl => Ok(Box::new(jsonl::JsonSink::new(head, out))),
        #[cfg(feature = "parquet")]
        Format::Parquet => Ok(Box::new(parquet::ParquetSink::new(head, out)?)),
        #[cfg(feature = "mcap")]
        Format::Mcap => Ok(Box::new(mcap::McapSink::new(head, out)?)),
        #[allow(unreachable_patterns, reason = "with all features there is no other")]
        other => Err(ExportError::NotBuilt(other)),
    }
}
