//! Pieces of many steps of all boots of a span, read on all cores.
//!
//! What a reader does not need is not decoded. Where a brush column alone
//! settles for a whole block that a brush turns, the others are not either:
//! they stand as zeros, so only the turning may be read off them.

use super::STATE_HOLDS_MS;
use super::align::{Aligner, Piece, si};
use super::walk::{MARGIN_MS, Stretch, Walk, stretches};
use crate::cores::share_out;
use crate::findings::Problem;
use crate::logset::{BootLog, Chunks, ClockMap, LogSet};
use std::cell::Cell;
use std::ops::Range;
use underbrush_protocol::archive::{Block, BlockView, ColumnView, view_block};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::TurningLimits;
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::time::BootMs;
use underbrush_protocol::wire_units::RotationRaw;

/// What takes in the pieces of some boots, one boot after another, in any order of boots.
pub(crate) trait PieceReader: Send {
    /// The next piece; only its steps in `range` are in the span.
    fn piece(&mut self, piece: &Piece<'_>, range: Range<usize>);
    /// The boot's record in the span ends.
    fn boot_ends(&mut self, boot: &BootLog, clock: &ClockMap);
}

/// Gives the pieces of all boots to readers that `begin` makes, one for each core. Rates but the
/// turn rate are known, and whether the head is down.
pub(crate) fn scan<R: PieceReader>(
    logs: &LogSet,
    how: Walk,
    turning: TurningLimits,
    begin: impl Fn() -> R + Sync,
) -> (Vec<R>, Vec<Problem>) {
    let (stretches, mut problems) = stretches(logs, how.span);
    let done = share_out(stretches.len(), |numbers| {
        let (mut reader, mut problems) = (begin(), Vec::new());
        for number in numbers {
            let Some(stretch) = stretches.get(number) else { continue };
            let found = scan_boot(stretch, how, turning, &mut reader);
            problems.extend(found.into_iter().map(|problem| (number, problem)));
        }
        (reader, problems)
    });
    let (readers, found): (Vec<_>, Vec<_>) = done.into_iter().unzip();
    let mut found: Vec<(usize, Problem)> = found.into_iter().flatten().collect();
    found.sort_by_key(|(number, _)| *number);
    problems.extend(found.into_iter().map(|(_, problem)| problem));
    (readers, problems)
}

fn scan_boot(
    stretch: &Stretch<'_>,
    how: Walk,
    turning: TurningLimits,
    reader: &mut impl PieceReader,
) -> Vec<Problem> {
    let sparse = Sparse::new(turning);
    let decode = |bytes: &[u8], salt: [u8; 4]| sparse.decode(&view_block(bytes, salt)?);
    let before = MARGIN_MS + (STATE_HOLDS_MS + how.longest_gap_ms.min(STATE_HOLDS_MS)) as i64;
    let begin = stretch.boot_ms(stretch.from.saturating_sub(before));
    let end = stretch.boot_ms(stretch.to + MARGIN_MS);
    let mut chunks = Chunks::decoded_by(&decode, stretch.boot, begin, end);
    let mut aligner = Aligner::new(how.longest_gap_ms, how.wheel_factor);
    let mut next = chunks.next();
    while let Some(chunk) = next {
        next = chunks.next();
        aligner.append(chunk);
        while let Some(piece) = aligner.piece(next.is_none()) {
            let inside =
                |i: usize| piece.ends().get(i).is_some_and(|at| stretch.inside(BootMs(*at)));
            let mut range = 0..piece.len();
            while !range.is_empty() && !inside(range.start) {
                range.start += 1;
            }
            while !range.is_empty() && !inside(range.end - 1) {
                range.end -= 1;
            }
            if !range.is_empty() {
                reader.piece(&piece, range);
            }
        }
    }
    reader.boot_ends(stretch.boot, stretch.clock);
    chunks.take_problems()
}

/// First raw values of a turning brush, as its limits in 32 bits have it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct TurningRaw {
    pub(crate) rotation_from: i32,
    pub(crate) current_from: i32,
}

impl TurningRaw {
    pub(crate) fn new(limits: TurningLimits) -> Self {
        let above = |limit: f32, unit: f64| first_where(|raw| si(raw, unit) > limit);
        Self {
            rotation_from: above(limits.rotation_rpm, RotationRaw::RESOLUTION_RPM),
            current_from: above(limits.current_a, Channel::BATTERY_CURRENT.resolution()),
        }
    }
}

/// Decodes what tells whether a brush turns, the speed and the head.
struct Sparse {
    turning: TurningRaw,
    /// The last block had all brush columns with the same times.
    regular: Cell<bool>,
}

impl Sparse {
    fn new(limits: TurningLimits) -> Self {
        Self { turning: TurningRaw::new(limits), regular: Cell::new(false) }
    }

    fn decode(&self, view: &BlockView<'_>) -> Option<Block> {
        let mut block = Block::default();
        let brush = |column: &&ColumnView<'_>| is_brush(column.channel);
        let mut brushes = view.columns().iter().filter(brush);
        let (command, motor) = (brushes.next(), brushes.clone());
        let regular = command.is_some_and(|command| {
            command.channel == Channel::BRUSH_COMMAND
                && motor.clone().all(|column| column.times == command.times)
        });
        // Only where the block before was alike is each channel known in the same steps.
        let regular_before = self.regular.replace(regular);
        let mut lead = None;
        if regular && regular_before {
            let first = motor.clone().find(|c| Some(c.channel) == Channel::brush_rotation(0));
            let current = || motor.clone().find(|c| Some(c.channel) == Channel::brush_current(0));
            if let Some(column) = first.or_else(current) {
                let rotates = Some(column.channel) == Channel::brush_rotation(0);
                let from =
                    if rotates { self.turning.rotation_from } else { self.turning.current_from };
                let raw = column.values()?;
                let settled = raw.iter().all(|raw| *raw >= from);
                lead = Some((column.channel, raw, settled));
            }
        }
        let wanted = |channel| channel == Channel::HEAD_DOWN || is_rate(channel);
        view.read_columns(&mut block, wanted, |column| {
            match &mut lead {
                Some((channel, raw, _)) if *channel == column.channel => {
                    return Some(std::mem::take(raw));
                }
                Some((_, _, true)) if is_motor(column.channel) => {
                    return Some(vec![0; column.rows()]);
                }
                _ => {}
            }
            if column.channel == Channel::TURN_RATE {
                return Some(vec![0; column.rows()]);
            }
            column.values()
        })?;
        Some(block)
    }
}

/// The smallest raw value for which `holds`, which holds from some value on.
pub(crate) fn first_where(holds: impl Fn(i32) -> bool) -> i32 {
    let (mut low, mut high) = (i64::from(i32::MIN), i64::from(i32::MAX));
    while low < high {
        let middle = (low + high).div_euclid(2);
        if holds(middle as i32) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    low as i32
}

fn is_motor(channel: Channel) -> bool {
    (0..MAX_MOTORS).any(|motor| {
        [Channel::brush_current(motor), Channel::brush_rotation(motor)].contains(&Some(channel))
    })
}

fn is_brush(channel: Channel) -> bool {
    channel == Channel::BRUSH_COMMAND || is_motor(channel)
}

fn is_rate(channel: Channel) -> bool {
    is_brush(channel) || channel == Channel::SPEED || channel == Channel::TURN_RATE
}
