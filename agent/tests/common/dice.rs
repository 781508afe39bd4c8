//! Repeatable chance.

/// The 64-bit generator `SplitMix64` (Steele, Lea, Flood 2014; from memory).
#[derive(Clone, Debug)]
pub(crate) struct Dice(u64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 to `count` - 1; 0 if `count` is 0.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        (self.next() >> 11) as usize % count.max(1)
    }

    pub(crate) fn in_1000(&mut self, share: u32) -> bool {
        share > 0 && self.below(1000) < share as usize
    }

    pub(crate) fn coin(&mut self) -> bool {
        self.below(2) == 0
    }

    pub(crate) fn pick<T: Copy>(&mut self, of: &[T]) -> T {
        of[self.below(of.len())]
    }
}
