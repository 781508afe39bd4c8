//! A disk in memory that fills up, fails and loses power.
//!
//! * cache: what processes see. * safe: what a power cut leaves for certain.
//! * waiting: writes and changes of names since the last sync; of these a power cut
//!   leaves what [`super::power`] decides.
//!
//! A failed sync loses its writes for good, though the cache still shows them and the
//! next sync succeeds: so Linux does it (from memory).

use super::dice::Dice;
use std::collections::BTreeMap;
use std::io::{self, ErrorKind};
use std::sync::{Arc, Mutex, MutexGuard};
use underbrush_agent::record::{LogFile, Storage};

#[derive(Clone, Default)]
pub(crate) struct Disk(pub(super) Arc<Mutex<State>>);

pub(crate) type Names = BTreeMap<String, usize>;

#[derive(Default)]
pub(crate) struct State {
    pub(super) names: Names,
    pub(super) safe_names: Names,
    /// Changes of names since the last directory sync.
    pub(super) waiting: Vec<NameChange>,
    pub(super) files: Vec<File>,
    /// Bytes that can still be written; `None`: no limit.
    pub(crate) room: Option<usize>,
    pub(crate) sync_fails: bool,
    pub(crate) read_only: bool,
    /// Faults by chance.
    pub(crate) faults: Option<Faults>,
    /// Operations until the power goes.
    pub(crate) power_left: Option<usize>,
    /// Operations so far.
    pub(crate) operations: usize,
    /// File syncs that worked so far.
    pub(crate) syncs: usize,
    /// Errors given so far, less interruptions and short writes.
    pub(crate) errors: usize,
    /// Bytes written.
    pub(crate) written: u64,
}

/// How often each goes wrong, in a thousand.
pub(crate) struct Faults {
    pub(crate) dice: Dice,
    pub(crate) short_write: u32,
    pub(crate) interrupted: u32,
    pub(crate) write_error: u32,
    pub(crate) sync_error: u32,
    pub(crate) other_error: u32,
}

#[derive(Clone, Debug)]
pub(super) enum NameChange {
    Create(String, usize),
    Rename(String, String),
    Remove(String),
}

impl NameChange {
    pub(super) fn apply(&self, names: &mut Names) {
        match self {
            Self::Create(name, file) => {
                names.insert(name.clone(), *file);
            }
            Self::Rename(from, to) => {
                if let Some(file) = names.remove(from) {
                    names.insert(to.clone(), file);
                }
            }
            Self::Remove(name) => {
                names.remove(name);
            }
        }
    }
}

#[derive(Clone, Default)]
pub(super) struct File {
    pub(super) bytes: Vec<u8>,
    pub(super) safe: Vec<u8>,
    /// Offset and bytes of each write since the last sync.
    pub(super) waiting: Vec<(usize, Vec<u8>)>,
}

struct Open {
    disk: Disk,
    file: usize,
}

impl State {
    fn step(&mut self) -> io::Result<()> {
        if self.power_left.is_some_and(|left| self.operations >= left) {
            return Err(io::Error::other("no power"));
        }
        self.operations += 1;
        Ok(())
    }

    /// An operation on names; `writes` if it changes something.
    fn name_step(&mut self, writes: bool) -> io::Result<()> {
        self.step()?;
        let unlucky =
            self.faults.as_mut().is_some_and(|faults| faults.dice.in_1000(faults.other_error));
        if unlucky {
            self.errors += 1;
            return Err(eio());
        }
        if writes && self.read_only {
            self.errors += 1;
            return Err(ErrorKind::ReadOnlyFilesystem.into());
        }
        Ok(())
    }

    fn file(&self, name: &str) -> io::Result<usize> {
        self.names.get(name).copied().ok_or_else(|| ErrorKind::NotFound.into())
    }

    fn change(&mut self, change: NameChange) {
        change.apply(&mut self.names);
        self.waiting.push(change);
    }

    fn interrupted(&mut self) -> bool {
        self.faults.as_mut().is_some_and(|faults| faults.dice.in_1000(faults.interrupted))
    }
}

/// EIO, "input/output error".
fn eio() -> io::Error {
    io::Error::from_raw_os_error(5)
}

impl Disk {
    pub(crate) fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap()
    }

    /// Whether the power is gone.
    pub(crate) fn dark(&self) -> bool {
        let state = self.state();
        state.power_left.is_some_and(|left| state.operations >= left)
    }

    /// Content of all files by name.
    pub(crate) fn contents(&self) -> Vec<(String, Vec<u8>)> {
        let state = self.state();
        let bytes = |file: &usize| state.files[*file].bytes.clone();
        state.names.iter().map(|(name, file)| (name.clone(), bytes(file))).collect()
    }

    /// Changes one file as a bad cell of a card would.
    pub(crate) fn damage(&self, name: &str, change: impl FnOnce(&mut Vec<u8>)) {
        let mut state = self.state();
        let file = state.names[name];
        let file = &mut state.files[file];
        change(&mut file.bytes);
        file.safe.clone_from(&file.bytes);
    }
}

impl Storage for Disk {
    fn list(&self) -> io::Result<Vec<String>> {
        let mut state = self.state();
        state.name_step(false)?;
        Ok(state.names.keys().cloned().collect())
    }

    fn size(&self, name: &str) -> io::Result<u64> {
        let mut state = self.state();
        state.name_step(false)?;
        let file = state.file(name)?;
        Ok(state.files[file].bytes.len() as u64)
    }

    fn create(&self, name: &str) -> io::Result<Box<dyn LogFile>> {
        let mut state = self.state();
        state.name_step(true)?;
        if state.names.contains_key(name) {
            return Err(ErrorKind::AlreadyExists.into());
        }
        let file = state.files.len();
        state.files.push(File::default());
        state.change(NameChange::Create(name.to_owned(), file));
        Ok(Box::new(Open { disk: self.clone(), file }))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        let mut state = self.state();
        state.name_step(false)?;
        let file = state.file(name)?;
        Ok(state.files[file].bytes.clone())
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        let mut state = self.state();
        state.name_step(true)?;
        state.file(from)?;
        state.change(NameChange::Rename(from.to_owned(), to.to_owned()));
        Ok(())
    }

    fn sync_dir(&self) -> io::Result<()> {
        let mut state = self.state();
        state.name_step(true)?;
        state.safe_names = state.names.clone();
        state.waiting.clear();
        Ok(())
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        let mut state = self.state();
        state.name_step(true)?;
        state.file(name)?;
        state.change(NameChange::Remove(name.to_owned()));
        Ok(())
    }

    fn free_bytes(&self) -> io::Result<u64> {
        let mut state = self.state();
        state.name_step(false)?;
        Ok(state.room.map_or(u64::MAX, |room| room as u64))
    }
}

impl LogFile for Open {
    fn write_at(&mut self, bytes: &[u8], offset: u64) -> io::Result<usize> {
        let mut state = self.disk.state();
        state.step()?;
        if state.interrupted() {
            return Err(ErrorKind::Interrupted.into());
        }
        let mut taken = bytes.len();
        if let Some(faults) = &mut state.faults {
            if faults.dice.in_1000(faults.write_error) {
                state.errors += 1;
                return Err(eio());
            }
            if faults.dice.in_1000(faults.short_write) {
                taken = 1 + faults.dice.below(taken);
            }
        }
        if state.read_only {
            state.errors += 1;
            return Err(ErrorKind::ReadOnlyFilesystem.into());
        }
        taken = state.room.map_or(taken, |room| room.min(taken));
        if taken == 0 && !bytes.is_empty() {
            state.errors += 1;
            return Err(ErrorKind::StorageFull.into());
        }
        if let Some(room) = &mut state.room {
            *room -= taken;
        }
        state.written += taken as u64;
        let file = &mut state.files[self.file];
        place(&mut file.bytes, offset as usize, &bytes[..taken]);
        file.waiting.push((offset as usize, bytes[..taken].to_vec()));
        Ok(taken)
    }

    fn reserve(&mut self, len: u64) -> io::Result<()> {
        let mut state = self.disk.state();
        state.step()?;
        let file = &mut state.files[self.file];
        let len = (len as usize).max(file.bytes.len());
        file.bytes.resize(len, 0);
        // Its length is no data: like a write of nothing at its end.
        file.waiting.push((len, Vec::new()));
        Ok(())
    }

    fn sync(&mut self) -> io::Result<()> {
        let mut state = self.disk.state();
        state.step()?;
        if state.interrupted() {
            return Err(ErrorKind::Interrupted.into());
        }
        let unlucky =
            state.faults.as_mut().is_some_and(|faults| faults.dice.in_1000(faults.sync_error));
        if state.sync_fails || unlucky {
            state.errors += 1;
            state.files[self.file].waiting.clear();
            return Err(eio());
        }
        state.syncs += 1;
        let file = &mut state.files[self.file];
        for (offset, bytes) in std::mem::take(&mut file.waiting) {
            place(&mut file.safe, offset, &bytes);
        }
        Ok(())
    }
}

/// Writes `bytes` at `offset`; a hole before it is zero.
pub(super) fn place(file: &mut Vec<u8>, offset: usize, bytes: &[u8]) {
    let end = offset + bytes.len();
    if file.len() < end {
        file.resize(end, 0);
    }
    file[offset..end].copy_from_slice(bytes);
}
