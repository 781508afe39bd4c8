//! The compiled decoder against the definition of a field, bit by bit; damaged files;
//! long messages through the intake.

use proptest::prelude::*;
use underbrush_agent::decode::dbc::{Database, Value};
use underbrush_agent::decode::{CanFrame, CanId, CanIntake, SignalReader};
use underbrush_protocol::log::Entry;
use underbrush_protocol::settings::machine::Machine;
use underbrush_protocol::time::BootMs;

const DBC: &str = include_str!("data/bus.dbc");
const MACHINE: &str = include_str!("data/machine.toml");

/// Source of the definition: the canmatrix project's wiki, page "signal Byteorder". The
/// payload is a row of bits; a big-endian field is read from its start towards the end
/// in the order in which bits are written, a little-endian one from its end.
fn by_definition(data: &[u8], start: usize, len: usize, little: bool, signed: bool) -> Option<f64> {
    let bit = |number: usize| Some(data.get(number / 8)? >> (number % 8) & 1 == 1);
    // Number of each bit as written, most significant first in each byte.
    let written: Vec<usize> = (0..8 * data.len()).map(|n| n / 8 * 8 + 7 - n % 8).collect();
    let field: Vec<usize> = if little {
        (start..start + len).rev().collect()
    } else {
        let first = written.iter().position(|n| *n == start)?;
        written.get(first..first + len)?.to_vec()
    };
    let mut value: i128 = 0;
    for number in field {
        value = 2 * value + i128::from(bit(number)?);
    }
    if signed && value >= 1 << (len - 1) {
        value -= 1 << len;
    }
    Some(value as f64)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    #[test]
    fn fields(start in 0..96_usize, len in 1..65_usize, little: bool, signed: bool, data in proptest::collection::vec(any::<u8>(), 0..24)) {
        let (order, sign) = (u8::from(little), if signed { '-' } else { '+' });
        let text = format!("BO_ 1 M: 8 E\n SG_ S : {start}|{len}@{order}{sign} (1,0) [0|0] \"\" E\n");
        let database = Database::parse(text.as_bytes()).unwrap();
        let mut out = Vec::new();
        prop_assert!(database.decoder().decode(CanId::Standard(1), &data, &mut out));
        let expected = by_definition(&data, start, len, little, signed);
        let expected = expected.map_or(Value::TooShort, Value::Is);
        prop_assert_eq!(&out, &[(0, 0, expected)]);
        prop_assert_eq!(database.messages[0].value(0, &data), expected);
    }

    /// One damaged line costs at most its message, and is told.
    #[test]
    fn one_damaged_line(line in 0..DBC.lines().count(), at in 0..40_usize, with in "[ -~]{0,6}") {
        let whole = Database::parse(DBC.as_bytes()).unwrap();
        let mut lines: Vec<String> = DBC.lines().map(str::to_owned).collect();
        let at = at.min(lines[line].len());
        lines[line].replace_range(at.., &with);
        // A message's line that is gone leaves its signals below the one before it.
        let gone = lines[line].trim().is_empty() || lines[line].trim().starts_with("//");
        prop_assume!(!gone);
        let Ok(read) = Database::parse(lines.join("\n").as_bytes()) else {
            return Err(TestCaseError::fail("one line lost all"));
        };
        let same = whole.messages.iter().filter(|m| read.messages.contains(m)).count();
        prop_assert!(same + 1 >= whole.messages.len() || lines[line].starts_with("BA_"), "{same}");
        let lost = whole.messages.iter().map(|m| m.signals.len()).sum::<usize>()
            > read.messages.iter().map(|m| m.signals.len()).sum::<usize>();
        prop_assert!(!lost || !read.remarks.is_empty());
    }
}

/// A group of 20 bytes, its speed behind the first frame's reach.
const LONG: &str = "BO_ 2566844672 Long: 20 E\n SG_ Speed : 136|16@1+ (0.01,0) [0|0] \"km/h\" E\n\
                    BA_DEF_ \"ProtocolType\" STRING ;\nBA_ \"ProtocolType\" \"J1939\";\n";

#[test]
fn a_long_message_feeds_its_channel() {
    let database = Database::parse(LONG.as_bytes()).unwrap();
    let head = MACHINE.split("[[signal]]").next().unwrap();
    let text = format!(
        "{head}[[signal]]\nchannel = \"speed\"\nmessage = \"Long\"\nsignal = \"Speed\"\nfactor = 0.2777778\n"
    );
    let machine = Machine::parse("machine.toml", &text).unwrap();
    let reader = SignalReader::new(&database, "long.dbc", &machine, "machine.toml", &text).unwrap();
    let mut can = CanIntake::new(reader);
    let mut out = Vec::new();
    let mut send = |ms, id, data: &[u8]| {
        can.frame(BootMs(ms), &CanFrame::Data { id: CanId::Extended(id), data }, &mut out);
    };
    // Group 0xFEF1 to all, 20 bytes, 3 packets; then one whose packets stop coming.
    for begin in [0, 1_000] {
        send(begin, 0x1CEC_FF05, &[32, 20, 0, 3, 255, 0xF1, 0xFE, 0]);
        send(begin + 50, 0x1CEB_FF05, &[1, 0, 0, 0, 0, 0, 0, 0]);
    }
    let mut can_at = |ms, number: u8, bytes: [u8; 7]| {
        let mut data = [number; 8];
        data[1..].copy_from_slice(&bytes);
        send(ms, 0x1CEB_FF05, &data);
    };
    can_at(1_100, 2, [0; 7]);
    // 100 x 0.01 km/h in bytes 17 and 18.
    can_at(1_150, 3, [0, 0, 0, 100, 0, 0, 255]);
    // One of 1792 bytes by the extended protocol, of which the begin is heard.
    send(1_200, 0x1CC8_2105, &[20, 0, 7, 0, 0, 0xF1, 0xFE, 0]);
    send(1_210, 0x1CC8_2105, &[22, 1, 0, 0, 0, 0xF1, 0xFE, 0]);
    send(1_220, 0x1CC7_2105, &[1; 8]);
    let readings: Vec<_> = out
        .iter()
        .filter_map(|entry| match entry {
            Entry::Reading(r) => Some((r.at, r.channel.name(), r.raw)),
            Entry::Note(..) => None,
        })
        .collect();
    assert_eq!(readings, [(BootMs(1_150), "speed", 278)]);
    let counts = can.counts();
    assert_eq!((counts.transport, counts.long_messages, counts.long_lost), (9, 1, 1));
    assert_eq!((counts.long_extended, counts.not_mapped), (1, 0));
}
