//! Simulated nights in which nobody told a place, against what was truly worked.
//!
//! The nights follow a plan as crews do: steps with tool changes between, then a tour
//! of the finished floor; work comes that was not planned, entries are left out,
//! interrupted, swapped with their neighbour or worked without a rest between them.
//! How often, per entry of a plan of 4 to 10 (our own numbers, no published source):
//!
//! | | [`ORDERLY`] | [`LOOSE`] |
//! |---|---|---|
//! | left out | 2 % | 6 % |
//! | night ends one or two entries early | 10 % of nights | never |
//! | swapped with the next | 1 % | 3 % |
//! | interrupted, from 6 minutes on | 15 % | 15 % |
//! | cut short | 3 % | 3 % |
//! | tour: joined with the next; followed by unplanned work | 2 %; 2 % | 2 %; 2 % |
//! | tour: time off the plan, by night and by entry | -20 to +30 %, +-30 % | the same |
//!
//! Most aisles of the building are within a few percent of their neighbours in size, less
//! than their time scatters: a left-out or swapped one can then not be told from its
//! neighbour by anything that is measured. This limits the loose crew's nights.
//!
//! The forms of the scatter (uniform times, discrete breaks) are not those of the
//! matching's model. Its numbers and the orderly crew's were chosen looking at seeds from
//! 10,000 on; tests use others.

mod nights;
mod score;

pub use nights::{Crew, Done, LOOSE, Night, ORDERLY, night};
pub use score::{Judged, Outcome, run, score, score_seeds, site};
