//! Why the agent cannot go on. Lost or strange data are no errors: they are counted.

use crate::offload::OffloadError;
use std::io;
use std::path::PathBuf;
use underbrush_protocol::settings::SettingsError;

/// Facts for the person who runs the agent.
#[derive(Debug, thiserror::Error)]
pub enum AgentError {
    /// A settings file is wrong.
    #[error("{0}")]
    Settings(#[from] SettingsError),
    /// A file that the settings name cannot be read.
    #[error("cannot read {}: {source}", path.display())]
    Read {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A file cannot be written.
    #[error("cannot write {}: {source}", path.display())]
    Write {
        /// The file.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// A DBC file is not one.
    #[error("{}: not a DBC file that can be read: {message}", path.display())]
    Dbc {
        /// The file.
        path: PathBuf,
        /// What its parser says.
        message: String,
    },
    /// A file is no recording of a CAN bus.
    #[error(
        "{}: no candump, ASC, BLF or TRC recording: nothing in its first 64 KiB looks like one",
        .0.display()
    )]
    NotACapture(PathBuf),
    /// Another agent writes to the log directory.
    #[error(
        "{}: another underbrush-agent records here (process {holder}): stop it, \
         or give this one a `log_dir` of its own", dir.display()
    )]
    Busy {
        /// The log directory.
        dir: PathBuf,
        /// Process id of the other one, as it wrote it.
        holder: String,
    },
    /// The log cannot be written.
    #[error("{}: cannot write the log: {source}", dir.display())]
    Storage {
        /// The log directory.
        dir: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// Nothing could be copied.
    #[error("{0}")]
    Offload(#[from] OffloadError),
    /// No agent answers at its socket.
    #[error(
        "{}: no agent answers here ({source}): is it running, and is this the `control` \
         of its settings?", path.display()
    )]
    NoAnswer {
        /// The socket.
        path: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// An agent reads the port that was to be read directly.
    #[error(
        "{port}: underbrush-agent (process {process}) records from it: see `underbrush-agent status \
         --follow`, or stop it first (as installed: `systemctl stop underbrush-agent`) and start \
         it again afterwards"
    )]
    InUse {
        /// The port.
        port: String,
        /// The agent's process.
        process: u32,
    },
    /// What was to be marked is no mark.
    #[error("{0}")]
    Mark(String),
    /// What was measured does not calibrate anything.
    #[error("not calibrated: {0}")]
    Calibration(String),
    /// The agent did not store a mark.
    #[error("not marked: {0}")]
    NotStored(String),
    /// The system refused a thread, a signal handler or the like.
    #[error("the system refused what the agent needs to run: {0}")]
    System(#[source] io::Error),
}

impl AgentError {
    /// 1 where a person has to change the settings, else 2.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Settings(_)
            | Self::Read { .. }
            | Self::Dbc { .. }
            | Self::NotACapture(_)
            | Self::Mark(_)
            | Self::Calibration(_) => 1,
            Self::Offload(error) => error.exit_code(),
            Self::Busy { .. }
            | Self::Storage { .. }
            | Self::Write { .. }
            | Self::NoAnswer { .. }
            | Self::InUse { .. }
            | Self::NotStored(_)
            | Self::System(_) => 2,
        }
    }
}
