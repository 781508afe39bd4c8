//! One visit: its path, painted.

use super::raster::{Point, Raster};
use super::{Visit, Z80, area_bound, map, strips};
use crate::findings::path::{Motion, PathModel, Tracker, Vertex};
use crate::findings::types::{Place, Span};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Metres, SquareMetres};

/// Settings of coverage.
#[derive(Clone, Copy, Debug)]
pub(in crate::findings) struct CoverageModel {
    pub(in crate::findings) path: PathModel,
    pub(in crate::findings) deck_offset_m: f64,
    pub(in crate::findings) least_strip_m: f64,
}

impl CoverageModel {
    pub(in crate::findings) fn of(machine: &Machine) -> Self {
        Self {
            path: PathModel::of(machine),
            deck_offset_m: machine.path.deck_offset.0,
            least_strip_m: machine.path.least_strip.0,
        }
    }
}

/// Follows the path and paints the floor.
#[derive(Debug)]
pub(super) struct Floor {
    model: CoverageModel,
    tracker: Tracker,
    raster: Raster,
    settled: Vec<Vertex>,
    painter: Option<Painter>,
}

/// Direction of the raster's rows in the visit's frame, and the last line of the brushes.
#[derive(Clone, Copy, Debug)]
struct Painter {
    sin: f64,
    cos: f64,
    last: Option<[Point; 2]>,
}

impl Floor {
    pub(super) fn new(model: CoverageModel) -> Self {
        Self {
            model,
            tracker: Tracker::new(model.path),
            raster: Raster::default(),
            settled: Vec::new(),
            painter: None,
        }
    }

    /// A visit begins.
    pub(super) fn begin(&mut self) {
        self.tracker.begin();
        self.painter = None;
        self.settled.clear();
        self.raster.clear();
    }

    /// The gyro was switched off and on.
    pub(super) fn restart(&mut self) {
        self.tracker.restart();
    }

    pub(super) fn step(&mut self, motion: Motion) {
        self.tracker.step(motion, &mut self.settled);
        if !self.settled.is_empty() {
            self.paint();
        }
    }

    /// Time without readings; `false` when the path is lost.
    pub(super) fn blind(&mut self, seconds: f64) -> bool {
        self.tracker.blind(seconds)
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
                let across = north * painter.cos - east * painter.sin;
                (east * painter.cos + north * painter.sin, across)
            };
            let line = [end(half), end(-half)];
            if let Some(last) = painter.last.filter(|_| vertex.brushed) {
                self.raster.sweep(last, line, vertex.pass);
            }
            painter.last = Some(line);
        }
        self.painter = Some(painter);
    }

    /// The visit ends; its brushes went `swept_m`. A map is drawn where one is wanted.
    pub(super) fn end(&mut self, place: Place, span: Span, swept_m: f64, wanted: bool) -> Visit {
        let drift = self.tracker.end(&mut self.settled);
        self.paint();
        let path_width_m = self.model.path.path_width_m;
        let distinct = SquareMetres(self.raster.brushed_m2());
        let (length_m, breadth_m) = map::extent(&self.raster);
        let missed = strips::find(&mut self.raster, self.model.least_strip_m, path_width_m);
        Visit {
            place,
            span,
            swept: SquareMetres(swept_m * path_width_m),
            distinct,
            distinct_bound: area_bound(length_m, breadth_m, &drift),
            drift: Metres(Z80 * drift.across_m),
            missed: SquareMetres(missed.area_m2),
            longest_missed: Metres(missed.longest_m),
            least_strip: Metres(self.model.least_strip_m),
            lanes: (drift.fitting, drift.odd),
            sides_seen: drift.sides,
            cut_short: self.raster.full(),
            goes_on: false,
            map: wanted.then(|| map::draw(&self.raster)).flatten(),
        }
    }
}
