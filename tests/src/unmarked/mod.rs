//! Simulated nights in which nobody told a place, against what was truly worked.
//!
//! The nights follow a plan as crews do: steps with tool changes between, then a tour
//! of the finished floor; entries are skipped, interrupted, swapped with their
//! neighbour, worked without a rest between them, and work comes that was not planned.
//! How often and how long stands in `nights` and was chosen before the matching was
//! tuned; its forms (uniform times, discrete breaks) are not those of the matching's
//! model. Tuned on seeds from 10,000 on; tests use others.

mod nights;
mod score;

pub use nights::{Done, Night, night};
pub use score::{Judged, Outcome, run, score, score_seeds, site};
