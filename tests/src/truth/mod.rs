//! The report against the simulator's truth: one table for the test and the command.
//!
//! Words: a *mark* is a stretch of time with a number that tells like ones apart (the
//! motor, mostly); a *kind* is one sort of event with its true and its found marks; a
//! *quantity* is a number with its true value. Truth comes from the simulator's
//! physics, what was found from a log that the agent's code wrote and the report read.

mod kinds;
mod quantities;
mod score;
mod seeds;

pub use score::{Failure, Table};
pub use seeds::{Judged, Plan, judge_plan, run_seeds};
