//! Columns of different rhythm, brought to common steps.
//!
//! The step borders are the times of all rate channels together. In a step a
//! rate channel has the value of its first reading at or after the step's end.
//!
//! Steps come in *pieces*: rows of steps over which the same channels are known
//! and the same states hold. Mostly all channels share their times, so a piece
//! is as long as its states hold; where a frame was lost it is one step.

use super::held::Held;
use super::rates::{Rates, Track};
use crate::logset::Chunk;
use underbrush_protocol::detect::step::interval;
use underbrush_protocol::detect::step::rates::{COMMAND, CURRENT_0, RATES, ROTATION_0, SPEED};
pub(crate) use underbrush_protocol::detect::step::scaled as si;
use underbrush_protocol::detect::{Interval, States};
use underbrush_protocol::time::BootMs;

/// Makes steps from chunks.
#[derive(Debug)]
pub(super) struct Aligner {
    rates: Rates,
    held: Held,
    longest_gap_ms: u64,
    wheel_factor: f64,
    at: Option<u64>,
    /// Time of the latest reading taken: more of that instant may be in the next chunk.
    heard: u64,
}

/// Steps that follow each other; the first begins at `from`, each ends at its time.
pub(crate) struct Piece<'a> {
    from: u64,
    at: &'a [u64],
    /// Values of each known channel, one a step.
    raws: [Option<&'a [i32]>; RATES],
    states: States,
    wheel_factor: f64,
}

impl Aligner {
    pub(super) fn new(longest_gap_ms: u64, wheel_factor: f64) -> Self {
        let (rates, held) = (Rates::new(), Held::default());
        Self { rates, held, longest_gap_ms, wheel_factor, at: None, heard: 0 }
    }

    /// Takes the next chunk of the same boot.
    pub(super) fn append(&mut self, mut chunk: Chunk) {
        let last = chunk.block.columns.iter().filter_map(|column| column.at.last()).max();
        let last = last.map(|at| chunk.base.0.saturating_add_signed(i64::from(*at)));
        self.heard = self.heard.max(last.unwrap_or(0));
        self.rates.append(&mut chunk);
        self.held.append(&chunk);
    }

    /// The next steps; `None` when more chunks are needed. With `last_chunk` it goes to the end.
    pub(super) fn piece(&mut self, last_chunk: bool) -> Option<Piece<'_>> {
        let gap = self.longest_gap_ms;
        let (from, to) = loop {
            let to = self.rates.tracks.iter().filter_map(Track::peek).min()?;
            let waits = to >= self.heard
                || self.rates.tracks.iter().any(|track| track.may_still_cover(to, gap));
            if waits && !last_chunk {
                return None;
            }
            if let Some(from) = self.at.replace(to).filter(|from| *from < to) {
                break (from, to);
            }
            for track in &mut self.rates.tracks {
                track.pass(to);
            }
        };
        let (states, mut until) = self.held.at(to);
        if !last_chunk {
            until = until.min(self.heard.saturating_sub(1));
        }
        let steps = self.steps(to, until);
        let mut lead: &[u64] = &[];
        let mut raws = [None; RATES];
        for track in &mut self.rates.tracks {
            track.give(to, steps, gap);
        }
        for track in &self.rates.tracks {
            if track.given_at().first() == Some(&to) {
                lead = track.given_at();
            }
            for (rate, raw) in track.given_raws() {
                if let Some(slot) = raws.get_mut(rate) {
                    *slot = Some(raw);
                }
            }
        }
        self.at = lead.last().copied();
        Some(Piece { from, at: lead, raws, states, wheel_factor: self.wheel_factor })
    }

    /// How many steps from the one to `to` on are alike: every channel that is known has a
    /// reading at the end of each, and the states stay as they are until `until`.
    fn steps(&self, to: u64, until: u64) -> usize {
        let gap = self.longest_gap_ms;
        let mut last = until;
        for track in &self.rates.tracks {
            match (track.peek(), track.known(gap)) {
                (Some(next), true) if next == to => {}
                (Some(next), false) if next > to => last = last.min(next - 1),
                (Some(_), _) => return 1,
                (None, _) => {}
            }
        }
        let mut together = self.rates.tracks.iter().filter(|t| t.peek() == Some(to));
        let Some(lead) = together.next().map(Track::left) else { return 1 };
        let follows = |pair: &&[u64]| matches!(pair, [a, b] if a < b && b - a <= gap && *b <= last);
        let steps = 1 + lead.windows(2).take_while(follows).count();
        together.fold(steps, |steps, track| {
            let shared = lead.iter().zip(track.left()).take(steps);
            shared.take_while(|(a, b)| a == b).count()
        })
    }
}

impl Piece<'_> {
    /// Its steps in order.
    pub(super) fn steps(&self) -> impl Iterator<Item = Interval> {
        (0..self.at.len()).filter_map(|index| self.step(index))
    }

    /// Number of its steps.
    pub(crate) fn len(&self) -> usize {
        self.at.len()
    }

    /// Begin of the first step, in ms of the boot.
    pub(crate) fn from(&self) -> u64 {
        self.from
    }

    /// End of each step, in ms of the boot.
    pub(crate) fn ends(&self) -> &[u64] {
        self.at
    }

    /// Raw speed in each step, if known.
    pub(crate) fn raw_speed(&self) -> Option<&[i32]> {
        self.raws[SPEED]
    }

    /// Raw command in each step, if known.
    pub(crate) fn raw_command(&self) -> Option<&[i32]> {
        self.raws[COMMAND]
    }

    /// Raw current and rotation of a motor in each step, as far as known.
    pub(crate) fn raw_motor(&self, motor: usize) -> (Option<&[i32]>, Option<&[i32]>) {
        let raw = |rate: usize| self.raws.get(rate).copied().flatten();
        (raw(CURRENT_0 + motor), raw(ROTATION_0 + motor))
    }

    /// One of its steps; `None` beyond the last.
    pub(crate) fn step(&self, index: usize) -> Option<Interval> {
        let to = *self.at.get(index)?;
        let before = index.checked_sub(1).and_then(|i| self.at.get(i));
        let raw = |rate: usize| self.raws.get(rate).copied()??.get(index).copied();
        let span = (BootMs(before.copied().unwrap_or(self.from)), BootMs(to));
        Some(interval(span, raw, self.states, self.wheel_factor))
    }
}
