//! A directory of log files, read and repaired on reading; nothing is ever written.
//!
//! [`LogSet::open`] looks at headers and indexes only. Blocks are read when the
//! timeline asks for them, so memory does not grow with the length of the log.

mod catalogue;
mod clock_map;
mod files;
mod order;
mod stream;
mod verify;

pub use catalogue::{BootLog, LogError, LogSet, OpenSettings};
pub use clock_map::{ClockMap, ClockVerdict};
pub use files::{Listing, fingerprint};
pub use order::Undated;
pub use stream::{Chunk, Chunks};
pub use verify::{FileState, Hole, verify};
