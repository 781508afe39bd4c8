//! A machine's drive as frames in a published layout, and what is truly where.

use super::dice::Dice;
use super::layout::{Layout, Place};
use super::machine::{Drive, STEP_S};
use super::signal::{Kind, Signal};
use underbrush_agent::decode::CanId;
use underbrush_agent::learn::{Candidate, Recording};

const RATES_HZ: [f64; 5] = [10.0, 20.0, 25.0, 50.0, 100.0];

/// One true signal.
pub(crate) struct Truth {
    pub(crate) id: CanId,
    pub(crate) place: Place,
    pub(crate) kind: Kind,
    /// Bits that moved, of the message.
    pub(crate) moved: u64,
    /// Its number, five times a second.
    pub(crate) trace: Vec<f64>,
}

pub(crate) struct Bus {
    pub(crate) recording: Recording,
    pub(crate) truths: Vec<Truth>,
}

pub(crate) fn bus(layout: &Layout, drive: &Drive, dice: &mut Dice) -> Bus {
    let mut brush = 0;
    let mut recording = Recording::default();
    let mut truths = Vec::new();
    let mut frames: Vec<(u64, CanId, [u8; 8], usize)> = Vec::new();
    let length_s = drive.moments.len() as f64 * STEP_S;
    for (number, message) in layout.messages.iter().enumerate() {
        let mut signals: Vec<Signal> =
            message.places.iter().map(|place| Signal::new(place, &mut brush, dice)).collect();
        let rate = if number == 0 { 50.0 } else { RATES_HZ[dice.below(5) as usize] };
        // A message of brush currents comes often enough to be of use.
        let brushes = signals.iter().any(|s| matches!(s.kind, Kind::Brush(_)));
        let period = 1.0 / if brushes { rate.max(20.0) } else { rate };
        let id = can_id(message.id);
        let mut at = dice.between(0.0, period);
        let mut word = dice.bits();
        // What no signal uses is all zeros or all ones.
        let used = message.places.iter().fold(0, |mask, place| mask | place.mask());
        let filler = if dice.chance(0.5) { u64::MAX } else { 0 };
        word = (word & used) | (filler & !used);
        let (mut seen, mut first) = (0_u64, None);
        let mut traces: Vec<Vec<f64>> = vec![Vec::new(); signals.len()];
        while at < length_s {
            let now = &drive.moments[(at / STEP_S) as usize];
            for signal in &mut signals {
                let number = signal.number(now, at, dice);
                signal.place.write(&mut word, number);
            }
            let checks = signals.iter().filter(|s| s.kind == Kind::Checksum);
            for check in checks {
                let rest = word & !check.place.mask();
                let mut sum = message.id;
                for byte in rest.to_le_bytes() {
                    sum = sum.wrapping_mul(31).wrapping_add(u32::from(byte)).rotate_left(3);
                }
                check.place.write(
                    &mut word,
                    i64::from((sum ^ sum >> 13) & 0x7FFF_FFFF)
                        & ((1 << check.place.len.min(31)) - 1),
                );
            }
            seen |= word ^ *first.get_or_insert(word);
            for (signal, trace) in signals.iter().zip(&mut traces) {
                let cells = (at * 5.0) as usize + 1;
                trace.resize(cells, signal.place.read(word));
            }
            frames.push(((at * 1e6) as u64, id, word.to_le_bytes(), usize::from(message.len)));
            at += period * (1.0 + 0.02 * dice.normal());
        }
        for (signal, trace) in signals.into_iter().zip(traces) {
            let moved = seen & signal.place.mask();
            truths.push(Truth { id, place: signal.place, kind: signal.kind, moved, trace });
        }
    }
    frames.sort_by_key(|frame| frame.0);
    for (at, id, data, len) in frames {
        recording.push(at, id, &data[..len]);
    }
    Bus { recording, truths }
}

fn can_id(id: u32) -> CanId {
    if id & 0x8000_0000 != 0 || id > 0x7FF {
        CanId::Extended(id & 0x1FFF_FFFF)
    } else {
        CanId::Standard(id as u16)
    }
}

/// The true signal that a candidate is: it takes no moving bit of another one, and its
/// number goes with the true one. A candidate that lacks the lowest bits still is.
pub(crate) fn is<'a>(bus: &'a Bus, candidate: &Candidate) -> Option<&'a Truth> {
    let moved = bus.truths.iter().filter(|t| t.id == candidate.id).fold(0, |m, t| m | t.moved);
    let mask = candidate.field.mask() & moved;
    bus.truths.iter().find(|truth| {
        truth.id == candidate.id
            && mask & !truth.moved == 0
            && mask & truth.moved != 0
            && correlation(&candidate.trace, &truth.trace) > 0.995
    })
}

fn correlation(a: &[f32], b: &[f64]) -> f64 {
    let n = a.len().min(b.len()).max(1);
    let mean_a = a[..n].iter().map(|v| f64::from(*v)).sum::<f64>() / n as f64;
    let mean_b = b[..n].iter().sum::<f64>() / n as f64;
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(b) {
        let (x, y) = (f64::from(*x) - mean_a, y - mean_b);
        ab += x * y;
        aa += x * x;
        bb += y * y;
    }
    if aa > 0.0 && bb > 0.0 { ab / (aa * bb).sqrt() } else { 0.0 }
}
