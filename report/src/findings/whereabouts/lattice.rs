//! All ways to read a row of blocks as a plan worked in order, and how likely each is.
//!
//! Words: an *alignment* says of each block which entry of the plan it was, or that it
//! was none (*extra*); a *move* is a step of it that takes some blocks, some entries, or
//! both; a *weight* is the logarithm of a likelihood, and its negative the mismatch.
//!
//! The moves: leave out an entry; leave out a block (extra); one entry in one to
//! [`MOST_PARTS`] blocks (it was interrupted); up to [`MOST_TOGETHER`] entries in one
//! block (worked without a rest); two neighbouring entries in the other order, each in
//! up to [`MOST_PARTS_SWAPPED`] blocks. Left-out entries come before extra blocks where
//! both lie between the same work, so that each alignment is counted once.
//!
//! Method: hidden semi-Markov alignment. The alignment of least total mismatch is the
//! best path through the lattice of (blocks taken, entries taken, tool in use, extra
//! just now), found by dynamic programming as in dynamic time warping (Sakoe and Chiba
//! 1978) and by Viterbi. The probability that a block belongs to an entry is the sum
//! over all alignments, by the forward-backward algorithm (Rabiner 1989, "A tutorial on
//! hidden Markov models"; for moves that take several blocks Yu 2010, "Hidden
//! semi-Markov models"). Both run over the same moves. Uncertainty: exact for the
//! weights given; how good those are is the concern of `likelihood`.

use std::ops::Range;

/// Blocks that one entry may have been worked in.
pub(super) const MOST_PARTS: usize = 6;
/// Entries that one block may hold.
pub(super) const MOST_TOGETHER: usize = 4;
/// Blocks of each of two entries worked in the other order.
pub(super) const MOST_PARTS_SWAPPED: usize = 2;

/// What the lattice asks about blocks and entries. All answers are weights.
pub(super) trait Weights {
    /// Number of blocks.
    fn blocks(&self) -> usize;
    /// Number of entries of the plan.
    fn entries(&self) -> usize;
    /// Number of tools.
    fn tools(&self) -> usize;
    /// The tool of an entry.
    fn tool(&self, entry: usize) -> usize;
    /// An entry was not worked; `at_end`: nor was anything after it.
    fn left_out(&self, entry: usize, at_end: bool) -> f64;
    /// A block that is no entry.
    fn extra(&self, block: usize) -> f64;
    /// An entry in these blocks, after work with the tool `last`.
    fn work(&self, entry: usize, blocks: Range<usize>, last: Option<usize>) -> f64;
    /// Two or more entries in one block.
    fn together(&self, entries: Range<usize>, block: usize, last: Option<usize>) -> f64;
    /// What the other order of two entries costs beside their work.
    fn swapped(&self) -> f64;
}

/// What a block was.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(super) enum Label {
    /// Not of the plan.
    Extra,
    /// These entries: one, but where several were worked together.
    Entries(Range<usize>),
}

impl Label {
    fn one(entry: usize) -> Self {
        Self::Entries(entry..entry + 1)
    }
}

#[derive(Clone, Copy, Debug)]
struct State {
    block: usize,
    entry: usize,
    /// Tool of the last work; the number of tools where there was none yet.
    tool: usize,
    after_extra: bool,
}

#[derive(Clone, Copy, Debug)]
enum What {
    LeaveOut,
    Extra,
    Work { parts: usize },
    Together { count: usize },
    Swap { first: usize, second: usize },
}

/// The lattice.
pub(super) struct Lattice<'a, W> {
    weights: &'a W,
    blocks: usize,
    entries: usize,
    tools: usize,
}

/// What the lattice says.
#[derive(Clone, Debug)]
pub(super) struct Matched {
    /// What each block is by the alignment of least mismatch.
    pub(super) best: Vec<Label>,
    /// Weight of that alignment; tests compare it.
    #[cfg_attr(not(test), allow(dead_code))]
    pub(super) best_weight: f64,
    /// Logarithm of the sum over all alignments; tests compare it.
    #[cfg_attr(not(test), allow(dead_code))]
    pub(super) total_weight: f64,
    /// Of each block the labels with their probabilities; impossible ones are left out.
    pub(super) probable: Vec<Vec<(Label, f64)>>,
}

impl Matched {
    /// Probability that `block` is what `is` says.
    pub(super) fn probability(&self, block: usize, is: impl Fn(&Label) -> bool) -> f64 {
        let labels = self.probable.get(block).map_or(&[][..], Vec::as_slice);
        let sum: f64 = labels.iter().filter(|(label, _)| is(label)).map(|(_, p)| p).sum();
        sum.clamp(0.0, 1.0)
    }
}

impl Matched {
    /// Several readings of one night, each with its share. The best label of a block is
    /// then the most probable one. `None` of none.
    pub(super) fn mixed(readings: impl Iterator<Item = (f64, Self)>) -> Option<Self> {
        let mut sum: Option<Self> = None;
        for (share, mut reading) in readings {
            reading.probable.iter_mut().flatten().for_each(|(_, p)| *p *= share);
            let Some(sum) = &mut sum else {
                sum = Some(reading);
                continue;
            };
            sum.best_weight = sum.best_weight.max(reading.best_weight);
            sum.total_weight = log_add(sum.total_weight, reading.total_weight);
            for (labels, more) in sum.probable.iter_mut().zip(reading.probable) {
                for (label, p) in more {
                    match labels.iter_mut().find(|(known, _)| *known == label) {
                        Some((_, sum)) => *sum += p,
                        None => labels.push((label, p)),
                    }
                }
            }
        }
        let mut sum = sum?;
        for (best, labels) in sum.best.iter_mut().zip(&sum.probable) {
            if let Some((label, _)) = labels.iter().max_by(|a, b| a.1.total_cmp(&b.1)) {
                best.clone_from(label);
            }
        }
        Some(sum)
    }
}

/// log(e^a + e^b)
fn log_add(a: f64, b: f64) -> f64 {
    let (high, low) = if a > b { (a, b) } else { (b, a) };
    if low == f64::NEG_INFINITY { high } else { high + (low - high).exp().ln_1p() }
}

impl<'a, W: Weights> Lattice<'a, W> {
    pub(super) fn new(weights: &'a W) -> Self {
        let (blocks, entries) = (weights.blocks(), weights.entries());
        Self { weights, blocks, entries, tools: weights.tools() }
    }

    /// The best alignment and all probabilities; `None` where every alignment is impossible.
    pub(super) fn matched(&self) -> Option<Matched> {
        let best_to_go = self.backward(f64::max);
        let to_go = self.backward(log_add);
        let total_weight = to_go[self.number(self.begin())];
        if !total_weight.is_finite() {
            return None;
        }
        let best_weight = best_to_go[self.number(self.begin())];
        let probable = self.probable(&to_go, total_weight);
        Some(Matched { best: self.trace(&best_to_go), best_weight, total_weight, probable })
    }

    fn begin(&self) -> State {
        State { block: 0, entry: 0, tool: self.tools, after_extra: false }
    }

    fn count(&self) -> usize {
        (self.blocks + 1) * (self.entries + 1) * (self.tools + 1) * 2
    }

    fn number(&self, s: State) -> usize {
        let place = s.block * (self.entries + 1) + s.entry;
        (place * (self.tools + 1) + s.tool) * 2 + usize::from(s.after_extra)
    }

    fn state(&self, number: usize) -> State {
        let (rest, after_extra) = (number / 2, number % 2 == 1);
        let (place, tool) = (rest / (self.tools + 1), rest % (self.tools + 1));
        let (block, entry) = (place / (self.entries + 1), place % (self.entries + 1));
        State { block, entry, tool, after_extra }
    }

    fn ends(&self, s: State) -> bool {
        s.block == self.blocks && s.entry == self.entries
    }

    /// Every move out of a state, with its weight. Moves lead to higher numbers.
    fn each_move(&self, s: State, mut take: impl FnMut(What, State, f64)) {
        let (blocks_left, entries_left) = (self.blocks - s.block, self.entries - s.entry);
        let last = (s.tool < self.tools).then_some(s.tool);
        let w = self.weights;
        if entries_left > 0 && !s.after_extra {
            let to = State { entry: s.entry + 1, ..s };
            take(What::LeaveOut, to, w.left_out(s.entry, blocks_left == 0));
        }
        if blocks_left == 0 {
            return;
        }
        let to = State { block: s.block + 1, after_extra: true, ..s };
        take(What::Extra, to, w.extra(s.block));
        if entries_left == 0 {
            return;
        }
        let after = |blocks: usize, entries: usize, worked: usize| State {
            block: s.block + blocks,
            entry: s.entry + entries,
            tool: w.tool(worked),
            after_extra: false,
        };
        for parts in 1..=MOST_PARTS.min(blocks_left) {
            let weight = w.work(s.entry, s.block..s.block + parts, last);
            take(What::Work { parts }, after(parts, 1, s.entry), weight);
        }
        for count in 2..=MOST_TOGETHER.min(entries_left) {
            let entries = s.entry..s.entry + count;
            let weight = w.together(entries, s.block, last);
            take(What::Together { count }, after(1, count, s.entry + count - 1), weight);
        }
        if entries_left < 2 {
            return;
        }
        let between = Some(w.tool(s.entry + 1));
        for first in 1..=MOST_PARTS_SWAPPED.min(blocks_left) {
            let middle = s.block + first;
            let first_weight = w.work(s.entry + 1, s.block..middle, last) + w.swapped();
            for second in 1..=MOST_PARTS_SWAPPED.min(blocks_left - first) {
                let weight = first_weight + w.work(s.entry, middle..middle + second, between);
                take(What::Swap { first, second }, after(first + second, 2, s.entry), weight);
            }
        }
    }

    /// From each state to the end, joined over its moves.
    fn backward(&self, join: fn(f64, f64) -> f64) -> Vec<f64> {
        let mut to_go = vec![f64::NEG_INFINITY; self.count()];
        for number in (0..self.count()).rev() {
            let s = self.state(number);
            let mut sum = if self.ends(s) { 0.0 } else { f64::NEG_INFINITY };
            self.each_move(s, |_, to, weight| {
                let through = weight + to_go[self.number(to)];
                if through > f64::NEG_INFINITY {
                    sum = join(sum, through);
                }
            });
            to_go[number] = sum;
        }
        to_go
    }

    /// Forward from the begin, and what each move adds to its blocks' labels.
    fn probable(&self, to_go: &[f64], total_weight: f64) -> Vec<Vec<(Label, f64)>> {
        let mut come = vec![f64::NEG_INFINITY; self.count()];
        come[self.number(self.begin())] = 0.0;
        let mut probable: Vec<Vec<(Label, f64)>> = vec![Vec::new(); self.blocks];
        for number in 0..self.count() {
            if come[number] == f64::NEG_INFINITY || to_go[number] == f64::NEG_INFINITY {
                continue;
            }
            let s = self.state(number);
            let so_far = come[number];
            self.each_move(s, |what, to, weight| {
                let to_number = self.number(to);
                come[to_number] = log_add(come[to_number], so_far + weight);
                let share = (so_far + weight + to_go[to_number] - total_weight).exp();
                if share > 0.0 {
                    Self::labels(what, s, |block, label| {
                        let labels = &mut probable[block];
                        match labels.iter_mut().find(|(known, _)| *known == label) {
                            Some((_, p)) => *p += share,
                            None => labels.push((label, share)),
                        }
                    });
                }
            });
        }
        probable
    }

    /// The path along which the best weight to go is kept.
    fn trace(&self, best_to_go: &[f64]) -> Vec<Label> {
        let mut best = vec![Label::Extra; self.blocks];
        let mut s = self.begin();
        while !self.ends(s) {
            let mut step: Option<(What, State, f64)> = None;
            self.each_move(s, |what, to, weight| {
                let through = weight + best_to_go[self.number(to)];
                if step.is_none_or(|(_, _, most)| through > most) {
                    step = Some((what, to, through));
                }
            });
            let Some((what, to, _)) = step else { break };
            Self::labels(what, s, |block, label| best[block] = label);
            s = to;
        }
        best
    }

    /// The blocks that a move takes, and what they are by it.
    fn labels(what: What, s: State, mut give: impl FnMut(usize, Label)) {
        let (block, entry) = (s.block, s.entry);
        match what {
            What::LeaveOut => {}
            What::Extra => give(block, Label::Extra),
            What::Work { parts } => {
                (block..block + parts).for_each(|b| give(b, Label::one(entry)));
            }
            What::Together { count } => give(block, Label::Entries(entry..entry + count)),
            What::Swap { first, second } => {
                let middle = block + first;
                (block..middle).for_each(|b| give(b, Label::one(entry + 1)));
                (middle..middle + second).for_each(|b| give(b, Label::one(entry)));
            }
        }
    }
}

#[cfg(test)]
#[path = "lattice_tests.rs"]
mod tests;
