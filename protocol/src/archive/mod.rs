//! The sealed file: columns per channel in blocks of a few minutes, and an
//! index that can be rebuilt from the blocks. `SPEC.md`, "Archive".

mod block;
mod column;
mod index;
mod read;
mod write;

pub use block::{Block, BlockView, Column, ColumnView, MAX_ENTRIES};
pub use index::{BlockEntry, Index, TRAILER_LEN};
pub use read::{ArchiveError, Damage, Reader, read_block, view_block};
pub use write::{BLOCK_MS, SealOutcome, Writer};
