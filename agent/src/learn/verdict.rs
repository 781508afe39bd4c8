//! Whether the best candidate is the quantity, or what to do to find out.
//!
//! The limits were chosen on the even layouts of `tests/learn_bench` so that of those called
//! sure at least 95 % are right; that file prints how it does on the odd ones.

use super::fields::Trial;
use super::prompts::Quantity;
use super::score::Score;
use super::series::correlation;

/// Below this nothing is sure.
const LEAST_SCORE: f64 = 0.75;
/// A rival this much below is none, with prompts...
const CLEAR: f64 = 0.03;
/// ...and without.
const CLEAR_ALONE: f64 = 0.08;
/// Fields with a correlation above this are the same thing.
const ALIKE: f64 = 0.99;
/// Two brush motors differ by their floor and their noise.
const TWINS: f64 = 0.95;
/// Below this the levels or changes asked for are not all there.
const FOLLOWED: f64 = 0.9;
const CHANGES: f64 = 0.6;
const APART: f64 = 0.08;
const QUIET: f64 = 0.7;
/// Above this it moves too fast for a machine with mass.
const LEAP: f64 = 0.6;
/// Above this it is too rough for a number of one quantity.
const ROUGH: f64 = 0.05;
/// Of a number at the bottom, this share of what is not at rest is above.
const ABOVE: f64 = 0.9;
/// Known speeds that are missed by more than this share are not explained.
const MISFIT: f64 = 0.05;
/// Known speeds (and a standstill) that are needed.
const LEAST_KNOWN: usize = 4;
/// Both ends of the field have to be those of a number.
const LEAST_ENDS: i8 = 2;

/// Why the first of the scored trials is not sure to be the quantity; empty if it is.
pub(super) fn doubts(
    trials: &[Trial],
    scored: &[(usize, Score)],
    first: usize,
    quantity: Quantity,
) -> Vec<String> {
    let Some((_, score)) = scored.iter().find(|(place, _)| *place == first) else {
        return Vec::new();
    };
    let trial = &trials[first];
    let mut doubts = Vec::new();
    if score.value < LEAST_SCORE {
        doubts.push(format!(
            "it fits badly (score {:.2}): do the prompts again, and drive longer between the stops",
            score.value
        ));
    }
    let mut clear = CLEAR;
    if let Some(fit) = &score.fit {
        let came = fit.hits as f64 >= CHANGES * fit.edges as f64;
        if fit.ordered < FOLLOWED || !came || fit.apart < APART || fit.slips > 1 {
            doubts.push(
                "it does not follow all that was asked: do the prompts again, each for its whole \
                 time, with clear differences between slow and fast, low and high"
                    .to_owned(),
            );
        }
        if fit.quiet < QUIET {
            doubts.push(
                "it moves while the machine stands with brushes off: hold that longer".to_owned(),
            );
        }
    } else if quantity == Quantity::Speed {
        clear = CLEAR_ALONE;
        let line = score.line.filter(|line| line.points >= LEAST_KNOWN);
        let known = line.is_some_and(|line| line.rises() && line.misfit < MISFIT);
        if !known {
            doubts.push(
                "behaviour alone does not prove a speed: follow the prompts (--interface or \
                 --prompts), or note four speeds and more (--speed-at)"
                    .to_owned(),
            );
        }
    }
    if quantity == Quantity::Speed && trial.series.leap > LEAP {
        doubts.push(
            "it leaps as a pedal or a wish does: start and stop gently, and look at the others"
                .to_owned(),
        );
    }
    let rests = trial.series.rest.filter(|rest| rest.share > 0.1);
    let below = rests.is_some() && trial.series.above_rest < ABOVE;
    let broken = rests.is_some_and(|rest| rest.visits > 2 * trial.series.swings + 3);
    if trial.series.roughness > ROUGH || below || broken {
        doubts.push(
            "it does not move as one number does: other bits may be mixed in; look at its plot"
                .to_owned(),
        );
    }
    if trial.ends < LEAST_ENDS {
        doubts.push(
            "where its bits end is not clear: drive longer, and as fast as the area allows"
                .to_owned(),
        );
    }
    let alike = if quantity == Quantity::Speed { ALIKE } else { TWINS };
    let rival = scored.iter().any(|(place, other)| {
        *place != first
            && other.value > score.value - clear
            && correlation(&trial.series.grid, &trials[*place].series.grid).abs() < alike
    });
    if rival {
        doubts.push(
            "another one that moves otherwise fits nearly as well: compare their plots, and do \
             the prompts again"
                .to_owned(),
        );
    }
    doubts
}
