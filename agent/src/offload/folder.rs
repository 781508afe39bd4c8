//! A real directory by its open handle.
//!
//! All names are looked up from the handle, not from a path: when a stick is pulled and
//! its mount point is only a folder again, nothing is written there. Links are never
//! followed; only regular files are opened.

use crate::record::{LogFile, PLAIN, PlainFiles, Storage, read_piece};
use rustix::fs::{
    Advice, AtFlags, CWD, Dir, FileType, FlockOperation, Mode, OFlags, fadvise, flock, fstat,
    fstatvfs, fsync, mkdirat, openat, renameat, statat, unlinkat,
};
use std::fs::File;
use std::io::{self, ErrorKind};
use std::os::fd::OwnedFd;
use std::path::Path;

/// An open directory.
#[derive(Debug)]
pub(crate) struct Folder(OwnedFd);

const OPEN_DIR: OFlags = OFlags::DIRECTORY.union(OFlags::CLOEXEC);

impl Folder {
    /// Opens a directory that a person named; it may be a link.
    pub(crate) fn open(path: &Path) -> io::Result<Self> {
        Ok(Self(openat(CWD, path, OPEN_DIR, Mode::empty())?))
    }

    /// Opens the directory `name` in this one, and makes it if it is missing.
    pub(crate) fn inside(&self, name: &str) -> io::Result<Self> {
        match mkdirat(&self.0, name, Mode::from_raw_mode(0o777)) {
            Ok(()) => self.sync_dir()?,
            Err(rustix::io::Errno::EXIST) => {}
            Err(error) => return Err(error.into()),
        }
        Ok(Self(openat(&self.0, name, OPEN_DIR | OFlags::NOFOLLOW, Mode::empty())?))
    }

    /// Whether both are on the same file system.
    pub(crate) fn shares_disk_with(&self, other: &Self) -> io::Result<bool> {
        Ok(fstat(&self.0)?.st_dev == fstat(&other.0)?.st_dev)
    }

    /// Takes the lock file `name`; it is free again when the value goes. An error of kind
    /// `WouldBlock` if another process has it.
    pub(crate) fn lock(&self, name: &str) -> io::Result<File> {
        let flags = OFlags::CREATE | OFlags::RDWR | PLAIN;
        let file = openat(&self.0, name, flags, Mode::from_raw_mode(0o666))?;
        flock(&file, FlockOperation::NonBlockingLockExclusive)?;
        Ok(file.into())
    }

    fn open_plain(&self, name: &str) -> io::Result<File> {
        Ok(openat(&self.0, name, OFlags::RDONLY | PLAIN, Mode::empty())?.into())
    }
}

impl Storage for Folder {
    fn list(&self) -> io::Result<Vec<String>> {
        let mut names = Vec::new();
        for entry in Dir::read_from(&self.0)? {
            // A name that is not UTF-8 is not ours.
            if let Ok(name) = entry?.file_name().to_str()
                && !matches!(name, "." | "..")
            {
                names.push(name.to_owned());
            }
        }
        Ok(names)
    }

    fn size(&self, name: &str) -> io::Result<u64> {
        self.plain_size(name)?.ok_or_else(|| io::Error::other("it is no regular file"))
    }

    fn create(&self, name: &str) -> io::Result<Box<dyn LogFile>> {
        let flags = OFlags::CREATE | OFlags::EXCL | OFlags::WRONLY | PLAIN;
        let file = openat(&self.0, name, flags, Mode::from_raw_mode(0o666))?;
        Ok(Box::new(File::from(file)))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        let size = self.size(name)?;
        self.read_at(name, 0, usize::try_from(size).map_err(|_| ErrorKind::FileTooLarge)?)
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        Ok(renameat(&self.0, from, &self.0, to)?)
    }

    fn sync_dir(&self) -> io::Result<()> {
        Ok(fsync(&self.0)?)
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        Ok(unlinkat(&self.0, name, AtFlags::empty())?)
    }

    fn free_bytes(&self) -> io::Result<u64> {
        let fs = fstatvfs(&self.0)?;
        Ok(fs.f_bavail.saturating_mul(fs.f_frsize))
    }
}

impl PlainFiles for Folder {
    fn plain_size(&self, name: &str) -> io::Result<Option<u64>> {
        let found = statat(&self.0, name, AtFlags::SYMLINK_NOFOLLOW)?;
        let plain = FileType::from_raw_mode(found.st_mode) == FileType::RegularFile;
        Ok(plain.then_some(found.st_size as u64))
    }

    fn read_at(&self, name: &str, offset: u64, len: usize) -> io::Result<Vec<u8>> {
        read_piece(&self.open_plain(name)?, offset, len)
    }

    fn forget(&self, name: &str) -> io::Result<()> {
        Ok(fadvise(self.open_plain(name)?, 0, None, Advice::DontNeed)?)
    }
}
