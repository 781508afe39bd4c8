//! A real directory as [`Storage`], held by a lock against a second writer.
//!
//! The directory may be away or read-only at the start and come back later: each
//! piece of work first takes the lock if it is not held. The lock goes with the
//! process, however that ends.

use super::storage::{LogFile, Storage};
use crate::error::AgentError;
use rustix::fs::{FallocateFlags, fallocate, statvfs};
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::os::unix::fs::{FileExt, MetadataExt};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex, PoisonError};

/// A directory; its clones share one lock.
#[derive(Clone, Debug)]
pub struct DirStorage {
    dir: PathBuf,
    lock: Arc<Mutex<Option<File>>>,
}

const LOCK: &str = "agent.lock";

impl DirStorage {
    /// Makes the directory if it is missing, and locks it against a second agent.
    pub fn open(dir: &Path) -> Result<Self, AgentError> {
        let storage = Self::open_later(dir);
        storage.hold().map_err(|refusal| refusal.into_error(dir))?;
        Ok(storage)
    }

    /// The same, but a directory that cannot be had at the moment is tried again with
    /// each use. Only one that another agent holds is an error.
    pub fn open_waiting(dir: &Path) -> Result<Self, AgentError> {
        let storage = Self::open_later(dir);
        match storage.hold() {
            Err(refusal @ Refusal::Held(_)) => Err(refusal.into_error(dir)),
            Ok(()) | Err(Refusal::Io(_)) => Ok(storage),
        }
    }

    fn open_later(dir: &Path) -> Self {
        Self { dir: dir.to_owned(), lock: Arc::default() }
    }

    /// Where it is.
    pub fn dir(&self) -> &Path {
        &self.dir
    }

    fn path(&self, name: &str) -> io::Result<PathBuf> {
        self.hold()?;
        Ok(self.dir.join(name))
    }

    fn hold(&self) -> Result<(), Refusal> {
        // A panic elsewhere leaves the lock as it was.
        let mut held = self.lock.lock().unwrap_or_else(PoisonError::into_inner);
        if held.as_ref().is_some_and(|file| self.is_there(file)) {
            return Ok(());
        }
        // Of a file system that was taken away: it says nothing of the one in its place.
        *held = None;
        *held = Some(take_lock(&self.dir)?);
        Ok(())
    }

    /// Whether the lock that is held is the one in the directory.
    fn is_there(&self, held: &File) -> bool {
        let same = |there: fs::Metadata| {
            held.metadata().map(|held| (held.dev(), held.ino()) == (there.dev(), there.ino()))
        };
        fs::metadata(self.dir.join(LOCK)).and_then(same).unwrap_or(false)
    }
}

/// Why the directory is not ours.
enum Refusal {
    /// Another agent, with this process id, holds it.
    Held(String),
    Io(io::Error),
}

impl Refusal {
    fn into_error(self, dir: &Path) -> AgentError {
        let dir = dir.to_owned();
        match self {
            Self::Held(holder) => AgentError::Busy { dir, holder },
            Self::Io(source) => AgentError::Storage { dir, source },
        }
    }
}

impl From<io::Error> for Refusal {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

impl From<Refusal> for io::Error {
    fn from(refusal: Refusal) -> Self {
        match refusal {
            Refusal::Held(holder) => {
                io::Error::other(format!("another agent (process {holder}) records here"))
            }
            Refusal::Io(error) => error,
        }
    }
}

fn take_lock(dir: &Path) -> Result<File, Refusal> {
    fs::create_dir_all(dir)?;
    let path = dir.join(LOCK);
    let mut lock =
        OpenOptions::new().read(true).write(true).create(true).truncate(false).open(path)?;
    match lock.try_lock() {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let mut holder = String::new();
            // What stands there is only for the message.
            let _ = lock.take(32).read_to_string(&mut holder);
            let holder = match holder.trim() {
                "" => "unknown".to_owned(),
                id => id.to_owned(),
            };
            return Err(Refusal::Held(holder));
        }
        Err(TryLockError::Error(error)) => return Err(error.into()),
    }
    // The lock holds without the number in it: a full disk must not stop the start.
    let written = lock
        .set_len(0)
        .and_then(|()| lock.rewind())
        .and_then(|()| writeln!(lock, "{}", std::process::id()));
    if let Err(error) = written {
        tracing::warn!(%error, file = LOCK, "cannot note the process id");
    }
    Ok(lock)
}

impl Storage for DirStorage {
    fn list(&self) -> io::Result<Vec<String>> {
        self.hold()?;
        let mut names = Vec::new();
        for entry in fs::read_dir(&self.dir)? {
            // A name that is not UTF-8 is not ours.
            if let Ok(name) = entry?.file_name().into_string() {
                names.push(name);
            }
        }
        Ok(names)
    }

    fn size(&self, name: &str) -> io::Result<u64> {
        Ok(fs::metadata(self.path(name)?)?.len())
    }

    fn create(&self, name: &str) -> io::Result<Box<dyn LogFile>> {
        let file = OpenOptions::new().write(true).create_new(true).open(self.path(name)?)?;
        Ok(Box::new(file))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        fs::read(self.path(name)?)
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        fs::rename(self.path(from)?, self.dir.join(to))
    }

    fn sync_dir(&self) -> io::Result<()> {
        self.hold()?;
        File::open(&self.dir)?.sync_all()
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        fs::remove_file(self.path(name)?)
    }

    fn free_bytes(&self) -> io::Result<u64> {
        let fs = statvfs(&self.dir)?;
        Ok(fs.f_bavail.saturating_mul(fs.f_frsize))
    }
}

impl LogFile for File {
    fn write_at(&mut self, bytes: &[u8], offset: u64) -> io::Result<usize> {
        FileExt::write_at(self, bytes, offset)
    }

    fn reserve(&mut self, len: u64) -> io::Result<()> {
        Ok(fallocate(&*self, FallocateFlags::empty(), 0, len)?)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.sync_data()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_second_writer_is_refused_and_told_who_holds_the_directory() {
        let dir = tempfile::tempdir().unwrap();
        let first = DirStorage::open(dir.path()).unwrap();
        for other in [DirStorage::open(dir.path()), DirStorage::open_waiting(dir.path())] {
            let other = other.unwrap_err();
            let told = other.to_string();
            assert!(told.contains(&std::process::id().to_string()), "{told}");
            assert_eq!(other.exit_code(), 2);
        }
        let clone = first.clone();
        drop(first);
        assert!(DirStorage::open(dir.path()).is_err(), "the clone still holds it");
        drop(clone);
        assert!(DirStorage::open(dir.path()).is_ok());
    }

    #[test]
    fn a_directory_that_comes_back_is_locked_again() {
        let dir = tempfile::tempdir().unwrap();
        let log = dir.path().join("card/log");
        fs::write(dir.path().join("card"), "in the way").unwrap();
        assert!(DirStorage::open(&log).is_err());
        let waiting = DirStorage::open_waiting(&log).unwrap();
        assert!(waiting.list().is_err());
        fs::remove_file(dir.path().join("card")).unwrap();
        assert_eq!(waiting.list().unwrap(), [LOCK]);
        // The card is taken away and another one is put in.
        fs::rename(dir.path().join("card"), dir.path().join("away")).unwrap();
        assert_eq!(waiting.list().unwrap(), [LOCK]);
        assert!(DirStorage::open(&log).is_err(), "the new one is locked too");
        assert!(DirStorage::open(&dir.path().join("away/log")).is_ok(), "the old one is free");
    }
}
