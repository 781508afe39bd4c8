//! Coverage against geometry by another library, and against driven floors that are known.

use super::Visit;
use super::driver::{Driven, Job, drive};
use super::floor::{CoverageModel, Floor};
use super::raster::Raster;
use crate::findings::path::PathModel;
use crate::findings::{Place, Span};
use core::f64::consts::{PI, TAU};
use underbrush_protocol::settings::Machine;

/// Places of the brush line's middle with its heading, as in `tests/reference/swept_union.py`.
type Places = Vec<(f64, f64, f64)>;

fn lanes() -> Places {
    let mut places = Vec::new();
    for lane in 0..6 {
        let (y, out) = (0.6 * f64::from(lane), lane % 2 == 0);
        let heading = if out { 0.0 } else { PI };
        places.extend((0..17).map(|i| {
            let x = 0.5 * f64::from(i);
            (if out { x } else { 8.0 - x }, y, heading)
        }));
        let side = if out { 1.0 } else { -1.0 };
        places.extend((1..20).map(|i| {
            let turn = PI * f64::from(i) / 20.0;
            let x = if out { 8.0 } else { 0.0 } + side * 0.3 * turn.sin();
            (x, y + 0.3 - 0.3 * turn.cos(), if out { turn } else { PI - turn })
        }));
    }
    places
}

fn circle(radius: f64) -> Places {
    (0..=240)
        .map(|i| TAU * f64::from(i) / 240.0)
        .map(|a| (radius * a.sin(), radius - radius * a.cos(), a))
        .collect()
}

fn eight() -> Places {
    let left = circle(1.5);
    let right: Places = left.iter().skip(1).map(|(x, y, h)| (*x, -y, -h)).collect();
    [left, right].concat()
}

fn walk() -> Places {
    let (mut state, mut x, mut y, mut heading) = (2026_u64, 0.0, 0.0, 0.0_f64);
    let mut places = vec![(x, y, heading)];
    for _ in 0..600 {
        state =
            state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        heading += ((state >> 33) as f64 / 2_147_483_648.0 - 0.5) * 0.5;
        x += 0.1 * heading.cos();
        y += 0.1 * heading.sin();
        places.push((x, y, heading));
    }
    places
}

fn brushed_m2(places: &Places, turned_rad: f64) -> f64 {
    let mut raster = Raster::default();
    let (sin, cos) = turned_rad.sin_cos();
    let line = |&(x, y, h): &(f64, f64, f64)| {
        [0.35, -0.35].map(|side| {
            let (x, y) = (x - side * h.sin(), y + side * h.cos());
            (x * cos - y * sin, x * sin + y * cos)
        })
    };
    for pair in places.windows(2) {
        raster.sweep(line(&pair[0]), line(&pair[1]), 1);
    }
    raster.brushed_m2()
}

// Source: union of the same quadrilaterals by shapely 2.2.0 (GEOS), agreeing within 0.1 % with a
// count on a grid of 5 mm in numpy: tests/reference/swept_union.py. Tolerance: an edge of the
// outline is off by up to half a cell of 30 mm where it runs along the cells, by far less on the
// mean where it does not; the lanes are tried at four angles for that reason.
#[test]
fn the_raster_is_as_large_as_the_union_of_shapely() {
    for (name, places, area) in [
        ("lanes", lanes(), 33.435_032),
        ("circle", circle(2.0), 8.795_455),
        ("eight", eight(), 12.162_227),
        ("walk", walk(), 41.779_962),
    ] {
        for turned_rad in [0.0, 0.2, 0.7, 2.1] {
            let found = brushed_m2(&places, turned_rad);
            let tolerance = if turned_rad == 0.0 { 0.01 } else { 0.004 };
            assert!((found / area - 1.0).abs() < tolerance, "{name} at {turned_rad}: {found} m²");
        }
    }
}

// Source: geometry; the ring swept by a line of 0.7 m on a circle of 2 m is 2 pi 2 x 0.7.
#[test]
fn a_ring_driven_three_times_is_one_ring() {
    let once = circle(2.0);
    let thrice = [once.clone(), once.clone(), once].concat();
    let found = brushed_m2(&thrice, 0.4);
    assert!((found / (TAU * 2.0 * 0.7) - 1.0).abs() < 0.004, "{found}");
}

const MACHINE: &str = r#"
id = "T1"
name = "Test machine"
[deck]
brushes = 1
path_width = "28 in"
contact_length = "0.35 m"
[motor]
torque_constant = "0.1 N.m/A"
resistance = "0.05 ohm"
no_load_current = "4 A"
gear_ratio = 10.0
rated_current = "30 A"
[battery]
nominal_voltage = "36 V"
"#;

/// The defaults of the machine file.
fn model() -> CoverageModel {
    let machine = Machine::parse("machine.toml", MACHINE).unwrap();
    CoverageModel { path: PathModel::of(&machine), ..CoverageModel::of(&machine) }
}

fn cover(model: CoverageModel, driven: &Driven) -> Visit {
    let mut floor = Floor::new(model);
    floor.begin();
    for motion in &driven.steps {
        floor.step(*motion);
    }
    let at = chrono::DateTime::UNIX_EPOCH;
    let swept_m = driven.swept_m2 / model.path.path_width_m;
    floor.end(Place::default(), Span { from: at, to: at }, swept_m, true)
}

fn error(visit: &Visit, driven: &Driven) -> f64 {
    visit.distinct.0 / driven.distinct_m2 - 1.0
}

// The model's numbers were chosen on seeds from 10000 on.
#[test]
fn blocks_of_45_minutes_are_within_three_percent() {
    for seed in 0..8 {
        for scale in [0.0, 0.001] {
            let driven = drive(Job { scale, ..Job::default() }, seed);
            let visit = cover(model(), &driven);
            assert!(
                error(&visit, &driven).abs() < 0.03,
                "seed {seed}, scale {scale}: {} of {} m²",
                visit.distinct.0,
                driven.distinct_m2
            );
            let (fitting, odd) = visit.lanes;
            assert!(fitting > 140 && odd < 5 && visit.sides_seen > 8, "{visit:?}");
        }
    }
}

#[test]
fn large_floors_driven_once_are_within_their_bound() {
    let job = Job { once: true, lane_m: 20.0, breadth_m: 12.0, speed_m_s: 1.1, ..Job::default() };
    let mut outside = 0;
    for seed in 0..12 {
        let driven = drive(job, seed);
        let visit = cover(model(), &driven);
        let off = (visit.distinct.0 - driven.distinct_m2).abs();
        outside += u32::from(off > visit.distinct_bound.0);
        assert!(error(&visit, &driven).abs() < 0.06, "{seed}: {}", error(&visit, &driven));
    }
    // 80 % interval: 2.4 of 12 expected; 6 or more has a chance of 2 % (binomial).
    assert!(outside < 6, "{outside} of 12 outside");
}

#[test]
fn a_lane_that_was_left_out_is_a_missed_strip() {
    let job = Job { once: true, breadth_m: 3.6, spacing_m: 0.6, ..Job::default() };
    let whole = drive(job, 3);
    let visit = cover(model(), &whole);
    assert!(visit.missed.0 < 0.1, "{:?}", visit.missed);
    // One of seven lanes without brushes: about 0.5 m of it stay dry over 7 m.
    let driven = drive(Job { left_out: Some(3), ..job }, 3);
    let visit = cover(model(), &driven);
    let dry = whole.distinct_m2 - driven.distinct_m2;
    assert!(dry > 2.0, "{dry}");
    assert!((visit.missed.0 / dry - 1.0).abs() < 0.25, "{} of {dry} m²", visit.missed.0);
    assert!(visit.longest_missed.0 > 5.0, "{:?}", visit.longest_missed);
}

#[test]
fn memory_is_bounded_and_says_so() {
    let mut raster = Raster::default();
    for lane in 0..200 {
        let y = f64::from(lane) * 10.0;
        raster.sweep([(0.0, y), (0.0, y + 0.7)], [(40.0, y), (40.0, y + 0.7)], 1);
    }
    assert!(raster.full());
    assert!(raster.brushed_m2() > 1000.0);
    raster.clear();
    raster.sweep([(0.0, 0.0), (0.0, 0.7)], [(1e9, 0.0), (1e9, 0.7)], 1);
    assert!(raster.full(), "a place beyond all floors is left out");
}
