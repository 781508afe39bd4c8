//! Fast decoding: each signal's place worked out once, whole words instead of bits.
//!
//! The first 8 bytes of a payload are taken as one word in either byte order, and a
//! field in them is a shift and a mask. A field beyond them is cut out of the up to 9
//! bytes that it touches. Both give what `bits.rs` defines bit by bit; tests hold them
//! against each other.

use super::{Database, MAX_MULTIPLEX_DEPTH, Message, Presence, Value};
use crate::decode::CanId;
use crate::decode::bits::{Field, Form, Order};
use crate::decode::unknown::Unknown;
use std::collections::HashMap;

/// Decodes frames by the messages of a file. Made by [`Database::decoder`].
#[derive(Clone, Debug)]
pub struct Decoder {
    plans: Vec<Plan>,
    /// Place in `plans` + 1 by 11-bit identifier.
    standard: Vec<u32>,
    extended: HashMap<u32, usize>,
    groups: HashMap<u32, usize>,
}

impl Decoder {
    pub(super) fn new(database: &Database) -> Self {
        let mut decoder = Self {
            plans: Vec::new(),
            standard: vec![0; 0x800],
            extended: HashMap::new(),
            groups: HashMap::new(),
        };
        for (place, message) in database.messages.iter().enumerate() {
            decoder.plans.push(Plan::new(message, 0..message.signals.len()));
            match message.id {
                CanId::Standard(id) => {
                    if let Some(slot) = decoder.standard.get_mut(usize::from(id))
                        && *slot == 0
                    {
                        *slot = place as u32 + 1;
                    }
                }
                CanId::Extended(id) => {
                    decoder.extended.entry(id).or_insert(place);
                }
            }
            if let Some(group) = message.id.pgn().filter(|_| message.j1939) {
                decoder.groups.entry(group).or_insert(place);
            }
        }
        decoder
    }

    /// The place in [`Database::messages`] of the message that a frame of this
    /// identifier is: that of exactly this identifier, or else one marked as SAE J1939
    /// with the same parameter group.
    pub fn message(&self, id: CanId) -> Option<usize> {
        let exact = match id {
            CanId::Standard(id) => (*self.standard.get(usize::from(id))? as usize).checked_sub(1),
            CanId::Extended(id) => self.extended.get(&id).copied(),
        };
        exact.or_else(|| self.groups.get(&id.pgn()?).copied())
    }

    /// Appends place of the message, place of the signal, and value of each signal that
    /// a frame carries; what its multiplexors do not select is left out. Whether there
    /// is such a message.
    pub fn decode(&self, id: CanId, data: &[u8], out: &mut Vec<(usize, usize, Value)>) -> bool {
        let Some(place) = self.message(id) else { return false };
        if let Some(plan) = self.plans.get(place) {
            plan.each(data, |signal, value| out.push((place, signal, value)));
        }
        true
    }
}

/// The wanted signals of one message, ready to be decoded.
#[derive(Clone, Debug)]
pub(in crate::decode) struct Plan {
    steps: Vec<Step>,
    gates: Vec<Gate>,
}

/// One signal.
#[derive(Clone, Copy, Debug)]
struct Step {
    /// Its number in what was wanted.
    name: usize,
    cut: Option<Cut>,
    form: Form,
    len: u8,
    factor: f64,
    offset: f64,
    /// Numbers of a field of SAE J1939 that are no values.
    unknown: Option<Unknown>,
    /// Place in `gates` + 1; 0 if the signal is always there.
    gate: u32,
}

/// When multiplexed signals are there.
#[derive(Clone, Debug)]
struct Gate {
    /// The multiplexor; none of one that does not exist.
    selector: Option<Cut>,
    ranges: Vec<(u64, u64)>,
    /// The multiplexor's own gate, as in `Step`.
    above: u32,
}

/// How a field's bits are taken out.
#[derive(Clone, Copy, Debug)]
struct Cut {
    first: u16,
    last: u16,
    /// Within the word of the first 8 bytes, or else within the bytes first to last.
    shift: u8,
    order: Order,
    mask: u64,
}

/// What a gate says.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Passage {
    Open,
    Shut,
    /// The multiplexor lies behind the payload's end.
    Unknown,
}

impl Plan {
    /// A plan for the signals at these places of `message`; it knows each by its number
    /// in `wanted`.
    pub(in crate::decode) fn new(message: &Message, wanted: impl Iterator<Item = usize>) -> Self {
        let mut plan = Self { steps: Vec::new(), gates: Vec::new() };
        for (name, place) in wanted.enumerate() {
            let Some(signal) = message.signals.get(place) else { continue };
            let field = signal.field;
            let (form, len) = field.map_or((Form::Unsigned, 0), |f| (f.form, f.len));
            let gate = plan.gate(message, &signal.presence, 0);
            plan.steps.push(Step {
                name,
                cut: field.map(Cut::new),
                form,
                len,
                factor: signal.factor,
                offset: signal.offset,
                unknown: Unknown::of(form, len).filter(|_| message.j1939),
                gate,
            });
        }
        plan
    }

    /// The number of the gate for `presence`, made if there is none like it.
    fn gate(&mut self, message: &Message, presence: &Presence, depth: u8) -> u32 {
        let gate = match presence {
            Presence::Always => return 0,
            Presence::While { selector, ranges } if depth < MAX_MULTIPLEX_DEPTH => {
                let signal = message.signals.get(*selector);
                let above = signal.map_or(0, |s| self.gate(message, &s.presence, depth + 1));
                // A multiplexor without a place leaves it unknown, as a short payload does.
                let selector = signal.and_then(|s| s.field).map(Cut::new);
                Gate { selector, ranges: ranges.clone(), above }
            }
            Presence::Never | Presence::While { .. } => {
                Gate { selector: None, ranges: Vec::new(), above: 0 }
            }
        };
        // Signals of one selection mostly stand together.
        let newest = self.gates.len().saturating_sub(16);
        let found = self.gates.iter().skip(newest).position(|g| *g == gate);
        let place = found.map_or(self.gates.len(), |place| newest + place);
        if found.is_none() {
            self.gates.push(gate);
        }
        place as u32 + 1
    }

    /// Gives `each` the number and value of every signal that the payload carries.
    #[inline]
    pub(in crate::decode) fn each(&self, data: &[u8], mut each: impl FnMut(usize, Value)) {
        let words = Words::new(data);
        let mut known = (0, Passage::Open);
        for step in &self.steps {
            if step.gate != known.0 {
                known = (step.gate, self.passage(step.gate, &words));
            }
            match known.1 {
                Passage::Open => each(step.name, step.value(&words)),
                Passage::Shut => {}
                Passage::Unknown => each(step.name, Value::TooShort),
            }
        }
    }

    /// Gates lead to gates made before them, at most `MAX_MULTIPLEX_DEPTH` deep.
    fn passage(&self, gate: u32, words: &Words<'_>) -> Passage {
        let Some(gate) = (gate as usize).checked_sub(1).and_then(|place| self.gates.get(place))
        else {
            return Passage::Open;
        };
        match self.passage(gate.above, words) {
            Passage::Open => {}
            other => return other,
        }
        if gate.ranges.is_empty() {
            return Passage::Shut;
        }
        let Some(value) = gate.selector.and_then(|cut| cut.bits(words)) else {
            return Passage::Unknown;
        };
        let selected = gate.ranges.iter().any(|(from, to)| (*from..=*to).contains(&value));
        if selected { Passage::Open } else { Passage::Shut }
    }
}

impl Step {
    #[inline]
    fn value(&self, words: &Words<'_>) -> Value {
        let Some(bits) = self.cut.and_then(|cut| cut.bits(words)) else {
            return Value::TooShort;
        };
        if let Some(instead) = self.unknown.and_then(|unknown| unknown.instead(bits)) {
            return instead;
        }
        let number = match self.form {
            Form::Unsigned => bits as f64,
            Form::Signed => {
                let unused = 64 - u32::from(self.len.clamp(1, 64));
                ((bits << unused) as i64 >> unused) as f64
            }
            Form::Float32 => f64::from(f32::from_bits(bits as u32)),
            Form::Float64 => f64::from_bits(bits),
        };
        Value::Is(number * self.factor + self.offset)
    }
}

impl PartialEq for Gate {
    fn eq(&self, other: &Self) -> bool {
        let place = |gate: &Self| gate.selector.map(|c| (c.first, c.last, c.shift, c.mask));
        place(self) == place(other)
            && self.selector.map(|c| c.order) == other.selector.map(|c| c.order)
            && (self.above, &self.ranges) == (other.above, &other.ranges)
    }
}

/// A payload, and its first 8 bytes as words.
struct Words<'a> {
    data: &'a [u8],
    little: u64,
    big: u64,
}

impl<'a> Words<'a> {
    #[inline]
    fn new(data: &'a [u8]) -> Self {
        let first = if let Some(first) = data.first_chunk::<8>() {
            *first
        } else {
            let mut first = [0; 8];
            first.iter_mut().zip(data).for_each(|(to, from)| *to = *from);
            first
        };
        Self { data, little: u64::from_le_bytes(first), big: u64::from_be_bytes(first) }
    }
}

impl Cut {
    fn new(field: Field) -> Self {
        let len = u16::from(field.len.clamp(1, 64));
        let first = field.start / 8;
        // Bits between the begin of the first byte and the field's end, in its order.
        let to_end = len
            + match field.order {
                Order::Little => field.start % 8,
                Order::Big => 7 - field.start % 8,
            };
        let last = first + (to_end - 1) / 8;
        let shift = match field.order {
            Order::Little if last < 8 => field.start,
            Order::Little => field.start % 8,
            Order::Big if last < 8 => 64 - 8 * first - to_end,
            Order::Big => 8 * (last - first + 1) - to_end,
        };
        let mask = u64::MAX >> (64 - len);
        Self { first, last, shift: shift as u8, order: field.order, mask }
    }

    /// The field's bits; `None` if the payload ends before it does.
    #[inline]
    fn bits(&self, words: &Words<'_>) -> Option<u64> {
        if usize::from(self.last) >= words.data.len() {
            return None;
        }
        if self.last < 8 {
            let word = match self.order {
                Order::Little => words.little,
                Order::Big => words.big,
            };
            return Some(word >> self.shift & self.mask);
        }
        self.bits_beyond(words.data)
    }

    #[cold]
    fn bits_beyond(&self, data: &[u8]) -> Option<u64> {
        let bytes = data.get(usize::from(self.first)..=usize::from(self.last))?;
        // At most 9 bytes.
        let word = |word: u128, byte: &u8| word << 8 | u128::from(*byte);
        let word = match self.order {
            Order::Little => bytes.iter().rev().fold(0, word),
            Order::Big => bytes.iter().fold(0, word),
        };
        Some((word >> self.shift) as u64 & self.mask)
    }
}
