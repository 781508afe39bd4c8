//! Logs placed in wall time, as a row of steps in which nothing is known to change.
//!
//! What a step is, which channels speak for it and for how long: see
//! `protocol::detect::step`, which the live watch shares.

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
pub use underbrush_protocol::detect::step::STATE_HOLDS_MS;
pub(crate) use walk::walk_span;
pub use walk::{Reader, Walk, walk};
