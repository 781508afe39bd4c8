//! Machine logs to the morning shift sheet.
//!
//! The flow: [`logset`] reads journals and archives, [`timeline`] places them
//! in wall time, [`window`] shows any span of them ([`screen`] on a terminal), [`findings`] judges them, [`ledger`] keeps all nights, [`sheet`] says it
//! on paper.

pub mod cli;
pub mod consumables;
mod cores;
mod duration;
pub mod events;
pub mod export;
pub mod findings;
pub mod json;
#[cfg(test)]
#[path = "../tests/shared/golden.rs"]
mod kept;
pub mod ledger;
pub mod logset;
pub mod programme;
pub mod range;
pub mod screen;
pub mod settings;
pub mod sheet;
pub mod timeline;
pub mod trends;
pub mod units;
pub mod why;
pub mod window;
