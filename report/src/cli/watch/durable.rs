//! Files that are whole after a power cut, and a folder that one process works in.

use crate::cli::CliError;
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::Path;
use std::time::{Duration, Instant};

const LOCK: &str = ".underbrush-watch.lock";

/// A program that a killed watcher was just starting may hold its lock until it runs.
const LOCK_PATIENCE: Duration = Duration::from_secs(2);

fn failed(path: &Path) -> impl Fn(std::io::Error) -> CliError {
    let path = path.display().to_string();
    move |source| CliError::File { path: path.clone(), source }
}

/// Replaces a file: after a crash it is the old or the new one, and once this returns
/// the new one.
pub(super) fn write(path: &Path, bytes: &[u8]) -> Result<(), CliError> {
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(".part");
    let part = path.with_file_name(name);
    let written = write_part(&part, bytes).and_then(|()| {
        std::fs::rename(&part, path)?;
        sync_folder(path.parent().unwrap_or(Path::new(".")))
    });
    written.map_err(|error| {
        // On a full disk half a file would stand in the way.
        let _ = std::fs::remove_file(&part);
        failed(path)(error)
    })
}

fn write_part(part: &Path, bytes: &[u8]) -> std::io::Result<()> {
    let mut file = File::create(part)?;
    file.write_all(bytes)?;
    file.sync_all()
}

/// Makes a new name in a folder last.
#[cfg(unix)]
fn sync_folder(folder: &Path) -> std::io::Result<()> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    File::open(folder)?.sync_all()
}

#[cfg(not(unix))]
fn sync_folder(_: &Path) -> std::io::Result<()> {
    Ok(())
}

fn lock(file: &File) -> Result<(), TryLockError> {
    let end = Instant::now() + LOCK_PATIENCE;
    loop {
        match file.try_lock() {
            Err(TryLockError::WouldBlock) if Instant::now() < end => {
                std::thread::sleep(Duration::from_millis(20));
            }
            locked => return locked,
        }
    }
}

/// Makes the folder of the sheets this process's own, until the value goes.
pub(super) fn lock_out(folder: &Path) -> Result<File, CliError> {
    std::fs::create_dir_all(folder).map_err(failed(folder))?;
    let path = folder.join(LOCK);
    let mut options = OpenOptions::new();
    options.read(true).write(true).create(true).truncate(false);
    let mut file = options.open(&path).map_err(failed(&path))?;
    match lock(&file) {
        Ok(()) => {}
        Err(TryLockError::WouldBlock) => {
            let mut holder = String::new();
            // What stands there is only for the message.
            let _ = file.take(32).read_to_string(&mut holder);
            let holder = match holder.trim() {
                "" => String::new(),
                id => format!(" (process {id})"),
            };
            return Err(CliError::Watched { folder: folder.display().to_string(), holder });
        }
        Err(TryLockError::Error(error)) => return Err(failed(&path)(error)),
    }
    let own = format!("{}\n", std::process::id());
    let noted =
        file.set_len(0).and_then(|()| file.rewind()).and_then(|()| file.write_all(own.as_bytes()));
    noted.map_err(failed(&path))?;
    Ok(file)
}

/// Makes the folder of the logs this process's own, without writing there; `None` where
/// its file system has no such locks.
pub(super) fn lock_logs(folder: &Path) -> Result<Option<File>, CliError> {
    let Ok(file) = File::open(folder) else { return Ok(None) };
    match lock(&file) {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => {
            let folder = folder.display().to_string();
            Err(CliError::Watched { folder, holder: String::new() })
        }
        Err(TryLockError::Error(_)) => Ok(None),
    }
}
