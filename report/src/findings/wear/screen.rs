//! Measurements that cannot be right.
//!
//! Each length is held against what was to be expected from those before it. It
//! is doubtful if it is longer than a new segment or than the one before it by
//! more than reading errors make it in 1 of 100 cases, or off the expected length
//! by more than 3.3 standard deviations (1 of 1000): limits of our own choice. A
//! doubtful one is left out. If it is the last one, nothing is said at all: then
//! a tool change was not noted, another brush was measured, or the number is
//! wrong, and only the people there know.
//! The machine file's wear rate is a guess: if the measurements agree with each
//! other, three or more with the first length, but not with it, they win.

use super::finding::LengthDoubt;
use super::regression::{Datum, Posterior, Prior};
use chrono::NaiveDate;
use underbrush_protocol::si::Metres;

/// Beyond so many standard deviations a length is off: 1 of 1000, both sides.
const OFF: f64 = 3.3;
/// Longer by so many standard deviations is growth: 1 of 100, one side.
const GROWN: f64 = 2.33;
/// A rate that data alone decide: the machine file's uncertainty times this.
const OPEN: f64 = 20.0;
/// So many lengths must agree before they outvote the machine file.
const AGREEING: usize = 3;

/// A measured length on its day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Reading {
    pub(super) date: NaiveDate,
    pub(super) datum: Datum,
}

/// The first length: of a new segment, or noted or measured.
#[derive(Clone, Copy, Debug)]
pub(super) struct First {
    pub(super) date: NaiveDate,
    pub(super) datum: Datum,
}

/// What remains.
#[derive(Clone, Debug)]
pub(super) struct Screened {
    /// `None`: there is no length at all.
    pub(super) posterior: Option<Posterior>,
    /// Lengths in it, without the first.
    pub(super) kept: u32,
    /// Doubtful lengths: their place in the list, and why.
    pub(super) doubts: Vec<(usize, LengthDoubt)>,
    /// The last length is doubtful.
    pub(super) refused: bool,
    /// The machine file's rate was outvoted.
    pub(super) outvoted: bool,
}

/// Sorts out doubtful lengths. `new` is the longest a new segment can be.
pub(super) fn screen(
    prior: Prior,
    new: f64,
    first: Option<First>,
    readings: &[Reading],
) -> Screened {
    let by_file = sort_out(prior, new, first, readings);
    if !by_file.refused {
        return by_file;
    }
    let open = Prior { deviation: prior.deviation * OPEN, ..prior };
    let by_data = sort_out(open, new, first, readings);
    let agreeing = by_data.kept as usize + usize::from(first.is_some());
    if by_data.doubts.is_empty() && agreeing >= AGREEING {
        Screened { outvoted: true, ..by_data }
    } else {
        by_file
    }
}

fn sort_out(prior: Prior, new: f64, first: Option<First>, readings: &[Reading]) -> Screened {
    let mut data: Vec<Datum> = first.iter().map(|first| first.datum).collect();
    let mut before = first.map(|first| Reading { date: first.date, datum: first.datum });
    let mut doubts = Vec::new();
    let mut kept = 0;
    for (place, reading) in readings.iter().enumerate() {
        if let Some(doubt) = doubt(prior, new, before, &data, reading) {
            doubts.push((place, doubt));
        } else {
            data.push(reading.datum);
            before = Some(*reading);
            kept += 1;
        }
    }
    let refused = doubts.last().is_some_and(|(place, _)| place + 1 == readings.len());
    Screened { posterior: Posterior::of(prior, &data), kept, doubts, refused, outvoted: false }
}

fn doubt(
    prior: Prior,
    new: f64,
    before: Option<Reading>,
    data: &[Datum],
    reading: &Reading,
) -> Option<LengthDoubt> {
    let (length, error) = (reading.datum.length, reading.datum.deviation);
    if length > new + GROWN * error {
        return Some(LengthDoubt::LongerThanNew);
    }
    if let Some(Reading { date, datum }) = before
        && length > datum.length + GROWN * error.hypot(datum.deviation)
    {
        return Some(LengthDoubt::Grew { since: date, from: Metres(datum.length) });
    }
    let expected = Posterior::of(prior, data)?.length(reading.datum.energy);
    let off = (length - expected.mean) / expected.deviation.hypot(error);
    let expected = Metres(expected.mean.max(0.0));
    match off {
        off if off < -OFF => Some(LengthDoubt::TooShort { expected }),
        off if off > OFF => Some(LengthDoubt::TooLong { expected }),
        _ => None,
    }
}
