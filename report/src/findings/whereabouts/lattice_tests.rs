//! The lattice against all alignments written out one by one.
//!
//! Source: the definition itself. Every row of labels is tried; whether it is an
//! alignment, and what it weighs, is told without states or moves.

use super::*;
use proptest::prelude::*;
use std::collections::HashMap;

/// Weights without any rule, from a table.
#[derive(Clone, Debug)]
struct Random {
    blocks: usize,
    tools: Vec<usize>,
    numbers: Vec<f64>,
}

impl Random {
    fn pick(&self, of: &[usize]) -> f64 {
        let mixed = of.iter().fold(7_usize, |sum, n| sum.wrapping_mul(31).wrapping_add(*n + 1));
        self.numbers[mixed % self.numbers.len()]
    }
}

impl Weights for Random {
    fn blocks(&self) -> usize {
        self.blocks
    }
    fn entries(&self) -> usize {
        self.tools.len()
    }
    fn tools(&self) -> usize {
        2
    }
    fn tool(&self, entry: usize) -> usize {
        self.tools[entry]
    }
    fn left_out(&self, entry: usize, at_end: bool) -> f64 {
        self.pick(&[1, entry, usize::from(at_end)])
    }
    fn extra(&self, block: usize) -> f64 {
        self.pick(&[2, block])
    }
    fn work(&self, entry: usize, blocks: Range<usize>, last: Option<usize>) -> f64 {
        self.pick(&[3, entry, blocks.start, blocks.end, last.unwrap_or(9)])
    }
    fn together(&self, entries: Range<usize>, block: usize, last: Option<usize>) -> f64 {
        self.pick(&[4, entries.start, entries.end, block, last.unwrap_or(9)])
    }
    fn swapped(&self) -> f64 {
        self.pick(&[5])
    }
}

/// Rows of blocks with one label.
fn groups(labels: &[Label]) -> Vec<(Label, Range<usize>)> {
    let mut groups: Vec<(Label, Range<usize>)> = Vec::new();
    for (block, label) in labels.iter().enumerate() {
        match groups.last_mut() {
            Some((last, blocks)) if last == label && *label != Label::Extra => {
                blocks.end = block + 1;
            }
            _ => groups.push((label.clone(), block..block + 1)),
        }
    }
    groups
}

/// What an alignment weighs; `None` where the labels are none.
fn weigh(weights: &Random, labels: &[Label]) -> Option<f64> {
    let groups = groups(labels);
    let mut used = vec![false; weights.entries()];
    let (mut sum, mut last) = (0.0, None);
    // The first entry that may still come.
    let mut next = 0;
    let mut at = 0;
    while let Some((label, blocks)) = groups.get(at) {
        let Label::Entries(entries) = label else {
            sum += weights.extra(blocks.start);
            at += 1;
            continue;
        };
        let (first, end) = (entries.start, entries.end);
        if first < next {
            return None;
        }
        if end - first > 1 {
            if blocks.len() > 1 || end - first > MOST_TOGETHER {
                return None;
            }
            sum += weights.together(entries.clone(), blocks.start, last);
        } else {
            sum += weights.work(first, blocks.clone(), last);
        }
        let back =
            groups.get(at + 1).filter(|(label, _)| first > 0 && *label == Label::one(first - 1));
        if let Some((_, others)) = back.filter(|_| end - first == 1 && first > next) {
            if blocks.len() > MOST_PARTS_SWAPPED || others.len() > MOST_PARTS_SWAPPED {
                return None;
            }
            sum += weights.swapped();
            sum += weights.work(first - 1, others.clone(), Some(weights.tool(first)));
            used[first - 1] = true;
            used[first] = true;
            last = Some(weights.tool(first - 1));
            next = end;
            at += 2;
            continue;
        }
        if blocks.len() > MOST_PARTS {
            return None;
        }
        used[first..end].fill(true);
        last = Some(weights.tool(end - 1));
        next = end;
        at += 1;
    }
    let at_end = |entry| entry >= next && labels.last() != Some(&Label::Extra);
    let unused = used.iter().enumerate().filter(|(_, used)| !**used);
    Some(sum + unused.map(|(entry, _)| weights.left_out(entry, at_end(entry))).sum::<f64>())
}

/// All rows of labels, one by one.
fn each_row(blocks: usize, entries: usize, mut take: impl FnMut(&[Label])) {
    let mut all = vec![Label::Extra];
    for from in 0..entries {
        all.extend((from + 1..=entries).map(|to| Label::Entries(from..to)));
    }
    let mut digits = vec![0; blocks];
    loop {
        let row: Vec<Label> = digits.iter().map(|digit| all[*digit].clone()).collect();
        take(&row);
        let Some(place) = digits.iter().position(|digit| digit + 1 < all.len()) else { return };
        digits[..place].fill(0);
        digits[place] += 1;
    }
}

fn any_weights() -> impl Strategy<Value = Random> {
    let tools = proptest::collection::vec(0..2_usize, 0..4);
    let numbers = proptest::collection::vec(-6.0..1.0_f64, 211);
    (0..5_usize, tools, numbers).prop_map(|(blocks, tools, numbers)| Random {
        blocks,
        tools,
        numbers,
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn best_and_probabilities_are_those_of_all_alignments(weights in any_weights()) {
        let matched = Lattice::new(&weights).matched().unwrap();
        let (mut best, mut total) = (f64::NEG_INFINITY, 0.0);
        let mut sums: Vec<HashMap<Label, f64>> = vec![HashMap::new(); weights.blocks];
        each_row(weights.blocks, weights.entries(), |row| {
            let Some(weight) = weigh(&weights, row) else { return };
            best = best.max(weight);
            total += weight.exp();
            for (sums, label) in sums.iter_mut().zip(row) {
                *sums.entry(label.clone()).or_default() += weight.exp();
            }
        });
        prop_assert!((matched.best_weight - best).abs() < 1e-9, "{} {best}", matched.best_weight);
        prop_assert!((weigh(&weights, &matched.best).unwrap() - best).abs() < 1e-9);
        prop_assert!((matched.total_weight - total.ln()).abs() < 1e-9);
        for (block, sums) in sums.iter().enumerate() {
            prop_assert_eq!(sums.len(), matched.probable[block].len());
            for (label, sum) in sums {
                let p = matched.probability(block, |other| other == label);
                prop_assert!((p - sum / total).abs() < 1e-9, "{block} {label:?}: {p}");
            }
        }
    }
}

/// Two readings of the same blocks; the second is three times as likely.
#[test]
fn mixed_readings_are_weighed_and_the_most_probable_label_is_best() {
    let reading = |probable: Vec<(Label, f64)>| Matched {
        best: vec![probable[0].0.clone()],
        best_weight: -1.0,
        total_weight: 0.0,
        probable: vec![probable],
    };
    let first = reading(vec![(Label::one(0), 0.9), (Label::one(1), 0.1)]);
    let second = reading(vec![(Label::one(1), 0.6), (Label::Extra, 0.4)]);
    let mixed = Matched::mixed([(0.25, first), (0.75, second)].into_iter()).unwrap();
    let p = |is: Label| mixed.probability(0, |label| *label == is);
    assert_eq!(mixed.best, [Label::one(1)]);
    assert!((p(Label::one(0)) - 0.225).abs() < 1e-12);
    assert!((p(Label::one(1)) - 0.475).abs() < 1e-12);
    assert!((p(Label::Extra) - 0.3).abs() < 1e-12);
    assert!(Matched::mixed(std::iter::empty()).is_none());
}
