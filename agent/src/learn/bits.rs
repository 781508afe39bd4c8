//! What each bit of an identifier does: never changes, counts, checks, or tells.
//!
//! Model. The flip rate of a bit is how often it differs from the payload before,
//! over all payloads. In a number that moves smoothly the rate rises from the most
//! to the least significant bit; where it falls, the next field begins. A counter's
//! lowest bit flips every time and each one above half as often. A checksum is a
//! function of the rest of the payload: equal rests have equal checksums, and it
//! flips half of the time. Source: M. Marchetti, D. Stabili, "READ: Reverse
//! Engineering of Automotive Data Frames", IEEE Transactions on Information
//! Forensics and Security 14 (2019), pages 1083-1097: flip rates, the border rule,
//! counters. The test of equal rests is our own.

use super::field::{Field, dbc_bit};
use super::recording::Stream;
use super::seams::{Seam, Seams};
use std::collections::{BTreeSet, HashMap};

/// A counter's bits flip at these rates times a power of two, within this share.
const COUNTER_SLACK: f64 = 0.12;
/// A checksum's bits flip in between.
const CHECKSUM_RATES: core::ops::RangeInclusive<f64> = 0.3..=0.7;
/// Equal rests needed before a checksum is believed.
const EQUAL_RESTS: usize = 12;
/// A field ends where the rate falls below this share of the bit before.
const FALL: f64 = 0.6;
/// Fewer flips are no rate.
const FEW_FLIPS: u32 = 6;

/// What was found out about the bits of one stream.
#[derive(Clone, Debug)]
pub(super) struct BitFacts {
    /// How often each bit flipped, by DBC bit number.
    pub(super) flips: [u32; 64],
    pairs: u32,
    /// Bits of counters.
    pub(super) counter: u64,
    /// Bits of checksums.
    pub(super) checksum: u64,
    /// Where numbers end.
    pub(super) seams: Seams,
}

impl BitFacts {
    pub(super) fn of(stream: &Stream) -> Self {
        let mut flips = [0_u32; 64];
        for pair in stream.words.windows(2) {
            let mut changed = pair[0] ^ pair[1];
            while changed != 0 {
                flips[changed.trailing_zeros() as usize] += 1;
                changed &= changed - 1;
            }
        }
        let pairs = stream.words.len().saturating_sub(1) as u32;
        let seams = Seams::of(stream);
        let mut facts = Self { flips, pairs, counter: 0, checksum: 0, seams };
        facts.find_counters(stream);
        facts.find_checksums(stream);
        facts
    }

    pub(super) fn rate(&self, bit: u8) -> f64 {
        f64::from(self.flips[usize::from(bit)]) / f64::from(self.pairs.max(1))
    }

    /// Bits that tell something: that flip and neither count nor check.
    pub(super) fn telling(&self) -> u64 {
        let moving = (0..64).filter(|bit| self.flips[*bit as usize] > 0);
        moving.fold(0, |mask, bit| mask | 1 << bit) & !self.counter & !self.checksum
    }

    fn find_counters(&mut self, stream: &Stream) {
        for bit in 0..stream.len * 8 {
            if self.rate(bit) < 1.0 - COUNTER_SLACK {
                continue;
            }
            // Upwards in this byte, and on into the next one of either order.
            let mut best = Field::little(bit, 1);
            let in_byte = (bit / 8 + 1) * 8 - bit;
            for len in 2..=in_byte {
                let field = Field::little(bit, len);
                let expected = 0.5_f64.powi(i32::from(len) - 1);
                let top = self.rate(bit + len - 1);
                let few = f64::from(self.pairs) * expected < 4.0;
                if few || (top - expected).abs() > COUNTER_SLACK * expected + 0.02 {
                    break;
                }
                best = field;
            }
            if counts_up(stream, best) {
                self.counter |= best.mask();
            }
        }
    }

    fn find_checksums(&mut self, stream: &Stream) {
        let bytes = (0..stream.len).map(|byte| Field::little(byte * 8, 8));
        let nibbles = (0..stream.len * 2).map(|nibble| Field::little(nibble * 4, 4));
        for field in bytes.chain(nibbles) {
            if field.mask() & (self.counter | self.checksum) != 0 {
                continue;
            }
            let busy = field.places().all(|bit| CHECKSUM_RATES.contains(&self.rate(bit)));
            if busy && follows_from_the_rest(stream, field) {
                self.checksum |= field.mask();
            }
        }
    }

    /// Fields by the border rule, in both byte orders.
    pub(super) fn runs(&self, len: u8) -> BTreeSet<Field> {
        let bits = len * 8;
        let telling = self.telling();
        let mut found = BTreeSet::new();
        let mut walk = |big: bool, order: &dyn Fn(u8) -> u8, make: &dyn Fn(u8, u8) -> Field| {
            let mut from = None;
            for at in 0..=bits {
                let here = (at < bits).then(|| order(at)).filter(|bit| telling >> bit & 1 == 1);
                let falls = here.is_some_and(|bit| at > 0 && self.parts(big, order(at - 1), bit));
                if let Some(first) = from
                    && (here.is_none() || falls)
                {
                    if at - first <= 32 {
                        found.insert(make(first, at - first));
                    }
                    from = None;
                }
                if here.is_some() && from.is_none() {
                    from = Some(at);
                }
            }
        };
        walk(true, &dbc_bit, &Field::big);
        walk(false, &|at| bits - 1 - at, &|first, length| {
            Field::little(bits - first - length, length)
        });
        found
    }

    /// Whether a number ends between two neighbouring bits, by what they carry or else by
    /// their flip rates.
    fn parts(&self, big_endian: bool, upper: u8, lower: u8) -> bool {
        match self.seams.below(upper, big_endian) {
            Seam::Joined => false,
            Seam::Border => true,
            Seam::Unknown => self.falls(upper, lower),
        }
    }

    /// How well the ends of a field are where a number ends: 2 where both are shown, less
    /// where bits are cut off.
    pub(super) fn ends(&self, field: Field, len: u8) -> i8 {
        let telling = self.telling();
        let (Some(top), Some(low)) = (field.places().next(), field.places().last()) else {
            return 0;
        };
        let neighbour = |bit: u8, up: bool| -> Option<u8> {
            let next = if field.big_endian {
                let place = i16::from(dbc_bit(bit)) + if up { -1 } else { 1 };
                (0..i16::from(len) * 8).contains(&place).then(|| dbc_bit(place as u8))
            } else {
                let next = i16::from(bit) + if up { 1 } else { -1 };
                (0..i16::from(len) * 8).contains(&next).then_some(next as u8)
            };
            next.filter(|bit| telling >> bit & 1 == 1)
        };
        let end = |upper: Option<u8>, lower: Option<u8>| match (upper, lower) {
            (Some(upper), Some(lower)) => match self.seams.below(upper, field.big_endian) {
                Seam::Joined => -1,
                Seam::Border => 1,
                Seam::Unknown => i8::from(self.falls(upper, lower)),
            },
            _ => 1,
        };
        // Without its upper bits a number is another one; without its lowest it is coarser.
        let above = end(neighbour(top, true), Some(top));
        let below = end(Some(low), neighbour(low, false));
        if above < 0 { -2 } else { above + below }
    }

    fn falls(&self, before: u8, here: u8) -> bool {
        let (before, here) = (self.flips[usize::from(before)], self.flips[usize::from(here)]);
        // Three standard deviations of a count, so that few flips make no border.
        let slack = 3.0 * f64::from(before).sqrt();
        before >= FEW_FLIPS
            && f64::from(here) < FALL * f64::from(before) - slack.min(0.3 * f64::from(before))
    }
}

/// Whether the field goes up by the same step nearly every time.
pub(super) fn counts_up(stream: &Stream, field: Field) -> bool {
    let modulus = 1_u64 << field.len;
    let mut steps: HashMap<u64, usize> = HashMap::new();
    for pair in stream.words.windows(2) {
        let step = field.bits(pair[1]).wrapping_sub(field.bits(pair[0])) & (modulus - 1);
        *steps.entry(step).or_default() += 1;
    }
    let most = steps.iter().max_by_key(|(step, count)| (**count, **step));
    most.is_some_and(|(step, count)| *step != 0 && *count * 10 >= 8 * (stream.words.len() - 1))
}

/// Whether payloads that are equal outside of the field are equal in it as well, with many
/// values of it: a smooth number with noise in its low bits is not.
fn follows_from_the_rest(stream: &Stream, field: Field) -> bool {
    let mut seen: HashMap<u64, u64> = HashMap::new();
    let (mut equal, mut unequal) = (0_usize, 0_usize);
    let mut values = BTreeSet::new();
    let mut last_rest = None;
    for word in &stream.words {
        let (rest, value) = (word & !field.mask(), field.bits(*word));
        // A payload sent again as it was proves nothing.
        if last_rest == Some(rest) && seen.get(&rest) == Some(&value) {
            continue;
        }
        last_rest = Some(rest);
        match seen.insert(rest, value) {
            Some(before) if before == value => {
                equal += 1;
                values.insert(value);
            }
            Some(_) => unequal += 1,
            None => {}
        }
    }
    let many_values = values.len() >= 1 << (field.len / 2);
    equal >= EQUAL_RESTS && many_values && unequal * 50 <= equal
}
