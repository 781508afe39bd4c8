//! The path against closed forms, and its bias against stops.

use super::filter::{EAST, Filter, HEADING, NORTH, Noise};
use super::{Motion, PathModel, Tracker, Vertex};
use core::f64::consts::{PI, TAU};

fn model() -> PathModel {
    PathModel {
        noise: Noise {
            gyro_rad_s: 0.002,
            bias_walk: 0.0015 * (2.0_f64 / 600.0).sqrt(),
            bias_start_rad_s: 0.02,
            scale: 0.003,
            speed_m_s: 0.005,
        },
        standing_m_s: 0.05,
        // No help from lanes or sides here.
        lane_spread_m: 1e6,
        side_spread_m: 1e6,
        path_width_m: 0.7,
    }
}

fn run(motions: impl IntoIterator<Item = Motion>) -> Vec<Vertex> {
    let mut tracker = Tracker::new(model());
    let mut out = Vec::new();
    tracker.begin();
    for motion in motions {
        tracker.step(motion, &mut out);
    }
    tracker.end(&mut out);
    out
}

fn motion(speed_m_s: f64, gyro_rad_s: f64) -> Motion {
    Motion { seconds: 0.1, speed_m_s, gyro_rad_s, brushing: true }
}

// Source: closed form of the circle: after a whole turn the machine is where it began, whatever
// the step; after half a turn it is one diameter to the side. Speed and turn rate are constant in a
// step, so the arc is exact but for its series of 2e-11 a step: the bound is 1e-7 m.
#[test]
fn circles_close_for_any_step() {
    let (speed, rate) = (0.5, 0.4);
    for steps in [8_u32, 60, 1000] {
        let seconds = TAU / rate / f64::from(steps);
        let mut filter = Filter::new(model().noise);
        for i in 0..steps {
            filter.advance(seconds, speed, rate);
            if 2 * (i + 1) == steps {
                let (east, north) = (filter.get(EAST), filter.get(NORTH));
                assert!((north - 2.0 * speed / rate).abs() < 1e-7 && east.abs() < 1e-7);
            }
        }
        let (east, north) = (filter.get(EAST), filter.get(NORTH));
        assert!(east.hypot(north) < 1e-7, "{steps}: {east} {north}");
    }
}

// Source: closed form: two circles, one to each side. The gyro reads the mean of each 0.1 s; the
// change of direction falls into a step, which moves the second circle by at most speed x step.
#[test]
fn a_figure_of_eight_comes_back() {
    let (speed, rate) = (0.5, 0.25);
    let steps = (TAU / rate / 0.1).round() as usize;
    let rate = TAU / (steps as f64 * 0.1);
    let first = std::iter::repeat_n(motion(speed, rate), steps);
    let second = std::iter::repeat_n(motion(speed, -rate), steps);
    let path = run(first.chain(second));
    let last = path.last().unwrap();
    assert!(last.east_m.hypot(last.north_m) < 1e-6, "{last:?}");
    assert!((last.way_m - 2.0 * TAU * speed / rate).abs() < 1e-6);
    let highest = path.iter().map(|v| v.north_m).fold(f64::MIN, f64::max);
    // Vertices stand at least every 0.2 rad: 1 - cos(0.1) of the radius.
    assert!((highest - 2.0 * speed / rate).abs() < 0.01 * speed / rate, "{highest}");
}

/// A gyro with this bias: stands, drives straight for a minute, and so on.
fn stops_and_runs(bias: f64, stop_s: usize) -> impl Iterator<Item = Motion> {
    (0..6_usize).flat_map(move |round| {
        let stop = std::iter::repeat_n(motion(0.0, bias), stop_s * 10);
        // A turn in between, so that runs are not one lane.
        let turn = std::iter::repeat_n(motion(0.5, bias + PI / 4.0), 40 * (round % 2));
        let go = std::iter::repeat_n(motion(0.5, bias), 600);
        stop.chain(turn).chain(go)
    })
}

// Proof of the zero-velocity update: five minutes with a bias of 5 mrad/s turn an uncorrected
// heading by 1.8 rad. With stops of 3 s the bias is known to 0.002 / sqrt(30) = 0.37 mrad/s at
// worst; here the readings carry no noise, so what is left is the first guess's pull.
#[test]
fn stops_hold_the_heading() {
    for bias in [0.005, -0.012] {
        let path = run(stops_and_runs(bias, 3));
        let last = path.last().unwrap();
        let turns = (last.heading_rad / PI).round() * PI;
        assert!((last.heading_rad - turns).abs() < 0.02, "bias {bias}: {}", last.heading_rad);
        // Without stops it is lost.
        let lost = run(stops_and_runs(bias, 0));
        let off = lost.last().unwrap().heading_rad - path.last().unwrap().heading_rad;
        assert!(off.abs() > 1.0, "{off}");
    }
}

#[test]
fn a_turn_on_the_spot_is_no_standstill() {
    let still = std::iter::repeat_n(motion(0.0, 0.0), 50);
    let spin = std::iter::repeat_n(motion(0.0, 0.5), 31);
    let path = run(still.chain(spin).chain(std::iter::repeat_n(motion(0.5, 0.0), 40)));
    let heading = path.last().unwrap().heading_rad;
    assert!((heading - 1.55).abs() < 0.01, "{heading}");
}

// While the bias is not known yet, only its scatter tells a slow wobble from a standstill.
#[test]
fn a_wobble_on_the_spot_is_no_sight_of_the_bias() {
    let wobble = (0..40).map(|i| motion(0.0, if i % 10 < 5 { 0.06 } else { 0.0 }));
    let path = run(wobble.chain(std::iter::repeat_n(motion(0.5, 0.0), 100)));
    let heading = path.last().unwrap().heading_rad;
    assert!((heading - 0.12).abs() < 0.01, "{heading}");
}

// Source: closed form of the covariance: with a bias known to s, a straight run of t seconds at v
// is off by s v t^2 / 2 sideways.
#[test]
fn the_stated_drift_is_that_of_the_closed_form() {
    let noise = Noise {
        gyro_rad_s: 0.0,
        bias_walk: 0.0,
        bias_start_rad_s: 0.001,
        scale: 0.0,
        speed_m_s: 0.0,
    };
    let mut filter = Filter::new(noise);
    for _ in 0..600 {
        filter.advance(0.1, 0.5, 0.0);
    }
    let (across, along) = filter.deviations();
    let expected = 0.001 * 0.5 * 60.0 * 60.0 / 2.0;
    assert!((across / expected - 1.0).abs() < 0.001, "{across} {expected}");
    assert!(along < 1e-9, "{along}");
}

#[test]
fn a_short_silence_is_bridged_and_a_long_one_is_not() {
    let mut tracker = Tracker::new(model());
    let mut out = Vec::new();
    tracker.begin();
    for _ in 0..100 {
        tracker.step(motion(0.5, 0.0), &mut out);
    }
    assert!(tracker.blind(1.0));
    tracker.step(motion(0.5, 0.0), &mut out);
    assert!(tracker.blind(2.9));
    assert!(!tracker.blind(0.2));
    tracker.end(&mut out);
    let last = out.last().unwrap();
    assert!((last.east_m - 0.5 * (10.1 + 1.0 + 2.9)).abs() < 0.01, "{last:?}");
}

/// Time, way and turn of each row; see fixtures/data/plaza/README.md.
const PLAZA: &str = include_str!("../../../../fixtures/data/plaza/Plaza1_DR.txt");

fn plaza() -> Vec<Motion> {
    let number = |word: &str| word.parse::<f64>().unwrap();
    let rows: Vec<Vec<f64>> =
        PLAZA.lines().map(|l| l.split_whitespace().map(number).collect()).collect();
    let mut before = rows[0][0] - 0.2;
    rows.iter()
        .map(|row| {
            let seconds = row[0] - before;
            before = row[0];
            Motion {
                seconds,
                speed_m_s: row[1] / seconds,
                gyro_rad_s: row[2] / seconds,
                brushing: true,
            }
        })
        .collect()
}

// Source: the same rows integrated with complex numbers in tests/reference/plaza_heading.py.
#[test]
fn a_real_robot_as_python_reckons_it() {
    let mut filter = Filter::new(model().noise);
    for m in plaza() {
        filter.advance(m.seconds, m.speed_m_s, m.gyro_rad_s);
    }
    let found = [EAST, NORTH, HEADING].map(|place| filter.get(place));
    for (found, python) in found.iter().zip([-40.395, -22.870, -10.8928]) {
        assert!((found - python).abs() < 0.001, "{found} is not {python}");
    }
}

// Source: the run's path by an independent INS/GPS record (the array GT of Plaza1_.mat in the PyPI
// package gtsam 4.3.0), turned to begin ahead: it ends at (-38.855, -27.042) m after 1859 m;
// tests/reference/plaza_heading.py. Bare dead reckoning is 4.45 m off, 0.24 % of the way. The
// robot's heading had its bias taken out already: a gyro of 2 mrad/s would tell it after the
// first stop of 45 s at 5 Hz to 0.13 mrad/s, which is 0.26 rad in 1933 s; no more may be lost.
#[test]
fn a_real_robot_ends_where_the_satellites_saw_it() {
    let path = run(plaza());
    let last = path.last().unwrap();
    let apart = (last.east_m + 38.855).hypot(last.north_m + 27.042);
    assert!(apart < 0.005 * 1859.0, "{apart} m, {last:?}");
    assert!((last.heading_rad + 10.8928).abs() < 0.26, "{last:?}");
}
