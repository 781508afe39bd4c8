//! Where one number ends and the next one begins, by how bits carry.
//!
//! Model. When a number that moves in small steps makes one of its bits change, the bit below
//! it was full and becomes empty, or the other way: it carries. Where the bit below seldom
//! does so, it belongs to something else. A number that leaps about, or the noise in its
//! lowest bits, shows nothing, and then nothing is said. The rule is our own, with limits by
//! trial on the even layouts of `tests/learn_bench`; no published source.

use super::field::{Field, dbc_bit};
use super::recording::Stream;

/// Fewer carries say nothing.
const LEAST_CARRIES: u32 = 6;
/// From this share of carries on, two bits are of one number.
const JOINED: f64 = 0.6;
/// Up to this share they are not, if the upper one moves in small steps.
const APART: f64 = 0.3;
/// Share of its changes that come alone where a bit moves in small steps.
const ALONE: f64 = 0.6;
/// A bit that changes more often may belong to a number that moves by more than it at once.
const CALM: f64 = 0.4;
/// A bit that changes less often than this share of the one above is not below it.
const SELDOM: f64 = 0.25;
/// Bits above that tell the direction of a change.
const ABOVE: u8 = 4;

/// What is known of two neighbouring bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Seam {
    /// One number.
    Joined,
    /// Two.
    Border,
    /// Too little seen.
    Unknown,
}

/// The seams of one identifier in both byte orders.
#[derive(Clone, Debug)]
pub(super) struct Seams {
    /// By the DBC number of the upper bit.
    little: [Seam; 64],
    big: [Seam; 64],
}

impl Seams {
    pub(super) fn of(stream: &Stream) -> Self {
        let mut seams = Self { little: [Seam::Unknown; 64], big: [Seam::Unknown; 64] };
        let bits = stream.len * 8;
        // The bits above differ with the order, also within a byte.
        for upper in 0..bits {
            if upper > 0 {
                let above = Field::little(upper, ABOVE.min(bits - upper));
                seams.little[usize::from(upper)] = seam(stream, above, upper, upper - 1);
            }
            let place = dbc_bit(upper);
            if place + 1 < bits {
                let from = place.saturating_sub(ABOVE - 1);
                let above = Field::big(from, place + 1 - from);
                seams.big[usize::from(upper)] = seam(stream, above, upper, dbc_bit(place + 1));
            }
        }
        seams
    }

    /// Between a bit and the one below it.
    pub(super) fn below(&self, upper: u8, big_endian: bool) -> Seam {
        let seams = if big_endian { &self.big } else { &self.little };
        seams.get(usize::from(upper)).copied().unwrap_or(Seam::Unknown)
    }

    /// Whether a border lies inside of a field.
    pub(super) fn cuts(&self, field: Field) -> bool {
        let inner = usize::from(field.len.saturating_sub(1));
        field.places().take(inner).any(|bit| self.below(bit, field.big_endian) == Seam::Border)
    }
}

fn seam(stream: &Stream, above: Field, upper: u8, lower: u8) -> Seam {
    let whole = (1_u64 << above.len) - 1;
    let flips = |bit: u8, pair: &[u64]| (pair[0] ^ pair[1]) >> bit & 1 == 1;
    let (mut changes, mut alone, mut carries, mut right, mut lower_changes) =
        (0_u32, 0_u32, 0_u32, 0_u32, 0_u32);
    let mut last = None;
    for (i, pair) in stream.words.windows(2).enumerate() {
        lower_changes += u32::from(flips(lower, pair));
        if !flips(upper, pair) {
            continue;
        }
        changes += 1;
        // Alone, until the next change comes right behind it.
        match last.replace(i) {
            Some(before) if before + 1 == i => alone = alone.saturating_sub(1),
            _ => alone += 1,
        }
        let step = above.bits(pair[1]).wrapping_sub(above.bits(pair[0])) & whole;
        let up = if whole == 1 { above.bits(pair[1]) == 1 } else { step == 1 };
        if !up && step != whole {
            continue;
        }
        carries += 1;
        let (from, to) = (pair[0] >> lower & 1, pair[1] >> lower & 1);
        right += u32::from(from == u64::from(up) && to != from);
    }
    if carries < LEAST_CARRIES {
        return Seam::Unknown;
    }
    let share = f64::from(right) / f64::from(carries);
    let calm = f64::from(changes) < CALM * stream.words.len() as f64;
    let small_steps = f64::from(alone) >= ALONE * f64::from(changes);
    let seldom = f64::from(lower_changes) <= SELDOM * f64::from(changes);
    if share >= JOINED {
        Seam::Joined
    } else if share <= APART && (small_steps || seldom || (calm && lower_changes <= changes)) {
        Seam::Border
    } else {
        Seam::Unknown
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::CanId;

    fn stream(words: Vec<u64>) -> Stream {
        let times_s = (0..words.len()).map(|i| i as f64 / 50.0).collect();
        let heard = words.len();
        Stream { id: CanId::Standard(1), len: 8, times_s, words, heard }
    }

    /// A big-endian 12-bit number that rises and falls in steps of 0 to 3, and below it a 4-bit
    /// one that moves now and then.
    #[test]
    fn a_number_carries_and_its_neighbour_does_not() {
        let mut random = oorandom::Rand64::new(5);
        let (mut number, mut up) = (0_u64, true);
        let words = (0..8000_u64).map(|i| {
            let step = random.rand_range(0..4);
            up = if up { number < 1800 } else { number < 4 };
            number = if up { number + step } else { number - step };
            (((number << 4) | ((i / 37 * 5) & 15)) << 48).swap_bytes()
        });
        let seams = Seams::of(&stream(words.collect()));
        let field = Field::big(0, 12);
        // From the bit of 512 down to that of 16.
        let inner: Vec<u8> = field.places().take(8).skip(2).collect();
        for bit in inner {
            assert_eq!(seams.below(bit, true), Seam::Joined, "bit {bit}");
        }
        assert!(!seams.cuts(field));
    }

    /// A lively number, low byte first, above one that hardly moves.
    #[test]
    fn a_bit_that_seldom_changes_is_not_below_one_that_often_does() {
        let mut random = oorandom::Rand64::new(6);
        let mut speed = 40_i64;
        let words = (0..2000_u64).map(|i| {
            speed = (speed + random.rand_range(0..5) as i64 - 2).clamp(1, 120);
            (speed as u64) << 8 | (100 + i / 40 % 50)
        });
        let seams = Seams::of(&stream(words.collect()));
        assert_eq!(seams.below(8, false), Seam::Border);
        assert!(seams.cuts(Field::little(0, 16)) && !seams.cuts(Field::little(8, 8)));
    }
}
