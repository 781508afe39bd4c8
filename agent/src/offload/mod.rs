//! Copies the log of a machine to a stick or a share, also while the agent records.
//!
//! * destination: the directory that a person names; each machine gets a folder in it,
//!   which the report reads like a log directory. * place: such a folder. * snapshot: a
//!   copy of a journal, which may be longer the next time.
//!
//! An archive gets its name at the destination only when it is whole there and was read
//! again (`copy.rs`). Then, and only then, the machine's `copied.list` may say so, which
//! lets the agent remove the archive when room is short.

mod copy;
mod folder;
mod place;
mod report;
mod round;

pub use report::{Offload, Stop};
pub use round::{RoundError, copy_log};

use crate::config::Config;
use folder::Folder;
use place::folder_name;
use std::hash::{BuildHasher, Hasher};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};
use std::time::Duration;

const LOCK: &str = "offload.lock";
const LIST_LOCK: &str = "copied.lock";
/// The list is written in moments.
const LIST_LOCK_TRIES: u32 = 100;
const LIST_LOCK_PAUSE: Duration = Duration::from_millis(50);

/// Why nothing was copied.
#[derive(Debug, thiserror::Error)]
pub enum OffloadError {
    /// It is not there, or no directory.
    #[error("{}: cannot be used as a destination: {source}: is the stick mounted?", dir.display())]
    Destination {
        /// The directory.
        dir: PathBuf,
        /// Why.
        source: io::Error,
    },
    /// It is on the disk that it should protect from.
    #[error(
        "{}: is on the same file system as the log: is the stick mounted? \
         `--same-disk` copies all the same", dir.display()
    )]
    SameDisk {
        /// The directory.
        dir: PathBuf,
    },
    /// Another one copies there.
    #[error("{}: another offload copies to it: wait until it is done", dir.display())]
    Busy {
        /// The directory.
        dir: PathBuf,
    },
    /// The machine's folder there cannot be used.
    #[error("{}: {message}", dir.display())]
    Place {
        /// The folder.
        dir: PathBuf,
        /// Why.
        message: String,
    },
    /// The log cannot be read.
    #[error("{}: cannot read the log: {source}", dir.display())]
    Log {
        /// The log directory.
        dir: PathBuf,
        /// Why.
        source: io::Error,
    },
}

impl OffloadError {
    /// 1 where a person has to name another directory, else 2.
    pub fn exit_code(&self) -> u8 {
        match self {
            Self::Destination { .. } | Self::SameDisk { .. } => 1,
            Self::Busy { .. } | Self::Place { .. } | Self::Log { .. } => 2,
        }
    }
}

/// How to copy.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct OffloadOptions {
    /// Read all again, also what the lists say is there.
    pub check: bool,
    /// Copy also to the file system that the log is on.
    pub same_disk: bool,
}

/// Copies the log of `config` to `dir`, which must be there.
pub fn offload(
    config: &Config,
    dir: &Path,
    options: OffloadOptions,
) -> Result<Offload, OffloadError> {
    let log_failed = |source| OffloadError::Log { dir: config.log_dir.clone(), source };
    let unusable = |source| OffloadError::Destination { dir: dir.to_owned(), source };
    let log = Folder::open(&config.log_dir).map_err(log_failed)?;
    let destination = Folder::open(dir).map_err(unusable)?;
    if !options.same_disk && log.shares_disk_with(&destination).map_err(unusable)? {
        return Err(OffloadError::SameDisk { dir: dir.to_owned() });
    }
    let _held = match destination.lock(LOCK) {
        Ok(lock) => Some(lock),
        Err(error) if error.kind() == ErrorKind::WouldBlock => {
            return Err(OffloadError::Busy { dir: dir.to_owned() });
        }
        Err(error) if is_without_locks(&error) => {
            tracing::warn!(%error, "no locks there: do not start a second offload to it");
            None
        }
        Err(error) => return Err(unusable(error)),
    };
    let name = folder_name(&config.machine.id);
    let in_place = |message| OffloadError::Place { dir: dir.join(&name), message };
    let place = destination.inside(&name).map_err(|error| in_place(error.to_string()))?;
    // Random enough to tell sticks apart.
    let fresh = std::hash::RandomState::new().build_hasher().finish();
    copy_log(&log, &place, &config.machine.id, options.check, fresh, &|| lock_list(&log)).map_err(
        |error| match error {
            RoundError::Log(source) => log_failed(source),
            RoundError::Place(message) => in_place(message),
        },
    )
}

/// Some network file systems have none (ENOLCK, ENOSYS, EOPNOTSUPP).
fn is_without_locks(error: &io::Error) -> bool {
    use rustix::io::Errno;
    [Errno::NOLCK, Errno::NOSYS, Errno::OPNOTSUPP]
        .into_iter()
        .any(|errno| Errno::from_io_error(error) == Some(errno))
}

fn lock_list(log: &Folder) -> io::Result<Option<std::fs::File>> {
    for _ in 0..LIST_LOCK_TRIES {
        match log.lock(LIST_LOCK) {
            Err(error) if error.kind() == ErrorKind::WouldBlock => {
                std::thread::sleep(LIST_LOCK_PAUSE);
            }
            Err(error) if is_without_locks(&error) => return Ok(None),
            other => return other.map(Some),
        }
    }
    Err(ErrorKind::WouldBlock.into())
}
