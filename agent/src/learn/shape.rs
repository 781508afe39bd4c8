//! How well a signal does what the prompts say.
//!
//! Model. Each prompt says which level a quantity has, in an order without sizes. The best
//! fit of ordered levels is isotonic regression, by pooling neighbours that stand in the
//! wrong order; its R² is 1 for a signal that does nothing but what was asked. Source: R. E.
//! Barlow, D. J. Bartholomew, J. M. Bremner, H. D. Brunk, "Statistical Inference under Order
//! Restrictions" (1972), chapter 1 (pool adjacent violators).
//!
//! Where two prompts with different levels meet, the signal must change: the change point is
//! the split of the stretch around the edge with the least squares of both sides about their
//! means. Source: D. V. Hinkley, "Inference about the change-point in a sequence of random
//! variables", Biometrika 57 (1970), pages 1-17. People need a while: a change counts up to
//! `REACTION_S` after the prompt.
//!
//! People also slip: one prompt in five may be left out of the fit, at a cost. The middle
//! value of a prompt is its median, so that being late does not count. Levels must be apart,
//! and the lowest one (standing, brushes off) quiet: that tells a motor's current from the
//! sum of all currents, and from the speed of the brushes. These factors are ours.

use super::prompts::{Prompt, Quantity};
use super::series::{CELL_S, Series, mean};

/// The begin of a prompt is left out: people read, think and move...
const SETTLE_S: f64 = 4.0;
/// ...but not more than this share of a short one.
const SETTLE: f64 = 0.4;
/// Its end too: some are early.
const EARLY_S: f64 = 0.6;
/// A change counts from this much before an edge...
const BEFORE_S: f64 = 1.5;
/// ...to this much after it.
const REACTION_S: f64 = 6.0;
/// Looked at around an edge.
const AROUND_S: f64 = 8.0;

/// Of this many prompts, one may be taken as not followed.
const PROMPTS_A_SLIP: usize = 5;
/// A prompt counts as not followed if the fit gains this much without it.
const SLIP_GAIN: f64 = 0.02;
/// What each slip costs.
const SLIP_COST: f64 = 0.04;
/// Levels this share of the whole range apart are apart.
const APART: f64 = 0.08;

/// What the prompts say about a signal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Fit {
    /// R² of the ordered levels over the middle value of each prompt, 0 to 1.
    pub(super) ordered: f64,
    /// Edges with a change in the right direction near them.
    pub(super) hits: usize,
    /// Edges at which the level should change.
    pub(super) edges: usize,
    /// Mean time from an edge to the change, in s.
    pub(super) delay_s: f64,
    /// Levels that the prompts tell apart.
    pub(super) levels: usize,
    /// Least rise from one level to the next, as a share of all.
    pub(super) apart: f64,
    /// Share of the time at the lowest level in which it has one and the same value.
    pub(super) quiet: f64,
    /// Its spread at the lowest level, as a share of all.
    pub(super) unrest: f64,
    /// Prompts that seem not to have been followed.
    pub(super) slips: usize,
}

/// One prompt: its level, the middle value and all values.
struct Held<'a> {
    level: u8,
    middle: f32,
    part: &'a [f32],
}

impl Fit {
    /// `None` where the prompts name fewer than two levels of the quantity.
    pub(super) fn of(series: &Series, prompts: &[Prompt], quantity: Quantity) -> Option<Self> {
        let mut held: Vec<Held<'_>> = prompts
            .iter()
            .filter_map(|prompt| {
                let level = prompt.task.level(quantity)?;
                let settle_s = SETTLE_S.min(SETTLE * (prompt.to_s - prompt.from_s));
                let part = cells(&series.grid, prompt.from_s + settle_s, prompt.to_s - EARLY_S);
                Some(Held { level, middle: quantile(part, 0.5)?, part })
            })
            .collect();
        held.sort_by_key(|held| held.level);
        let count = levels(&held);
        if count < 2 {
            return None;
        }
        let mut ordered = ordered_r2(&groups(&held));
        let mut slips = 0;
        while slips < held.len().saturating_add(slips) / PROMPTS_A_SLIP {
            let without = |place: usize| {
                let rest = held.iter().enumerate().filter(|(i, _)| *i != place);
                let rest: Vec<(u8, f32)> = rest.map(|(_, h)| (h.level, h.middle)).collect();
                ordered_r2(&grouped(&rest))
            };
            let best = (0..held.len()).map(|i| (i, without(i))).max_by(|a, b| a.1.total_cmp(&b.1));
            let Some((place, r2)) = best.filter(|best| best.1 > ordered + SLIP_GAIN) else { break };
            let level = held[place].level;
            // The last prompt of its level stays: without it nothing would be left to show.
            if held.iter().filter(|held| held.level == level).count() < 2 {
                break;
            }
            held.remove(place);
            ordered = r2;
            slips += 1;
        }
        let (hits, edges, delay_s) = changes(series, prompts, quantity);
        let (apart, span) = apart(&groups(&held));
        let lowest = held.first()?.level;
        let still: Vec<f32> =
            held.iter().filter(|h| h.level == lowest).flat_map(|h| h.part).copied().collect();
        let spread = f64::from(quantile(&still, 0.95)? - quantile(&still, 0.05)?);
        let unrest = if span > 0.0 { spread / span } else { 1.0 };
        let quiet = commonest(&still) as f64 / still.len() as f64;
        Some(Self { ordered, hits, edges, delay_s, levels: count, apart, quiet, unrest, slips })
    }

    /// 0 to 1.
    pub(super) fn score(&self) -> f64 {
        let edges = if self.edges == 0 { 1.0 } else { self.hits as f64 / self.edges as f64 };
        let apart = 0.75 + 0.25 * (self.apart / APART).min(1.0);
        let unrest = (1.05 - 1.5 * self.unrest).clamp(0.5, 1.0);
        let all = self.ordered * (0.8 + 0.2 * edges) * apart * unrest * (0.9 + 0.1 * self.quiet);
        (all - SLIP_COST * self.slips as f64).max(0.0)
    }
}

fn levels(held: &[Held<'_>]) -> usize {
    held.chunk_by(|a, b| a.level == b.level).count()
}

fn groups(held: &[Held<'_>]) -> Vec<(u8, Vec<f32>)> {
    grouped(&held.iter().map(|held| (held.level, held.middle)).collect::<Vec<_>>())
}

/// Values in the order of their levels, as one list for each level.
fn grouped(values: &[(u8, f32)]) -> Vec<(u8, Vec<f32>)> {
    let same = values.chunk_by(|a, b| a.0 == b.0);
    same.map(|part| (part[0].0, part.iter().map(|v| v.1).collect())).collect()
}

/// The least rise from one level to the next as a share of the whole, and the whole.
fn apart(groups: &[(u8, Vec<f32>)]) -> (f64, f64) {
    let means: Vec<f64> = groups.iter().map(|group| mean(&group.1)).collect();
    let span = means.iter().copied().fold(f64::NEG_INFINITY, f64::max)
        - means.iter().copied().fold(f64::INFINITY, f64::min);
    let rises = means.windows(2).map(|pair| pair[1] - pair[0]);
    let least = rises.fold(f64::INFINITY, f64::min);
    if span > 0.0 { ((least / span).max(0.0), span) } else { (0.0, 0.0) }
}

/// How often the commonest value comes.
fn commonest(values: &[f32]) -> usize {
    let mut sorted = values.to_vec();
    sorted.sort_by(f32::total_cmp);
    sorted.chunk_by(|a, b| a.to_bits() == b.to_bits()).map(<[f32]>::len).max().unwrap_or(0)
}

fn quantile(values: &[f32], share: f64) -> Option<f32> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f32::total_cmp);
    sorted.get(((values.len().saturating_sub(1)) as f64 * share) as usize).copied()
}

/// Edges with a change as asked, all edges, and the mean time to the change in s.
fn changes(series: &Series, prompts: &[Prompt], quantity: Quantity) -> (usize, usize, f64) {
    let (mut hits, mut edges, mut delay) = (0, 0, 0.0);
    for pair in prompts.windows(2) {
        let levels = (pair[0].task.level(quantity), pair[1].task.level(quantity));
        let (Some(before), Some(after)) = levels else { continue };
        // Waiting between two prompts hides when the change was asked for.
        if before == after || pair[1].from_s - pair[0].to_s > AROUND_S {
            continue;
        }
        edges += 1;
        if let Some(late_s) = change(&series.grid, pair[1].from_s, after > before) {
            hits += 1;
            delay += late_s;
        }
    }
    (hits, edges, if hits > 0 { delay / hits as f64 } else { 0.0 })
}

fn cells(grid: &[f32], from_s: f64, to_s: f64) -> &[f32] {
    let cell = |s: f64| ((s / CELL_S).max(0.0) as usize).min(grid.len());
    let (from, to) = (cell(from_s), cell(to_s));
    grid.get(from..to).unwrap_or(&[])
}

/// R² of the best means that never fall from one level to the next.
fn ordered_r2(groups: &[(u8, Vec<f32>)]) -> f64 {
    let all: Vec<f32> = groups.iter().flat_map(|group| group.1.iter().copied()).collect();
    let middle = mean(&all);
    let total: f64 = all.iter().map(|v| (f64::from(*v) - middle).powi(2)).sum();
    if total <= 0.0 {
        return 0.0;
    }
    // Blocks of mean and weight; a block below the one before it is pooled with it.
    let mut blocks: Vec<(f64, f64)> = Vec::new();
    for (_, values) in groups {
        blocks.push((mean(values), values.len() as f64));
        while let [.., (a, wa), (b, wb)] = blocks[..]
            && a >= b
        {
            blocks.truncate(blocks.len() - 2);
            blocks.push(((a * wa + b * wb) / (wa + wb), wa + wb));
        }
    }
    blocks.iter().map(|(m, w)| w * (m - middle).powi(2)).sum::<f64>() / total
}

/// Time from the edge to the change point, if it changed as asked and in time.
fn change(grid: &[f32], edge_s: f64, up: bool) -> Option<f64> {
    let part = cells(grid, edge_s - AROUND_S / 2.0, edge_s + AROUND_S);
    let from_s = (edge_s - AROUND_S / 2.0).max(0.0);
    let all = part.len();
    if all < 10 {
        return None;
    }
    let total: f64 = part.iter().map(|v| f64::from(*v)).sum();
    let (mut best, mut sum) = ((0.0, 0, 0.0), 0.0);
    for (i, value) in part.iter().enumerate().take(all - 2) {
        sum += f64::from(*value);
        let (n, m) = ((i + 1) as f64, (all - i - 1) as f64);
        let step = (total - sum) / m - sum / n;
        // The squares that the split explains.
        let explained = step * step * n * m / all as f64;
        if i >= 1 && explained > best.0 {
            best = (explained, i + 1, step);
        }
    }
    let middle = total / all as f64;
    let spread: f64 = part.iter().map(|v| (f64::from(*v) - middle).powi(2)).sum();
    let (explained, split, step) = best;
    let late_s = from_s + split as f64 * CELL_S - edge_s;
    let clear = explained > 0.5 * spread && (step > 0.0) == up;
    (clear && (-BEFORE_S..=REACTION_S).contains(&late_s)).then_some(late_s)
}

#[cfg(test)]
mod tests {
    use super::*;

    // By hand: means 1, 3, 2 with weights 2, 1, 1: 3 and 2 pool to 2.5. Values 0 2 | 3 | 2:
    // mean 1.75, total 3.0625 + 0.0625 + 1.5625 + 0.0625 = 4.75; explained
    // 2 x 0.75² + 2 x 0.75² = 2.25.
    #[test]
    fn levels_in_the_wrong_order_are_pooled() {
        let groups = vec![(0, vec![0.0, 2.0]), (1, vec![3.0]), (2, vec![2.0])];
        assert!((ordered_r2(&groups) - 2.25 / 4.75).abs() < 1e-12);
        let right = vec![(0, vec![1.0, 1.0]), (1, vec![2.0]), (2, vec![9.0])];
        assert!((ordered_r2(&right) - 1.0).abs() < 1e-12);
        let falls = vec![(0, vec![5.0, 5.0]), (1, vec![1.0, 1.0])];
        assert!(ordered_r2(&falls).abs() < 1e-12);
    }

    #[test]
    fn a_step_is_found_where_it_is() {
        let mut grid = vec![0.0_f32; 100];
        grid.extend(vec![7.0_f32; 100]);
        // The step is at 20 s.
        let late = change(&grid, 18.0, true).unwrap();
        assert!((late - 2.0).abs() < 0.3, "{late}");
        assert_eq!(change(&grid, 18.0, false), None);
        assert_eq!(change(&grid, 10.0, true), None);
    }
}
