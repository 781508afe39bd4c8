//! Sets a machine's readings right by an instrument: the current by a clamp meter.
//!
//! Nothing is written: the person who measured puts the lines into the machine file.

mod current;
mod line;

pub use current::current_report;
pub use line::{Errors, Line, NoLine, Pair, line};

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
    }
}
