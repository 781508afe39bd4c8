//! The way of the brush deck over the floor, dead-reckoned from speed and turn rate.
//!
//! Words: a *visit* is a stretch of time at one place; its path has a frame of
//! its own. A *run* is a straight stretch; a *lane* is a long run. A *sweep*
//! goes lane by lane from one side of the worked floor to the other. A *vertex*
//! is where the axle was; vertices come out late, when the sweep they belong to
//! has ended and its corrections are known.
//!
//! Model. Steps are integrated as arcs (`filter`). Drift is held by three things
//! that a technician can check:
//! 1. A machine that stands does not turn: the gyro then reads its own bias
//!    (`standing`; zero-velocity update, as in foot-mounted navigation).
//! 2. Lanes lie parallel or at right angles to each other, because floors are
//!    rectangular. A lane that does not fit is not used (`runs`).
//! 3. Sweeps over the same floor end at the same two sides (`sweeps`), because
//!    the floor does. A sweep that ends elsewhere is not used.
//!
//! Where 2 and 3 do not hold the path is dead reckoning with the stops alone and
//! its stated drift grows accordingly.

pub(super) mod filter;
mod runs;
mod standing;
mod sweeps;
#[cfg(test)]
mod tests;

use core::f64::consts::PI;
use filter::{AXIS, EAST, Filter, HEADING, NORTH, Noise, Sight};
use runs::{Run, Runs};
use standing::{Standing, Verdict};
use sweeps::Sweeps;
use underbrush_protocol::settings::Machine;

/// A vertex comes after this much way, this much turn, or when the way between bulges by a
/// millimetre or two: an arc's rise over its chord is an eighth of way x turn.
const VERTEX_M: f64 = 1.5;
const VERTEX_RAD: f64 = 0.2;
const VERTEX_BULGE_M: f64 = 8.0 * 0.002;
/// Vertices that wait for the end of their sweep: 200 kB, some 100 lanes.
const MOST_WAITING: usize = 4000;
/// A lane this near to the axis lies along it, in rad.
const ALONG_RAD: f64 = 0.3;
/// After so many odd lanes in a row the heading is doubted by this, in rad.
const MOST_ODD: u8 = 3;
const ODD_RAD: f64 = 0.1;
/// Without readings for longer than this, in s, the path is lost.
const LONGEST_BLIND_S: f64 = 3.0;
/// What a second without readings adds to the doubt: share of the way, and of the heading in rad.
const BLIND_WAY: f64 = 0.3;
const BLIND_RAD_S: f64 = 0.03;

/// What the path is computed by.
#[derive(Clone, Copy, Debug)]
pub(crate) struct PathModel {
    pub(crate) noise: Noise,
    /// Below this speed the machine may be standing, m/s.
    pub(crate) standing_m_s: f64,
    /// How far sideways the end of a lane may be from parallel, one standard deviation, m.
    pub(crate) lane_spread_m: f64,
    /// How far the last lane of a sweep may be from the side, one standard deviation, m.
    pub(crate) side_spread_m: f64,
    /// Width that the brushes work, m.
    pub(crate) path_width_m: f64,
}

impl PathModel {
    pub(super) fn of(machine: &Machine) -> Self {
        let path = &machine.path;
        // A wander with this deviation and memory starts out as a random walk of this speed.
        let bias_walk = path.gyro_wander.0 * (2.0 / path.gyro_wander_time.0).sqrt();
        Self {
            noise: Noise {
                gyro_rad_s: path.gyro_noise.0,
                bias_walk,
                bias_start_rad_s: path.gyro_start_bias.0,
                scale: path.gyro_scale_error,
                speed_m_s: path.speed_noise.0,
            },
            standing_m_s: f64::from(machine.limits().standing_m_s),
            lane_spread_m: path.lane_spread.0,
            side_spread_m: path.side_spread.0,
            path_width_m: machine.deck.path_width.0,
        }
    }
}

/// One step.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Motion {
    pub(crate) seconds: f64,
    pub(crate) speed_m_s: f64,
    pub(crate) gyro_rad_s: f64,
    /// A brush turns on the floor.
    pub(crate) brushing: bool,
}

/// Where the axle was.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Vertex {
    pub(crate) east_m: f64,
    pub(crate) north_m: f64,
    pub(crate) heading_rad: f64,
    /// Way from the visit's begin, both directions.
    pub(crate) way_m: f64,
    /// The floor since the vertex before was brushed.
    pub(crate) brushed: bool,
    /// Counts on when the machine has turned back: what is brushed again then counts twice.
    pub(crate) pass: u32,
}

/// How far the path may be off, root mean square over the brushed way, in m.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Drift {
    /// Across the lanes.
    pub(crate) across_m: f64,
    /// Along them.
    pub(crate) along_m: f64,
    /// Lanes that fitted the floor's directions, and lanes that did not.
    pub(crate) fitting: u32,
    pub(crate) odd: u32,
    /// Ends of sweeps that fitted.
    pub(crate) sides: u32,
}

/// Follows the path of one visit after another.
#[derive(Clone, Debug)]
pub(crate) struct Tracker {
    model: PathModel,
    filter: Filter,
    standing: Standing,
    runs: Runs,
    sweeps: Sweeps,
    waiting: Vec<Vertex>,
    /// Way up to which runs have had their correction, and at the last vertex that came out.
    corrected_m: f64,
    out_m: f64,
    way_m: f64,
    last: Vertex,
    passes: Passes,
    /// Lanes in a row that did not fit.
    odd: u8,
    blind_s: f64,
    last_speed_m_s: f64,
    drift: DriftSums,
}

#[derive(Clone, Copy, Debug, Default)]
struct DriftSums {
    way_m: f64,
    across_m3: f64,
    along_m3: f64,
    out: Drift,
}

impl Tracker {
    pub(crate) fn new(model: PathModel) -> Self {
        Self {
            model,
            filter: Filter::new(model.noise),
            standing: Standing::new(model.noise.gyro_rad_s),
            runs: Runs::default(),
            sweeps: Sweeps::new(0.75 * model.path_width_m, model.side_spread_m),
            waiting: Vec::with_capacity(MOST_WAITING),
            corrected_m: 0.0,
            out_m: 0.0,
            way_m: 0.0,
            last: Vertex::default(),
            passes: Passes::default(),
            odd: 0,
            blind_s: 0.0,
            last_speed_m_s: 0.0,
            drift: DriftSums::default(),
        }
    }

    /// A visit begins: its frame has its origin here and its east ahead.
    pub(crate) fn begin(&mut self) {
        self.filter.begin();
        self.runs = Runs::default();
        self.sweeps.begin();
        self.waiting.clear();
        (self.corrected_m, self.out_m) = (0.0, 0.0);
        (self.way_m, self.blind_s, self.odd) = (0.0, 0.0, 0);
        (self.last, self.passes) = (Vertex::default(), Passes::default());
        self.drift = DriftSums::default();
        self.push(false);
    }

    /// The gyro was switched off and on.
    pub(crate) fn restart(&mut self) {
        self.standing.clear();
        self.filter.restart();
    }

    /// Direction of the lanes in the visit's frame, once one was seen.
    pub(crate) fn axis_rad(&self) -> Option<f64> {
        self.filter.knows(AXIS).then(|| self.filter.get(AXIS))
    }

    /// Takes a step; vertices that are settled go to `out`.
    pub(crate) fn step(&mut self, motion: Motion, out: &mut Vec<Vertex>) {
        self.blind_s = 0.0;
        self.last_speed_m_s = motion.speed_m_s;
        if motion.speed_m_s.abs() < self.model.standing_m_s {
            if let Some(verdict) = self.standing.add(motion) {
                self.stood(verdict, out);
            }
            return;
        }
        if let Some(verdict) = self.standing.end() {
            self.stood(verdict, out);
        }
        let turn_rad_s = self.filter.turn_rad_s(motion.gyro_rad_s);
        self.go(motion, turn_rad_s, out);
    }

    /// Time without readings; `false` when the path is lost.
    pub(crate) fn blind(&mut self, seconds: f64) -> bool {
        self.standing.clear();
        self.blind_s += seconds;
        let moving = self.last_speed_m_s.abs() >= self.model.standing_m_s;
        if self.blind_s > LONGEST_BLIND_S {
            return false;
        }
        if moving {
            let way = self.last_speed_m_s * seconds;
            self.filter.advance(seconds, self.last_speed_m_s, 0.0);
            self.filter.blur(BLIND_WAY * way, BLIND_RAD_S * seconds);
            self.way_m += way.abs();
        }
        true
    }

    /// The visit ends: all that waits goes to `out`.
    pub(crate) fn end(&mut self, out: &mut Vec<Vertex>) -> Drift {
        if let Some(verdict) = self.standing.end() {
            self.stood(verdict, out);
        }
        if let Some(run) = self.runs.end() {
            self.run_ended(run, out);
        }
        self.push(self.last.brushed);
        self.add_drift();
        self.commit(out);
        let sums = &self.drift;
        let rms = |sum: f64| if sums.way_m > 0.0 { (sum / sums.way_m).sqrt() } else { 0.0 };
        Drift { across_m: rms(sums.across_m3), along_m: rms(sums.along_m3), ..sums.out }
    }

    /// What a stretch of (almost) no speed was.
    fn stood(&mut self, verdict: Verdict, out: &mut Vec<Vertex>) {
        let Verdict { seconds, way_m, gyro_rad_s, quiet, deviation_rad_s, brushing } = verdict;
        let bias = filter::BIAS;
        let sight = Sight {
            gain: Filter::gain([(bias, 1.0)]),
            innovation: gyro_rad_s - self.filter.get(bias),
            variance: deviation_rad_s.powi(2),
            gate: standing::GATE,
        };
        if quiet && self.filter.see(&sight) {
            self.filter.rest(seconds);
            self.filter.creep(way_m);
            self.way_m += way_m.abs();
            return;
        }
        let speed_m_s = way_m / seconds;
        let motion = Motion { seconds, speed_m_s, gyro_rad_s, brushing };
        self.go(motion, self.filter.turn_rad_s(gyro_rad_s), out);
    }

    fn go(&mut self, motion: Motion, turn_rad_s: f64, out: &mut Vec<Vertex>) {
        self.filter.advance(motion.seconds, motion.speed_m_s, turn_rad_s);
        let way = (motion.speed_m_s * motion.seconds).abs();
        self.way_m += way;
        if motion.brushing != self.last.brushed {
            self.push(self.last.brushed);
            self.last.brushed = motion.brushing;
        }
        let heading = self.filter.get(HEADING);
        let backward = motion.speed_m_s < 0.0;
        self.passes.go(heading, backward);
        if let Some(run) = self.runs.go(heading, way, self.way_m) {
            self.passes.lane(run.heading_rad);
            self.run_ended(run, out);
        }
        let far = self.way_m - self.last.way_m;
        let turn = (heading - self.last.heading_rad).abs();
        if far >= VERTEX_M || turn >= VERTEX_RAD || far * turn >= VERTEX_BULGE_M {
            self.push(motion.brushing);
        }
        if self.waiting.len() >= MOST_WAITING {
            self.commit(out);
        }
    }

    /// Notes where the axle is.
    fn push(&mut self, brushed: bool) {
        let filter = &self.filter;
        let vertex = Vertex {
            east_m: filter.get(EAST),
            north_m: filter.get(NORTH),
            heading_rad: filter.get(HEADING),
            way_m: self.way_m,
            brushed,
            pass: self.passes.count,
        };
        self.last = vertex;
        self.waiting.push(vertex);
    }

    /// A straight stretch ended: what it tells of heading and position is used, and what
    /// waits is moved along.
    fn run_ended(&mut self, run: Run, out: &mut Vec<Vertex>) {
        let before = self.pose();
        let Some(fits) = runs::see_axis(&mut self.filter, run, self.model.lane_spread_m) else {
            return;
        };
        let count = if fits { &mut self.drift.out.fitting } else { &mut self.drift.out.odd };
        *count += 1;
        self.odd = if fits { 0 } else { self.odd + 1 };
        if self.odd >= MOST_ODD {
            // Rather the heading is wrong than so many lanes: the next may say so.
            self.odd = 0;
            self.filter.blur(0.0, ODD_RAD);
        }
        if fits {
            self.correct(before, self.corrected_m);
        }
        self.add_drift();
        self.corrected_m = self.way_m;
        let tilt = runs::off_axis(run.heading_rad, self.filter.get(AXIS), PI);
        if fits && tilt.abs() < ALONG_RAD {
            let before = self.pose();
            let across = self.across_of(run);
            let Some(corrected) = self.sweeps.lane(&mut self.filter, across) else { return };
            if corrected {
                self.drift.out.sides += 1;
                self.correct(before, self.out_m);
            }
            self.commit(out);
        }
    }

    fn pose(&self) -> [f64; 3] {
        [EAST, NORTH, HEADING].map(|place| self.filter.get(place))
    }

    /// Mean place of a run across the axis.
    fn across_of(&self, run: Run) -> f64 {
        let (sin, cos) = self.filter.get(AXIS).sin_cos();
        let across = |east: f64, north: f64| north * cos - east * sin;
        let inside = self.waiting.iter().filter(|v| v.way_m >= run.from_m);
        let first = (across(self.filter.get(EAST), self.filter.get(NORTH)), 1.0);
        let (sum, count) =
            inside.fold(first, |(sum, count), v| (sum + across(v.east_m, v.north_m), count + 1.0));
        sum / count
    }

    /// Spreads what the filter moved since `before` over the vertices from `from_m` on: what
    /// drifts shows itself evenly along the way.
    fn correct(&mut self, before: [f64; 3], from_m: f64) {
        let after = self.pose();
        let moved: [f64; 3] = std::array::from_fn(|i| after[i] - before[i]);
        let length = (self.way_m - from_m).max(1e-9);
        for v in self.waiting.iter_mut().rev().take_while(|v| v.way_m > from_m) {
            let share = (v.way_m - from_m) / length;
            v.east_m += moved[0] * share;
            v.north_m += moved[1] * share;
            v.heading_rad += moved[2] * share;
        }
        self.runs.shift(moved[2]);
        self.passes.shift(moved[2]);
        if let Some(last) = self.waiting.last() {
            self.last = Vertex { brushed: self.last.brushed, ..*last };
        }
    }

    /// Adds the doubt about the position since the last run.
    fn add_drift(&mut self) {
        let (across, along) = self.filter.deviations();
        let way = self.way_m - self.corrected_m;
        self.drift.way_m += way;
        self.drift.across_m3 += across * across * way;
        self.drift.along_m3 += along * along * way;
    }

    /// Lets out what waits.
    fn commit(&mut self, out: &mut Vec<Vertex>) {
        out.append(&mut self.waiting);
        self.out_m = self.way_m;
    }
}

/// Tells when the machine has turned back: by more than a quarter turn from its lane, or
/// from forward to backward.
#[derive(Clone, Copy, Debug, Default)]
struct Passes {
    count: u32,
    /// Heading of the lane, or where the turn was halfway.
    reference_rad: f64,
    /// In a turn that was halfway: what the reference is good for.
    turning: bool,
    backward: bool,
}

impl Passes {
    fn go(&mut self, heading_rad: f64, backward: bool) {
        let limit = if self.turning { 0.75 } else { 0.5 } * core::f64::consts::PI;
        if (heading_rad - self.reference_rad).abs() > limit || backward != self.backward {
            self.count += 1;
            self.turning = true;
            self.reference_rad = heading_rad;
            self.backward = backward;
        }
    }

    /// A lane was driven in this heading.
    fn lane(&mut self, heading_rad: f64) {
        self.reference_rad = heading_rad;
        self.turning = false;
    }

    fn shift(&mut self, by_rad: f64) {
        self.reference_rad += by_rad;
    }
}
