//! One value in a file of its own: whole and of this program, or not at all.

use serde::Serialize;
use serde::de::DeserializeOwned;
use std::path::Path;
use underbrush_protocol::checksum::log_crc;

use super::basis::{Basis, Digest};

/// A checksum of the rest stands before it.
const SUM_BYTES: usize = 4;

/// The running program by the length and the time of its file: another build may read the
/// same logs in another way, and keep them in another form.
pub(super) fn this_program() -> Option<Basis> {
    let about = std::env::current_exe().and_then(std::fs::metadata).ok()?;
    Some(Digest::default().hash(&(about.len(), about.modified().ok()?)).basis())
}

/// The value in the file at `path`; `None` where there is none, or it is damaged or of
/// another program.
pub(super) fn read<T: DeserializeOwned>(path: &Path, program: Basis) -> Option<T> {
    let bytes = std::fs::read(path).ok()?;
    let (sum, body) = bytes.split_first_chunk::<SUM_BYTES>()?;
    if log_crc(&[body]) != u32::from_le_bytes(*sum) {
        return None;
    }
    let (of, value) = postcard::take_from_bytes::<Basis>(body).ok()?;
    (of == program).then(|| postcard::from_bytes(value).ok())?
}

/// Writes a value. A file that cannot be written costs the next run time, no more.
pub(super) fn write(path: &Path, program: Basis, value: &impl Serialize) {
    let Ok(body) = postcard::to_allocvec(&(program, value)) else { return };
    let mut bytes = log_crc(&[&body]).to_le_bytes().to_vec();
    bytes.extend(body);
    // Two runs at once write two files; the later one takes the name.
    let beside = path.with_extension(std::process::id().to_string());
    let folder = path.parent().unwrap_or(Path::new("."));
    let written = std::fs::create_dir_all(folder)
        .and_then(|()| std::fs::write(&beside, bytes))
        .and_then(|()| std::fs::rename(&beside, path));
    if written.is_err() {
        let _ = std::fs::remove_file(&beside);
    }
}
