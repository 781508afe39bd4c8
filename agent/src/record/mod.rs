//! Entries to files: journal while recording, archive after that.
//!
//! When bytes are synced, and why: [`Durability`]. Which file is which: [`LogName`].

mod archive_end;
mod dir_storage;
mod journal;
mod listed;
mod name;
mod plain;
mod recover;
mod retain;
mod retain_policy;
mod seal;
mod storage;

pub(crate) use archive_end::archive_end;
pub use dir_storage::DirStorage;
pub use journal::{Durability, RecordCounts, Recorder, Rotation};
pub use listed::{COPIED_LIST, ListFile, Listed};
pub use name::{FileUse, LogName};
pub use plain::PlainFiles;
pub(crate) use plain::{PIECE, PLAIN, measure, read_piece};
pub use recover::{Survey, survey};
pub use retain::{Retainer, Tended};
pub use retain_policy::{
    Archive, BY_AGE_FOR_EACH_NEW, End, LAST_NIGHT, Limits, Plan, Reason, Removal, Situation,
    WITNESSES, plan,
};
pub use seal::{SealError, SealReport, Sealed, Sealer, seal};
pub use storage::{Appender, LogFile, Storage};
