//! From blocks and a plan to marks that nobody made, each with its confidence.
//!
//! The blocks are matched with the plan (`lattice`), and each is given a place of it. Its
//! *confidence* is the probability of that place over all alignments; 0.8 means that of
//! ten such blocks eight are right, which `tests/tests/whereabouts.rs` counts. Work that
//! fits nothing of the plan gets a mark without a place, which ends the assumed place
//! before it.
//!
//! The pace of the night is learned by expectation and maximisation: three rounds, in
//! each the mean of log (time / planned time) over the matched entries, weighed by their
//! probability and drawn towards 0 by a normal prior with a spread of
//! [`PACE_SPREAD`]. That can settle one entry off when aisles are alike and a night is fast
//! or slow, so the pace of the tour, whose entries are many and alike, is in the end not
//! taken as known: all of [`TOUR_PACES`] are tried, and their answers are summed, each
//! weighed by its probability, after which every block gets its most probable place.
//! Blocks that somebody told hold the others in place.

use super::super::types::{Place, PlaceSource, Planned};
use super::AssumedMark;
use super::blocks::WorkBlock;
use super::lattice::{Label, Lattice, Matched};
use super::likelihood::{Likelihood, Pace, agrees};
use crate::settings::Site;
use underbrush_protocol::time::UtcMs;

/// Entries of a plan that are matched; more than a night holds.
const MOST_PLANNED: usize = 160;
/// Somebody's word is doubted only where the plan's place is likelier than not (our choice).
const LEAST_AGAINST: f64 = 0.5;
const PACE_ROUNDS: usize = 3;
const PACE_SPREAD: f64 = 0.25;
/// Paces of the tour that are tried, as logarithms: from 0.7 to 1.5.
const TOUR_PACES: [f64; 10] = [-0.36, -0.28, -0.20, -0.12, -0.04, 0.04, 0.12, 0.20, 0.28, 0.36];
/// Spread of one entry's time in the pace, about that of `likelihood`.
const ENTRY_SPREAD: f64 = 0.2;

/// Marks for the blocks that nobody told, in order of time. None without a plan.
pub fn assume(site: &Site, blocks: &[WorkBlock], planned: &[Planned]) -> Vec<AssumedMark> {
    let known = |entry: &&Planned| entry.section < site.sections.len();
    let planned: Vec<Planned> = planned.iter().filter(known).take(MOST_PLANNED).copied().collect();
    if planned.is_empty() || blocks.is_empty() {
        return Vec::new();
    }
    let mut likelihood = Likelihood::new(site, blocks, &planned);
    for _ in 0..PACE_ROUNDS {
        let Some(matched) = Lattice::new(&likelihood).matched() else { return Vec::new() };
        likelihood.pace = pace(&likelihood, &matched);
    }
    let Some(matched) = over_tour_paces(&mut likelihood) else { return Vec::new() };
    let each = blocks.iter().enumerate().zip(&matched.best);
    each.flat_map(|((number, block), label)| marks(&likelihood, &matched, number, block, label))
        .collect()
}

/// What the lattices of all paces of the tour say, weighed by how likely each pace is.
/// The best label of a block is its most probable one.
fn over_tour_paces(likelihood: &mut Likelihood) -> Option<Matched> {
    let mut all = Vec::new();
    for tour in TOUR_PACES {
        likelihood.pace.tour = tour;
        let prior = -0.5 * (tour / PACE_SPREAD).powi(2);
        if let Some(matched) = Lattice::new(likelihood).matched() {
            all.push((prior + matched.total_weight, matched));
        }
    }
    let most = all.iter().map(|(weight, _)| *weight).fold(f64::NEG_INFINITY, f64::max);
    let shares: f64 = all.iter().map(|(weight, _)| (weight - most).exp()).sum();
    Matched::mixed(all.into_iter().map(|(weight, one)| ((weight - most).exp() / shares, one)))
}

/// How much longer than planned the best alignment's entries take.
fn pace(likelihood: &Likelihood, matched: &Matched) -> Pace {
    let precision = (PACE_SPREAD / ENTRY_SPREAD).powi(2);
    // Sum of weights and of weighted logarithms, for steps and for the tour.
    let mut sums = [(1.0 / precision, 0.0); 2];
    let mut block = 0;
    while let Some(label) = matched.best.get(block) {
        let begin = block;
        while matched.best.get(block) == Some(label) {
            block += 1;
        }
        let Label::Entries(entries) = label else { continue };
        if entries.len() != 1 {
            continue;
        }
        let behind = likelihood.behind(entries.start, begin..block);
        let sure = matched.probability(begin, |other| other == label);
        // An entry that took half or double its time says nothing of the pace.
        let weight = sure * (-0.5 * (behind / 0.5).powi(2)).exp();
        let (step, _) = likelihood.entry(entries.start);
        let (weights, sum) = &mut sums[usize::from(!step)];
        *weights += weight;
        *sum += weight * behind;
    }
    Pace { steps: sums[0].1 / sums[0].0, tour: sums[1].1 / sums[1].0 }
}

fn marks(
    likelihood: &Likelihood,
    matched: &Matched,
    number: usize,
    block: &WorkBlock,
    label: &Label,
) -> Vec<AssumedMark> {
    let mark = |at, place, confidence| AssumedMark { at, place, confidence, against: None };
    let binding = block.told.filter(|t| t.here || t.place.source == PlaceSource::Machine);
    let Label::Entries(entries) = label else {
        let sure = matched.probability(number, |other| other == label);
        let nowhere = Place { source: PlaceSource::Assumed, ..Place::default() };
        return match binding {
            Some(_) => Vec::new(),
            None => vec![mark(block.begins(), nowhere, sure)],
        };
    };
    if entries.len() == 1 {
        let (_, place) = likelihood.entry(entries.start);
        let same = |other: &Label| match other {
            Label::Entries(one) => one.len() == 1 && likelihood.entry(one.start).1 == place,
            Label::Extra => false,
        };
        let one = mark(block.begins(), place, matched.probability(number, same));
        return match binding.map(|told| told.place) {
            Some(told) if !agrees(&told, &place) => {
                let worth_telling = one.confidence >= LEAST_AGAINST;
                worth_telling
                    .then_some(AssumedMark { against: Some(told), ..one })
                    .into_iter()
                    .collect()
            }
            Some(told) if told.section.is_some() && told.phase.is_some() => Vec::new(),
            _ => vec![one],
        };
    }
    if binding.is_some() {
        return Vec::new();
    }
    let sure = matched.probability(number, |other| other == label);
    let length_ms = (block.span.to - block.span.from).num_milliseconds() as f64;
    let mut gone = 0.0;
    let shares = likelihood.shares(entries.clone());
    let each = entries.clone().zip(shares).map(|(entry, (share, border))| {
        let at = UtcMs(block.begins().0 + (gone * length_ms) as i64);
        gone += share;
        mark(at, likelihood.entry(entry).1, sure * border)
    });
    each.collect()
}

#[cfg(test)]
#[path = "assume_tests.rs"]
mod tests;
