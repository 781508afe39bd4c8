//! How likely a field carries a quantity, 0 to 1, and why, in words.
//!
//! Without prompts, a ground speed is known by: it moves smoothly (roughness), cannot leap
//! (inertia), goes up and down (swings), comes to rest at its lowest value exactly (a wheel
//! that stands), has more than one speed, has siblings (wheels, shafts and displays say
//! nearly the same), and counters of distance on the bus climb as it says. The weights are
//! ours, no published source; `tests/learn_bench` measures them on buses whose layout is
//! known.
//!
//! With prompts, the fit to what was asked (`shape.rs`) decides most. With speeds known at
//! some times, the straight line through them does.

use super::fields::{LEAST_VALUES, Trial};
use super::line::{Line, line_through};
use super::prompts::{Prompt, Quantity};
use super::series::Series;
use super::shape::Fit;
use std::fmt::Write;

/// A speed that was read somewhere else: a satellite receiver, a stopwatch over a measured way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownSpeed {
    /// Time since the recording began, in s.
    pub at_s: f64,
    /// The speed in m/s.
    pub speed_m_s: f64,
}

/// A current that a clamp meter showed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownCurrent {
    /// Time since the recording began, in s.
    pub at_s: f64,
    /// The current in A.
    pub current_a: f64,
}

/// A score with its reasons.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Score {
    pub(super) value: f64,
    pub(super) evidence: Vec<String>,
    /// What it rests on, where there is such.
    pub(super) fit: Option<Fit>,
    pub(super) line: Option<Line>,
}

/// What is known of a field from the rest of the bus.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Company {
    /// Fields elsewhere that move the same.
    pub(super) siblings: usize,
    /// Best correlation with how a counter of distance climbs, if the bus has one.
    pub(super) odometer: Option<f64>,
}

/// What leaping costs a speed: a floor machine neither stops nor starts in 0.4 s.
const LEAP_COST: f64 = 0.3;

/// What having one speed only costs: brushes turn so, and pumps; a driver seldom does.
const STEADY_COST: f64 = 0.3;

/// A first look that needs nothing but the field itself, to choose which to look at closely.
pub(super) fn speed_alone(series: &Series) -> f64 {
    if series.distinct < LEAST_VALUES || series.roughness > 0.6 {
        return 0.0;
    }
    let rest = rest_score(series);
    // What only drifts one way (a position, a charge, a temperature) is no speed.
    let comes_back = if series.swings >= 2 { 1.0 } else { 0.4 };
    let alone = 0.35 * smooth(series) + 0.3 * inertia(series) + 0.2 * rest + 0.15 * swings(series);
    let one_speed = ((series.steady - 0.75) / 0.2).clamp(0.0, 1.0);
    comes_back * alone * (1.0 - LEAP_COST * leaps(series)) * (1.0 - STEADY_COST * one_speed)
}

/// 0 for what cannot leap, 1 for what goes from end to end at once.
fn leaps(series: &Series) -> f64 {
    ((series.leap - 0.5) / 0.3).clamp(0.0, 1.0)
}

fn smooth(series: &Series) -> f64 {
    (1.0 - series.roughness.sqrt() / 0.5).clamp(0.0, 1.0)
}

fn inertia(series: &Series) -> f64 {
    (1.0 - (series.inertia - 0.15) / 0.8).clamp(0.0, 1.0)
}

fn swings(series: &Series) -> f64 {
    (series.swings as f64 / 4.0).min(1.0)
}

/// A rest at the bottom speaks for a speed; one in the middle, or for nearly always, against
/// it. A recording in which the machine never stopped says nothing: a third.
fn rest_score(series: &Series) -> f64 {
    match series.rest {
        None => 0.33,
        Some(rest) if rest.share < 0.01 => 0.33,
        Some(rest) if rest.share > 0.97 => 0.0,
        Some(_) => ((series.above_rest - 0.5) / 0.45).clamp(0.0, 1.0),
    }
}

/// The score of a speed.
pub(super) fn speed(
    series: &Series,
    company: Company,
    prompts: &[Prompt],
    known: &[KnownSpeed],
) -> Score {
    let alone = speed_alone(series);
    if alone == 0.0 {
        return Score::default();
    }
    let mut evidence = behaviour(series);
    if series.steady > 0.75 {
        evidence.push(format!(
            "away from rest it has one value to 15 % for {:.0} % of the time, as what turns at \
             one speed",
            100.0 * series.steady
        ));
    }
    let siblings = (company.siblings as f64 / 3.0).min(1.0);
    let mut value = match company.odometer {
        Some(r) => 0.55 * alone + 0.2 * siblings + 0.25 * odometer_score(r),
        None => 0.75 * alone + 0.25 * siblings,
    };
    match company.siblings {
        0 => {}
        1 => evidence.push("another field on the bus moves the same".to_owned()),
        more => evidence.push(format!("{more} other fields on the bus move the same")),
    }
    if let Some(r) = company.odometer.filter(|r| *r > 0.5) {
        evidence.push(format!("a counter on the bus climbs as it says (correlation {r:.2})"));
    }
    let fit = Fit::of(series, prompts, Quantity::Speed);
    if let Some(fit) = &fit {
        value = 0.25 * value + 0.75 * fit.score() * (1.0 - LEAP_COST * leaps(series));
        evidence.insert(0, fit_words(fit));
    }
    let line = speed_line(series, known);
    if let Some(line) = &line
        && line.points >= 2
    {
        // A line through two points always fits; only its direction tells.
        let weight = if line.points == 2 { 0.2 } else { 0.7 };
        let fits = if line.rises() { (1.0 - line.misfit / 0.3).max(0.0) } else { 0.0 };
        value = (1.0 - weight) * value + weight * fits;
        evidence.insert(
            0,
            format!(
                "a line through {} known speeds misses them by {:.0} % of their span (median)",
                line.points,
                100.0 * line.misfit
            ),
        );
    }
    Score { value, evidence, fit, line }
}

fn odometer_score(r: f64) -> f64 {
    ((r - 0.5) / 0.5).clamp(0.0, 1.0)
}

/// The line through the known speeds; with a rest at the bottom that is speed 0.
pub(super) fn speed_line(series: &Series, known: &[KnownSpeed]) -> Option<Line> {
    let mut points: Vec<(f64, f64)> =
        known.iter().filter_map(|k| Some((series.at(k.at_s)?, k.speed_m_s))).collect();
    if points.is_empty() {
        return None;
    }
    match bottom_rest(series) {
        Some(rest) => points.push((rest, 0.0)),
        // One point without a zero: a line through 0.
        None if points.len() == 1 => points.push((0.0, 0.0)),
        None => {}
    }
    line_through(&points)
}

/// The raw value of standing still, where the field shows one.
pub(super) fn bottom_rest(series: &Series) -> Option<f64> {
    let rest = series.rest.filter(|rest| rest.share >= 0.02)?;
    (series.above_rest > 0.8).then_some(rest.value)
}

/// The score of a brush motor's current.
pub(super) fn current(series: &Series, prompts: &[Prompt]) -> Score {
    let fit = Fit::of(series, prompts, Quantity::BrushCurrent);
    let Some(fit) = fit.filter(|_| series.distinct >= LEAST_VALUES) else {
        return Score::default();
    };
    // Currents of brushes do not go below that of none, and hold for a while.
    let below =
        series.rest.filter(|rest| rest.share > 0.3).map_or(0.0, |_| 1.0 - series.above_rest);
    let steady = (1.0 - 0.3 * below) * (1.0 - 0.5 * series.roughness.min(0.4));
    // A live current has noise; one that is too even is a setting or a computed value.
    let lively = (series.changes as f64 / 50.0).min(1.0);
    let mut evidence = vec![fit_words(&fit)];
    evidence.extend(behaviour(series));
    Score {
        value: steady * (0.85 * fit.score() + 0.15 * lively),
        evidence,
        fit: Some(fit),
        ..Score::default()
    }
}

/// The score of a switch or a setting, which changes when it is asked and not else.
pub(super) fn setting(series: &Series, prompts: &[Prompt], quantity: Quantity) -> Score {
    // More than two values are a setting: halfway between off and on is neither.
    let switch = quantity != Quantity::Pressure;
    let fitting = if switch { series.distinct == 2 } else { series.distinct <= 101 };
    let Some(fit) = Fit::of(series, prompts, quantity).filter(|_| fitting) else {
        return Score::default();
    };
    // A setting changes a few times only.
    let wanted = prompts.len().max(2) as f64 * 3.0;
    let quiet = (wanted / series.changes.max(1) as f64).min(1.0);
    let changes = format!("it changed {} times", series.changes);
    let evidence = vec![fit_words(&fit), changes];
    let value = fit.score() * (0.5 + 0.5 * quiet);
    Score { value, evidence, fit: Some(fit), ..Score::default() }
}

/// The score of a battery voltage: nearly constant, and lower when the brushes draw more.
pub(super) fn voltage(series: &Series, against_current: f64) -> Score {
    let middle = f64::midpoint(series.least, series.most);
    let narrow = series.least > 0.0 && series.most - series.least < 0.35 * middle;
    if !narrow || series.distinct < 5 || middle < 16.0 {
        return Score::default();
    }
    let sags = (-against_current).clamp(0.0, 1.0);
    let evidence = vec![
        format!(
            "it stays within {:.0} % of its middle",
            50.0 * (series.most - series.least) / middle
        ),
        format!("it falls as the current rises (correlation {against_current:.2})"),
    ];
    Score { value: sags * (0.7 + 0.3 * smooth(series)), evidence, ..Score::default() }
}

fn fit_words(fit: &Fit) -> String {
    let mut words = format!("its {} levels follow the prompts: R² {:.3}", fit.levels, fit.ordered);
    if fit.edges > 0 {
        // Writing to a string cannot fail.
        let _ = write!(
            words,
            "; {} of {} changes came when asked, {:.1} s after the prompt",
            fit.hits, fit.edges, fit.delay_s
        );
    }
    if fit.slips > 0 {
        let _ = write!(words, "; {} prompts left out as not followed", fit.slips);
    }
    words
}

fn behaviour(series: &Series) -> Vec<String> {
    let mut words = vec![format!(
        "{} different values from {} to {}, roughness {:.4}, inertia {:.2}",
        series.distinct, series.least, series.most, series.roughness, series.inertia
    )];
    match series.rest {
        Some(rest) if rest.share >= 0.01 => words.push(format!(
            "it rests at {} for {:.0} % of the time in {} stretches; {:.0} % of the rest is above",
            rest.value,
            100.0 * rest.share,
            rest.visits,
            100.0 * series.above_rest
        )),
        _ => words.push("it never comes to rest".to_owned()),
    }
    words
}

/// The trials that overlap none better than themselves, best first. Sorts.
pub(super) fn best(trials: &[Trial], scored: &mut [(usize, Score)], most: usize) -> Vec<usize> {
    let rank = |place: usize, score: &Score| {
        let series = &trials[place].series;
        // A border that the bits show is better than one that was tried; then more of the
        // number is better than a part of it.
        let values = (series.distinct as f64).log2() / 12.0;
        // A bit that belongs to something else breaks one rest into many.
        let visits = series.rest.map_or(0, |rest| rest.visits);
        let broken = if visits > 2 * series.swings + 3 { 0.03 } else { 0.0 };
        score.value + 0.01 * values.min(1.0) + 0.02 * f64::from(trials[place].ends) - broken
    };
    scored.sort_by(|a, b| rank(b.0, &b.1).total_cmp(&rank(a.0, &a.1)).then(a.0.cmp(&b.0)));
    let mut kept: Vec<usize> = Vec::new();
    for (place, score) in &*scored {
        let trial = &trials[*place];
        let overlaps = |other: &Trial| {
            other.stream == trial.stream
                && other.series.field.mask() & trial.series.field.mask() != 0
        };
        if score.value > 0.0 && !kept.iter().any(|other| overlaps(&trials[*other])) {
            kept.push(*place);
            if kept.len() == most {
                break;
            }
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::super::field::Field;
    use super::super::prompts::Task;
    use super::super::recording::Stream;
    use super::*;

    /// Scores as the switch of the brushes, where they turn low from 30 s on and high from 60 s
    /// on, of a byte that says so with these numbers.
    fn as_switch(off: u64, low: u64, high: u64) -> f64 {
        let prompt = |from_s, task| Prompt { from_s, to_s: from_s + 30.0, task };
        let prompts = [
            prompt(0.0, Task::DriveSlow),
            prompt(30.0, Task::BrushLow),
            prompt(60.0, Task::BrushHigh),
        ];
        let times_s: Vec<f64> = (0..900).map(|i| f64::from(i) * 0.1).collect();
        let number = |at: &f64| {
            if *at < 31.0 {
                off
            } else if *at < 61.0 {
                low
            } else {
                high
            }
        };
        let words = times_s.iter().map(number).collect();
        let id = crate::decode::CanId::Standard(0x123);
        let stream = Stream { id, len: 8, heard: times_s.len(), times_s, words };
        let series = Series::of(&stream, Field::little(0, 8), 900).unwrap();
        setting(&series, &prompts, Quantity::BrushCommand).value
    }

    #[test]
    fn a_switch_has_two_values() {
        assert!(as_switch(0, 1, 1) > 0.9);
        assert!(as_switch(0, 1, 2).abs() < 1e-9, "a pressure setting is no switch");
    }
}
