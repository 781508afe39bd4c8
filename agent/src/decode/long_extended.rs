//! Messages of more than 1785 bytes, by the extended transport protocol: counted, not read.
//! No message of a machine that we map is that long; memory for 117 MB is not ours to give.
//!
//! ```text
//! 0xC800  20 request: 4 bytes of size, group     21 cleared: count, next packet
//!         22 data follow: count, packets before   23 end: size   255 abort
//! 0xC700  packet: number from 1 after each 22, 7 bytes
//! ```
//!
//! Source: SAE J1939-21 and ISO 11783-3, from memory; `can-j1939` 2.0.12 has nothing of it to compare
//! with.

use super::can::CanId;

const CONNECTION: u32 = 0xC800;
const PACKET: u32 = 0xC700;
/// The longest wait within a message; T3 of J1939-21.
const OVER_US: u64 = 1_250_000;
/// Messages followed at a time: some 3 KB. Beyond that the oldest is forgotten, and counts
/// again if it goes on.
const MOST: usize = 128;

/// Which of them are under way.
#[derive(Clone, Debug, Default)]
pub(super) struct Extended {
    /// Sender, receiver, and when the newest frame came.
    under_way: Vec<(u8, u8, u64)>,
    /// Messages begun, or found under way.
    pub(super) seen: u64,
}

impl Extended {
    pub(super) fn carries(pgn: u32) -> bool {
        matches!(pgn, CONNECTION | PACKET)
    }

    /// Takes a frame of the protocol; whether it is one that the protocol knows.
    pub(super) fn push(&mut self, at_us: u64, id: CanId, data: &[u8]) -> bool {
        self.expire(at_us);
        let (Some(pgn), CanId::Extended(raw)) = (id.pgn(), id) else { return false };
        let (from, to) = ((raw & 0xFF) as u8, (raw >> 8 & 0xFF) as u8);
        let Some(first) = data.first().filter(|_| data.len() == 8) else { return false };
        match (pgn, first) {
            (PACKET, 1..) | (CONNECTION, 22) => self.goes_on(at_us, from, to, false),
            (CONNECTION, 20) => self.goes_on(at_us, from, to, true),
            (CONNECTION, 21) => self.goes_on(at_us, to, from, false),
            (CONNECTION, 23 | 255) => {
                self.under_way.retain(|(a, b, _)| (*a, *b) != (from, to) && (*a, *b) != (to, from));
            }
            _ => return false,
        }
        true
    }

    pub(super) fn expire(&mut self, now_us: u64) {
        self.under_way.retain(|(_, _, at_us)| now_us <= at_us.saturating_add(OVER_US));
    }

    /// One that nobody heard begin counts when its data are heard.
    fn goes_on(&mut self, at_us: u64, from: u8, to: u8, anew: bool) {
        let known = self.under_way.iter_mut().find(|(a, b, _)| (*a, *b) == (from, to));
        let counts = anew || known.is_none();
        if let Some((_, _, newest)) = known {
            *newest = at_us;
        } else {
            if self.under_way.len() >= MOST {
                let oldest = self.under_way.iter().enumerate().min_by_key(|(_, s)| s.2);
                oldest.map(|(place, _)| place).map(|place| self.under_way.swap_remove(place));
            }
            self.under_way.push((from, to, at_us));
        }
        self.seen += u64::from(counts);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(group: u32, from: u8, to: u8) -> CanId {
        CanId::Extended(7 << 26 | group << 8 | u32::from(to) << 8 | u32::from(from))
    }

    /// By hand: 1792 bytes, 256 packets, two clearings; group 0xCAFE.
    fn whole(long: &mut Extended, from_us: u64, begun: bool) -> u64 {
        let (there, back) = (frame(CONNECTION, 1, 2), frame(CONNECTION, 2, 1));
        let mut at = from_us;
        let mut push = |id, data: [u8; 8]| {
            at += 5_000;
            assert!(long.push(at, id, &data), "{data:?}");
        };
        if begun {
            push(there, [20, 0, 7, 0, 0, 0xFE, 0xCA, 0]);
        }
        for (count, before) in [(255_u8, 0_u8), (1, 255)] {
            push(back, [21, count, before.wrapping_add(1), u8::from(before > 0), 0, 0xFE, 0xCA, 0]);
            push(there, [22, count, before, 0, 0, 0xFE, 0xCA, 0]);
            for number in 1..=count {
                push(frame(PACKET, 1, 2), [number, 0, 0, 0, 0, 0, 0, 0]);
            }
        }
        push(back, [23, 0, 7, 0, 0, 0xFE, 0xCA, 0]);
        at
    }

    #[test]
    fn each_message_counts_once() {
        let mut long = Extended::default();
        let at = whole(&mut long, 0, true);
        assert_eq!((long.seen, long.under_way.len()), (1, 0));
        // The recording began within the next one.
        let at = whole(&mut long, at, false);
        assert_eq!((long.seen, long.under_way.len()), (2, 0));
        let rts = [20, 0, 7, 0, 0, 0xFE, 0xCA, 0];
        long.push(at, frame(CONNECTION, 1, 2), &rts);
        long.push(at + OVER_US + 1, frame(PACKET, 3, 4), &[1; 8]);
        assert_eq!((long.seen, long.under_way.len()), (4, 1), "the first one is over");
        assert!(!long.push(at, frame(CONNECTION, 1, 2), &[24, 0, 7, 0, 0, 0xFE, 0xCA, 0]));
        assert!(!long.push(at, frame(CONNECTION, 1, 2), &rts[..7]));
        assert!(!long.push(at, frame(PACKET, 1, 2), &[0; 8]));
    }

    #[test]
    fn memory_is_bounded() {
        let mut long = Extended::default();
        for from in 0..=250 {
            long.push(u64::from(from), frame(PACKET, from, 255), &[1; 8]);
        }
        assert_eq!((long.under_way.len(), long.seen), (MOST, 251));
    }
}
