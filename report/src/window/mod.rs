//! Readings of any span as cells of equal length, each with its smallest and largest.
//!
//! Words: a *window* is a span of wall time cut into cells; a *line* is one [`Quantity`]
//! in it. A cell keeps the smallest and the largest of all that was observed in it, and
//! for how long that was, so that a spike of one reading is seen at any zoom. A reading
//! speaks for the same time as everywhere else (see `timeline`); what no sensor can give
//! is left out, and a gap stays a gap. An [`Overview`] holds a whole shift, from which any
//! window is cut at once.

mod cells;
mod fine;
mod overview;
mod quantity;
mod read;
mod state;
mod track;

pub use cells::{Cell, Line, Window};
pub use overview::Overview;
pub use quantity::{DetectorKind, Quantity};
pub(crate) use read::read_each;
pub use read::{read, run_up};
