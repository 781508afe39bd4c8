//! The bytes of frame kind 9, Burst, in link version 1, for good.
//!
//! STANDING ORDER: nothing in this file is ever edited, neither a byte nor a
//! value. If a test here fails, the code is wrong: machines send these bytes.
//!
//! The first packet stands in `SPEC.md` too, where the reader in `tests/reference/`,
//! which shares no code with this crate, reads it.

use underbrush_protocol::frame::{Burst, Frame};
use underbrush_protocol::link::{Decoder, Encoder, Packet};
use underbrush_protocol::wire_units::CurrentRaw;

fn frozen(hex: &str, sequence: u16, tick_ms: u32, frame: &Frame) {
    let wire: Vec<u8> =
        hex.split_whitespace().map(|b| u8::from_str_radix(b, 16).expect("hex")).collect();
    let mut decoder = Decoder::default();
    let packets: Vec<_> = wire.iter().filter_map(|b| decoder.push(*b)).collect();
    let [Packet::Frame(received)] = packets.as_slice() else {
        panic!("not one frame: {packets:?}");
    };
    assert_eq!(&received.frame, frame);
    assert_eq!((received.header.sequence, received.header.tick_ms), (sequence, tick_ms));
    assert_eq!(Encoder::starting_at(sequence).encode(tick_ms, frame), wire);
}

#[test]
fn two_motors() {
    let values = [312, -5, 318, -4, 301, -4, 1297, -5].map(CurrentRaw);
    let frame = Frame::Burst(Burst::new(1, 2, &values).expect("four samples"));
    let wire = "04 01 09 31 03 fa 03 01 0a 01 02 08 f0 04 09 0c 02 21 08 c8 0f 01 1c 4e f1 c1 00";
    frozen(wire, 49, 1018, &frame);
}

#[test]
fn one_motor_with_the_widest_swing() {
    let values = [i16::MIN, i16::MAX, 0].map(CurrentRaw);
    let frame = Frame::Burst(Burst::new(255, 1, &values).expect("three samples"));
    frozen(
        "04 01 09 32 13 ff ff ff ff ff 01 03 ff ff 03 01 fd ff 03 7f 6f 6f f7 00",
        50,
        u32::MAX,
        &frame,
    );
}
