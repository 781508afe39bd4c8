//! What a shift's readings mean: typed, in SI, not rounded, each with its time.
//!
//! Words: *brush time* is observed time with a brush turning; a *place* is the
//! section and phase in force by the last mark. `None` always means unknown,
//! never zero.

mod area;
mod completeness;
mod friction;
mod histogram;
mod load;
mod moment;
mod place;
mod ribbon;
mod shift;
mod speed;
mod stationary;
mod types;
mod wear;

pub use histogram::SpeedHistogram;
pub use shift::{Inputs, judge};
pub use types::*;
