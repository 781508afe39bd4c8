//! Frames to wire bytes: what bridge firmware and the simulator call.

use super::{
    CRC_LEN, HEADER_LEN, Header, KIND_AT, MAX_ON_WIRE, MAX_PACKET, SEQUENCE, TICK, VERSION_AT,
    version,
};
use crate::checksum::link_crc;
use crate::frame::Frame;

/// Numbers packets and turns frames into wire bytes.
#[derive(Clone, Debug, Default)]
pub struct Encoder {
    next_sequence: u16,
    wire: WireBuffer,
}

#[derive(Clone, Debug)]
struct WireBuffer([u8; MAX_ON_WIRE]);

impl Default for WireBuffer {
    fn default() -> Self {
        Self([0; MAX_ON_WIRE])
    }
}

impl Encoder {
    /// An encoder whose first packet has sequence number `first`.
    pub fn starting_at(first: u16) -> Self {
        Self { next_sequence: first, ..Self::default() }
    }

    /// The wire bytes of `frame`, delimiter included.
    pub fn encode(&mut self, tick_ms: u32, frame: &Frame) -> &[u8] {
        let mut body = [0; super::MAX_BODY];
        // The largest body (Burst) takes 111 bytes; a test holds it.
        let len = frame.write_body(&mut body).unwrap_or(0);
        let header = Header { kind: frame.kind(), sequence: self.next_sequence, tick_ms };
        self.next_sequence = self.next_sequence.wrapping_add(1);
        let used = encode_packet(header, body.get(..len).unwrap_or(&[]), &mut self.wire.0);
        &self.wire.0[..used]
    }

    /// Leaves out `count` sequence numbers, as when packets are lost before the wire.
    pub fn skip(&mut self, count: u16) {
        self.next_sequence = self.next_sequence.wrapping_add(count);
    }
}

/// Writes one packet with any kind and body; returns the bytes used, delimiter included.
///
/// A body longer than [`super::MAX_BODY`] is cut: only tests of hostile input build one.
pub fn encode_packet(header: Header, body: &[u8], wire: &mut [u8; MAX_ON_WIRE]) -> usize {
    let mut packet = [0; MAX_PACKET];
    packet[VERSION_AT] = version::CURRENT;
    packet[KIND_AT] = header.kind.0;
    packet[SEQUENCE].copy_from_slice(&header.sequence.to_le_bytes());
    packet[TICK].copy_from_slice(&header.tick_ms.to_le_bytes());
    let body = &body[..body.len().min(super::MAX_BODY)];
    let body_end = HEADER_LEN + body.len();
    packet[HEADER_LEN..body_end].copy_from_slice(body);
    let crc = link_crc(&packet[..body_end]);
    packet[body_end..body_end + CRC_LEN].copy_from_slice(&crc.to_le_bytes());
    let used = cobs::encode(&packet[..body_end + CRC_LEN], &mut wire[..]);
    wire[used] = 0;
    used + 1
}
