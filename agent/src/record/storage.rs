//! All file work of the recorder, behind a trait so that tests can make it fail.

use crate::error::AgentError;
use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// A directory of files.
pub trait Storage {
    /// Names of all files.
    fn list(&self) -> io::Result<Vec<String>>;
    /// Makes a new, empty file; an error if the name is taken.
    fn create(&self, name: &str) -> io::Result<Box<dyn LogFile>>;
    /// The whole content of a file.
    fn read(&self, name: &str) -> io::Result<Vec<u8>>;
    /// Gives a file another name, in one step, over any file of that name.
    fn rename(&self, from: &str, to: &str) -> io::Result<()>;
    /// Returns when names made, changed and removed so far survive a power cut.
    fn sync_dir(&self) -> io::Result<()>;
    /// Removes a file.
    fn remove(&self, name: &str) -> io::Result<()>;
}

/// An open file that grows at its end.
pub trait LogFile: Send {
    /// Appends all of `bytes`; after an error any part of them may be there.
    fn append(&mut self, bytes: &[u8]) -> io::Result<()>;
    /// Returns when the bytes appended so far survive a power cut.
    fn sync(&mut self) -> io::Result<()>;
}

/// A real directory, held by a lock as long as any clone lives.
#[derive(Clone, Debug)]
pub struct DirStorage {
    dir: PathBuf,
    _lock: Arc<File>,
}

const LOCK: &str = "agent.lock";

impl DirStorage {
    /// Makes the directory if it is missing, and locks it against a second agent.
    pub fn open(dir: &Path) -> Result<Self, AgentError> {
        let failed = |source| AgentError::Storage { dir: dir.to_owned(), source };
        fs::create_dir_all(dir).map_err(failed)?;
        let mut lock = OpenOptions::new()
            .read(true)
            .write(true)
            .create(true)
            .truncate(false)
            .open(dir.join(LOCK))
            .map_err(failed)?;
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
                return Err(AgentError::Busy { dir: dir.to_owned(), holder });
            }
            Err(TryLockError::Error(source)) => return Err(failed(source)),
        }
        // The lock holds without the number in it: a full disk must not stop the start.
        let written = lock
            .set_len(0)
            .and_then(|()| lock.rewind())
            .and_then(|()| writeln!(lock, "{}", std::process::id()));
        if let Err(error) = written {
            tracing::warn!(%error, file = LOCK, "cannot note the process id");
        }
        Ok(Self { dir: dir.to_owned(), _lock: Arc::new(lock) })
    }

    /// Where it is.
    pub fn dir(&self) -> &Path {
        &self.dir
    }
}

impl Storage for DirStorage {
    fn list(&self) -> io::Result<Vec<String>> {
        let mut names = Vec::new();
        for entry in fs::read_dir(&self.dir)? {
            // A name that is not UTF-8 is not ours.
            if let Ok(name) = entry?.file_name().into_string() {
                names.push(name);
            }
        }
        Ok(names)
    }

    fn create(&self, name: &str) -> io::Result<Box<dyn LogFile>> {
        let file = OpenOptions::new().append(true).create_new(true).open(self.dir.join(name))?;
        Ok(Box::new(file))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        fs::read(self.dir.join(name))
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        fs::rename(self.dir.join(from), self.dir.join(to))
    }

    fn sync_dir(&self) -> io::Result<()> {
        File::open(&self.dir)?.sync_all()
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        fs::remove_file(self.dir.join(name))
    }
}

impl LogFile for File {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        self.write_all(bytes)
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
        let other = DirStorage::open(dir.path()).unwrap_err();
        let told = other.to_string();
        assert!(told.contains(&std::process::id().to_string()), "{told}");
        assert_eq!(other.exit_code(), 2);
        let clone = first.clone();
        drop(first);
        assert!(DirStorage::open(dir.path()).is_err(), "the clone still holds it");
        drop(clone);
        assert!(DirStorage::open(dir.path()).is_ok());
    }
}
