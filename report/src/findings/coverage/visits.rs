//! From moments to visits.

use super::raster::{Point, Raster};
use super::{CoverageFinding, Visit, Z80, area_bound, map, strips};
use crate::findings::moment::{Moment, wall};
use crate::findings::path::{Motion, PathModel, Tracker, Vertex};
use crate::findings::types::{Place, Span};
use underbrush_protocol::si::{Metres, SquareMetres};

/// A visit ends when the brushes were off the floor for so much way, in m: it goes elsewhere.
const AWAY_M: f64 = 150.0;
/// Visits with less brush way than this have no map and no distinct area, in m.
const LEAST_WAY_M: f64 = 5.0;
/// Maps that are kept for the sheet.
const MOST_MAPS: usize = 4;
/// Visits that are kept; a shift with more has marks that cannot be right.
const MOST_VISITS: usize = 500;

/// Settings of coverage.
#[derive(Clone, Copy, Debug)]
pub(in crate::findings) struct CoverageModel {
    pub(in crate::findings) path: PathModel,
    pub(in crate::findings) deck_offset_m: f64,
    pub(in crate::findings) least_strip_m: f64,
}

/// Follows the path and paints the floor.
#[derive(Debug)]
pub(in crate::findings) struct Visits {
    model: CoverageModel,
    tracker: Tracker,
    raster: Raster,
    settled: Vec<Vertex>,
    /// Angle of the raster's rows in the visit's frame, and the last deck line.
    painter: Option<Painter>,
    open: Option<Open>,
    found: CoverageFinding,
}

#[derive(Clone, Copy, Debug)]
struct Open {
    place: Place,
    span: Option<Span>,
    swept_m: f64,
    away_m: f64,
    goes_on: bool,
}

#[derive(Clone, Copy, Debug)]
struct Painter {
    sin: f64,
    cos: f64,
    last: Option<[Point; 2]>,
}

impl Visits {
    pub(in crate::findings) fn new(model: CoverageModel) -> Self {
        Self {
            model,
            tracker: Tracker::new(model.path),
            raster: Raster::default(),
            settled: Vec::new(),
            painter: None,
            open: None,
            found: CoverageFinding::default(),
        }
    }

    pub(in crate::findings) fn step(&mut self, moment: &Moment<'_>) {
        let on_floor = moment.interval.states.head_down != Some(false);
        let brushing = moment.turning == Some(true) && on_floor;
        let seconds = moment.length().0;
        let (speed, turn) = (moment.interval.speed_m_s, moment.interval.turn_rad_s);
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
        let motion = Motion {
            seconds,
            speed_m_s: f64::from(speed),
            gyro_rad_s: f64::from(turn),
            brushing,
        };
        self.tracker.step(motion, &mut self.settled);
        let way_m = motion.speed_m_s.abs() * seconds;
        let Some(open) = &mut self.open else { return };
        if brushing {
            open.swept_m += way_m;
            open.away_m = 0.0;
            let from = wall(moment.clock, moment.interval.from);
            let to = wall(moment.clock, moment.interval.to);
            open.span = Some(Span { from: open.span.map_or(from, |s| s.from), to });
        } else {
            open.away_m += way_m;
        }
        let gone = open.away_m > AWAY_M && open.swept_m > 0.0;
        if !self.settled.is_empty() {
            self.paint();
        }
        if gone {
            self.close();
            self.begin(moment.place, false);
        }
    }

    /// The board was switched off.
    pub(in crate::findings) fn boot_ends(&mut self) {
        self.close();
        self.tracker.restart();
    }

    pub(in crate::findings) fn finish(mut self) -> CoverageFinding {
        self.close();
        self.found
    }

    fn begin(&mut self, place: Place, goes_on: bool) {
        self.open = Some(Open { place, span: None, swept_m: 0.0, away_m: 0.0, goes_on });
        self.tracker.begin();
        self.painter = None;
        self.raster.clear();
    }

    fn blind(&mut self, seconds: f64) {
        if let Some(open) = self.open.filter(|_| !self.tracker.blind(seconds)) {
            self.close();
            // Before any brush work there is nothing to go on with.
            self.begin(open.place, open.swept_m > 0.0 || open.goes_on);
        }
    }

    /// Brushes the floor along the vertices that are settled.
    fn paint(&mut self) {
        let mut painter = *self.painter.get_or_insert_with(|| {
            // Rows along the lanes make long stretches of cells, and an upright map.
            let (sin, cos) = self.tracker.axis_rad().unwrap_or(0.0).sin_cos();
            Painter { sin, cos, last: None }
        });
        let half = self.model.path.path_width_m / 2.0;
        for vertex in self.settled.drain(..) {
            let (sin, cos) = vertex.heading_rad.sin_cos();
            let ahead = self.model.deck_offset_m;
            let end = |side: f64| {
                let east = vertex.east_m + ahead * cos - side * sin;
                let north = vertex.north_m + ahead * sin + side * cos;
                (east * painter.cos + north * painter.sin, north * painter.cos - east * painter.sin)
            };
            let line = [end(half), end(-half)];
            if let Some(last) = painter.last.filter(|_| vertex.brushed) {
                self.raster.sweep(last, line, vertex.pass);
            }
            painter.last = Some(line);
        }
        self.painter = Some(painter);
    }

    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        let drift = self.tracker.end(&mut self.settled);
        self.paint();
        let long_enough = open.swept_m >= LEAST_WAY_M && self.found.visits.len() < MOST_VISITS;
        let Some(span) = open.span.filter(|_| long_enough) else {
            self.found.pathless_way += Metres(open.swept_m);
            return;
        };
        self.found.swept_way += Metres(open.swept_m);
        let path_width_m = self.model.path.path_width_m;
        let distinct = SquareMetres(self.raster.brushed_m2());
        let missed = strips::find(&mut self.raster, self.model.least_strip_m, path_width_m);
        let map = map::draw(&self.raster);
        let (length, breadth) = map.as_ref().map_or_else(Default::default, map::CoverageMap::size);
        self.found.visits.push(Visit {
            place: open.place,
            span,
            swept: SquareMetres(open.swept_m * path_width_m),
            distinct,
            distinct_bound: area_bound(length.0, breadth.0, &drift),
            drift: Metres(Z80 * drift.across_m),
            missed: SquareMetres(missed.area_m2),
            longest_missed: Metres(missed.longest_m),
            least_strip: Metres(self.model.least_strip_m),
            lanes: (drift.fitting, drift.odd),
            sides_seen: drift.sides,
            cut_short: self.raster.full(),
            goes_on: open.goes_on,
            map,
        });
        self.keep_largest_maps();
    }

    /// Memory for maps is bounded: only those of the largest visits stay.
    fn keep_largest_maps(&mut self) {
        let visits = &mut self.found.visits;
        let with_map = |v: &&mut Visit| v.map.is_some();
        if visits.iter().filter(|v| v.map.is_some()).count() > MOST_MAPS {
            let smallest = visits
                .iter_mut()
                .filter(with_map)
                .min_by(|a, b| a.swept.0.total_cmp(&b.swept.0));
            if let Some(visit) = smallest {
                visit.map = None;
            }
        }
    }
}
