//! Any bytes into the link decoder; then the same bytes as the body of a whole packet.
#![no_main]

use libfuzzer_sys::fuzz_target;
use underbrush_protocol::frame::{Frame, Kind};
use underbrush_protocol::link::{Decoder, Header, MAX_BODY, MAX_ON_WIRE, Packet, encode_packet};
use underbrush_protocol::reading::unpack;

fuzz_target!(|data: &[u8]| {
    stream(data);
    // Behind a checksum that holds: what a bridge with an error in its firmware can send.
    if let Some((&kind, body)) = data.split_first() {
        let body = &body[..body.len().min(MAX_BODY)];
        let mut wire = [0; MAX_ON_WIRE];
        let header = Header { kind: Kind(kind % 10), sequence: 1, tick_ms: 2 };
        let used = encode_packet(header, body, &mut wire);
        stream(&wire[..used]);
    }
});

fn stream(bytes: &[u8]) {
    let mut decoder = Decoder::default();
    let mut given = 0;
    for byte in bytes {
        match decoder.push(*byte) {
            None => continue,
            Some(Packet::Frame(received)) => {
                check(&received.frame);
            }
            Some(Packet::Unknown(_) | Packet::Rejected(_)) => {}
        }
        given += 1;
    }
    let counts = decoder.counts();
    assert_eq!(counts.bytes, bytes.len() as u64);
    assert_eq!(counts.frames + counts.unknown_kind + counts.rejected(), given);
}

/// What was read must be what writing it gives back.
fn check(frame: &Frame) {
    let _ = unpack(frame);
    let mut body = [0; MAX_BODY];
    let len = frame.write_body(&mut body).expect("every frame fits");
    assert_eq!(Frame::read_body(frame.kind(), &body[..len]).as_ref(), Ok(frame));
}
