//! The bytes from the board to the bridge, for good.
//!
//! STANDING ORDER: nothing in this file is ever edited, as in `frozen_v1.rs`. The bytes were
//! made by hand from `SPEC.md` with Python's `zlib.crc32`, not by this crate.

use underbrush_protocol::frame::Kind;
use underbrush_protocol::link::MAX_ON_WIRE;
use underbrush_protocol::reply::{Buzzer, Reply};

fn frozen(hex: &str, sequence: u16, tick_ms: u32, buzzer: Buzzer) {
    let wire: Vec<u8> =
        hex.split_whitespace().map(|b| u8::from_str_radix(b, 16).expect("hex")).collect();
    let coded = wire.strip_suffix(&[0]).expect("the delimiter");
    let (header, reply) = Reply::decode(coded).expect("a packet").expect("a known kind");
    assert_eq!((header.kind, header.sequence, header.tick_ms), (Kind(128), sequence, tick_ms));
    assert_eq!(reply, Reply::Buzzer(buzzer));
    let mut buffer = [0; MAX_ON_WIRE];
    let used = reply.encode(sequence, tick_ms, &mut buffer);
    assert_eq!(buffer[..used], wire);
}

#[test]
fn buzzer() {
    let wire = "04 01 80 07 03 48 ee 01 03 02 01 05 27 ae 58 69 00";
    frozen(wire, 7, 61_000, Buzzer { level: 2, about: 1, motor: 0 });
    let wire = "04 01 80 08 03 30 f2 01 01 01 01 05 75 d8 ed 07 00";
    frozen(wire, 8, 62_000, Buzzer { level: 0, about: 0, motor: 0 });
}
