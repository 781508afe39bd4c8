//! Logs placed in wall time, as a row of steps in which nothing is known to change.
//!
//! Words: a *rate* channel (speed, current, rotation, command) speaks for the
//! time since its reading before, if that is not longer than the longest gap;
//! otherwise that time was not observed. A *state* channel (switches, settings,
//! voltage, meters) holds from its reading on, for at most [`STATE_HOLDS_MS`].

mod align;
#[cfg(test)]
mod align_tests;
mod held;
mod rates;
mod scan;
mod shift;
mod walk;

pub(crate) use align::Piece;
pub(crate) use scan::{PieceReader, TurningRaw, first_where, scan};
pub(crate) use shift::utc_of;
pub use shift::{ShiftError, parse_shift_date, shift_of};
pub(crate) use walk::walk_span;
pub use walk::{Reader, Walk, walk};

/// A state that was not repeated for this long is not known any more, in ms.
pub const STATE_HOLDS_MS: u64 = 60_000;
