//! From moments to visits.

use super::floor::{CoverageModel, Floor};
use super::{CoverageFinding, Visit};
use crate::findings::moment::{Moment, wall};
use crate::findings::path::Motion;
use crate::findings::types::{Place, Span};
use crate::settings::Phase;
use underbrush_protocol::si::Metres;

/// A visit ends when the brushes were off the floor for so much way, in m: it goes elsewhere.
const AWAY_M: f64 = 150.0;
/// Visits with less brush way than this have no map and no distinct area, in m.
const LEAST_WAY_M: f64 = 5.0;
/// Maps that are kept for the sheet.
const MOST_MAPS: usize = 4;
/// Visits that are kept; a shift with more has marks that cannot be right.
const MOST_VISITS: usize = 500;

/// Cuts the shift into visits.
#[derive(Debug)]
pub(in crate::findings) struct Visits {
    floor: Floor,
    path_width_m: f64,
    open: Option<Open>,
    found: CoverageFinding,
}

/// The visit that goes on.
#[derive(Clone, Copy, Debug)]
struct Open {
    place: Place,
    /// From the first to the last brushing.
    span: Option<Span>,
    swept_m: f64,
    /// Way since, without brushes on the floor.
    away_m: f64,
    goes_on: bool,
}

impl Visits {
    pub(in crate::findings) fn new(model: CoverageModel) -> Self {
        let path_width_m = model.path.path_width_m;
        Self {
            floor: Floor::new(model),
            path_width_m,
            open: None,
            found: CoverageFinding::default(),
        }
    }

    pub(in crate::findings) fn step(&mut self, moment: &Moment<'_>) {
        let on_floor = moment.interval.states.head_down != Some(false);
        let brushing = moment.turning == Some(true) && on_floor;
        let seconds = moment.length().0;
        let (speed, turn) = (moment.interval.speed_m_s, moment.interval.turn_rad_s);
        if brushing {
            self.found.observed.add(moment.length(), speed.is_some() && turn.is_some());
        }
        let (Some(speed), Some(turn)) = (speed, turn) else {
            if let Some(speed) = speed.filter(|_| brushing) {
                self.found.pathless_way += Metres(f64::from(speed).abs() * seconds);
            }
            self.blind(seconds);
            return;
        };
        let here = (moment.place.section, moment.place.phase);
        if self.open.is_none_or(|open| (open.place.section, open.place.phase) != here) {
            self.close();
            self.begin(moment.place, false);
        }
        let motion =
            Motion { seconds, speed_m_s: f64::from(speed), gyro_rad_s: f64::from(turn), brushing };
        self.floor.step(motion);
        let way_m = motion.speed_m_s.abs() * seconds;
        let Some(open) = &mut self.open else { return };
        if brushing {
            open.swept_m += way_m;
            open.away_m = 0.0;
            let to = wall(moment.clock, moment.interval.to);
            let begin = || wall(moment.clock, moment.interval.from);
            open.span = Some(Span { from: open.span.map_or_else(begin, |s| s.from), to });
        } else {
            open.away_m += way_m;
        }
        if open.away_m > AWAY_M && open.swept_m > 0.0 {
            self.close();
            self.begin(moment.place, false);
        }
    }

    /// The board was switched off.
    pub(in crate::findings) fn boot_ends(&mut self) {
        self.close();
        self.floor.restart();
    }

    pub(in crate::findings) fn finish(mut self) -> CoverageFinding {
        self.close();
        self.found
    }

    fn begin(&mut self, place: Place, goes_on: bool) {
        self.open = Some(Open { place, span: None, swept_m: 0.0, away_m: 0.0, goes_on });
        self.floor.begin();
    }

    fn blind(&mut self, seconds: f64) {
        let lost = |floor: &mut Floor| !floor.blind(seconds);
        if let Some(open) = self.open.filter(|_| lost(&mut self.floor)) {
            self.close();
            // Before any brush work there is nothing to go on with.
            self.begin(open.place, open.swept_m > 0.0 || open.goes_on);
        }
    }

    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        let long_enough = open.swept_m >= LEAST_WAY_M && self.found.visits.len() < MOST_VISITS;
        let Some(span) = open.span.filter(|_| long_enough) else {
            self.found.pathless_way += Metres(open.swept_m);
            return;
        };
        self.found.swept_way += Metres(open.swept_m);
        let wanted = self.make_room_for_map(weight(open.place, open.swept_m));
        let visit = self.floor.end(open.place, span, open.swept_m, wanted);
        self.found.visits.push(Visit { goes_on: open.goes_on, ..visit });
    }

    /// Memory for maps is bounded: only those that weigh most stay. Whether one more may come.
    fn make_room_for_map(&mut self, weight_m: f64) -> bool {
        let path_width_m = self.path_width_m;
        let weigh = |v: &Visit| weight(v.place, v.swept.0 / path_width_m);
        let with_map = self.found.visits.iter_mut().filter(|v| v.map.is_some());
        let mut kept: Vec<&mut Visit> = with_map.collect();
        if kept.len() < MOST_MAPS {
            return true;
        }
        kept.sort_by(|a, b| weigh(a).total_cmp(&weigh(b)));
        match kept.first_mut() {
            Some(lightest) if weigh(lightest) < weight_m => {
                lightest.map = None;
                true
            }
            _ => false,
        }
    }
}

/// Restored sections before all others, then by way.
fn weight(place: Place, swept_m: f64) -> f64 {
    let restored = matches!(place.phase, Some(Phase::Step(_)));
    swept_m + if restored { 1.0e6 } else { 0.0 }
}
