//! Two disks, the machine's and a stick, with one count of operations: at any of them
//! the stick is pulled, the power goes, or something fails.

use super::disk::Disk;
use std::io;
use std::sync::{Arc, Mutex};
use underbrush_agent::record::{LogFile, PlainFiles, Storage};

/// What goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Trouble {
    /// From then on nothing of the stick works.
    Pulled,
    /// From then on nothing works.
    Dark,
    /// This one operation fails.
    Fails,
    /// A bit of the file changes when the system drops its copy.
    Flips,
}

#[derive(Default)]
pub(crate) struct Script {
    pub(crate) operations: usize,
    pub(crate) trouble: Option<(usize, Trouble)>,
    /// Bits changed so far.
    pub(crate) flipped: usize,
}

/// One of the two.
#[derive(Clone)]
pub(crate) struct Side {
    pub(crate) disk: Disk,
    pub(crate) script: Arc<Mutex<Script>>,
    stick: bool,
    /// Says that there is room whatever the disk holds, as some file systems do.
    pub(crate) boasts: bool,
}

/// The machine's side and the stick's.
pub(crate) fn sides(machine: &Disk, stick: &Disk) -> (Side, Side) {
    let script = Arc::new(Mutex::new(Script::default()));
    let side = |disk: &Disk, stick| Side {
        disk: disk.clone(),
        script: script.clone(),
        stick,
        boasts: false,
    };
    (side(machine, false), side(stick, true))
}

impl Side {
    fn step(&self) -> io::Result<()> {
        let mut script = self.script.lock().unwrap();
        let number = script.operations;
        script.operations += 1;
        let fails = match script.trouble {
            Some((at, Trouble::Pulled)) => self.stick && number >= at,
            Some((at, Trouble::Dark)) => number >= at,
            Some((at, Trouble::Fails)) => number == at,
            Some((_, Trouble::Flips)) | None => false,
        };
        if fails { Err(io::Error::from_raw_os_error(5)) } else { Ok(()) }
    }
}

struct Open {
    side: Side,
    file: Box<dyn LogFile>,
}

impl Storage for Side {
    fn list(&self) -> io::Result<Vec<String>> {
        self.step()?;
        self.disk.list()
    }

    fn size(&self, name: &str) -> io::Result<u64> {
        self.step()?;
        self.disk.size(name)
    }

    fn create(&self, name: &str) -> io::Result<Box<dyn LogFile>> {
        self.step()?;
        let file = self.disk.create(name)?;
        Ok(Box::new(Open { side: self.clone(), file }))
    }

    fn read(&self, name: &str) -> io::Result<Vec<u8>> {
        self.step()?;
        self.disk.read(name)
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        self.step()?;
        self.disk.rename(from, to)
    }

    fn sync_dir(&self) -> io::Result<()> {
        self.step()?;
        self.disk.sync_dir()
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        self.step()?;
        self.disk.remove(name)
    }

    fn free_bytes(&self) -> io::Result<u64> {
        self.step()?;
        if self.boasts { Ok(u64::MAX) } else { self.disk.free_bytes() }
    }
}

impl PlainFiles for Side {
    fn plain_size(&self, name: &str) -> io::Result<Option<u64>> {
        self.step()?;
        self.disk.size(name).map(Some)
    }

    fn read_at(&self, name: &str, offset: u64, len: usize) -> io::Result<Vec<u8>> {
        self.step()?;
        let bytes = self.disk.read(name)?;
        let from = (offset as usize).min(bytes.len());
        Ok(bytes[from..(from + len).min(bytes.len())].to_vec())
    }

    fn forget(&self, name: &str) -> io::Result<()> {
        self.step()?;
        let mut script = self.script.lock().unwrap();
        if let Some((bit, Trouble::Flips)) = script.trouble {
            script.flipped += 1;
            self.disk.damage(name, |bytes| {
                let at = bit / 8 % bytes.len();
                bytes[at] ^= 1 << (bit % 8);
            });
        }
        Ok(())
    }
}

impl LogFile for Open {
    fn write_at(&mut self, bytes: &[u8], offset: u64) -> io::Result<usize> {
        self.side.step()?;
        self.file.write_at(bytes, offset)
    }

    fn reserve(&mut self, len: u64) -> io::Result<()> {
        self.side.step()?;
        self.file.reserve(len)
    }

    fn sync(&mut self) -> io::Result<()> {
        self.side.step()?;
        self.file.sync()
    }
}
