//! A night's brush work in blocks.
//!
//! Words: a *block* is work with a brush turning, without a long stop and without a
//! way of some length with the brushes off; a *rest* is what lies between two blocks:
//! a tool change, a meal, the way to the next section. Short stops within a section,
//! as for an obstacle, are part of the block.
//!
//! Model (common practice, no published source): a crew drives from section to section
//! with the brushes up and off, and changes tools with the machine standing for ten
//! minutes or more. So a rest ends a block when it lasts [`Limits::long_stop`], or when
//! the machine is driven [`Limits::moved_on`] in it, or when somebody tells another
//! place. Two sections that are worked without any rest are one block, and a section
//! may have several blocks: matching knows both (see `lattice`).
//!
//! A block's *typical speed* is the median over its moving brush time, so that turns,
//! stops and single fast runs do not count: it tells grinding from the daily run, whose
//! bands do not touch. Source: durations and ways are those of the timeline; the median
//! is read from slots of 0.025 m/s and is right to half of one.
//!
//! Memory is bounded: a night of more than `MOST_BLOCKS` blocks loses its shortest rests.

use super::super::moment::{Moment, wall};
use super::super::types::{Place, PlaceSource, Span};
use chrono::{DateTime, Utc};
use underbrush_protocol::si::{Metres, MetresPerSecond, Seconds, SquareMetres};
use underbrush_protocol::time::UtcMs;

/// Blocks of one night that are kept apart.
const MOST_BLOCKS: usize = 256;
/// Brushes that turn for less are tried out or cross a tag; that is no work.
const SHORTEST_WORK: Seconds = Seconds(10.0);
/// Slower is standing or turning on the spot, as it does not tell the kind of work.
const MOVING: MetresPerSecond = MetresPerSecond(0.15);
const SLOT_M_S: f64 = 0.025;
/// Up to 2.5 m/s; faster goes into the last.
const SLOTS: usize = 100;

/// When a rest ends a block.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Limits {
    /// No brush turns for so long.
    pub long_stop: Seconds,
    /// The machine is driven so far with no brush turning.
    pub moved_on: Metres,
}

impl Default for Limits {
    fn default() -> Self {
        Self { long_stop: Seconds(90.0), moved_on: Metres(10.0) }
    }
}

/// One block.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct WorkBlock {
    /// From the first moment with a brush turning to the last.
    pub span: Span,
    /// Observed time with a brush turning.
    pub brush_time: Seconds,
    /// Swept area.
    pub swept_area: SquareMetres,
    /// Median speed while moving with a brush turning; `None` if it hardly moved.
    pub typical_speed: Option<MetresPerSecond>,
    /// What lies before it.
    pub before: Rest,
    /// Where it was by what somebody told.
    pub told: Option<Told>,
}

/// Time without brush work.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Rest {
    /// From the end of the block before; `None` before the first.
    pub length: Option<Seconds>,
    /// Way driven in it.
    pub way: Metres,
}

/// A told place and whether it was told for this very block.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Told {
    /// Where.
    pub place: Place,
    /// Told in the block or in the rest before it, and not only in force since an earlier one.
    pub here: bool,
}

/// Work that goes on.
#[derive(Clone, Debug)]
struct Open {
    from: DateTime<Utc>,
    to: DateTime<Utc>,
    brush_time: Seconds,
    way: Metres,
    before: Rest,
    told: Option<Told>,
    /// Moving brush time by speed, in ms.
    slots: [u32; SLOTS],
}

/// Gathers a night's blocks from its moments.
#[derive(Clone, Debug)]
pub struct Blocks {
    limits: Limits,
    path_width: Metres,
    open: Option<Box<Open>>,
    /// Way and time without a turning brush since the last moment of brush work.
    rest_way: Metres,
    last_work: Option<DateTime<Utc>>,
    /// The last told mark that a block was given.
    told_at: Option<i64>,
    found: Vec<WorkBlock>,
}

impl Blocks {
    /// A night whose first moment is still to come.
    pub fn new(limits: Limits, path_width: Metres) -> Self {
        Self {
            limits,
            path_width,
            open: None,
            rest_way: Metres(0.0),
            last_work: None,
            told_at: None,
            found: Vec::new(),
        }
    }

    /// The next moment; times come in order.
    pub(in crate::findings) fn step(&mut self, moment: &Moment<'_>) {
        let from = wall(moment.clock, moment.interval.from);
        let way = moment.speed().map_or(Metres(0.0), |speed| speed * moment.length());
        if moment.turning != Some(true) {
            self.rest_way += way;
            if self.rest_way >= self.limits.moved_on {
                self.close();
            }
            return;
        }
        let to = wall(moment.clock, moment.interval.to);
        let told = self.told(moment);
        let rested = self
            .last_work
            .map(|last| Seconds(((from - last).num_milliseconds() as f64 / 1000.0).max(0.0)));
        let other_place = self.open.as_ref().is_some_and(|open| match (open.told, told) {
            (_, None) => open.told.is_some(),
            (None, Some(_)) => true,
            (Some(before), Some(told)) => before.place != told.place,
        });
        if other_place || rested.is_some_and(|rested| rested >= self.limits.long_stop) {
            self.close();
        }
        let before = Rest { length: rested, way: self.rest_way };
        let open = self.open.get_or_insert_with(|| Box::new(Open::new(from, before)));
        open.add(moment, to, way, told);
        self.rest_way = Metres(0.0);
        self.last_work = Some(to);
    }

    /// The power went off, which is a long stop.
    pub(in crate::findings) fn boot_ends(&mut self) {
        self.close();
    }

    /// All blocks in order.
    pub fn finish(mut self) -> Vec<WorkBlock> {
        self.close();
        self.found
    }

    fn told(&mut self, moment: &Moment<'_>) -> Option<Told> {
        let place = moment.place;
        if !matches!(place.source, PlaceSource::Machine | PlaceSource::Book) {
            return None;
        }
        let here = moment.stay.told_at != self.told_at;
        self.told_at = moment.stay.told_at;
        Some(Told { place, here })
    }

    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        if open.brush_time < SHORTEST_WORK {
            // What was told there is told for the block to come.
            self.told_at = self.told_at.filter(|_| !open.told.is_some_and(|told| told.here));
            return;
        }
        self.found.push(open.block(self.path_width));
        if self.found.len() >= MOST_BLOCKS {
            self.join_half();
        }
    }

    /// Joins blocks over the shortest rests until half of them are left.
    fn join_half(&mut self) {
        let length = |block: &WorkBlock| block.before.length.unwrap_or(Seconds(f64::INFINITY)).0;
        let mut rests: Vec<f64> = self.found.iter().map(length).collect();
        rests.sort_by(f64::total_cmp);
        let Some(limit) = rests.get(rests.len() / 2).copied() else { return };
        let mut joined: Vec<WorkBlock> = Vec::with_capacity(MOST_BLOCKS);
        for block in std::mem::take(&mut self.found) {
            match joined.last_mut() {
                Some(last) if length(&block) <= limit => last.join(&block),
                _ => joined.push(block),
            }
        }
        self.found = joined;
    }
}

impl Open {
    fn new(from: DateTime<Utc>, before: Rest) -> Self {
        Self {
            from,
            to: from,
            brush_time: Seconds(0.0),
            way: Metres(0.0),
            before,
            told: None,
            slots: [0; SLOTS],
        }
    }

    fn add(&mut self, moment: &Moment<'_>, to: DateTime<Utc>, way: Metres, told: Option<Told>) {
        self.to = to;
        self.brush_time += moment.length();
        if moment.interval.states.head_down != Some(false) {
            self.way += way;
        }
        let here = self.told.is_some_and(|t| t.here) || told.is_some_and(|t| t.here);
        self.told = told.map(|told| Told { here, ..told });
        if let Some(speed) = moment.speed().filter(|speed| *speed >= MOVING) {
            let slot = ((speed.0 / SLOT_M_S) as usize).min(SLOTS - 1);
            // The number of the slot was just bounded.
            self.slots[slot] = self.slots[slot].saturating_add(moment.ms() as u32);
        }
    }

    fn block(&self, path_width: Metres) -> WorkBlock {
        WorkBlock {
            span: Span { from: self.from, to: self.to },
            brush_time: self.brush_time,
            swept_area: path_width * self.way,
            typical_speed: self.typical_speed(),
            before: self.before,
            told: self.told,
        }
    }

    /// The median, within its slot by the share of time.
    fn typical_speed(&self) -> Option<MetresPerSecond> {
        let total: u64 = self.slots.iter().map(|ms| u64::from(*ms)).sum();
        let mut below = 0;
        for (number, ms) in self.slots.iter().enumerate() {
            let ms = u64::from(*ms);
            if ms > 0 && (below + ms) * 2 >= total {
                let within = (total as f64 / 2.0 - below as f64) / ms as f64;
                return Some(MetresPerSecond((number as f64 + within) * SLOT_M_S));
            }
            below += ms;
        }
        None
    }
}

impl WorkBlock {
    /// Begin as the marks have it.
    pub fn begins(&self) -> UtcMs {
        UtcMs(self.span.from.timestamp_millis())
    }

    /// Takes in the block after it.
    fn join(&mut self, next: &Self) {
        let weight = |block: &Self| block.brush_time.0.max(1e-9);
        let (a, b) = (weight(self), weight(next));
        self.typical_speed = match (self.typical_speed, next.typical_speed) {
            (Some(x), Some(y)) => Some((x * a + y * b) / (a + b)),
            (x, y) => x.or(y),
        };
        self.span.to = next.span.to;
        self.brush_time += next.brush_time;
        self.swept_area += next.swept_area;
        self.told = self.told.or(next.told);
    }
}
