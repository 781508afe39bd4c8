//! Where the machine was in a night in which nobody told: work is cut into blocks, and
//! the blocks are matched with what was to be done, in order.
//!
//! What comes out is assumed, never known. Every block has a confidence, a mark of
//! the machine or of the shift book always wins, and a difference is told with the
//! lines that correct it.

mod assume;
mod blocks;
mod lattice;
mod likelihood;

pub use assume::assume;
pub use blocks::{Blocks, Limits, Rest, Told, WorkBlock};

use super::types::Place;
use underbrush_protocol::time::UtcMs;

/// A place that nobody told: from `at` until the next mark.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AssumedMark {
    /// When the work there begins.
    pub at: UtcMs,
    /// Where; its section is `None` for work that is not in the plan.
    pub place: Place,
    /// How sure that is, 0 to 1.
    pub confidence: f64,
    /// What somebody told of the same work, where that differs: it is shown, and not used.
    pub against: Option<Place>,
}
