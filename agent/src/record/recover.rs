//! What earlier starts left in the log directory.

use super::name::{FileUse, LogName};
use super::storage::Storage;
use std::io;

/// What is there at a start.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Survey {
    /// The number of this start.
    pub boot: u32,
    /// Journals of earlier starts, in order.
    pub journals: Vec<LogName>,
}

/// Lists the directory and removes archives that were never finished.
pub fn survey(storage: &impl Storage) -> io::Result<Survey> {
    let mut names: Vec<LogName> =
        storage.list()?.iter().filter_map(|name| LogName::parse(name)).collect();
    names.sort_unstable();
    let highest = names.last().map_or(0, |name| name.boot);
    let boot = highest
        .checked_add(1)
        .ok_or_else(|| io::Error::other("no start number is left: begin a new log directory"))?;
    for name in names.iter().filter(|name| name.kind == FileUse::Unfinished) {
        let file = name.to_string();
        tracing::info!(file, "removing an archive that was not finished");
        if let Err(error) = storage.remove(&file) {
            tracing::warn!(%error, file, "cannot remove it");
        }
    }
    names.retain(|name| name.kind == FileUse::Journal);
    Ok(Survey { boot, journals: names })
}
