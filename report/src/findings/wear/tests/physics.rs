//! The wear rate in m/J is Archard's: with dimensions, and found again from made-up lengths.

use super::{book, day, judge};
use crate::findings::Observed;
use crate::findings::history::Night;
use std::ops::{Div, Mul};
use underbrush_protocol::si::{Joules, Seconds};

/// A value with its powers of kg, m and s.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Sized(f64, [i8; 3]);

fn powers(a: Sized, b: Sized, both: fn(i8, i8) -> i8) -> [i8; 3] {
    std::array::from_fn(|i| both(a.1[i], b.1[i]))
}

impl Mul for Sized {
    type Output = Self;
    fn mul(self, o: Self) -> Self {
        Self(self.0 * o.0, powers(self, o, i8::wrapping_add))
    }
}

impl Div for Sized {
    type Output = Self;
    fn div(self, o: Self) -> Self {
        Self(self.0 / o.0, powers(self, o, i8::wrapping_sub))
    }
}

fn number(v: f64) -> Sized {
    Sized(v, [0, 0, 0])
}
fn metres(v: f64) -> Sized {
    Sized(v, [0, 1, 0])
}
fn square_metres(v: f64) -> Sized {
    Sized(v, [0, 2, 0])
}
fn metres_a_second(v: f64) -> Sized {
    Sized(v, [0, 1, -1])
}
fn newtons(v: f64) -> Sized {
    Sized(v, [1, 1, -2])
}
fn pascals(v: f64) -> Sized {
    Sized(v, [1, -1, -2])
}
fn joules(v: f64) -> Sized {
    Sized(v, [1, 2, -2])
}

fn close(found: Sized, expected: Sized) {
    assert_eq!(found.1, expected.1, "dimension");
    let error = (found.0 - expected.0).abs() / expected.0.abs();
    assert!(error < 1e-3, "{found:?} is not {expected:?}");
}

// The numbers of a public worked example of Archard's equation: K 1e-5, F 100 N, v 1 m/s,
// H 500 MPa, A 10 cm2.
const K: f64 = 1e-5;
const FORCE_N: f64 = 100.0;
const HARDNESS_PA: f64 = 500e6;
const AREA_M2: f64 = 1e-3;
const MU: f64 = 0.3;

/// K / (mu H A).
fn rate() -> Sized {
    number(K) / (number(MU) * pascals(HARDNESS_PA) * square_metres(AREA_M2))
}

// Source: Archard, J. Appl. Phys. 24, 1953, V = K F s / H; the example's answers are 2.0e-3 mm3/s and
// 7.2 um/h.
#[test]
fn rate_times_energy_is_archards_depth() {
    let second = metres_a_second(1.0) * Sized(1.0, [0, 0, 1]);
    let volume = number(K) * newtons(FORCE_N) * second / pascals(HARDNESS_PA);
    close(volume, Sized(2.0e-12, [0, 3, 0]));
    let hour = number(3600.0);
    close(volume * hour / square_metres(AREA_M2), metres(7.2e-6));
    // Reye: the same from friction work alone, mu F s.
    let energy = number(MU) * newtons(FORCE_N) * second * hour;
    close(energy, joules(30.0 * 3600.0));
    close(rate(), metres(6.667e-11) / joules(1.0));
    close(rate() * energy, metres(7.2e-6));
    // Reye's own numbers: mu 0.30, 100 N over 1000 m are 30 kJ.
    close(number(MU) * newtons(100.0) * metres(1000.0), joules(30e3));
}

// Source: an exam question on a pin on a disc: 1 N, 6 turns a second on a track of 50 mm, 1 h, 0.4 mg
// of 7.85 g/cm3, yield 290 MPa; H = 3 x yield is the question's assumption.
#[test]
fn pin_on_disc() {
    let way = metres(std::f64::consts::PI * 0.05 * 6.0 * 3600.0);
    close(way, metres(3392.9));
    let volume = Sized(0.4e-6, [1, 0, 0]) / Sized(7850.0, [1, -3, 0]);
    close(volume, Sized(0.050_96e-9, [0, 3, 0]));
    close(volume * pascals(3.0 * 290e6) / (newtons(1.0) * way), number(1.307e-5));
}

// Source: Preston 1927, dh/dt = kp p v: twice the pressure or speed removes twice as much, and so does
// the same load on half the area. kp = w mu A = K / H.
#[test]
fn preston_is_the_same_law() {
    let depth_a_second = |force: f64, area: f64, speed: f64| {
        let w = number(K) / (number(MU) * pascals(HARDNESS_PA) * square_metres(area));
        w * number(MU) * newtons(force) * metres_a_second(speed)
    };
    let kp = rate() * number(MU) * square_metres(AREA_M2);
    close(kp, number(K) / pascals(HARDNESS_PA));
    let pressure = newtons(FORCE_N) / square_metres(AREA_M2);
    close(depth_a_second(FORCE_N, AREA_M2, 1.0), kp * pressure * metres_a_second(1.0));
    let once = depth_a_second(FORCE_N, AREA_M2, 1.0);
    close(depth_a_second(2.0 * FORCE_N, AREA_M2, 1.0), number(2.0) * once);
    close(depth_a_second(FORCE_N, AREA_M2, 2.0), number(2.0) * once);
    close(depth_a_second(FORCE_N, AREA_M2 / 2.0, 1.0), number(2.0) * once);
}

// Lengths by K F s / (H A), energies by mu F s: the report finds K / (mu H A), and not the 8e-11 m/J
// of the machine file.
#[test]
fn the_report_finds_archards_rate() {
    let way_m = 120_000.0;
    let nights: Vec<Night> = (0..=50)
        .map(|n| Night {
            date: day(n),
            observed: Observed { seen: Seconds(1.0), of: Seconds(1.0) },
            energy: vec![Joules(MU * FORCE_N * way_m); 2],
            ..Night::default()
        })
        .collect();
    let depth_mm = 1e3 * K * FORCE_N * way_m / (HARDNESS_PA * AREA_M2);
    let lengths: Vec<_> =
        (1..=7).map(|week| (7 * week, 25.4 - depth_mm * 7.0 * week as f64)).collect();
    let found = judge(&book(&lengths), &nights);
    let found_rate = found.rate.unwrap();
    let exact = rate().0;
    assert!((found_rate.best.0 / exact - 1.0).abs() < 0.02, "{found_rate:?}");
    assert!(found_rate.low.0 < exact && exact < found_rate.high.0);
    assert_eq!(found_rate.measurements, 7);
    let left = 25.4e-3 - 1e-3 * depth_mm * 51.0;
    assert!((found.left.unwrap().best.0 - left).abs() < 1e-4);
}
