//! How likely a field carries a quantity, 0 to 1, and why, in words.
//!
//! Without prompts, a ground speed is known by: it moves smoothly (roughness), cannot leap
//! (inertia), goes up and down (swings), comes to rest at its lowest value exactly (a wheel
//! that stands), has siblings (wheels, shafts and displays say nearly the same), and
//! counters of distance on the bus climb as it says. The weights are ours, from experience;
//! no published source, and not yet measured on buses whose layout is known.
//!
//! With prompts, the fit to what was asked (`shape.rs`) decides most. With speeds known at
//! some times, the straight line through them does.

use super::fields::{LEAST_VALUES, Trial};
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

/// A score with its reasons.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Score {
    pub(super) value: f64,
    pub(super) evidence: Vec<String>,
}

/// What is known of a field from the rest of the bus.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Company {
    /// Fields elsewhere that move the same.
    pub(super) siblings: usize,
    /// Best correlation with how a counter of distance climbs, if the bus has one.
    pub(super) odometer: Option<f64>,
}

/// The straight line from a field to a quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Line {
    pub(super) factor: f64,
    pub(super) offset: f64,
    /// R² about it; 1 for two points.
    pub(super) r2: f64,
    pub(super) points: usize,
}

/// A first look that needs nothing but the field itself, to choose which to look at closely.
pub(super) fn speed_alone(series: &Series) -> f64 {
    if series.distinct < LEAST_VALUES || series.roughness > 0.6 {
        return 0.0;
    }
    let rest = rest_score(series);
    // What only drifts one way (a position, a charge, a temperature) is no speed.
    let comes_back = if series.swings >= 2 { 1.0 } else { 0.4 };
    let alone = 0.35 * smooth(series) + 0.3 * inertia(series) + 0.2 * rest + 0.15 * swings(series);
    comes_back * alone
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
    let siblings = (company.siblings as f64 / 3.0).min(1.0);
    let mut value = match company.odometer {
        Some(r) => 0.55 * alone + 0.2 * siblings + 0.25 * odometer_score(r),
        None => 0.75 * alone + 0.25 * siblings,
    };
    if company.siblings > 0 {
        evidence.push(format!("{} other fields on the bus move the same", company.siblings));
    }
    if let Some(r) = company.odometer.filter(|r| *r > 0.5) {
        evidence.push(format!("a counter on the bus climbs as it says (correlation {r:.2})"));
    }
    if let Some(fit) = Fit::of(series, prompts, Quantity::Speed) {
        value = 0.25 * value + 0.75 * fit.score();
        evidence.insert(0, fit_words(&fit));
    }
    if let Some(line) = speed_line(series, known)
        && line.points >= 2
    {
        // A line through two points always fits; only its direction tells.
        let weight = if line.points == 2 { 0.2 } else { 0.6 };
        let fits = if line.factor > 0.0 { line.r2 } else { 0.0 };
        value = (1.0 - weight) * value + weight * fits;
        evidence.insert(0, format!("known speeds fit a line with R² {:.3}", line.r2));
    }
    Score { value, evidence }
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
    if let Some(rest) = bottom_rest(series) {
        points.push((rest, 0.0));
    }
    let (factor, offset) = line_through(&points)?;
    let middle = points.iter().map(|p| p.1).sum::<f64>() / points.len() as f64;
    let total: f64 = points.iter().map(|p| (p.1 - middle).powi(2)).sum();
    let left: f64 = points.iter().map(|p| (p.1 - factor * p.0 - offset).powi(2)).sum();
    let r2 = if total > 0.0 { 1.0 - left / total } else { 0.0 };
    Some(Line { factor, offset, r2: r2.clamp(0.0, 1.0), points: points.len() })
}

/// Least squares, or a line through zero for one point.
fn line_through(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let n = points.len() as f64;
    let (mx, my) =
        (points.iter().map(|p| p.0).sum::<f64>() / n, points.iter().map(|p| p.1).sum::<f64>() / n);
    let xx: f64 = points.iter().map(|p| (p.0 - mx).powi(2)).sum();
    let xy: f64 = points.iter().map(|p| (p.0 - mx) * (p.1 - my)).sum();
    if xx > 0.0 {
        let factor = xy / xx;
        Some((factor, my - factor * mx))
    } else if mx != 0.0 {
        Some((my / mx, 0.0))
    } else {
        None
    }
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
    // A live current has noise; one that is too even is a setting or a computed value.
    let lively = (series.changes as f64 / 50.0).min(1.0);
    let mut evidence = vec![fit_words(&fit)];
    evidence.extend(behaviour(series));
    Score { value: 0.85 * fit.score() + 0.15 * lively, evidence }
}

/// The score of a switch or a setting, which changes when it is asked and not else.
pub(super) fn setting(series: &Series, prompts: &[Prompt], quantity: Quantity) -> Score {
    let switch = quantity != Quantity::Pressure;
    let fitting = if switch { series.distinct <= 4 } else { series.distinct <= 101 };
    let Some(fit) = Fit::of(series, prompts, quantity).filter(|_| fitting) else {
        return Score::default();
    };
    // A setting changes a few times only.
    let wanted = prompts.len().max(2) as f64 * 3.0;
    let quiet = (wanted / series.changes.max(1) as f64).min(1.0);
    let changes = format!("it changed {} times", series.changes);
    Score { value: fit.score() * (0.5 + 0.5 * quiet), evidence: vec![fit_words(&fit), changes] }
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
    Score { value: sags * (0.7 + 0.3 * smooth(series)), evidence }
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

/// The trial that overlaps none better than itself, by score, best first.
pub(super) fn best(
    trials: &[Trial],
    mut scored: Vec<(usize, Score)>,
    most: usize,
) -> Vec<(&Trial, Score)> {
    let rank = |place: usize, score: &Score| {
        let series = &trials[place].series;
        // More of the number is better than a part of it, and a border that the bits show
        // better than one that was tried.
        let values = (series.distinct as f64).log2() / 12.0;
        score.value + 0.03 * values.min(1.0) + if trials[place].bordered { 0.015 } else { 0.0 }
    };
    scored.sort_by(|a, b| rank(b.0, &b.1).total_cmp(&rank(a.0, &a.1)).then(a.0.cmp(&b.0)));
    let mut kept: Vec<(&Trial, Score)> = Vec::new();
    for (place, score) in scored {
        let trial = &trials[place];
        let overlaps = |other: &Trial| {
            other.stream == trial.stream
                && other.series.field.mask() & trial.series.field.mask() != 0
        };
        if score.value > 0.0 && !kept.iter().any(|(other, _)| overlaps(other)) {
            kept.push((trial, score));
            if kept.len() == most {
                break;
            }
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::line_through;

    // By hand: (1, 3), (2, 5), (3, 7) lie on 2x + 1; (2, 0), (4, 1), (6, 5): slope
    // (−2·−2 + 0·−1 + 2·3)/8 = 10/8, offset 2 − 4·1.25 = −3.
    #[test]
    fn lines_by_hand() {
        let line = line_through(&[(1.0, 3.0), (2.0, 5.0), (3.0, 7.0)]).unwrap();
        assert!((line.0 - 2.0).abs() < 1e-12 && (line.1 - 1.0).abs() < 1e-12);
        let line = line_through(&[(2.0, 0.0), (4.0, 1.0), (6.0, 5.0)]).unwrap();
        assert!((line.0 - 1.25).abs() < 1e-12 && (line.1 + 3.0).abs() < 1e-12);
        assert_eq!(line_through(&[(4.0, 2.0)]), Some((0.5, 0.0)));
    }
}
