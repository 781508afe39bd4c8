//! The serial link: frames in COBS packets with a checksum. `SPEC.md`, "Link".
//!
//! ```text
//! packet, before COBS                      then COBS, then one 00 byte
//! 0      link version (1)
//! 1      frame kind
//! 2..4   sequence number, u16 little endian, +1 a packet, wraps
//! 4..8   bridge tick, u32 little endian, ms since the bridge's start, wraps
//! 8..n   body, postcard, at most 112 bytes
//! n..n+4 CRC-32/ISO-HDLC of 0..n, little endian
//! ```

mod decode;
mod encode;
mod sequence;
pub mod version;

pub use decode::{Decoder, LinkCounts, Packet, Received, Rejection, open_packet};
pub use encode::{Encoder, encode_packet};
pub use sequence::{Order, REORDER_WINDOW, SequenceTracker};

use core::ops::Range;

/// Longest packet before COBS, in bytes.
pub const MAX_PACKET: usize = 124;
/// Longest packet on the wire: COBS adds one byte to fewer than 254, then the delimiter.
pub const MAX_ON_WIRE: usize = MAX_PACKET + 2;
/// Longest body, in bytes.
pub const MAX_BODY: usize = MAX_PACKET - HEADER_LEN - CRC_LEN;

const HEADER_LEN: usize = 8;
const CRC_LEN: usize = 4;
const VERSION_AT: usize = 0;
const KIND_AT: usize = 1;
const SEQUENCE: Range<usize> = 2..4;
const TICK: Range<usize> = 4..8;

/// The part of a packet before its body.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Header {
    /// Frame kind, also of kinds not known here.
    pub kind: crate::frame::Kind,
    /// Counts up by one a packet and wraps at 65536.
    pub sequence: u16,
    /// Milliseconds since the bridge's start; wraps after 49.7 days.
    pub tick_ms: u32,
}
