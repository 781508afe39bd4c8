//! A DBC file as the agent needs it: messages, their signals, their multiplexing.
//!
//! Parsing is the crate `can-dbc`, statement by statement, so that one that cannot be
//! read costs only itself; the decoding of payloads is here.

mod decoder;
mod read;
mod statements;

pub use decoder::Decoder;
pub(super) use decoder::Plan;

use super::bits::Field;
use super::can::CanId;
use super::unknown::Unknown;

/// Multiplexors may stand below multiplexors, but not deeper than this.
const MAX_MULTIPLEX_DEPTH: u8 = 8;

/// The messages of a file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Database {
    /// In file order.
    pub messages: Vec<Message>,
    /// What a reader of the file should know, in file order.
    pub remarks: Vec<Remark>,
}

/// A statement of a file that was not understood, or not as it stands.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Remark {
    /// Its line, from 1.
    pub line: usize,
    /// What is wrong, what it costs and what can be done.
    pub what: String,
    /// Whether it is left out.
    pub lost: bool,
}

/// One message.
#[derive(Clone, Debug, PartialEq)]
pub struct Message {
    /// Its identifier.
    pub id: CanId,
    /// Its name.
    pub name: String,
    /// Whether the file marks it as SAE J1939: its `VFrameFormat` is `J1939PG`,
    /// or, without that attribute, the file's `ProtocolType` is `J1939`.
    pub j1939: bool,
    /// Its length in bytes, as the file says.
    pub size: u32,
    /// Its signals in file order.
    pub signals: Vec<Signal>,
}

/// One signal.
#[derive(Clone, Debug, PartialEq)]
pub struct Signal {
    /// Its name.
    pub name: String,
    /// Value = number x factor + offset.
    pub factor: f64,
    /// See `factor`.
    pub offset: f64,
    /// Its unit, as the file has it.
    pub unit: String,
    /// Least and most that it should be, where the file says so.
    pub range: Option<(f64, f64)>,
    pub(super) field: Option<Field>,
    pub(super) presence: Presence,
}

/// When a signal is in its message.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Presence {
    /// Not multiplexed.
    Always,
    /// While the signal of this place has a value in one of these ranges.
    While {
        /// Place of the multiplexor.
        selector: usize,
        /// Least and most of each.
        ranges: Vec<(u64, u64)>,
    },
    /// The file names no multiplexor for it.
    Never,
}

/// What a payload says about one signal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Value {
    /// Its value in the signal's own unit.
    Is(f64),
    /// A J1939 field that says that the sender does not know it.
    NotAvailable,
    /// A J1939 field beyond the range of values: the sensor has an error, or a code.
    Indicator,
    /// The multiplexor selects other signals.
    NotSelected,
    /// The payload ends before it.
    TooShort,
}

impl Database {
    /// Reads the bytes of a DBC file; text that is not UTF-8 is taken as Latin-1. What
    /// cannot be read is left out and told in `remarks`; it is an error if that
    /// leaves nothing.
    pub fn parse(bytes: &[u8]) -> Result<Self, String> {
        read::database(bytes)
    }

    /// The same messages, made ready for fast decoding of whole frames.
    pub fn decoder(&self) -> Decoder {
        Decoder::new(self)
    }

    /// The message of that name.
    pub fn message(&self, name: &str) -> Option<&Message> {
        self.messages.iter().find(|m| m.name == name)
    }
}

impl Message {
    /// What `data` says about the signal at `place` in `signals`.
    pub fn value(&self, place: usize, data: &[u8]) -> Value {
        let Some(signal) = self.signals.get(place) else { return Value::TooShort };
        match self.selected(place, data, 0) {
            Some(true) => {}
            Some(false) => return Value::NotSelected,
            None => return Value::TooShort,
        }
        let Some((field, bits)) = signal.field.and_then(|f| Some((f, f.bits(data)?))) else {
            return Value::TooShort;
        };
        let unknown = Unknown::of(field.form, field.len).filter(|_| self.j1939);
        if let Some(instead) = unknown.and_then(|unknown| unknown.instead(bits)) {
            return instead;
        }
        Value::Is(field.number(bits) * signal.factor + signal.offset)
    }

    /// `None` if the multiplexor lies behind the payload's end.
    fn selected(&self, place: usize, data: &[u8], depth: u8) -> Option<bool> {
        match &self.signals.get(place)?.presence {
            Presence::Always => Some(true),
            Presence::Never => Some(false),
            Presence::While { .. } if depth >= MAX_MULTIPLEX_DEPTH => Some(false),
            Presence::While { selector, ranges } => {
                if !self.selected(*selector, data, depth + 1)? {
                    return Some(false);
                }
                let value = self.signals.get(*selector)?.field?.bits(data)?;
                Some(ranges.iter().any(|(from, to)| (*from..=*to).contains(&value)))
            }
        }
    }
}

impl Signal {
    /// Whether its place and length can be decoded: 1 to 64 bits within the longest
    /// message of the transport protocol.
    pub fn decodable(&self) -> bool {
        self.field.is_some()
    }
}
