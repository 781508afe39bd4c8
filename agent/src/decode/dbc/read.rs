//! Statements to messages, by the crate `can-dbc`.

use super::statements::{Kind, Statement, split, text};
use super::{Database, Message, Presence, Remark, Signal};
use crate::decode::CanId;
use crate::decode::bits::{Field, Form, LAST_BIT, Order};
use can_dbc::{
    AttributeValue, AttributeValueType, ByteOrder, Dbc, MessageId, MultiplexIndicator,
    NumericValue, SignalExtendedValueType, ValueType,
};
use std::borrow::Cow;

/// The message under which editors file signals that are in no message.
const ORPHANS: &str = "VECTOR__INDEPENDENT_SIG_MSG";
/// A 29-bit identifier has this bit in a DBC file.
const EXTENDED: u64 = 1 << 31;
/// So much of a statement is quoted.
const QUOTED: usize = 60;

/// Reads a file's bytes.
pub(super) fn database(bytes: &[u8]) -> Result<Database, String> {
    let text = text(bytes);
    let (statements, open_quote) = split(&text);
    let mut reader = Reader { dbc: parse("")?, remarks: Vec::new() };
    if let Some(line) = open_quote {
        let what = "a quoted text begins and does not end: taken to end with the line".to_owned();
        reader.remarks.push(Remark { line, what, lost: false });
    }
    let mut rest = statements.as_slice();
    while let Some((first, behind)) = rest.split_first() {
        let signals = behind.iter().take_while(|s| s.kind == Kind::Signal).count();
        let (block, behind) = match first.kind {
            Kind::Message => behind.split_at(signals),
            _ => (&[][..], behind),
        };
        rest = behind;
        reader.take(first, block);
    }
    let Reader { dbc, mut remarks } = reader;
    remarks.sort_by_key(|remark| remark.line);
    let messages: Vec<Message> =
        dbc.messages.iter().filter(|m| m.name != ORPHANS).map(|m| message(&dbc, m)).collect();
    match remarks.iter().find(|remark| remark.lost) {
        Some(first) if messages.iter().all(|m| m.signals.is_empty()) => {
            Err(format!("line {}: {}; no signal could be read", first.line, first.what))
        }
        _ => Ok(Database { messages, remarks }),
    }
}

/// What was read so far.
struct Reader {
    dbc: Dbc,
    remarks: Vec<Remark>,
}

impl Reader {
    /// Takes a statement; `signals` are those of a message.
    fn take(&mut self, statement: &Statement<'_>, signals: &[Statement<'_>]) {
        match statement.kind {
            Kind::Other => {}
            Kind::Message => self.message(statement, signals),
            Kind::Signal => self.lost(statement, "stands below no message"),
            Kind::Unknown => self.lost(statement, "begins with no word of the format"),
            Kind::Multiplex | Kind::ValueType | Kind::Attribute => {
                match parse(&marked(statement).0) {
                    Ok(read) => self.add(read),
                    Err(_) => self.lost(statement, "is not understood"),
                }
            }
        }
    }

    fn message(&mut self, head: &Statement<'_>, signals: &[Statement<'_>]) {
        if head.text.split_whitespace().nth(2).is_some_and(|name| name.starts_with(ORPHANS)) {
            return;
        }
        let (text, id) = marked(head);
        match id {
            Id::Fits => {}
            Id::Unmarked => {
                let what = "has an identifier of more than 11 bits that is not marked as one of \
                            29 bits (by 2147483648): taken as one of 29 bits";
                self.tell(head, what, false);
            }
            Id::TooLong => return self.lost(head, "has an identifier of more than 29 bits"),
        }
        let signal_texts = signals.iter().map(|s| s.text);
        if let Ok(read) = parse(&[&*text].into_iter().chain(signal_texts).collect::<String>()) {
            return self.add(read);
        }
        let Ok(mut read) = parse(&text) else {
            let what = format!("is not understood, and so its {} signals are lost", signals.len());
            return self.lost(head, &what);
        };
        for signal in signals {
            match parse(&format!("BO_ 0 M: 8 V\n{}", signal.text)) {
                Ok(one) => {
                    let found = one.messages.into_iter().flat_map(|m| m.signals);
                    read.messages.iter_mut().take(1).for_each(|m| m.signals.extend(found.clone()));
                }
                Err(_) => self.lost(signal, "is not understood"),
            }
        }
        self.add(read);
    }

    fn add(&mut self, read: Dbc) {
        let all = &mut self.dbc;
        all.messages.extend(read.messages);
        all.extended_multiplex.extend(read.extended_multiplex);
        all.signal_extended_value_type_list.extend(read.signal_extended_value_type_list);
        all.attribute_definitions.extend(read.attribute_definitions);
        all.attribute_defaults.extend(read.attribute_defaults);
        all.attribute_values_database.extend(read.attribute_values_database);
        all.attribute_values_message.extend(read.attribute_values_message);
    }

    fn lost(&mut self, statement: &Statement<'_>, what: &str) {
        self.tell(statement, what, true);
    }

    fn tell(&mut self, statement: &Statement<'_>, what: &str, lost: bool) {
        let line = statement.text.trim().lines().next().unwrap_or_default();
        let mut quoted: String = line.chars().take(QUOTED).collect();
        if quoted.len() < line.len() {
            quoted.push_str("...");
        }
        let what = format!("`{quoted}` {what}");
        self.remarks.push(Remark { line: statement.line, what, lost });
    }
}

fn parse(text: &str) -> Result<Dbc, String> {
    Dbc::try_from(text).map_err(|error| error.to_string())
}

/// The identifier of a statement.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Id {
    Fits,
    /// Too long for 11 bits and not marked as one of 29. Editors do not write it, but
    /// collections of files made by hand are full of it.
    Unmarked,
    /// Too long for 29 bits.
    TooLong,
}

/// A statement's text with its identifier marked as one of 29 bits where it must be one.
/// The crate would cut it to 16 bits.
fn marked<'a>(statement: &Statement<'a>) -> (Cow<'a, str>, Id) {
    let text = statement.text;
    let mut words = text.split_whitespace();
    let word = match statement.kind {
        Kind::Attribute => words.skip_while(|word| *word != "BO_").nth(1),
        _ => words.nth(1),
    };
    let Some((word, id)) = word.and_then(|word| Some((word, word.parse::<u64>().ok()?))) else {
        return (text.into(), Id::Fits);
    };
    match id {
        0..=0x7FF | EXTENDED..=0x9FFF_FFFF => (text.into(), Id::Fits),
        // No digit stands before it.
        0x800..=0x1FFF_FFFF => {
            (text.replacen(word, &(id | EXTENDED).to_string(), 1).into(), Id::Unmarked)
        }
        _ => (text.into(), Id::TooLong),
    }
}

fn message(dbc: &Dbc, message: &can_dbc::Message) -> Message {
    Message {
        id: match message.id {
            MessageId::Standard(id) => CanId::Standard(id),
            MessageId::Extended(id) => CanId::Extended(id),
        },
        name: message.name.clone(),
        j1939: is_j1939(dbc, message.id),
        size: u32::try_from(message.size).unwrap_or(u32::MAX),
        signals: message.signals.iter().map(|s| signal(dbc, message, s)).collect(),
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
    let field = (len_fits && signal.start_bit <= LAST_BIT).then_some(Field {
        start: signal.start_bit as u16,
        len: signal.size as u8,
        order,
        form,
    });
    Signal {
        name: signal.name.clone(),
        factor: signal.factor,
        offset: signal.offset,
        unit: signal.unit.clone(),
        range: range(signal),
        field,
        presence: presence(dbc, message, signal),
    }
}

/// DBC files write [0|0] where there is no range.
fn range(signal: &can_dbc::Signal) -> Option<(f64, f64)> {
    let number = |value: &NumericValue| match *value {
        NumericValue::Uint(value) => value as f64,
        NumericValue::Int(value) => value as f64,
        NumericValue::Double(value) => value,
    };
    let (least, most) = (number(&signal.min), number(&signal.max));
    (least < most).then_some((least, most))
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
