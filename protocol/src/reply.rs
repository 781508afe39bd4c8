//! What the board says to the bridge: `SPEC.md`, "From the board to the bridge".
//!
//! Packets have the form of those of the link; their kinds begin at 128, so that neither
//! side can take its own echo for the other. A bridge that knows none of them leaves them
//! unread.

use crate::frame::Kind;
use crate::link::{Header, MAX_BODY, MAX_ON_WIRE, Rejection, encode_packet, open_packet};
use serde::{Deserialize, Serialize};

/// A buzzer that heard nothing for this long falls silent by itself, in ms.
pub const BUZZER_HOLDS_MS: u64 = 3_000;
/// While an alarm is on, its frame comes again after this, in ms.
pub const BUZZER_REPEATS_MS: u64 = 1_000;

impl Kind {
    /// [`Buzzer`]
    pub const BUZZER: Self = Self(128);
}

/// One message of the board.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reply {
    /// What a buzzer or lamp at the bridge should say.
    Buzzer(Buzzer),
}

/// What a buzzer or lamp at the bridge should say; the bridge decides how it sounds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Buzzer {
    /// 0 silence, 1 warning, 2 alarm. A bridge takes a higher level for 2.
    pub level: u8,
    /// What it is about, the most urgent first: 1 stationary brush, 2 stall, 3 over-pressure,
    /// 4 trip, 5 vacuum, 6 water, 7 pressure, 8 head; 0 with silence.
    pub about: u8,
    /// Motor from 1; 0: of the whole machine.
    pub motor: u8,
}

impl Reply {
    /// Its wire bytes, delimiter included; the number used of `wire`.
    pub fn encode(&self, sequence: u16, tick_ms: u32, wire: &mut [u8; MAX_ON_WIRE]) -> usize {
        let mut body = [0; MAX_BODY];
        let Self::Buzzer(buzzer) = self;
        // Three bytes: far below MAX_BODY.
        let used = postcard::to_slice(buzzer, &mut body).map_or(0, |used| used.len());
        let header = Header { kind: Kind::BUZZER, sequence, tick_ms };
        encode_packet(header, body.get(..used).unwrap_or(&[]), wire)
    }

    /// Reads the bytes between two zeros: what bridge firmware calls. `None`: a whole packet
    /// of a kind that this version does not know.
    ///
    /// # Errors
    /// If they are no packet.
    pub fn decode(coded: &[u8]) -> Result<Option<(Header, Self)>, Rejection> {
        open_packet(coded, |header, body| match header.kind {
            Kind::BUZZER => match postcard::take_from_bytes(body) {
                Ok((buzzer, _)) => Ok(Some((header, Self::Buzzer(buzzer)))),
                Err(_) => Err(Rejection::Body),
            },
            _ => Ok(None),
        })?
    }
}
