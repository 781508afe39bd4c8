//! All file work of the recorder, behind a trait so that tests can make it fail.

use std::io::{self, ErrorKind};

/// A directory of files.
pub trait Storage {
    /// Names of all files.
    fn list(&self) -> io::Result<Vec<String>>;
    /// Length of a file in bytes.
    fn size(&self, name: &str) -> io::Result<u64>;
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
    /// Bytes that can still be written to the file system.
    fn free_bytes(&self) -> io::Result<u64>;
}

/// An open file.
pub trait LogFile: Send {
    /// Writes at a place and says how many bytes; like `pwrite` of POSIX it may take
    /// fewer than given, and may be interrupted before it took any.
    fn write_at(&mut self, bytes: &[u8], offset: u64) -> io::Result<usize>;
    /// Sets room aside so that the file is `len` bytes long, zero where never written.
    fn reserve(&mut self, len: u64) -> io::Result<()>;
    /// Returns when the bytes written so far survive a power cut.
    fn sync(&mut self) -> io::Result<()>;
}

/// Writes a file from its beginning, piece after piece.
pub struct Appender {
    file: Box<dyn LogFile>,
    len: u64,
    reserved: u64,
}

impl Appender {
    /// For a new, empty file.
    pub fn new(file: Box<dyn LogFile>) -> Self {
        Self { file, len: 0, reserved: 0 }
    }

    /// Bytes written.
    pub fn len(&self) -> u64 {
        self.len
    }

    /// Whether nothing is written.
    pub fn is_empty(&self) -> bool {
        self.len == 0
    }

    /// Appends all of `bytes`; after an error any part of them may be there.
    pub fn append(&mut self, mut bytes: &[u8]) -> io::Result<()> {
        while !bytes.is_empty() {
            match self.file.write_at(bytes, self.len) {
                Ok(0) => return Err(ErrorKind::WriteZero.into()),
                Ok(taken) => {
                    let taken = taken.min(bytes.len());
                    self.len += taken as u64;
                    bytes = &bytes[taken..];
                }
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
        Ok(())
    }

    /// Sets room aside for `more` bytes, in steps of `step`. An allocated file needs
    /// fewer writes of the file system per sync. Without room, or on a file system that
    /// cannot, the file grows as it is written.
    pub fn reserve(&mut self, more: u64, step: u64) {
        let needed = self.len + more;
        if needed > self.reserved {
            // Tried once for each step, whatever comes of it.
            self.reserved = needed.next_multiple_of(step.max(1));
            let _ = self.file.reserve(self.reserved);
        }
    }

    /// Returns when everything appended survives a power cut.
    pub fn sync(&mut self) -> io::Result<()> {
        loop {
            match self.file.sync() {
                Err(error) if error.kind() == ErrorKind::Interrupted => {}
                other => return other,
            }
        }
    }
}
