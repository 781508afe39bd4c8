//! Sweeps, and what their ends tell of the position.
//!
//! Model. Work on a section goes lane by lane from one side to the other and
//! back, or across to the first side again. The outermost lane of each sweep
//! lies at the same side of the same floor, give or take `side_spread`. An end
//! elsewhere is left out; twice in a row, and the side is where it is found.

use super::filter::{AXIS, EAST, Filter, NORTH, SIDES, Sight};

/// Furthest from the side, in standard deviations: a sweep that turned a lane early is out.
const GATE: f64 = 2.5;

/// Follows the lanes across.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sweeps {
    /// A sweep has ended when the lanes came back by this, m.
    back_m: f64,
    spread_m: f64,
    /// Outermost lane so far.
    outermost_m: Option<f64>,
    /// 0 towards the low side, 1 towards the high one.
    towards: Option<usize>,
    /// Ends in a row that did not fit, of each side.
    odd: [u8; 2],
}

impl Sweeps {
    pub(super) fn new(back_m: f64, spread_m: f64) -> Self {
        Self { back_m, spread_m, outermost_m: None, towards: None, odd: [0; 2] }
    }

    pub(super) fn begin(&mut self) {
        *self = Self::new(self.back_m, self.spread_m);
    }

    /// A lane at this place across the axis; if it ended a sweep, whether that corrected the
    /// filter.
    pub(super) fn lane(&mut self, filter: &mut Filter, across_m: f64) -> Option<bool> {
        let Some(outermost) = self.outermost_m else {
            self.outermost_m = Some(across_m);
            return None;
        };
        let sign = match self.towards {
            Some(side) => [-1.0, 1.0][side],
            None if across_m < outermost => 1.0,
            None => -1.0,
        };
        let further = (across_m - outermost) * sign;
        if further > 0.0 {
            self.outermost_m = Some(across_m);
            return None;
        }
        if -further < self.back_m {
            return None;
        }
        // The lanes came back, or the first ones went away from the first of all.
        let side = usize::from(sign > 0.0);
        self.towards = Some(1 - side);
        self.outermost_m = Some(across_m);
        Some(self.see(filter, side, outermost))
    }

    fn see(&mut self, filter: &mut Filter, side: usize, at_m: f64) -> bool {
        let place = SIDES[side];
        let known = filter.knows(place);
        if !known {
            filter.lose(place, at_m);
        }
        let (sin, cos) = filter.get(AXIS).sin_cos();
        let sight = Sight {
            gain: Filter::gain([(EAST, -sin), (NORTH, cos), (place, -1.0)]),
            // Seen: no difference. Expected: what the states say.
            innovation: filter.get(place) - at_m,
            variance: self.spread_m.powi(2),
            gate: GATE,
        };
        if filter.see(&sight) {
            self.odd[side] = 0;
            return known;
        }
        self.odd[side] += 1;
        if self.odd[side] >= 2 {
            self.odd[side] = 0;
            filter.lose(place, at_m);
            filter.see(&Sight { innovation: 0.0, ..sight });
        }
        false
    }
}
