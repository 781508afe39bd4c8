//! One field over time, and how it behaves.
//!
//! Words and model:
//! * roughness: the von Neumann ratio, mean square of successive differences over the
//!   variance: near 0 for what moves smoothly, 2 for noise. Source: J. von Neumann,
//!   "Distribution of the ratio of the mean square successive difference to the
//!   variance", Annals of Mathematical Statistics 12 (1941), pages 367-395.
//! * inertia: root mean square of the change in a second over the standard deviation. A
//!   heavy machine cannot change its speed at once; a pedal or a load can.
//! * leap: how much of its whole range it moves within 0.4 s, at its quicker changes. A pedal
//!   leaps from end to end, a mass does not.
//! * rest: the value the field holds exactly for the longest time in whole stretches. A
//!   wheel that stands gives the same number again and again; a noisy sensor does not.
//! * steady: of the time away from rest, the largest share in which all values are alike to
//!   15 %. A brush that turns has one speed; a driver has many.
//! * climbing: a field that only goes up, counted round its end: clocks climb evenly,
//!   odometers and pulse counters climb when something moves.

use super::field::Field;
use super::recording::Stream;
use std::collections::BTreeSet;

/// Fields are compared on a grid of this step.
pub(super) const CELL_S: f64 = 0.2;
const CELLS_A_SECOND: usize = 5;
/// Standing still for less than this is no rest.
const REST_CELLS: usize = 8;
/// Values at which a field may rest.
const MOST_RESTS: usize = 500;
/// A field climbs by this many steps at least before it is called so.
const CLIMBS_MIN: usize = 20;

/// A field's values and what they are like.
#[derive(Clone, Debug)]
pub(super) struct Series {
    pub(super) field: Field,
    /// Mean in each cell; the value before where none came.
    pub(super) grid: Vec<f32>,
    /// Different values seen.
    pub(super) distinct: usize,
    pub(super) least: f64,
    pub(super) most: f64,
    pub(super) roughness: f64,
    pub(super) inertia: f64,
    pub(super) leap: f64,
    pub(super) steady: f64,
    pub(super) rest: Option<Rest>,
    /// Share of the cells away from rest that are above it.
    pub(super) above_rest: f64,
    /// Times it went from the lower to the upper quarter of its range or back.
    pub(super) swings: usize,
    /// Times the value changed.
    pub(super) changes: usize,
}

/// Where a field comes to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rest {
    pub(super) value: f64,
    /// Share of the recording.
    pub(super) share: f64,
    /// Separate stretches.
    pub(super) visits: usize,
}

impl Series {
    /// `None` where the field never changes.
    pub(super) fn of(stream: &Stream, field: Field, cells: usize) -> Option<Self> {
        let bits: Vec<u64> = stream.words.iter().map(|word| field.bits(*word)).collect();
        let (field, unknown) = form(field, &bits);
        let known = |bits: u64| Some(bits) != unknown;
        let values: Vec<(f64, f64)> = stream
            .times_s
            .iter()
            .zip(&bits)
            .filter(|(_, bits)| known(**bits))
            .map(|(at, bits)| (*at, field.number(*bits)))
            .collect();
        let distinct = bits.iter().filter(|bits| known(**bits)).collect::<BTreeSet<_>>().len();
        if distinct < 2 {
            return None;
        }
        let grid = on_grid(&values, cells);
        let least = values.iter().map(|v| v.1).fold(f64::INFINITY, f64::min);
        let most = values.iter().map(|v| v.1).fold(f64::NEG_INFINITY, f64::max);
        let changes =
            values.windows(2).filter(|pair| pair[0].1.total_cmp(&pair[1].1).is_ne()).count();
        let rest = rest_of(&grid);
        let above_rest = rest.map_or(0.0, |rest| above(&grid, rest.value as f32));
        Some(Self {
            field,
            distinct,
            least,
            most,
            roughness: roughness(&values),
            inertia: inertia(&grid),
            leap: leap(&grid),
            steady: steady(&grid, rest.map_or(0.0, |rest| rest.value as f32)),
            rest,
            above_rest,
            swings: swings(&grid),
            changes,
            grid,
        })
    }

    /// The mean around a time, if the recording covers it.
    pub(super) fn at(&self, time_s: f64) -> Option<f64> {
        let middle = (time_s / CELL_S).floor();
        if middle < 0.0 || middle as usize >= self.grid.len() {
            return None;
        }
        let middle = middle as usize;
        let part = &self.grid[middle.saturating_sub(3)..(middle + 4).min(self.grid.len())];
        Some(mean(part))
    }
}

/// Whether the field reads better as two's complement, and the value that stands for "not
/// known": all bits set, where that lies far from all others.
fn form(field: Field, bits: &[u64]) -> (Field, Option<u64>) {
    let ones = (1_u64 << field.len) - 1;
    let set = bits.iter().filter(|bits| **bits == ones).count();
    let next = bits.iter().filter(|bits| **bits != ones).max().copied().unwrap_or(0);
    let far = field.len >= 8 && (next as f64) < 0.9 * ones as f64;
    let signed = Field { signed: true, ..field };
    let travel = |field: Field| -> f64 {
        bits.windows(2).map(|pair| (field.number(pair[1]) - field.number(pair[0])).abs()).sum()
    };
    if field.len >= 4 && 2.0 * travel(signed) < travel(field) {
        return (signed, None);
    }
    let unknown = (set > 0 && far && set * 10 < bits.len() * 9).then_some(ones);
    (field, unknown)
}

fn on_grid(values: &[(f64, f64)], cells: usize) -> Vec<f32> {
    let mut grid = Vec::with_capacity(cells);
    let mut next = 0;
    let mut last = values.first().map_or(0.0, |v| v.1);
    for cell in 0..cells {
        let end = (cell + 1) as f64 * CELL_S;
        let (mut sum, mut count) = (0.0, 0_u32);
        while let Some((at, value)) = values.get(next)
            && *at < end
        {
            sum += value;
            count += 1;
            last = *value;
            next += 1;
        }
        grid.push(if count > 0 { sum / f64::from(count) } else { last } as f32);
    }
    grid
}

pub(super) fn mean(part: &[f32]) -> f64 {
    part.iter().map(|v| f64::from(*v)).sum::<f64>() / part.len().max(1) as f64
}

fn variance(part: &[f32]) -> f64 {
    let middle = mean(part);
    part.iter().map(|v| (f64::from(*v) - middle).powi(2)).sum::<f64>() / part.len().max(1) as f64
}

fn roughness(values: &[(f64, f64)]) -> f64 {
    let count = values.len() as f64;
    let middle = values.iter().map(|v| v.1).sum::<f64>() / count;
    let spread: f64 = values.iter().map(|v| (v.1 - middle).powi(2)).sum();
    let steps: f64 = values.windows(2).map(|pair| (pair[1].1 - pair[0].1).powi(2)).sum();
    if spread > 0.0 { steps / spread } else { 2.0 }
}

fn inertia(grid: &[f32]) -> f64 {
    let steps = grid.windows(CELLS_A_SECOND + 1);
    let count = steps.len().max(1) as f64;
    let square: f64 =
        steps.map(|w| f64::from(w[CELLS_A_SECOND] - w[0]).powi(2)).sum::<f64>() / count;
    let spread = variance(grid);
    if spread > 0.0 { (square / spread).sqrt() } else { f64::INFINITY }
}

fn leap(grid: &[f32]) -> f64 {
    // Each leap is seen two or three times; the quickest change may be a fault.
    const PLACE: usize = 3;
    let mut sorted = grid.to_vec();
    sorted.sort_by(f32::total_cmp);
    let part = |share: f64| {
        sorted.get((sorted.len().saturating_sub(1) as f64 * share) as usize).copied().unwrap_or(0.0)
    };
    let span = part(0.98) - part(0.02);
    let mut steps: Vec<f32> = grid.windows(3).map(|w| (w[2] - w[0]).abs()).collect();
    steps.sort_by(|a, b| b.total_cmp(a));
    match steps.get(PLACE) {
        Some(step) if span > 0.0 => f64::from(step / span),
        _ => 1.0,
    }
}

fn steady(grid: &[f32], rest: f32) -> f64 {
    /// Nearer to rest than this share of the farthest is starting and stopping.
    const AWAY: f32 = 0.1;
    const ALIKE: f32 = 0.85;
    let far = grid.iter().map(|v| (v - rest).abs()).fold(0.0, f32::max);
    let mut away: Vec<f32> =
        grid.iter().map(|v| (v - rest).abs()).filter(|v| *v > AWAY * far).collect();
    away.sort_by(f32::total_cmp);
    let (mut first, mut most) = (0, 0);
    for (last, value) in away.iter().enumerate() {
        while away[first] < ALIKE * value {
            first += 1;
        }
        most = most.max(last + 1 - first);
    }
    if away.is_empty() { 1.0 } else { most as f64 / away.len() as f64 }
}

fn rest_of(grid: &[f32]) -> Option<Rest> {
    // Value, cells, stretches; fields rest at few values.
    let mut rests: Vec<(f32, usize, usize)> = Vec::new();
    for run in grid.chunk_by(|a, b| a.to_bits() == b.to_bits()) {
        if run.len() < REST_CELLS {
            continue;
        }
        if let Some(rest) = rests.iter_mut().find(|rest| rest.0.to_bits() == run[0].to_bits()) {
            rest.1 += run.len();
            rest.2 += 1;
        } else if rests.len() < MOST_RESTS {
            rests.push((run[0], run.len(), 1));
        }
    }
    let (value, cells, visits) = rests.into_iter().max_by_key(|rest| rest.1)?;
    let share = cells as f64 / grid.len() as f64;
    Some(Rest { value: f64::from(value), share, visits })
}

fn above(grid: &[f32], rest: f32) -> f64 {
    let above = grid.iter().filter(|v| **v > rest).count();
    let below = grid.iter().filter(|v| **v < rest).count();
    if above + below == 0 { 0.0 } else { above as f64 / (above + below) as f64 }
}

fn swings(grid: &[f32]) -> usize {
    let least = grid.iter().copied().fold(f32::INFINITY, f32::min);
    let most = grid.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let (low, high) = (least + 0.25 * (most - least), least + 0.75 * (most - least));
    let mut up = None;
    let mut count = 0;
    for value in grid {
        let side = if *value <= low {
            Some(false)
        } else if *value >= high {
            Some(true)
        } else {
            None
        };
        if side.is_some() && side != up {
            count += usize::from(up.is_some());
            up = side;
        }
    }
    count
}

/// How fast a field climbs, in each cell; `None` if it does not climb.
pub(super) fn climb(stream: &Stream, field: Field, cells: usize) -> Option<Vec<f32>> {
    let modulus = 1_u64 << field.len;
    let mut rate = vec![0.0_f32; cells];
    let (mut ups, mut downs) = (0_usize, 0_usize);
    for (i, pair) in stream.words.windows(2).enumerate() {
        let step = field.bits(pair[1]).wrapping_sub(field.bits(pair[0])) & (modulus - 1);
        if step == 0 {
            continue;
        }
        if step < modulus / 2 {
            ups += 1;
            let cell = (stream.times_s[i + 1] / CELL_S) as usize;
            rate[cell.min(cells - 1)] += step as f32;
        } else {
            downs += 1;
        }
    }
    (ups >= CLIMBS_MIN && downs * 100 <= ups).then(|| smoothed(&rate))
}

/// The mean over three seconds around each cell.
fn smoothed(rate: &[f32]) -> Vec<f32> {
    const HALF: usize = 7;
    (0..rate.len())
        .map(|i| mean(&rate[i.saturating_sub(HALF)..(i + HALF + 1).min(rate.len())]) as f32)
        .collect()
}

/// Pearson's correlation of two grids; 0 where one does not move.
pub(super) fn correlation(a: &[f32], b: &[f32]) -> f64 {
    let (ma, mb) = (mean(a), mean(b));
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        let (x, y) = (f64::from(*x) - ma, f64::from(*y) - mb);
        ab += x * y;
        aa += x * x;
        bb += y * y;
    }
    if aa > 0.0 && bb > 0.0 { ab / (aa * bb).sqrt() } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(numbers: &[f64]) -> Vec<(f64, f64)> {
        numbers.iter().enumerate().map(|(i, v)| (i as f64, *v)).collect()
    }

    // By hand: 1, 2, 3, 4: steps 1 + 1 + 1 = 3, squares about 2.5: 2.25 + 0.25 + 0.25 + 2.25 = 5.
    // 1, -1, 1, -1: steps 4 + 4 + 4 = 12, squares about 0: 4.
    #[test]
    fn roughness_by_hand() {
        assert!((roughness(&values(&[1.0, 2.0, 3.0, 4.0])) - 0.6).abs() < 1e-12);
        assert!((roughness(&values(&[1.0, -1.0, 1.0, -1.0])) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn rest_is_where_it_stays_exactly() {
        let mut grid = vec![5.0_f32; 20];
        grid.extend((0..40).map(|i| 5.0 + i as f32));
        grid.extend(vec![5.0_f32; 20]);
        grid.extend(vec![9.0_f32; 20]);
        let rest = rest_of(&grid).unwrap();
        assert_eq!((rest.value, rest.visits), (5.0, 2));
        // The ramp begins at the rest value: 21 + 20 cells of 100.
        assert!((rest.share - 0.41).abs() < 1e-9, "{rest:?}");
        assert!((above(&grid, 5.0) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn a_leap_takes_the_whole_range_at_once() {
        let square: Vec<f32> = (0..200).map(|i| if i / 25 % 2 == 0 { 0.0 } else { 8.0 }).collect();
        assert!((leap(&square) - 1.0).abs() < 1e-9);
        // Up in 20 cells, down in 20 cells: two cells are a tenth.
        let ramp: Vec<f32> =
            (0..200_i32).map(|i| 20 - (i % 40 - 20).abs()).map(|v| v as f32).collect();
        assert!((leap(&ramp) - 0.1).abs() < 0.01, "{}", leap(&ramp));
    }

    // Away from rest by hand: 10 ten times, 11 once, 6 and 20 once: 10 and 11 are alike, 11 of 13.
    // A ramp from 1 to 100 in ones: 85 to 100 are alike, of 90 above a tenth.
    #[test]
    fn a_rotor_is_steady_and_a_driver_is_not() {
        let mut rotor = vec![3.0_f32; 20];
        rotor.extend([13.0; 10]);
        rotor.extend([14.0, 9.0, 23.0]);
        assert!((steady(&rotor, 3.0) - 11.0 / 13.0).abs() < 1e-9, "{}", steady(&rotor, 3.0));
        let ramp: Vec<f32> = (0..=100_u8).map(f32::from).collect();
        assert!((steady(&ramp, 0.0) - 16.0 / 90.0).abs() < 1e-9, "{}", steady(&ramp, 0.0));
        assert!((steady(&[5.0; 9], 5.0) - 1.0).abs() < 1e-9);
    }

    // The worked example of many textbooks: r of (1, 2, 3) and (1, 2, 4) is 9/sqrt(84).
    #[test]
    fn correlation_by_hand() {
        let r = correlation(&[1.0, 2.0, 3.0], &[1.0, 2.0, 4.0]);
        assert!((r - 9.0 / 84.0_f64.sqrt()).abs() < 1e-9, "{r}");
        assert_eq!(correlation(&[1.0, 1.0], &[1.0, 2.0]).to_bits(), 0.0_f64.to_bits());
    }
}
