//! Records what a scrubber's bridge says into a log that survives the key switch.
//!
//! One way for data: [`source`] gives bytes, [`intake`] (pure) makes entries of
//! them, [`ring`] holds back what is at full rate, [`record`] writes the rest to a journal and
//! seals it into an archive.
//!
//! ```text
//! serial, capture   -> intake::Intake      \
//! candump, CAN      -> decode::CanIntake   -> record::Recorder -> record::seal
//! ```
//!
//! [`run_blocking`] is all of it, by a [`Config`]; [`record_chunks`] takes bytes from memory.
#![forbid(unsafe_code)]

mod board;
pub mod calibrate;
pub mod check;
pub mod clock;
pub mod config;
pub mod control;
pub mod decode;
mod direct;
mod error;
mod follow;
pub mod intake;
pub mod learn;
mod loss;
mod mark;
pub mod offload;
mod outcome;
mod recent;
pub mod record;
pub mod ring;
mod run;
pub mod source;
mod status;
pub mod tick_clock;
pub mod watch;

pub use config::Config;
pub use error::AgentError;
pub use follow::{FollowForm, follow};
pub use outcome::{Outcome, Progress};
pub use run::{record_chunks, record_judged, run_blocking};
pub use status::{AlarmOn, ClockState, DiskState, SourceState, Status};
