//! Rate channels of a boot, by the times they share.
//!
//! Channels that come in one frame have one set of times, so the times are kept
//! once for a *track* of channels. A lost frame makes two tracks of what was
//! one; they are joined again as soon as nothing tells them apart.

use crate::logset::Chunk;
use std::ops::Range;
use std::sync::Arc;
use underbrush_protocol::archive::Column;
use underbrush_protocol::detect::step::rates::{RATES, place};

/// Channels that had the same times so far, with their readings that are not used up.
#[derive(Clone, Debug, Default)]
pub(super) struct Track {
    at: Vec<u64>,
    /// Each channel with its values, one for each time.
    raws: Vec<(usize, Vec<i32>)>,
    next: usize,
    /// Time of the reading before `next`.
    before: Option<u64>,
    /// Which readings the last piece was made of.
    given: Range<usize>,
    /// Whether they are known in it.
    speaks: bool,
}

impl Track {
    /// Times that are left.
    pub(super) fn left(&self) -> &[u64] {
        // `next` never passes the end: only `advance` and `pass` move it.
        self.at.get(self.next..).unwrap_or_default()
    }

    /// Time of the next reading.
    pub(super) fn peek(&self) -> Option<u64> {
        self.left().first().copied()
    }

    /// Whether the next reading speaks for the time before it.
    pub(super) fn known(&self, longest_gap_ms: u64) -> bool {
        let Some((at, before)) = self.peek().zip(self.before) else { return false };
        at - before.min(at) <= longest_gap_ms
    }

    /// Whether its readings are used up and one in the next chunk could speak for `t`.
    pub(super) fn may_still_cover(&self, t: u64, longest_gap_ms: u64) -> bool {
        let before = self.before.is_some_and(|b| t.saturating_sub(b) <= longest_gap_ms);
        self.left().is_empty() && before
    }

    /// Gives its part of a piece of `steps` steps, the first of which ends at `to`.
    pub(super) fn give(&mut self, to: u64, steps: usize, longest_gap_ms: u64) {
        self.speaks = self.known(longest_gap_ms);
        if self.peek() == Some(to) {
            let begin = self.next;
            self.advance(steps);
            self.given = begin..self.next;
        } else {
            // Its next reading comes later; it speaks for this step too.
            self.given = self.next..self.next + usize::from(self.speaks);
        }
    }

    /// Times of the readings given.
    pub(super) fn given_at(&self) -> &[u64] {
        self.at.get(self.given.clone()).unwrap_or_default()
    }

    /// Each channel that is known in the piece, with its values.
    pub(super) fn given_raws(&self) -> impl Iterator<Item = (usize, &[i32])> {
        let known = self.raws.iter().filter(|_| self.speaks);
        known.filter_map(|(rate, raw)| Some((*rate, raw.get(self.given.clone())?)))
    }

    /// Uses up `count` readings.
    fn advance(&mut self, count: usize) {
        self.next = self.at.len().min(self.next + count);
        self.before = self.next.checked_sub(1).and_then(|i| self.at.get(i)).copied();
    }

    /// Uses up the readings at `t` or earlier.
    pub(super) fn pass(&mut self, t: u64) {
        let count = self.left().iter().take_while(|at| **at <= t).count();
        if count > 0 {
            self.advance(count);
        }
    }

    /// Takes further readings at the end.
    fn extend(&mut self, base: u64, at: &[i32]) {
        // A block never runs behind the one before it; a damaged log could.
        let last = self.at.last().copied().or(self.before).unwrap_or(0);
        let absolute = |at: &i32| base.saturating_add_signed(i64::from(*at)).max(last);
        self.at.extend(at.iter().map(absolute));
    }

    /// Whether a channel with this track's past and these new times belongs to `other`.
    fn same_past(&self, other: &Self) -> bool {
        self.before == other.before && self.left() == other.left()
    }
}

/// The tracks of all rate channels.
#[derive(Debug)]
pub(super) struct Rates {
    pub(super) tracks: Vec<Track>,
}

/// The columns of a chunk by rate channel.
type Fresh = [Option<Column>; RATES];
/// Times that columns share.
type Shared = Option<Arc<[i32]>>;

impl Rates {
    pub(super) fn new() -> Self {
        let none = |rate| (rate, Vec::new());
        Self { tracks: vec![Track { raws: (0..RATES).map(none).collect(), ..Track::default() }] }
    }

    /// Takes the rate channels of the next chunk out of it.
    pub(super) fn append(&mut self, chunk: &mut Chunk) {
        let mut fresh = Fresh::default();
        for column in &mut chunk.block.columns {
            let Some(rate) = place(column.channel) else { continue };
            let at = Arc::clone(&column.at);
            let column =
                Column { channel: column.channel, at, raw: std::mem::take(&mut column.raw) };
            if let Some(slot) = fresh.get_mut(rate) {
                if slot.is_some() {
                    // Twice in one block: the readings follow each other.
                    self.absorb(chunk.base.0, std::mem::take(&mut fresh));
                    fresh = Fresh::default();
                    if let Some(slot) = fresh.get_mut(rate) {
                        *slot = Some(column);
                    }
                } else {
                    *slot = Some(column);
                }
            }
        }
        self.absorb(chunk.base.0, fresh);
    }

    fn absorb(&mut self, base: u64, mut fresh: Fresh) {
        // Each with the old track and the times it was made of.
        let mut tracks: Vec<(usize, Shared, Track)> = Vec::new();
        for (old, track) in self.tracks.iter().enumerate() {
            for (rate, raw) in &track.raws {
                let column = fresh.get_mut(*rate).and_then(Option::take);
                let (at, more) = column.map(|c| (c.at, c.raw)).unzip();
                let alike = |(from, times, _): &(usize, Shared, Track)| {
                    let same_times = match (times, &at) {
                        (Some(a), Some(b)) => Arc::ptr_eq(a, b),
                        (None, None) => true,
                        _ => false,
                    };
                    same_times && (*from == old || self.tracks[*from].same_past(track))
                };
                let place = tracks.iter().position(alike).unwrap_or_else(|| {
                    let mut new = Track { at: track.left().to_vec(), ..Track::default() };
                    new.before = track.before;
                    new.extend(base, at.as_deref().unwrap_or_default());
                    tracks.push((old, at, new));
                    tracks.len() - 1
                });
                let left = raw.get(track.next..).unwrap_or_default();
                let more = more.unwrap_or_default();
                let raw = if left.is_empty() { more } else { [left, &more].concat() };
                tracks[place].2.raws.push((*rate, raw));
            }
        }
        self.tracks = tracks.into_iter().map(|(.., track)| track).collect();
    }
}
