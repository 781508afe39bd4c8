//! Machine logs to the morning shift sheet.
//!
//! The flow: [`logset`] reads journals and archives, [`timeline`] places them
//! in wall time, [`findings`] judges them, [`sheet`] says it on paper.

pub mod findings;
pub mod settings;
pub mod units;
