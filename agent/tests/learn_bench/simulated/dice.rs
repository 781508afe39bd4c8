//! Random numbers of the bench.

pub(crate) struct Dice(oorandom::Rand64);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(oorandom::Rand64::new(u128::from(seed).wrapping_mul(0x9E37_79B9_7F4A_7C15) + 11))
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.0.rand_float()
    }

    pub(crate) fn chance(&mut self, share: f64) -> bool {
        self.0.rand_float() < share
    }

    pub(crate) fn below(&mut self, end: u64) -> u64 {
        self.0.rand_range(0..end)
    }

    /// Of mean 0 and standard deviation 1, nearly: the sum of twelve less six.
    pub(crate) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.0.rand_float()).sum::<f64>() - 6.0
    }

    pub(crate) fn bits(&mut self) -> u64 {
        self.0.rand_u64()
    }
}
