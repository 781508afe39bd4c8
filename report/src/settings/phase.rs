//! What is being done to the floor.

use serde::Deserialize;
use std::fmt;

/// What is being done to the floor.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Grinding with the grit of this step, from 1.
    Step(u8),
    /// The regular run over a finished floor.
    Maintenance,
}

impl fmt::Display for Phase {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Step(n) => write!(f, "step {n}"),
            Self::Maintenance => f.write_str("maintenance"),
        }
    }
}

impl std::str::FromStr for Phase {
    type Err = String;
    fn from_str(text: &str) -> Result<Self, String> {
        if text == "maintenance" {
            return Ok(Self::Maintenance);
        }
        text.strip_prefix("step ")
            .and_then(|n| n.trim().parse().ok())
            .filter(|n| *n > 0)
            .map(Self::Step)
            .ok_or_else(|| format!("`{text}` is no phase: write `step 1` or `maintenance`"))
    }
}

impl serde::Serialize for Phase {
    fn serialize<S: serde::Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        s.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Phase {
    fn deserialize<D: serde::Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        String::deserialize(d)?.parse().map_err(serde::de::Error::custom)
    }
}
