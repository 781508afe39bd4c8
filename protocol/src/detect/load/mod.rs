//! Load of the brush motors: too much, too little, uneven, held, tripped.
//!
//! Words: *expected* is the current this motor draws at full pressure on this
//! floor, as past nights or the machine file tell it; a motor *runs* while its
//! current is above `turning_current`, and is *started* when it has run for the
//! start time (a starting motor draws the current of a held one for a moment);
//! *normal work* is: started, moving, head not up, brushes not switched off,
//! pressure full, water on, no over-pressure. What is not reported is taken to
//! be as it should: head down, pressure full, water on.
//!
//! The events, their limits and that these are our own choice: see
//! `settings::machine::LoadSettings`. Physics: permanent-magnet DC motor,
//! torque = k (I - I0), so that current above I0 measures friction; a held
//! rotor draws V/R; a breaker opens and the current is gone while the brush
//! still coasts.
//!
//! Begin and end are those of the reading's interval, so within one period of
//! the readings (0.1 s): they say when the current crossed the limit. The load
//! itself changed up to some 0.3 s earlier, the motor's mechanical time
//! constant. Dry running is judged by a mean of 20 s, and its edges
//! are that uncertain.

mod dry;
mod light;
mod limits;
mod near_stall;
mod over_pressure;
mod rise;
mod spell;
mod stall;
mod trip;
mod uneven;
mod watch;
mod work;

pub use light::{LightCause, light_cause};
pub use limits::LoadLimits;
pub use over_pressure::over_pressure;
pub use stall::stalled;
pub use watch::LoadWatch;
pub use work::Work;

use super::Run;
use crate::frame::MAX_MOTORS;

/// What a load event is.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub enum LoadKind {
    /// The load holds the rotor.
    Stall,
    /// The load nearly held it, and let go.
    NearStall,
    /// The motor's current vanished at high load while the brushes were switched on.
    Trip,
    /// Current above the machine's limit.
    OverPressure,
    /// Current far above the expected one, below the machine's limit.
    Heavy,
    /// Current far below the expected one with the head down.
    Light,
    /// One motor draws much more than another.
    Uneven,
    /// More current than expected for minutes, and nobody knows whether water runs.
    Dry,
    /// The thermal replica is above its warning.
    Hot,
}

/// How a load came.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Onset {
    /// From normal to the limit within the obstacle time: something was hit.
    Obstacle,
    /// Slower: the floor drags, or the pressure rose.
    Drag,
}

/// A load event. `T` is what the caller wants to remember of its begin, for instance the place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadEvent<T = ()> {
    /// What.
    pub kind: LoadKind,
    /// Motor from 0; of uneven load the one that draws most, of dry running the first.
    pub motor: usize,
    /// When.
    pub run: Run,
    /// Largest current in it in A; of a trip: before it.
    pub peak_a: f32,
    /// Mean current in A.
    pub mean_a: f32,
    /// Mean of current over expected; of uneven load largest over smallest; of heat its share.
    pub ratio: Option<f32>,
    /// Largest of the same.
    pub ratio_max: Option<f32>,
    /// Time from the last normal current to the limit, in ms.
    pub rise_ms: Option<u32>,
    /// Lowest pressure setting in it, in percent.
    pub pressure: Option<u8>,
    /// What the caller gave when it began.
    pub tag: T,
}

impl<T> LoadEvent<T> {
    /// How the load came; `None` where its rise was not seen, or tells nothing.
    pub fn onset(&self, limits: &LoadLimits) -> Option<Onset> {
        let rises = [LoadKind::Stall, LoadKind::NearStall, LoadKind::OverPressure, LoadKind::Heavy];
        let rise = self.rise_ms.filter(|_| rises.contains(&self.kind))?;
        let sudden = u64::from(rise) <= limits.obstacle_ms;
        Some(if sudden { Onset::Obstacle } else { Onset::Drag })
    }
}

/// What each motor should draw.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Expected {
    /// Current in A; `None`: not known.
    pub current_a: [Option<f32>; MAX_MOTORS],
    /// One standard deviation from night to night, as a share.
    pub spread: f32,
}
