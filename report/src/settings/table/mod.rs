//! The shift book as one flat table that a spreadsheet can edit (CSV).
//!
//! One row is one entry of the book; the column `entry` says of which kind, and the
//! other columns are its keys by the same names. There is one set of rules for both
//! forms: rows are put into TOML and read as TOML, with errors led back to the row.
//!
//! - Separator: comma, semicolon or tab, whichever the first line has. A byte order
//!   mark, `sep=` in the first line, CRLF, empty rows and rows that begin with `#` are
//!   fine.
//! - Day and time: see `when`. Lengths carry their unit; a comma between digits of a
//!   length is a decimal comma.
//! - Several lengths stand in one cell: `0.61 in / 0.62 in`, brushes parted by `|`.
//! - Cells that a spreadsheet would compute or rewrite are guarded: see `guard`. Tabs inside of a
//!   text are lost in spreadsheets; line breaks stay.

mod columns;
mod guard;
mod read;
mod when;
mod write;

pub(crate) use guard::guarded;
pub(crate) use read::quoted;
pub use read::{Converted, to_toml};
pub use write::{TableError, to_table};

#[cfg(test)]
mod tests;
