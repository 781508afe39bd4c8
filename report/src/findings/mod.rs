//! What a shift's readings mean: typed, in SI, not rounded, each with its time.
//!
//! Words: *brush time* is observed time with a brush turning; a *place* is the
//! section and phase in force by the last mark. `None` always means unknown,
//! never zero.

mod histogram;
mod types;

pub use histogram::SpeedHistogram;
pub use types::*;
