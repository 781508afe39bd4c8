//! A machine's drive as frames in a published layout, and what is truly where.

use super::dice::Dice;
use super::layout::{Layout, Place};
use super::machine::{Drive, Moment, STEP_S};
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
    for number in 0..layout.messages.len() {
        let mut sender = Sender::new(layout, number, &mut brush, dice);
        let (mut seen, mut first) = (0_u64, None);
        let mut traces: Vec<Vec<f64>> = vec![Vec::new(); sender.signals.len()];
        while sender.due_s < length_s {
            let at = sender.due_s;
            let word = sender.word(&drive.moments[(at / STEP_S) as usize], at, dice);
            seen |= word ^ *first.get_or_insert(word);
            for (signal, trace) in sender.signals.iter().zip(&mut traces) {
                let cells = (at * 5.0) as usize + 1;
                trace.resize(cells, signal.place.read(word));
            }
            frames.push(((at * 1e6) as u64, sender.id, word.to_le_bytes(), sender.len));
            sender.next(dice);
        }
        let id = sender.id;
        for (signal, trace) in sender.signals.into_iter().zip(traces) {
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

/// One message of a machine, sent again and again.
pub(crate) struct Sender {
    pub(crate) id: CanId,
    pub(crate) len: usize,
    pub(crate) signals: Vec<Signal>,
    /// When it is sent next.
    pub(crate) due_s: f64,
    period_s: f64,
    word: u64,
    number: u32,
}

impl Sender {
    /// Message `number` of a layout; `brush` counts the current signals of the bus.
    pub(crate) fn new(layout: &Layout, number: usize, brush: &mut usize, dice: &mut Dice) -> Self {
        let message = &layout.messages[number];
        let signals: Vec<Signal> =
            message.places.iter().map(|place| Signal::new(place, brush, dice)).collect();
        let rate = if number == 0 { 50.0 } else { RATES_HZ[dice.below(5) as usize] };
        // A message of brush currents comes often enough to be of use.
        let brushes = signals.iter().any(|s| matches!(s.kind, Kind::Brush(_)));
        let period_s = 1.0 / if brushes { rate.max(20.0) } else { rate };
        let due_s = dice.between(0.0, period_s);
        let word = dice.bits();
        // What no signal uses is all zeros or all ones.
        let used = message.places.iter().fold(0, |mask, place| mask | place.mask());
        let filler = if dice.chance(0.5) { u64::MAX } else { 0 };
        let word = (word & used) | (filler & !used);
        let (id, len) = (can_id(message.id), usize::from(message.len));
        Self { id, len, signals, due_s, period_s, word, number: message.id }
    }

    /// Its payload, little-endian.
    pub(crate) fn word(&mut self, now: &Moment, at: f64, dice: &mut Dice) -> u64 {
        let word = &mut self.word;
        for signal in &mut self.signals {
            let number = signal.number(now, at, dice);
            signal.place.write(word, number);
        }
        for check in self.signals.iter().filter(|s| s.kind == Kind::Checksum) {
            let rest = *word & !check.place.mask();
            let mut sum = self.number;
            for byte in rest.to_le_bytes() {
                sum = sum.wrapping_mul(31).wrapping_add(u32::from(byte)).rotate_left(3);
            }
            check.place.write(
                word,
                i64::from((sum ^ sum >> 13) & 0x7FFF_FFFF) & ((1 << check.place.len.min(31)) - 1),
            );
        }
        *word
    }

    pub(crate) fn next(&mut self, dice: &mut Dice) {
        self.due_s += self.period_s * (1.0 + 0.02 * dice.normal());
    }
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
    is_near(bus, candidate, 0)
}

/// The same where the candidate's clock is up to so many fifths of a second off.
pub(crate) fn is_near<'a>(bus: &'a Bus, candidate: &Candidate, off: usize) -> Option<&'a Truth> {
    // Between two fifths a quick signal looks another one.
    let least = if off == 0 { 0.995 } else { 0.95 };
    let moved = bus.truths.iter().filter(|t| t.id == candidate.id).fold(0, |m, t| m | t.moved);
    let mask = candidate.field.mask() & moved;
    bus.truths.iter().find(|truth| {
        truth.id == candidate.id
            && mask & !truth.moved == 0
            && mask & truth.moved != 0
            && (0..=off).any(|off| {
                let (ours, truth) = (&candidate.trace, &truth.trace);
                let (later, sooner) = (ours.get(off..), truth.get(off..));
                correlation(later.unwrap_or(&[]), truth) > least
                    || correlation(ours, sooner.unwrap_or(&[])) > least
            })
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
