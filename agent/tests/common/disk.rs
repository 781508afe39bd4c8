//! A disk in memory that can fill up, fail and lose power.
//!
//! Model of a power cut: of names only those of the last directory sync are left,
//! of each file what was synced and any prefix of what was written after that.

use std::collections::BTreeMap;
use std::io;
use std::sync::{Arc, Mutex, MutexGuard};
use underbrush_agent::record::{LogFile, Storage};

#[derive(Clone, Default)]
pub(crate) struct Disk(Arc<Mutex<State>>);

#[derive(Default)]
pub(crate) struct State {
    names: BTreeMap<String, usize>,
    safe_names: BTreeMap<String, usize>,
    files: Vec<File>,
    /// Bytes that can still be written; `None`: no limit.
    pub(crate) room: Option<usize>,
    pub(crate) sync_fails: bool,
    /// Operations until the power goes.
    pub(crate) power_left: Option<usize>,
    /// Operations so far.
    pub(crate) operations: usize,
    /// File syncs that worked so far.
    pub(crate) syncs: usize,
}

#[derive(Clone, Default)]
struct File {
    bytes: Vec<u8>,
    safe_len: usize,
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

    fn file(&self, name: &str) -> io::Result<usize> {
        self.names.get(name).copied().ok_or_else(|| io::ErrorKind::NotFound.into())
    }
}

impl Disk {
    pub(crate) fn state(&self) -> MutexGuard<'_, State> {
        self.0.lock().unwrap()
    }

    /// The disk as the next start finds it; `kept` of 4 parts of unsynced bytes are there.
    pub(crate) fn after_power_cut(&self, kept: usize) -> Self {
        let old = self.state();
        let cut = |file: &File| {
            let len = file.safe_len + (file.bytes.len() - file.safe_len) * kept / 4;
            File { bytes: file.bytes[..len].to_vec(), safe_len: len }
        };
        let names = old.safe_names.clone();
        let files = old.files.iter().map(cut).collect();
        let state = State { safe_names: names.clone(), names, files, ..State::default() };
        Self(Arc::new(Mutex::new(state)))
    }

    /// Content of all files by name.
    pub(crate) fn contents(&self) -> Vec<(String, Vec<u8>)> {
        let state = self.state();
        let bytes = |file: &usize| state.files[*file].bytes.clone();
        state.names.iter().map(|(name, file)| (name.clone(), bytes(file))).collect()
    }
}

impl Storage for Disk {
    fn list(&self) -> io::Result<Vec<String>> {
        let mut state = self.state();
        state.step()?;
        Ok(state.names.keys().cloned().collect())
    }

    fn create(&self, name: &str) -> io::Result<Box<dyn LogFile>> {
        let mut state = self.state();
        state.step()?;
        if state.names.contains_key(name) {
            return Err(io::ErrorKind::AlreadyExists.into());
        }
        let file = state.files.len();
        state.files.push(File::default());
        state.names.insert(name.to_owned(), file);
        Ok(Box::new(Open { disk: self.clone(), file }))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        let mut state = self.state();
        state.step()?;
        let file = state.file(name)?;
        Ok(state.files[file].bytes.clone())
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        let mut state = self.state();
        state.step()?;
        let file = state.file(from)?;
        state.names.remove(from);
        state.names.insert(to.to_owned(), file);
        Ok(())
    }

    fn sync_dir(&self) -> io::Result<()> {
        let mut state = self.state();
        state.step()?;
        state.safe_names = state.names.clone();
        Ok(())
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        let mut state = self.state();
        state.step()?;
        state.file(name)?;
        state.names.remove(name);
        Ok(())
    }
}

impl LogFile for Open {
    fn append(&mut self, bytes: &[u8]) -> io::Result<()> {
        let mut state = self.disk.state();
        state.step()?;
        let fits = state.room.map_or(bytes.len(), |room| room.min(bytes.len()));
        if let Some(room) = &mut state.room {
            *room -= fits;
        }
        state.files[self.file].bytes.extend_from_slice(&bytes[..fits]);
        if fits < bytes.len() { Err(io::ErrorKind::StorageFull.into()) } else { Ok(()) }
    }

    fn sync(&mut self) -> io::Result<()> {
        let mut state = self.disk.state();
        state.step()?;
        if state.sync_fails {
            return Err(io::Error::other("sync failed"));
        }
        state.syncs += 1;
        let file = &mut state.files[self.file];
        file.safe_len = file.bytes.len();
        Ok(())
    }
}
