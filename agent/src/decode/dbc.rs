//! A DBC file as the agent needs it: messages, their signals, their multiplexing.
//!
//! Parsing is the crate `can-dbc`; the decoding of payloads is here.

use super::bits::{Field, Form, Order};
use super::can::CanId;
use can_dbc::{
    AttributeValue, AttributeValueType, ByteOrder, Dbc, MessageId, MultiplexIndicator,
    SignalExtendedValueType, ValueType,
};

/// Multiplexors may stand below multiplexors, but not deeper than this.
const MAX_MULTIPLEX_DEPTH: u8 = 8;

/// The messages of a file.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Database {
    /// In file order.
    pub messages: Vec<Message>,
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
    field: Option<Field>,
    presence: Presence,
}

/// When a signal is in its message.
#[derive(Clone, Debug, PartialEq)]
enum Presence {
    Always,
    /// While the signal of this place has a value in one of these ranges.
    While {
        selector: usize,
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
    /// All bits set in a J1939 field of 8 bits or more: the sender does not know it.
    NotAvailable,
    /// The multiplexor selects other signals.
    NotSelected,
    /// The payload ends before it.
    TooShort,
}

impl Database {
    /// Reads the bytes of a DBC file; text that is not UTF-8 is taken as Latin-1.
    pub fn parse(bytes: &[u8]) -> Result<Self, String> {
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text.to_owned(),
            Err(_) => bytes.iter().map(|&b| char::from(b)).collect(),
        };
        let dbc = Dbc::try_from(text.as_str())
            .map_err(|e| e.to_string().split_whitespace().collect::<Vec<_>>().join(" "))?;
        let messages = dbc
            .messages
            .iter()
            .map(|m| Message {
                id: match m.id {
                    MessageId::Standard(id) => CanId::Standard(id),
                    MessageId::Extended(id) => CanId::Extended(id),
                },
                name: m.name.clone(),
                j1939: is_j1939(&dbc, m.id),
                signals: m.signals.iter().map(|s| signal(&dbc, m, s)).collect(),
            })
            .collect();
        Ok(Self { messages })
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
        if self.j1939 && field.len >= 8 && field.form == Form::Unsigned && field.all_ones(bits) {
            return Value::NotAvailable;
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
    /// Whether its place and length can be decoded: 1 to 64 bits in 64 bytes.
    pub fn decodable(&self) -> bool {
        self.field.is_some()
    }
}

fn signal(dbc: &Dbc, message: &can_dbc::Message, signal: &can_dbc::Signal) -> Signal {
    let form = match dbc.extended_value_type_for_signal(message.id, &signal.name) {
        Some(SignalExtendedValueType::IEEEfloat32Bit) => Form::Float32,
        Some(SignalExtendedValueType::IEEEdouble64bit) => Form::Float64,
        _ if signal.value_type == ValueType::Signed => Form::Signed,
        _ => Form::Unsigned,
    };
    let order = match signal.byte_order {
        ByteOrder::LittleEndian => Order::Little,
        ByteOrder::BigEndian => Order::Big,
    };
    let len_fits = match form {
        Form::Float32 => signal.size == 32,
        Form::Float64 => signal.size == 64,
        Form::Signed | Form::Unsigned => (1..=64).contains(&signal.size),
    };
    let field = (len_fits && signal.start_bit < 512).then_some(Field {
        start: signal.start_bit as u16,
        len: signal.size as u8,
        order,
        form,
    });
    Signal {
        name: signal.name.clone(),
        factor: signal.factor,
        offset: signal.offset,
        field,
        presence: presence(dbc, message, signal),
    }
}

fn presence(dbc: &Dbc, message: &can_dbc::Message, signal: &can_dbc::Signal) -> Presence {
    let place = |name: &str| message.signals.iter().position(|s| s.name == name);
    let extended = dbc
        .extended_multiplex
        .iter()
        .find(|e| e.message_id == message.id && e.signal_name == signal.name);
    if let Some(extended) = extended {
        let ranges = extended.mappings.iter().map(|m| (m.min_value, m.max_value)).collect();
        return place(&extended.multiplexor_signal_name)
            .map_or(Presence::Never, |selector| Presence::While { selector, ranges });
    }
    match signal.multiplexer_indicator {
        MultiplexIndicator::Plain | MultiplexIndicator::Multiplexor => Presence::Always,
        MultiplexIndicator::MultiplexedSignal(value)
        | MultiplexIndicator::MultiplexorAndMultiplexedSignal(value) => message
            .signals
            .iter()
            .position(|s| s.multiplexer_indicator == MultiplexIndicator::Multiplexor)
            .map_or(Presence::Never, |selector| Presence::While {
                selector,
                ranges: vec![(value, value)],
            }),
    }
}

fn is_j1939(dbc: &Dbc, id: MessageId) -> bool {
    if !matches!(id, MessageId::Extended(_)) {
        return false;
    }
    let text = |name: &str, value: &AttributeValue| match value {
        AttributeValue::String(text) => Some(text.clone()),
        AttributeValue::Uint(place) => enum_name(dbc, name, usize::try_from(*place).ok()?),
        AttributeValue::Int(place) => enum_name(dbc, name, usize::try_from(*place).ok()?),
        AttributeValue::Double(_) => None,
    };
    if let Some(format) = dbc.resolved_message_attribute(id, "VFrameFormat") {
        return text("VFrameFormat", format).as_deref() == Some("J1939PG");
    }
    dbc.attribute_values_database
        .iter()
        .find(|a| a.name == "ProtocolType")
        .map(|a| &a.value)
        .or_else(|| dbc.attribute_default("ProtocolType"))
        .and_then(|value| text("ProtocolType", value))
        .is_some_and(|protocol| protocol.eq_ignore_ascii_case("J1939"))
}

fn enum_name(dbc: &Dbc, attribute: &str, place: usize) -> Option<String> {
    use can_dbc::AttributeDefinition as D;
    dbc.attribute_definitions.iter().find_map(|definition| {
        let (D::Message(name, kind) | D::Plain(name, kind)) = definition else { return None };
        match kind {
            AttributeValueType::Enum(names) if name == attribute => names.get(place).cloned(),
            _ => None,
        }
    })
}
