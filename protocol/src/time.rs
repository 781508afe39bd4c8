//! The two kinds of time in the log, kept apart by type.

use core::fmt;
use serde::{Deserialize, Serialize};

/// Milliseconds of the board's monotonic clock since its power-on (one boot).
///
/// Only differences within one boot mean anything.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct BootMs(pub u64);

impl BootMs {
    /// Milliseconds from `earlier` to `self`; 0 if `earlier` is later.
    pub fn since(self, earlier: Self) -> u64 {
        self.0.saturating_sub(earlier.0)
    }

    /// This instant moved later by `ms`.
    #[must_use]
    pub fn plus(self, ms: u64) -> Self {
        Self(self.0.saturating_add(ms))
    }
}

impl fmt::Display for BootMs {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{:03} s after power-on", self.0 / 1000, self.0 % 1000)
    }
}

/// Milliseconds since 1970-01-01T00:00:00Z, leap seconds not counted (Unix time).
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
pub struct UtcMs(pub i64);
