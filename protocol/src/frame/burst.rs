//! Motor currents at full rate, several samples in one frame.
//!
//! Model: a sample is the mean current since the sample before it, as every rate is.
//! The last sample is that of the frame's tick, the others lie before it at equal
//! distances. On the wire each value is the difference to the sample before of the
//! same motor (the first: to 0), so that most take one byte. A frame stands alone:
//! a lost one costs its own samples.

use super::MAX_MOTORS;
use crate::wire_units::CurrentRaw;
use heapless::Vec;
use serde::{Deserialize, Serialize};

/// The most values of all motors in one frame: even if each difference takes three
/// bytes, the body keeps within [`crate::link::MAX_BODY`].
pub const MAX_BURST_VALUES: usize = 36;

/// Samples of the motor currents with equal distances in time.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "Wire", into = "Wire")]
pub struct Burst {
    spacing_ms: u8,
    motors: u8,
    /// Oldest sample first; in each the motors from left to right.
    values: Vec<CurrentRaw, MAX_BURST_VALUES>,
}

/// One value of a [`Burst`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct BurstSample {
    /// How long before the frame's tick it was, in ms.
    pub before_ms: u32,
    /// Which motor, from 0.
    pub motor: usize,
    /// Its current.
    pub current: CurrentRaw,
}

impl Burst {
    /// Samples of `motors` motors, oldest first, `spacing_ms` apart; `None` if there are no
    /// or too many motors or values, if one sample is not whole, or without a distance.
    pub fn new(spacing_ms: u8, motors: u8, values: &[CurrentRaw]) -> Option<Self> {
        let values = Vec::from_slice(values).ok()?;
        let whole = (1..=MAX_MOTORS).contains(&usize::from(motors))
            && !values.is_empty()
            && values.len().is_multiple_of(usize::from(motors));
        (whole && spacing_ms > 0).then_some(Self { spacing_ms, motors, values })
    }

    /// Samples of each motor that one frame can hold.
    pub fn most_samples(motors: u8) -> usize {
        MAX_BURST_VALUES / usize::from(motors).max(1)
    }

    /// Time from one sample to the next, in ms.
    pub fn spacing_ms(&self) -> u8 {
        self.spacing_ms
    }

    /// How many motors.
    pub fn motors(&self) -> u8 {
        self.motors
    }

    /// All values in order of time, in each sample the motors from left to right.
    pub fn samples(&self) -> impl Iterator<Item = BurstSample> {
        let motors = usize::from(self.motors).max(1);
        let last = (self.values.len() / motors).saturating_sub(1);
        self.values.iter().enumerate().map(move |(place, current)| BurstSample {
            // At most 35 samples of at most 255 ms.
            before_ms: (last - place / motors) as u32 * u32::from(self.spacing_ms),
            motor: place % motors,
            current: *current,
        })
    }
}

/// The body as it is sent.
#[derive(Clone, Serialize, Deserialize)]
struct Wire {
    spacing_ms: u8,
    motors: u8,
    differences: Vec<i16, MAX_BURST_VALUES>,
}

impl From<Burst> for Wire {
    fn from(burst: Burst) -> Self {
        let mut last = [0_i16; MAX_MOTORS];
        let motors = usize::from(burst.motors).max(1);
        let difference = |(place, value): (usize, &CurrentRaw)| {
            // `motors` is at most MAX_MOTORS.
            let before = core::mem::replace(&mut last[place % motors], value.0);
            value.0.wrapping_sub(before)
        };
        let differences = burst.values.iter().enumerate().map(difference).collect();
        Self { spacing_ms: burst.spacing_ms, motors: burst.motors, differences }
    }
}

impl TryFrom<Wire> for Burst {
    type Error = &'static str;

    fn try_from(wire: Wire) -> Result<Self, Self::Error> {
        let mut last = [0_i16; MAX_MOTORS];
        let motors = usize::from(wire.motors).clamp(1, MAX_MOTORS);
        let mut values = [CurrentRaw(0); MAX_BURST_VALUES];
        for ((place, difference), value) in wire.differences.iter().enumerate().zip(&mut values) {
            let sum = last[place % motors].wrapping_add(*difference);
            last[place % motors] = sum;
            *value = CurrentRaw(sum);
        }
        let values = values.get(..wire.differences.len()).unwrap_or_default();
        Self::new(wire.spacing_ms, wire.motors, values).ok_or("samples that are not whole")
    }
}
