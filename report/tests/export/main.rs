//! `underbrush export` as people run it, on a night made by hand.
//!
//! `tests/export.sh` sets simulated nights beside other people's readers of these formats.

#[path = "../common/mod.rs"]
mod common;

#[cfg(any(feature = "parquet", feature = "mcap"))]
mod binary;
mod dictionary;
mod failures;
mod figures;
mod filters;
mod forms;
mod night;
