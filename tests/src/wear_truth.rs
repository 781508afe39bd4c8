//! How often the truth lies in the report's 80 % intervals of wear: simulated histories.
//!
//! Model, with nothing of the report's: Archard, depth = K F s / (H A) of each night, with force F
//! and sliding distance s drawn anew; the motor's friction energy is mu F s. K is drawn so that
//! K / (mu H A) is distributed as the machine file says of the wear rate, the new length as it says
//! of new segments, and each weekly reading is off by its measuring error. Nights off come at random,
//! 2 of 7. A history ends after 3 to 49 days; work then goes on in the same way until the segments
//! are used up, which gives the true days.

use chrono::{Days, NaiveDate};
use std::fmt;
use std::ops::Range;
use underbrush_protocol::settings::machine::Blade;
use underbrush_protocol::si::{Joules, Metres, MetresPerJoule, Seconds};
use underbrush_report::findings::history::Night;
use underbrush_report::findings::{BrushWear, DayRange, Observed, WearCase, WearFinding};
use underbrush_report::settings::Book;

/// Friction coefficient, hardness and contact area: only K / (mu H A) matters.
const MU: f64 = 0.3;
const HARDNESS_PA: f64 = 4e8;
const AREA_M2: f64 = 2e-3;
/// Force on one brush, and the way that it slides in a night: 4 MJ.
const FORCE_N: f64 = 900.0;
const WAY_M: f64 = 15_000.0;
/// A true length below this cannot be measured any more.
const SHORTEST_M: f64 = 1e-3;

/// Draws: `SplitMix64` (Steele, Lea and Flood 2014, from memory) and Box-Muller.
struct Draw(u64);

impl Draw {
    fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^= z >> 31;
        ((z >> 11) as f64 + 0.5) / (1_u64 << 53) as f64
    }

    fn normal(&mut self, mean: f64, deviation: f64) -> f64 {
        let (a, b) = (self.share(), self.share());
        mean + deviation * (-2.0 * a.ln()).sqrt() * (std::f64::consts::TAU * b).cos()
    }
}

/// Who is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One brush.
    One,
    /// Two brushes under different load, each measured.
    Apart,
    /// Two brushes, the shortest segment of both measured.
    Shortest,
}

/// A set of segments on one brush.
struct Brush {
    length_m: f64,
    archard_k: f64,
    /// Force over the usual force.
    load: f64,
}

impl Brush {
    fn new(draw: &mut Draw, blade: &Blade, load: f64) -> Self {
        let rate = loop {
            let mean = blade.wear_rate.0;
            let rate = draw.normal(mean, mean * blade.wear_rate_uncertainty);
            if rate > 0.0 {
                break rate;
            }
        };
        let length_m = draw.normal(blade.new_length.0, blade.new_length_tolerance.0);
        Self { length_m, archard_k: rate * MU * HARDNESS_PA * AREA_M2, load }
    }

    /// Wears off a night's way; gives the friction energy in J.
    fn work(&mut self, force_n: f64, way_m: f64) -> f64 {
        let force_n = force_n * self.load;
        self.length_m -= self.archard_k * force_n * way_m / (HARDNESS_PA * AREA_M2);
        MU * force_n * way_m
    }
}

/// Force and way of a night; none in a night off.
fn night_of(draw: &mut Draw) -> Option<(f64, f64)> {
    let works = draw.share() < 5.0 / 7.0;
    let force = draw.normal(FORCE_N, 0.1 * FORCE_N);
    let way = WAY_M * draw.normal(0.0, 0.4).exp();
    works.then_some((force, way))
}

/// What was true at the end of a history.
struct Truth {
    length_m: f64,
    /// Nights until the lengths of reordering and of the end are undercut.
    reorder_nights: u64,
    end_nights: u64,
}

/// One made-up history, as the report sees it and as it was.
struct History {
    found: WearFinding,
    date: NaiveDate,
    truth: Vec<Truth>,
}

fn day(n: u64) -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 1, 1).unwrap_or_default() + Days::new(n)
}

fn history(seed: u64, kind: Kind, blade: &Blade) -> History {
    let mut draw = Draw(seed.wrapping_mul(0x9E37_79B9) ^ 0x5EED);
    let count = if kind == Kind::One { 1 } else { 2 };
    let mut brushes: Vec<Brush> = (0..count)
        .map(|_| {
            let load = if kind == Kind::Apart { 0.7 + 0.6 * draw.share() } else { 1.0 };
            Brush::new(&mut draw, blade, load)
        })
        .collect();
    if kind == Kind::Shortest
        && let [a, b] = &mut brushes[..]
    {
        b.archard_k = a.archard_k;
    }
    // Brushes are told apart once they were measured.
    let fewest = if kind == Kind::Apart { 7 } else { 3 };
    let days = fewest + (draw.share() * 43.0) as u64;
    let mut nights = Vec::new();
    let mut book = format!("[[tool]]\nfitted = {}\ngrit = \"400\"\n", day(0));
    for n in 0..days {
        if n % 7 == 6 {
            book += &measured(&mut draw, n, kind, &brushes, blade);
        }
        let work = night_of(&mut draw);
        let energy = brushes
            .iter_mut()
            .map(|b| work.map_or(0.0, |(force, way)| b.work(force, way)))
            .map(Joules)
            .collect();
        let observed = Observed { seen: Seconds(1.0), of: Seconds(1.0) };
        nights.push(Night { date: day(n), observed, energy, ..Night::default() });
        if brushes.iter().any(|b| b.length_m < SHORTEST_M) {
            break;
        }
    }
    let date = nights.last().map_or(day(0), |night| night.date);
    let book = Book::parse("made up", &book).unwrap_or_default();
    let brush_count = count as u8;
    let case = WearCase {
        blade,
        brushes: brush_count,
        book: &book,
        nights: &nights,
        covered: Some(day(0)),
        last_logged: Some(date),
        date,
    };
    History { found: case.judge(), date, truth: go_on(&mut draw, kind, brushes, blade) }
}

/// An entry of the shift book with the lengths of the morning before night `n`.
fn measured(draw: &mut Draw, n: u64, kind: Kind, brushes: &[Brush], blade: &Blade) -> String {
    let mut read = |length: f64| {
        let mm = 1000.0 * draw.normal(length, blade.measuring_error.0).max(0.0);
        format!("\"{mm:.3} mm\"")
    };
    let lengths = match kind {
        Kind::Apart => {
            let all: Vec<String> = brushes.iter().map(|b| read(b.length_m)).collect();
            format!("lengths = [{}]", all.join(", "))
        }
        Kind::One | Kind::Shortest => {
            let shortest = brushes.iter().map(|b| b.length_m).fold(f64::INFINITY, f64::min);
            format!("length = {}", read(shortest))
        }
    };
    format!("[[measured]]\ndate = {}\n{lengths}\n", day(n))
}

/// Works on until all is used up.
fn go_on(draw: &mut Draw, kind: Kind, mut brushes: Vec<Brush>, blade: &Blade) -> Vec<Truth> {
    let lengths = |brushes: &[Brush]| -> Vec<f64> {
        let all = brushes.iter().map(|b| b.length_m);
        match kind {
            Kind::Shortest => vec![all.fold(f64::INFINITY, f64::min)],
            Kind::One | Kind::Apart => all.collect(),
        }
    };
    let mut truth: Vec<Truth> = lengths(&brushes)
        .into_iter()
        .map(|length_m| Truth { length_m, reorder_nights: 0, end_nights: 0 })
        .collect();
    for nights in 1..5_000 {
        let mut open = false;
        for (truth, length) in truth.iter_mut().zip(lengths(&brushes)) {
            // Still above the limit before this night: it takes this one too.
            if length >= blade.reorder_length.0 {
                truth.reorder_nights = nights;
            }
            if length >= blade.end().0 {
                truth.end_nights = nights;
                open = true;
            }
        }
        if !open {
            break;
        }
        if let Some((force, way)) = night_of(draw) {
            for brush in &mut brushes {
                brush.work(force, way);
            }
        }
    }
    truth
}

/// How many intervals held the truth.
#[derive(Clone, Copy, Debug, Default)]
pub struct Held {
    /// Intervals with the truth inside.
    pub inside: u32,
    /// Intervals.
    pub of: u32,
}

impl Held {
    fn count(&mut self, inside: bool) {
        self.of += 1;
        self.inside += u32::from(inside);
    }

    /// Share inside, 0 to 1.
    pub fn share(self) -> f64 {
        f64::from(self.inside) / f64::from(self.of.max(1))
    }
}

/// How well the intervals of wear hold.
#[derive(Clone, Copy, Debug, Default)]
pub struct WearTruth {
    /// Histories made up.
    pub histories: u32,
    /// Histories of which nothing was said.
    pub refused: u32,
    /// Intervals of the length left.
    pub left: Held,
    /// Intervals of the day of the order length.
    pub reorder: Held,
    /// Intervals of the day of the end.
    pub end: Held,
    /// Last days to order that leave the time of delivery before the order length is truly reached.
    pub in_time: Held,
}

impl fmt::Display for WearTruth {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let held = |held: Held| format!("{:.1} % of {}", 100.0 * held.share(), held.of);
        write!(
            f,
            "{} histories, {} refused; truth inside 80 %: left {}, order length {}, used up {}; \
             segments there in time {}",
            self.histories,
            self.refused,
            held(self.left),
            held(self.reorder),
            held(self.end),
            held(self.in_time)
        )
    }
}

/// The machine file's part that the histories are drawn by.
pub fn blade() -> Blade {
    Blade {
        wear_rate: MetresPerJoule(8e-11),
        wear_rate_uncertainty: 0.4,
        new_length_tolerance: Metres(0.0005),
        measuring_error: Metres(0.0004),
        ..Blade::default()
    }
}

/// Makes up one history for each seed and holds the report against the truth.
pub fn wear_truth(seeds: Range<u64>, kind: Kind) -> WearTruth {
    let blade = blade();
    let mut truth = WearTruth::default();
    for seed in seeds {
        let History { found, date, truth: actual } = history(seed, kind, &blade);
        truth.histories += 1;
        if found.left.is_none() {
            truth.refused += 1;
            continue;
        }
        let brushes =
            if found.brushes.is_empty() { vec![whole(&found)] } else { found.brushes.clone() };
        for (brush, actual) in brushes.iter().zip(&actual) {
            if let Some(left) = brush.left {
                let length = actual.length_m.max(0.0);
                truth.left.count(left.low.0 <= length && length <= left.high.0);
            }
            hold(&mut truth.reorder, brush.reorder_day, date, actual.reorder_nights);
            hold(&mut truth.end, brush.end_day, date, actual.end_nights);
        }
        let lead = Days::new((blade.lead_time.0 / 86_400.0).ceil() as u64);
        let soonest = actual.iter().map(|actual| actual.reorder_nights).min().unwrap_or(0);
        if let Some(order_by) = found.order_by.filter(|day| *day > date) {
            truth.in_time.count(order_by + lead <= date + Days::new(soonest));
        }
    }
    truth
}

/// The figures of the whole machine as those of a brush.
fn whole(found: &WearFinding) -> BrushWear {
    BrushWear {
        left: found.left,
        reorder_day: found.reorder_day,
        end_day: found.end_day,
        ..BrushWear::default()
    }
}

/// A day that is today or before has no early end to be held against.
fn hold(held: &mut Held, range: Option<DayRange>, date: NaiveDate, nights: u64) {
    let Some(range) = range.filter(|range| range.early > date) else { return };
    let actual = date + Days::new(nights);
    let inside = range.early <= actual && range.late.is_none_or(|late| actual <= late);
    held.count(inside);
}
