//! Wire bytes to frames, byte by byte, in constant memory.
//!
//! Whatever comes in, the decoder goes on at the next zero byte. Each packet
//! that is not delivered is counted under exactly one [`Rejection`].

use super::{
    CRC_LEN, HEADER_LEN, Header, KIND_AT, MAX_ON_WIRE, MAX_PACKET, SEQUENCE, TICK, VERSION_AT,
    version,
};
use crate::checksum::link_crc;
use crate::frame::{BodyError, Frame, Kind};

/// What stood between two zero bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Packet {
    /// A whole frame.
    Frame(Received),
    /// A whole packet of a kind this version does not know.
    Unknown(Header),
    /// Bytes that are no packet.
    Rejected(Rejection),
}

/// A frame with its header.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Received {
    /// Sequence number and tick.
    pub header: Header,
    /// The decoded frame.
    pub frame: Frame,
}

/// Why bytes were not a packet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Rejection {
    /// More bytes without a zero than the longest packet has.
    TooLong,
    /// Not COBS.
    Framing,
    /// Too short for header and checksum.
    TooShort,
    /// The checksum does not hold.
    Checksum,
    /// A whole packet of another link version.
    Version,
    /// A whole packet whose body is not of its kind.
    Body,
}

/// Running totals of a decoder. `bytes` counts everything, zeros included.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LinkCounts {
    /// Bytes seen.
    pub bytes: u64,
    /// Frames delivered.
    pub frames: u64,
    /// Packets of unknown kind.
    pub unknown_kind: u64,
    /// [`Rejection::TooLong`]
    pub too_long: u64,
    /// [`Rejection::Framing`]
    pub framing: u64,
    /// [`Rejection::TooShort`]
    pub too_short: u64,
    /// [`Rejection::Checksum`]
    pub checksum: u64,
    /// [`Rejection::Version`]
    pub version: u64,
    /// [`Rejection::Body`]
    pub body: u64,
}

impl LinkCounts {
    /// All packets that were not delivered, unknown kinds left out.
    pub fn rejected(&self) -> u64 {
        self.too_long + self.framing + self.too_short + self.checksum + self.version + self.body
    }

    fn count(&mut self, packet: &Packet) {
        let counter = match packet {
            Packet::Frame(_) => &mut self.frames,
            Packet::Unknown(_) => &mut self.unknown_kind,
            Packet::Rejected(Rejection::TooLong) => &mut self.too_long,
            Packet::Rejected(Rejection::Framing) => &mut self.framing,
            Packet::Rejected(Rejection::TooShort) => &mut self.too_short,
            Packet::Rejected(Rejection::Checksum) => &mut self.checksum,
            Packet::Rejected(Rejection::Version) => &mut self.version,
            Packet::Rejected(Rejection::Body) => &mut self.body,
        };
        *counter += 1;
    }
}

/// Finds packets in a stream of bytes.
#[derive(Clone, Debug)]
pub struct Decoder {
    held: [u8; MAX_ON_WIRE],
    len: usize,
    overlong: bool,
    counts: LinkCounts,
}

impl Default for Decoder {
    fn default() -> Self {
        Self { held: [0; MAX_ON_WIRE], len: 0, overlong: false, counts: LinkCounts::default() }
    }
}

impl Decoder {
    /// Takes one byte; returns a packet when `byte` ends one.
    pub fn push(&mut self, byte: u8) -> Option<Packet> {
        self.counts.bytes += 1;
        if byte != 0 {
            // One place is kept for the delimiter that never is stored.
            if self.len < MAX_ON_WIRE - 1 {
                self.held[self.len] = byte;
                self.len += 1;
            } else {
                self.overlong = true;
            }
            return None;
        }
        let len = core::mem::take(&mut self.len);
        let overlong = core::mem::take(&mut self.overlong);
        if len == 0 {
            // Idle zeros between packets are allowed: a bridge sends one to flush a half packet.
            return None;
        }
        let packet =
            if overlong { Packet::Rejected(Rejection::TooLong) } else { open(&self.held[..len]) };
        self.counts.count(&packet);
        Some(packet)
    }

    /// Forgets a half packet, as after a reconnect.
    pub fn reset(&mut self) {
        self.len = 0;
        self.overlong = false;
    }

    /// Totals since this decoder was made.
    pub fn counts(&self) -> LinkCounts {
        self.counts
    }
}

fn open(coded: &[u8]) -> Packet {
    let packet = open_packet(coded, |header, body| match Frame::read_body(header.kind, body) {
        Ok(frame) => Packet::Frame(Received { header, frame }),
        Err(BodyError::UnknownKind) => Packet::Unknown(header),
        Err(BodyError::Malformed) => Packet::Rejected(Rejection::Body),
    });
    packet.unwrap_or_else(Packet::Rejected)
}

/// Reads the bytes between two zeros up to header and body, whatever the kind.
///
/// # Errors
/// If they are no packet of a known link version.
pub fn open_packet<T>(coded: &[u8], read: impl FnOnce(Header, &[u8]) -> T) -> Result<T, Rejection> {
    let mut packet = [0; MAX_PACKET + 1];
    if coded.len() >= MAX_ON_WIRE {
        return Err(Rejection::TooLong);
    }
    let Ok(report) = cobs::decode(coded, &mut packet) else {
        return Err(Rejection::Framing);
    };
    let Some(packet) = packet.get(..report.frame_size()) else {
        return Err(Rejection::Framing);
    };
    if packet.len() < HEADER_LEN + CRC_LEN {
        return Err(Rejection::TooShort);
    }
    let (covered, crc) = packet.split_at(packet.len() - CRC_LEN);
    if link_crc(covered).to_le_bytes() != crc {
        return Err(Rejection::Checksum);
    }
    if !(version::MIN..=version::CURRENT).contains(&covered[VERSION_AT]) {
        return Err(Rejection::Version);
    }
    let two = |r: core::ops::Range<usize>| [covered[r.start], covered[r.start + 1]];
    let header = Header {
        kind: Kind(covered[KIND_AT]),
        sequence: u16::from_le_bytes(two(SEQUENCE)),
        tick_ms: u32::from(u16::from_le_bytes(two(TICK.start..TICK.start + 2)))
            | u32::from(u16::from_le_bytes(two(TICK.start + 2..TICK.end))) << 16,
    };
    Ok(read(header, &covered[HEADER_LEN..]))
}
