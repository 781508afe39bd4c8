//! Goes through the boots of a span of wall time in order, once.

use super::STATE_HOLDS_MS;
use super::align::{Aligner, si};
use crate::duration;
use crate::findings::{Problem, Span};
use crate::logset::{BootLog, Chunks, ClockMap, LogSet};
use chrono::DateTime;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::Interval;
use underbrush_protocol::note::Note;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};

/// Notes this much before the span are shown to the reader, in ms: marks still in force.
const LOOK_BACK_MS: i64 = 12 * 3_600_000;

/// What takes in the walk. Times come in order.
pub trait Reader {
    /// A boot's record begins; `clock` maps its times.
    fn boot_begins(&mut self, boot: &BootLog, clock: &ClockMap);
    /// A step of the boot that ends inside the span.
    fn step(&mut self, step: &Interval, clock: &ClockMap);
    /// A note, inside the span or up to 12 h before it.
    fn note(&mut self, at: UtcMs, note: &Note);
    /// The boot's record in the span ends.
    fn boot_ends(&mut self, clock: &ClockMap);
}

/// How to read speeds and gaps.
#[derive(Clone, Copy, Debug)]
pub struct Walk {
    /// Span of wall time.
    pub span: Span,
    /// See [`underbrush_protocol::settings::Machine::longest_gap_ms`].
    pub longest_gap_ms: u64,
    /// True distance over distance by the signal.
    pub wheel_factor: f64,
}

impl Walk {
    /// Through `span`, with what the machine file says.
    pub fn of(machine: &Machine, span: Span) -> Self {
        let wheel_factor = machine.speed.wheel_factor;
        Self { span, longest_gap_ms: machine.longest_gap_ms(), wheel_factor }
    }

    /// Speed of a raw reading in m/s, as the steps have it.
    pub(crate) fn speed_m_s(&self, raw: i32) -> f32 {
        si(raw, Channel::SPEED.resolution() * self.wheel_factor)
    }
}

/// The part of a boot's record that a span of wall time takes of it.
#[derive(Clone, Copy)]
pub(super) struct Stretch<'a> {
    pub(super) boot: &'a BootLog,
    pub(super) clock: &'a ClockMap,
    /// Steps that end after this, in UTC ms.
    pub(super) from: i64,
    /// Steps that end up to this, in UTC ms.
    pub(super) to: i64,
}

impl Stretch<'_> {
    /// About when the board's clock was at `utc`, in ms.
    ///
    /// The map is monotonic with a slope near 1; [`MARGIN_MS`] makes up for its inverse.
    pub(super) fn boot_ms(&self, utc: i64) -> BootMs {
        BootMs((utc - self.clock.utc(BootMs(0)).0).max(0) as u64)
    }

    pub(super) fn inside(&self, at: BootMs) -> bool {
        let utc = self.clock.utc(at).0;
        utc > self.from && utc <= self.to
    }
}

/// Time read beyond a stretch at either end, in ms.
pub(super) const MARGIN_MS: i64 = 60_000;

/// The boots of a span in order of time, none overlapping; and what is wrong with their clocks.
pub(super) fn stretches(logs: &LogSet, span: Span) -> (Vec<Stretch<'_>>, Vec<Problem>) {
    let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
    let mut problems = Vec::new();
    let mut boots: Vec<(&BootLog, &ClockMap, UtcMs, UtcMs)> = logs
        .boots
        .iter()
        .filter_map(|boot| {
            let (first, last) = boot.utc_span()?;
            Some((boot, boot.clock()?, first, last))
        })
        .filter(|(_, _, first, last)| first.0 < to && last.0 >= from)
        .collect();
    boots.sort_by_key(|(boot, _, first, _)| (*first, boot.boot));
    let mut stretches = Vec::with_capacity(boots.len());
    let mut covered_until = UtcMs(from);
    let mut last_boot = None;
    for (boot, clock, first, last) in boots {
        let overlap = covered_until.0 - first.0;
        let slack = i64::from(clock.uncertainty_ms()) + 2_000;
        if let Some(other) = last_boot.filter(|_| overlap > slack) {
            problems.push(Problem {
                data_lost: false,
                message: format!(
                    "Power-ons {other} and {} overlap by {}: one of their clocks is wrong. The time was counted once, from power-on {other}.",
                    boot.boot,
                    duration::in_words(overlap.unsigned_abs())
                ),
            });
        }
        stretches.push(Stretch { boot, clock, from: covered_until.0.max(from), to });
        covered_until = covered_until.max(UtcMs(last.0.min(to)));
        last_boot = Some(boot.boot);
    }
    (stretches, problems)
}

/// Walks all boots that touch the span; returns what could not be read.
pub fn walk(logs: &LogSet, how: Walk, reader: &mut dyn Reader) -> Vec<Problem> {
    walk_from(logs, how, LOOK_BACK_MS, reader)
}

/// The same for a reader that needs no notes from before the span: no more is read than the
/// steps in it need.
pub(crate) fn walk_span(logs: &LogSet, how: Walk, reader: &mut dyn Reader) -> Vec<Problem> {
    let held = STATE_HOLDS_MS + how.longest_gap_ms.min(STATE_HOLDS_MS);
    walk_from(logs, how, MARGIN_MS + held as i64, reader)
}

fn walk_from(logs: &LogSet, how: Walk, look_back_ms: i64, reader: &mut dyn Reader) -> Vec<Problem> {
    let (stretches, mut problems) = stretches(logs, how.span);
    for stretch in &stretches {
        problems.extend(walk_boot(stretch, how, look_back_ms, reader));
    }
    problems
}

fn walk_boot(
    stretch: &Stretch<'_>,
    how: Walk,
    look_back_ms: i64,
    reader: &mut dyn Reader,
) -> Vec<Problem> {
    let &Stretch { boot, clock, from, to } = stretch;
    reader.boot_begins(boot, clock);
    let (begin, end) = (stretch.boot_ms(from - look_back_ms), stretch.boot_ms(to + MARGIN_MS));
    let mut chunks = Chunks::new(boot, begin, end);
    let mut aligner = Aligner::new(how.longest_gap_ms, how.wheel_factor);
    let mut notes: Vec<(BootMs, Note)> = Vec::new();
    let mut next = chunks.next();
    while let Some(mut chunk) = next {
        next = chunks.next();
        notes.append(&mut chunk.block.notes);
        aligner.append(chunk);
        let mut given = 0;
        while let Some(piece) = aligner.piece(next.is_none()) {
            for step in piece.steps() {
                while let Some((at, note)) = notes.get(given).filter(|(at, _)| *at <= step.from) {
                    give_note(reader, clock.utc(*at), note, to);
                    given += 1;
                }
                if stretch.inside(step.to) {
                    reader.step(&step, clock);
                }
            }
        }
        notes.drain(..given);
    }
    for (at, note) in notes {
        give_note(reader, clock.utc(at), &note, to);
    }
    reader.boot_ends(clock);
    chunks.take_problems()
}

fn give_note(reader: &mut dyn Reader, at: UtcMs, note: &Note, to: i64) {
    if at.0 < to && DateTime::from_timestamp_millis(at.0).is_some() {
        reader.note(at, note);
    }
}
