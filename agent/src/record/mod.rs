//! Entries to files: journal while recording, archive after that.
//!
//! When bytes are synced, and why: [`Durability`]. Which file is which: [`LogName`].

mod dir_storage;
mod journal;
mod name;
mod recover;
mod seal;
mod storage;

pub use dir_storage::DirStorage;
pub use journal::{Durability, RecordCounts, Recorder, Rotation};
pub use name::{FileUse, LogName};
pub use recover::{Survey, survey};
pub use seal::{SealError, SealReport, Sealed, Sealer, seal};
pub use storage::{Appender, LogFile, Storage};
