//! Straight stretches, and what they tell of the heading.
//!
//! Model. Floors are rectangular and lanes follow them: the mean heading of a
//! long run is the lanes' axis plus a multiple of a right angle, give or take
//! what the operator is off: both ends within `lane_spread` sideways, so
//! sqrt(2) spread / length. Which multiple is settled by the nearest; a run too
//! far from it is left out.

use super::filter::{AXIS, Filter, HEADING, Sight};
use core::f64::consts::{FRAC_PI_2, SQRT_2};

/// A run ends when the heading leaves its mean by this, in rad: 8 degrees.
const STRAIGHT_RAD: f64 = 0.14;
/// Runs shorter than this say too little of a direction, in m.
const LEAST_M: f64 = 2.5;
/// Furthest from the axis, in standard deviations.
const GATE: f64 = 3.0;
/// With more doubt than this about the heading, in rad, the nearest right angle may be the wrong one.
const WORST_RAD: f64 = 0.2;

/// A run is cut into pieces of this length, in m; in the last one the next turn may have begun.
const PIECE_M: f64 = 0.5;
/// A run is cut after this length, in m.
const MOST_M: f64 = 200.0;

/// A straight stretch.
#[derive(Clone, Copy, Debug)]
pub(super) struct Run {
    /// Way at its begin.
    pub(super) from_m: f64,
    pub(super) length_m: f64,
    /// Mean over its second half.
    pub(super) heading_rad: f64,
}

/// Finds runs.
#[derive(Clone, Debug, Default)]
pub(super) struct Runs {
    run: Option<Run>,
    /// Mean heading of each piece, and the piece that is being driven: length, heading x way.
    pieces: Vec<f64>,
    piece: (f64, f64),
    /// What was added to the headings since the run began.
    shifted_rad: f64,
}

impl Runs {
    /// Adds a piece of way; gives the run that it ended, if that was long enough.
    pub(super) fn go(&mut self, heading_rad: f64, way_m: f64, at_m: f64) -> Option<Run> {
        let Some(run) = &mut self.run else {
            self.start(Run { from_m: at_m - way_m, length_m: way_m, heading_rad });
            return None;
        };
        let straight = (heading_rad - run.heading_rad).abs() <= STRAIGHT_RAD;
        if !straight || run.length_m > MOST_M {
            let ended = self.end();
            self.start(Run { from_m: at_m - way_m, length_m: way_m, heading_rad });
            return ended;
        }
        run.length_m += way_m;
        self.piece.0 += way_m;
        self.piece.1 += (heading_rad - self.shifted_rad) * way_m;
        if run.length_m > 0.0 {
            run.heading_rad += (heading_rad - run.heading_rad) * way_m / run.length_m;
        }
        if self.piece.0 >= PIECE_M {
            let (length_m, sum) = std::mem::take(&mut self.piece);
            self.pieces.push(sum / length_m);
        }
        None
    }

    fn start(&mut self, run: Run) {
        self.run = Some(run);
        self.pieces.clear();
        self.piece = (run.length_m, run.heading_rad * run.length_m);
        self.shifted_rad = 0.0;
    }

    /// No more way comes.
    pub(super) fn end(&mut self) -> Option<Run> {
        let run = self.run.take().filter(|run| run.length_m >= LEAST_M)?;
        // After a turn the operator leads the machine onto its lane: that half does not count.
        let settled = self.pieces.get(self.pieces.len() / 2..).filter(|p| !p.is_empty())?;
        let mean = settled.iter().sum::<f64>() / settled.len() as f64;
        Some(Run { heading_rad: mean + self.shifted_rad, ..run })
    }

    /// The headings were corrected.
    pub(super) fn shift(&mut self, by_rad: f64) {
        self.shifted_rad += by_rad;
        if let Some(run) = &mut self.run {
            run.heading_rad += by_rad;
        }
    }
}

/// How far a heading is from the nearest of the directions that repeat after `period_rad`.
pub(super) fn off_axis(heading_rad: f64, axis_rad: f64, period_rad: f64) -> f64 {
    let off = heading_rad - axis_rad;
    off - (off / period_rad).round() * period_rad
}

/// Corrects the filter by a run; `None` if nothing can be said, `false` if it does not fit.
pub(super) fn see_axis(filter: &mut Filter, run: Run, lane_spread_m: f64) -> Option<bool> {
    let variance = (SQRT_2 * lane_spread_m / run.length_m).powi(2);
    if !filter.knows(AXIS) {
        filter.lose(AXIS, run.heading_rad);
    } else if filter.variance(HEADING).sqrt() > WORST_RAD {
        return None;
    }
    // Seen: no difference. Expected: what the states say.
    let innovation = -off_axis(run.heading_rad, filter.get(AXIS), FRAC_PI_2);
    let gain = Filter::gain([(HEADING, 1.0), (AXIS, -1.0)]);
    Some(filter.see(&Sight { gain, innovation, variance, gate: GATE }))
}
