//! Messages of SAE J1939 longer than a frame, put together again by a listener.
//!
//! A sender announces a message of 9 to 1785 bytes in a connection frame (group 0xEC00)
//! and sends it in packets (0xEB00) of a number from 1 and 7 bytes. To all (address 255)
//! it sends a broadcast announcement (BAM) and the packets in order. To one it sends a
//! request (RTS), and the receiver clears packets to send (CTS), asks again for lost
//! ones, and ends by an acknowledgement; either may abort. Between two addresses there is
//! one such message at a time in each direction.
//!
//! Source of the frames: `can-j1939` (`PyPI`), against which `tests/reference/j1939_long.py`
//! holds this file. The times T1 to T4 of J1939-21 are from memory and agree with its.

use super::can::CanId;
use super::long_extended::Extended;

/// Between packets.
const T1_US: u64 = 750_000;
/// From a CTS to the first packet.
const T2_US: u64 = 1_250_000;
/// From the last packet that was cleared, or from the request, to the receiver's answer.
const T3_US: u64 = 1_250_000;
/// From a CTS that holds the sender to the next.
const T4_US: u64 = 1_050_000;

const CONNECTION: u32 = 0xEC00;
const PACKET: u32 = 0xEB00;
const ALL: u8 = 255;
const PACKET_BYTES: usize = 7;
const SIZES: std::ops::RangeInclusive<usize> = 9..=1785;
/// Messages under way at a time: at 1785 bytes each some 230 KB.
const MOST_SESSIONS: usize = 128;

/// A whole message.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LongMessage<'a> {
    /// Its parameter group.
    pub pgn: u32,
    /// Address of the sender.
    pub source: u8,
    /// Address of the receiver; 255 is all.
    pub destination: u8,
    /// Its bytes.
    pub data: &'a [u8],
}

/// What became of the messages announced.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LongCounts {
    /// Put together.
    pub complete: u64,
    /// Given up by sender or receiver.
    pub aborted: u64,
    /// Not gone on with in time.
    pub timed_out: u64,
    /// Ended or announced anew with packets missing.
    pub broken: u64,
    /// Let go because too many were under way.
    pub crowded_out: u64,
    /// Packets out of their order. A receiver may ask for the missing ones again.
    pub out_of_sequence: u64,
    /// Packets of no message that was announced.
    pub stray: u64,
    /// Frames that the protocol does not know.
    pub malformed: u64,
    /// Messages of more than 1785 bytes by the extended protocol, which are not put together.
    pub extended: u64,
}

impl LongCounts {
    /// Messages that did not become whole.
    pub fn lost(&self) -> u64 {
        self.aborted + self.timed_out + self.broken + self.crowded_out
    }
}

/// Listens to the frames of a bus.
#[derive(Clone, Debug, Default)]
pub struct Assembler {
    sessions: Vec<Session>,
    counts: LongCounts,
    whole: Vec<u8>,
    extended: Extended,
}

/// A message under way.
#[derive(Clone, Debug)]
struct Session {
    source: u8,
    destination: u8,
    pgn: u32,
    bytes: Vec<u8>,
    packets: u8,
    /// Bit `number` of each packet that came.
    came: [u64; 4],
    /// The packet that is due.
    next: u8,
    /// Last packet that the receiver cleared.
    cleared: u8,
    deadline_us: u64,
}

impl Assembler {
    /// Whether frames of this identifier belong to the transport protocol.
    pub fn carries(id: CanId) -> bool {
        let extended = id.pgn().is_some_and(Extended::carries);
        extended || matches!(id.pgn(), Some(CONNECTION | PACKET))
    }

    /// Takes a frame; gives the message that it makes whole.
    pub fn push(&mut self, at_us: u64, id: CanId, data: &[u8]) -> Option<LongMessage<'_>> {
        self.expire(at_us);
        let (pgn, CanId::Extended(raw)) = (id.pgn()?, id) else { return None };
        let (source, destination) = ((raw & 0xFF) as u8, (raw >> 8 & 0xFF) as u8);
        match pgn {
            CONNECTION => {
                if self.connection(at_us, source, destination, data).is_none() {
                    self.counts.malformed += 1;
                }
                None
            }
            PACKET => self.packet(at_us, source, destination, data),
            pgn if Extended::carries(pgn) => {
                let known = self.extended.push(at_us, id, data);
                self.counts.malformed += u64::from(!known);
                self.counts.extended = self.extended.seen;
                None
            }
            _ => None,
        }
    }

    /// Lets time pass: what was not gone on with in time is given up.
    pub fn expire(&mut self, now_us: u64) {
        let before = self.sessions.len();
        self.sessions.retain(|session| now_us <= session.deadline_us);
        self.counts.timed_out += (before - self.sessions.len()) as u64;
    }

    /// What became of the messages so far.
    pub fn counts(&self) -> LongCounts {
        self.counts
    }

    /// `None` if the frame is none that the protocol knows.
    fn connection(&mut self, at_us: u64, from: u8, to: u8, data: &[u8]) -> Option<()> {
        let [control, a, b, c, _, low, mid, high] = *data.first_chunk::<8>()?;
        let pgn = u32::from_le_bytes([low, mid, high, 0]);
        match control {
            16 | 32 if (control == 32) == (to == ALL) => {
                let size = usize::from(u16::from_le_bytes([a, b]));
                if !SIZES.contains(&size) || usize::from(c) != size.div_ceil(PACKET_BYTES) {
                    return None;
                }
                self.open(at_us, from, to, pgn, size, c);
            }
            17 => {
                if let Some(session) = self.find(to, from, pgn) {
                    session.clear(at_us, a, b);
                }
            }
            19 => {
                let place = self.place(to, from, Some(pgn));
                // A whole message is no longer here: its receiver got more than we did.
                self.counts.broken += u64::from(place.is_some());
                place.map(|place| self.sessions.swap_remove(place));
            }
            255 => {
                let place =
                    self.place(to, from, Some(pgn)).or_else(|| self.place(from, to, Some(pgn)));
                self.counts.aborted += u64::from(place.is_some());
                place.map(|place| self.sessions.swap_remove(place));
            }
            _ => return None,
        }
        Some(())
    }

    fn open(
        &mut self,
        at_us: u64,
        source: u8,
        destination: u8,
        pgn: u32,
        size: usize,
        packets: u8,
    ) {
        if let Some(place) = self.place(source, destination, None) {
            self.counts.broken += 1;
            self.sessions.swap_remove(place);
        }
        if self.sessions.len() >= MOST_SESSIONS {
            self.counts.crowded_out += 1;
            let oldest = self.sessions.iter().enumerate().min_by_key(|(_, s)| s.deadline_us);
            oldest.map(|(place, _)| place).map(|place| self.sessions.swap_remove(place));
        }
        let wait_us = if destination == ALL { T1_US } else { T3_US };
        self.sessions.push(Session {
            source,
            destination,
            pgn,
            bytes: vec![0; size],
            packets,
            came: [0; 4],
            next: 1,
            cleared: packets,
            deadline_us: at_us.saturating_add(wait_us),
        });
    }

    fn packet(
        &mut self,
        at_us: u64,
        source: u8,
        destination: u8,
        data: &[u8],
    ) -> Option<LongMessage<'_>> {
        let Some((&number, bytes)) = data.split_first() else {
            self.counts.malformed += 1;
            return None;
        };
        let Some(place) = self.place(source, destination, None) else {
            self.counts.stray += 1;
            return None;
        };
        let session = self.sessions.get_mut(place)?;
        let in_order = number == session.next;
        self.counts.out_of_sequence += u64::from(!in_order);
        // Nobody can ask for what a broadcast lost.
        if destination == ALL && number > session.next {
            self.counts.broken += 1;
            self.sessions.swap_remove(place);
            return None;
        }
        if !session.take(at_us, number, bytes) {
            self.counts.malformed += 1;
            return None;
        }
        if !session.whole() {
            return None;
        }
        let session = self.sessions.swap_remove(place);
        self.counts.complete += 1;
        self.whole = session.bytes;
        Some(LongMessage { pgn: session.pgn, source, destination, data: &self.whole })
    }

    fn place(&self, source: u8, destination: u8, pgn: Option<u32>) -> Option<usize> {
        self.sessions.iter().position(|s| {
            (s.source, s.destination) == (source, destination) && pgn.is_none_or(|p| p == s.pgn)
        })
    }

    fn find(&mut self, source: u8, destination: u8, pgn: u32) -> Option<&mut Session> {
        let place = self.place(source, destination, Some(pgn))?;
        self.sessions.get_mut(place)
    }
}

impl Session {
    /// The receiver cleared `count` packets from `next`; none holds the sender.
    fn clear(&mut self, at_us: u64, count: u8, next: u8) {
        let wait_us = if count == 0 { T4_US } else { T2_US };
        self.deadline_us = at_us.saturating_add(wait_us);
        if count > 0 {
            self.next = next;
            self.cleared = next.saturating_add(count - 1);
        }
    }

    /// Whether the packet has a number and the length of its place.
    fn take(&mut self, at_us: u64, number: u8, bytes: &[u8]) -> bool {
        let Some(begin) = usize::from(number).checked_sub(1).map(|n| n * PACKET_BYTES) else {
            return false;
        };
        let end = (begin + PACKET_BYTES).min(self.bytes.len());
        let Some(to) = self.bytes.get_mut(begin..end) else { return false };
        let Some(from) = bytes.get(..to.len()) else { return false };
        to.copy_from_slice(from);
        if let Some(word) = self.came.get_mut(usize::from(number / 64)) {
            *word |= 1 << (number % 64);
        }
        self.next = self.next.max(number.saturating_add(1));
        let answer_due = self.destination != ALL && number >= self.cleared;
        self.deadline_us = at_us.saturating_add(if answer_due { T3_US } else { T1_US });
        true
    }

    fn whole(&self) -> bool {
        self.came.iter().map(|word| word.count_ones()).sum::<u32>() == u32::from(self.packets)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// `can-j1939` 2.0.12 sends the same frames: `tests/reference/j1939_long.py`.
    const BAM: [u8; 8] = [32, 16, 0, 3, 255, 0xCA, 0xFE, 0];

    fn frame(group: u32, from: u8, to: u8) -> CanId {
        CanId::Extended(7 << 26 | group << 8 | u32::from(to) << 8 | u32::from(from))
    }

    fn packet(number: u8) -> [u8; 8] {
        let mut data = [0xFF; 8];
        for (at, byte) in (0..).zip(data.iter_mut().skip(1)) {
            *byte = if at + 7 * (number - 1) < 16 { at + 7 * (number - 1) } else { 0xFF };
        }
        data[0] = number;
        data
    }

    fn whole() -> Vec<u8> {
        (0..16).collect()
    }

    #[test]
    fn interleaved_broadcasts_of_two_senders() {
        let mut long = Assembler::default();
        for from in [1, 2] {
            assert_eq!(long.push(0, frame(CONNECTION, from, ALL), &BAM), None);
        }
        for number in 1..=3 {
            for from in [1, 2] {
                let got = long.push(50_000, frame(PACKET, from, ALL), &packet(number));
                let data = whole();
                let expected =
                    LongMessage { pgn: 0xFECA, source: from, destination: ALL, data: &data };
                assert_eq!(got, (number == 3).then_some(expected));
            }
        }
        assert_eq!(long.counts(), LongCounts { complete: 2, ..LongCounts::default() });
    }

    #[test]
    fn a_gap_or_a_pause_ends_a_broadcast() {
        let mut long = Assembler::default();
        long.push(0, frame(CONNECTION, 1, ALL), &BAM);
        long.push(0, frame(PACKET, 1, ALL), &packet(1));
        assert_eq!(long.push(0, frame(PACKET, 1, ALL), &packet(3)), None);
        assert_eq!((long.counts().broken, long.counts().out_of_sequence), (1, 1));
        long.push(0, frame(CONNECTION, 1, ALL), &BAM);
        long.push(750_000, frame(PACKET, 1, ALL), &packet(1));
        assert_eq!(long.counts().timed_out, 0);
        long.push(1_500_001, frame(PACKET, 1, ALL), &packet(2));
        assert_eq!((long.counts().timed_out, long.counts().stray), (1, 1));
    }

    #[test]
    fn a_receiver_asks_again_for_a_lost_packet() {
        let mut long = Assembler::default();
        let (to_two, to_one) = (frame(CONNECTION, 1, 2), frame(CONNECTION, 2, 1));
        let rts = [16, 16, 0, 3, 3, 0xCA, 0xFE, 0];
        long.push(0, to_two, &rts);
        long.push(0, to_one, &[17, 3, 1, 255, 255, 0xCA, 0xFE, 0]);
        long.push(1_250_000, frame(PACKET, 1, 2), &packet(1));
        assert_eq!(long.push(1_300_000, frame(PACKET, 1, 2), &packet(3)), None);
        long.push(1_400_000, to_one, &[17, 0, 255, 255, 255, 0xCA, 0xFE, 0]);
        long.push(2_400_000, to_one, &[17, 1, 2, 255, 255, 0xCA, 0xFE, 0]);
        let got = long.push(2_500_000, frame(PACKET, 1, 2), &packet(2));
        assert_eq!(got.map(|m| m.data.to_vec()), Some(whole()));
        long.push(2_500_000, to_one, &[19, 16, 0, 3, 255, 0xCA, 0xFE, 0]);
        let expected = LongCounts { complete: 1, out_of_sequence: 1, ..LongCounts::default() };
        assert_eq!(long.counts(), expected);
        long.push(3_000_000, to_two, &rts);
        long.push(3_000_000, to_one, &[255, 1, 255, 255, 255, 0xCA, 0xFE, 0]);
        long.push(3_000_000, to_two, &rts);
        long.push(3_000_000, to_two, &rts);
        long.push(3_000_000, to_two, &[16, 8, 0, 2, 2, 0xCA, 0xFE, 0]);
        let counts = long.counts();
        assert_eq!((counts.aborted, counts.broken, counts.malformed, counts.lost()), (1, 1, 1, 2));
    }

    #[test]
    fn memory_is_bounded() {
        let mut long = Assembler::default();
        for from in 0..=250 {
            long.push(u64::from(from), frame(CONNECTION, from, ALL), &BAM);
        }
        assert_eq!(long.sessions.len(), MOST_SESSIONS);
        assert_eq!(long.counts().crowded_out, 251 - MOST_SESSIONS as u64);
    }
}
