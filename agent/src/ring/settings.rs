//! How much is kept at full rate. All times are common practice, no published source.

use super::LEAD_MS;
use underbrush_protocol::reading::Reading;

/// The fastest rate that the usual memory is made for, in readings a second and motor.
const USUAL_RATE_HZ: u64 = 1_000;
/// Room for readings on their way, in ms of them.
const ON_THE_WAY_MS: u64 = 1_000;
/// Room beyond the promise, in ms of readings. Where the clock of a bridge is being fitted, as
/// after its start, some readings stand closer together than they were taken, and a bridge may
/// be some percent fast: without this room each of them pushes one out a moment too early.
const SPARE_MS: u64 = 1_000;

/// The table `[high_rate]` of the agent's settings.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct HighRateSettings {
    /// Stored from this ahead of an event's begin, in ms.
    pub before_ms: u64,
    /// Stored to this behind the moment at which the detector fired, in ms.
    pub after_ms: u64,
    /// Time between two rows at normal rate, where the bridge sends none itself, in ms.
    pub normal_ms: u64,
    /// Memory for the readings; `None`: enough for each motor at 1 kHz.
    pub memory_bytes: Option<u64>,
}

impl Default for HighRateSettings {
    fn default() -> Self {
        Self { before_ms: 10_000, after_ms: 10_000, normal_ms: 100, memory_bytes: None }
    }
}

impl HighRateSettings {
    /// A reading may be asked for until it is so old, in ms.
    pub(super) fn promised_ms(&self) -> u64 {
        self.before_ms + LEAD_MS + ON_THE_WAY_MS
    }

    /// So many readings may wait, for a machine of so many brush motors.
    pub fn readings(&self, motors: usize) -> usize {
        let usual = (self.promised_ms() + SPARE_MS) * USUAL_RATE_HZ / 1_000 * motors.max(1) as u64;
        let given = self.memory_bytes.map(|bytes| bytes / size_of::<Reading>() as u64);
        given.unwrap_or(usual) as usize
    }
}
