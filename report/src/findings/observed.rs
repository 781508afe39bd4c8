//! How much of the time that a finding speaks of was seen.

use std::ops::AddAssign;
use underbrush_protocol::si::Seconds;

/// Below this share a finding is called too little to judge: our own choice.
pub const ENOUGH: f64 = 0.8;

/// Time seen, of the time it could have been seen in.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Observed {
    /// Time in which everything was read that the finding needs.
    pub seen: Seconds,
    /// Time that the agent was recording and the finding speaks of.
    pub of: Seconds,
}

impl Observed {
    /// Adds a stretch, seen or not.
    pub(super) fn add(&mut self, length: Seconds, seen: bool) {
        self.of += length;
        self.seen += if seen { length } else { Seconds(0.0) };
    }

    /// Share seen, 0 to 1; `None` where there was no such time at all.
    pub fn share(&self) -> Option<f64> {
        (self.of.0 > 0.0).then(|| self.seen / self.of)
    }

    /// Whether that is enough to judge by. Where there was no such time there is nothing to judge.
    pub fn enough(&self) -> bool {
        self.share().is_none_or(|share| share >= ENOUGH)
    }
}

impl AddAssign for Observed {
    fn add_assign(&mut self, other: Self) {
        self.seen += other.seen;
        self.of += other.of;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares() {
        let mut observed = Observed::default();
        assert_eq!((observed.share(), observed.enough()), (None, true));
        observed.add(Seconds(3.0), true);
        observed.add(Seconds(1.0), false);
        assert_eq!((observed.share(), observed.enough()), (Some(0.75), false));
        observed += Observed { seen: Seconds(4.0), of: Seconds(4.0) };
        assert!(observed.enough());
    }
}
