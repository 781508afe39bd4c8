//! From a field's number to SI, as far as it can be known.
//!
//! With known speeds: the line through them. Else the factor is a guess among those that
//! buses commonly use (from memory: whole mm/s, cm/s, 0.01 and 0.1 km/h, 1/256 km/h as in
//! SAE J1939, tenths and hundredths of an ampere or a volt), the one whose result suits a
//! walk-behind or ride-on machine. A guess says so, and has to be calibrated.

use super::Hints;
use super::line::{Interval, line_through};
use super::prompts::Quantity;
use super::score::{bottom_rest, speed_line};
use super::series::Series;

/// What a fast prompt or the highest speed of a floor machine comes to, in m/s: 2.5 mph.
const FAST_M_S: f64 = 1.1;
/// A brush motor at high pressure without a machine file, in A.
const USUAL_A: f64 = 30.0;
/// A battery without a machine file, in V: the one of 24, 36, 48 that is nearest.
const BATTERIES_V: [f64; 3] = [24.0, 36.0, 48.0];

/// Clamp readings that a line misses by more than this share of their span are of another
/// motor, or of other times.
const CLAMP_MISFIT: f64 = 0.1;

const KMH: f64 = 1.0 / 3.6;
const MPH: f64 = 0.447_04;

/// SI value = number x factor + offset.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scale {
    /// See above.
    pub factor: f64,
    /// See above.
    pub offset: f64,
    /// Whether it follows from known values.
    pub known: bool,
    /// Of the factor, where it is that of a line.
    pub interval: Option<Interval>,
}

impl Scale {
    const ONE: Self = Self { factor: 1.0, offset: 0.0, known: true, interval: None };

    pub(super) fn guess(series: &Series, quantity: Quantity, hints: &Hints) -> Self {
        match quantity {
            Quantity::Speed => speed(series, hints),
            Quantity::BrushCurrent => {
                let zero = zero_of(series);
                if let Some(scale) = clamp(series, zero, hints) {
                    return scale;
                }
                let rated = hints.rated_a.unwrap_or(USUAL_A);
                let factor = nearest(
                    &[1.0, 0.5, 0.25, 0.1, 0.05, 0.02, 0.01, 0.001],
                    rated,
                    series.most - zero,
                );
                Self { factor, offset: -zero * factor, known: false, interval: None }
            }
            Quantity::Voltage => {
                let middle = f64::midpoint(series.least, series.most);
                let factors = [1.0, 0.5, 0.25, 0.1, 0.05, 0.025, 0.02, 0.01, 0.005, 0.001];
                let fits = |volts: f64| {
                    let factor = nearest(&factors, volts, middle);
                    (factor, (factor * middle / volts).ln().abs())
                };
                let (factor, _) = match hints.battery_v {
                    Some(volts) => fits(volts),
                    None => BATTERIES_V
                        .map(fits)
                        .into_iter()
                        .min_by(|a, b| a.1.total_cmp(&b.1))
                        .unwrap_or((1.0, 0.0)),
                };
                Self { factor, offset: 0.0, known: false, interval: None }
            }
            Quantity::Pressure if series.most > 100.0 => {
                Self { factor: 100.0 / series.most, offset: 0.0, known: false, interval: None }
            }
            Quantity::Pressure => Self::ONE,
            // Off is 0 and on is 1, whichever bits say so.
            Quantity::BrushCommand | Quantity::HeadDown => {
                let factor = 1.0 / (series.most - series.least);
                Self { factor, offset: -series.least * factor, known: true, interval: None }
            }
        }
    }
}

fn speed(series: &Series, hints: &Hints) -> Scale {
    if let Some(line) = speed_line(series, &hints.known)
        && line.factor > 0.0
    {
        let interval = Some(line.interval);
        return Scale { factor: line.factor, offset: line.offset, known: true, interval };
    }
    let zero = bottom_rest(series).unwrap_or(0.0);
    let factors = [
        1.0,
        0.1,
        0.01,
        0.001,
        KMH,
        0.1 * KMH,
        0.01 * KMH,
        KMH / 128.0,
        KMH / 256.0,
        MPH,
        0.1 * MPH,
        0.01 * MPH,
    ];
    let factor = nearest(&factors, FAST_M_S, series.most - zero);
    Scale { factor, offset: -zero * factor, known: false, interval: None }
}

/// The line through what a clamp meter showed, and through no current.
fn clamp(series: &Series, zero: f64, hints: &Hints) -> Option<Scale> {
    let shown = hints.currents.iter().filter_map(|k| Some((series.at(k.at_s)?, k.current_a)));
    let mut points: Vec<(f64, f64)> = shown.collect();
    if points.is_empty() {
        return None;
    }
    points.push((zero, 0.0));
    let line = line_through(&points).filter(|l| l.factor > 0.0 && l.misfit < CLAMP_MISFIT)?;
    let interval = Some(line.interval);
    Some(Scale { factor: line.factor, offset: line.offset, known: true, interval })
}

/// The number of no current: where the field rests, else its least value.
fn zero_of(series: &Series) -> f64 {
    match series.rest {
        Some(rest)
            if rest.share > 0.05
                && rest.value - series.least < 0.1 * (series.most - series.least) =>
        {
            rest.value
        }
        _ if series.least < 0.2 * series.most => 0.0,
        _ => series.least,
    }
}

/// The factor that takes `number` nearest to `wanted`, in ratio.
fn nearest(factors: &[f64], wanted: f64, number: f64) -> f64 {
    let off = |factor: f64| (factor * number.abs().max(1e-9) / wanted).ln().abs();
    factors.iter().copied().min_by(|a, b| off(*a).total_cmp(&off(*b))).unwrap_or(1.0)
}
