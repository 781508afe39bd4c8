//! Where a table goes: a file that comes to its name when it is whole, or standard output.

use super::ExportError;
use std::fs::File;
use std::io::{BufWriter, ErrorKind, Write};
use std::path::{Path, PathBuf};

/// Bytes held before they are written.
const BUFFER: usize = 1 << 18;

/// A place for one table.
#[derive(Debug)]
pub(crate) enum Out {
    /// Standard output.
    Printed,
    /// A file.
    Kept(Place),
}

/// A file that is being written beside its name.
#[derive(Debug)]
pub(crate) struct Place {
    path: PathBuf,
    part: PathBuf,
    force: bool,
    done: bool,
}

impl Out {
    /// A file, begun by [`Out::writer`]; nothing may have its name yet, unless `force` is set.
    pub(crate) fn file(path: &Path, force: bool) -> Result<Self, ExportError> {
        if !force && path.symlink_metadata().is_ok() {
            return Err(ExportError::Exists(path.to_owned()));
        }
        let mut name = path.file_name().unwrap_or_default().to_os_string();
        // Two exports at the same time must not write into one file.
        name.push(format!(".{}.part", std::process::id()));
        let part = path.with_file_name(name);
        Ok(Self::Kept(Place { path: path.to_owned(), part, force, done: false }))
    }

    /// Its name for messages.
    pub(crate) fn name(&self) -> String {
        match self {
            Self::Printed => "standard output".to_owned(),
            Self::Kept(place) => place.path.display().to_string(),
        }
    }

    pub(super) fn writer(&self) -> Result<Box<dyn Write + Send>, ExportError> {
        let Self::Kept(place) = self else {
            return Ok(Box::new(BufWriter::with_capacity(BUFFER, std::io::stdout())));
        };
        if let Some(parent) = place.path.parent().filter(|parent| !parent.as_os_str().is_empty()) {
            std::fs::create_dir_all(parent)?;
        }
        let file = File::create(&place.part)?;
        Ok(Box::new(BufWriter::with_capacity(BUFFER, file)))
    }

    /// Gives the whole file its name.
    pub(super) fn keep(self) -> Result<(), ExportError> {
        let Self::Kept(mut place) = self else { return Ok(()) };
        // What the disk could not take shows here at the latest.
        File::options().write(true).open(&place.part)?.sync_all()?;
        if place.force {
            std::fs::rename(&place.part, &place.path)?;
        } else {
            place.take_free_name()?;
        }
        place.done = true;
        Ok(())
    }
}

impl Place {
    /// Takes the name if it is still free.
    fn take_free_name(&self) -> Result<(), ExportError> {
        match std::fs::hard_link(&self.part, &self.path) {
            Ok(()) => Ok(std::fs::remove_file(&self.part)?),
            Err(error) if error.kind() == ErrorKind::AlreadyExists => {
                Err(ExportError::Exists(self.path.clone()))
            }
            // Memory sticks know no links.
            Err(_) if self.path.symlink_metadata().is_ok() => {
                Err(ExportError::Exists(self.path.clone()))
            }
            Err(_) => Ok(std::fs::rename(&self.part, &self.path)?),
        }
    }
}

/// What was not finished is taken away.
impl Drop for Place {
    fn drop(&mut self) {
        if !self.done {
            let _ = std::fs::remove_file(&self.part);
        }
    }
}
