//! What keeping and copying a log need of files, beyond writing them.

use super::dir_storage::DirStorage;
use super::storage::Storage;
use rustix::fs::{Advice, OFlags, fadvise};
use std::fs::{File, OpenOptions};
use std::io;
use std::os::unix::fs::{FileExt, OpenOptionsExt};
use underbrush_protocol::checksum::LogCrc;

/// Bytes read at once.
pub(crate) const PIECE: usize = 64 * 1024;

/// A directory whose links, folders and devices are never followed or opened.
pub trait PlainFiles: Storage {
    /// Length of a regular file; `None` for whatever else has this name.
    fn plain_size(&self, name: &str) -> io::Result<Option<u64>>;

    /// `len` bytes from `offset`, fewer only at the end of the file. An error for
    /// anything but a regular file.
    fn read_at(&self, name: &str, offset: u64, len: usize) -> io::Result<Vec<u8>>;

    /// Asks the system to drop what it keeps of a synced file in memory, so that it is
    /// read from the medium next. Only a wish: a system may have no way to do it.
    fn forget(&self, name: &str) -> io::Result<()>;
}

/// Opens neither links nor waits for the other end of a pipe.
pub(crate) const PLAIN: OFlags = OFlags::NOFOLLOW.union(OFlags::NONBLOCK).union(OFlags::CLOEXEC);

impl PlainFiles for DirStorage {
    fn plain_size(&self, name: &str) -> io::Result<Option<u64>> {
        let found = std::fs::symlink_metadata(self.dir().join(name))?;
        Ok(found.is_file().then_some(found.len()))
    }

    fn read_at(&self, name: &str, offset: u64, len: usize) -> io::Result<Vec<u8>> {
        let flags = PLAIN.bits() as i32;
        let file = OpenOptions::new().read(true).custom_flags(flags).open(self.dir().join(name))?;
        read_piece(&file, offset, len)
    }

    fn forget(&self, name: &str) -> io::Result<()> {
        let file = OpenOptions::new().read(true).open(self.dir().join(name))?;
        Ok(fadvise(&file, 0, None, Advice::DontNeed)?)
    }
}

/// `len` bytes of an open file from `offset`, fewer only at its end.
pub(crate) fn read_piece(file: &File, offset: u64, len: usize) -> io::Result<Vec<u8>> {
    if !file.metadata()?.is_file() {
        return Err(io::Error::other("it is no regular file"));
    }
    let mut bytes = vec![0; len];
    let mut filled = 0;
    while filled < len {
        match file.read_at(&mut bytes[filled..], offset + filled as u64) {
            Ok(0) => break,
            Ok(count) => filled += count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    bytes.truncate(filled);
    Ok(bytes)
}

/// Length and CRC-32C of a whole file.
pub(crate) fn measure(files: &impl PlainFiles, name: &str) -> io::Result<(u64, u32)> {
    let mut crc = LogCrc::new();
    let mut len = 0;
    loop {
        let piece = files.read_at(name, len, PIECE)?;
        if piece.is_empty() {
            return Ok((len, crc.finish()));
        }
        crc.update(&piece);
        len += piece.len() as u64;
    }
}
