//! Sets a machine's readings right by an instrument: the current by a clamp meter, the wheel
//! by a measured distance.
//!
//! Nothing is written: the person who measured puts the lines into the machine file.

mod current;
mod interval;
mod line;
mod runs;
mod wheel;

pub use current::current_report;
pub use interval::{MOST as MOST_RUNS, Mean};
pub use line::{Errors, Line, NoLine, Pair, line};
pub use wheel::{LEAST_M, MOST_M, NoFactor, wheel_factor};

use crate::config::Config;
use crate::error::AgentError;
use std::path::PathBuf;

/// What to set right.
#[derive(Clone, Debug, PartialEq)]
pub enum Calibration {
    /// The current of a brush motor.
    Current {
        /// Motor, counted from 1.
        motor: usize,
        /// Readings of the agent and of the clamp meter, in A.
        pairs: Vec<Pair>,
        /// Settings whose machine file holds the present factor.
        config: Option<PathBuf>,
    },
    /// The wheel that gives the speed.
    Wheel {
        /// The measured distance, in m.
        distance_m: f64,
        /// How many times it is driven, at most [`MOST_RUNS`].
        runs: usize,
        /// Settings that name source and machine file.
        config: PathBuf,
    },
}

/// Works it out; the text says what to write where.
pub fn calibrate(what: &Calibration) -> Result<String, AgentError> {
    match what {
        Calibration::Current { motor, pairs, config } => {
            let config = config.as_deref().map(Config::read).transpose()?;
            let machine = config.as_ref().map(|config| &config.machine);
            current_report(*motor, pairs, machine)
                .map_err(|no| AgentError::Calibration(no.to_string()))
        }
        Calibration::Wheel { distance_m, runs, config } => {
            wheel::wheel(&Config::read(config)?, *distance_m, *runs)
        }
    }
}
