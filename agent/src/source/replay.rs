//! A recorded file, read in pieces as fast as it goes.

use crate::error::AgentError;
use crate::outcome::Progress;
use std::fs::File;
use std::io::Read;
use std::path::Path;

const PIECE: usize = 64 * 1024;

/// Gives `each` the bytes of `path` in order. `each` may end it by an error.
pub(crate) fn replay_file(
    path: &Path,
    mut progress: impl FnMut(Progress),
    mut each: impl FnMut(&[u8]) -> Result<(), AgentError>,
) -> Result<u64, AgentError> {
    let unreadable = |source| AgentError::Read { path: path.to_owned(), source };
    let mut file = File::open(path).map_err(unreadable)?;
    let bytes_total = file.metadata().map_err(unreadable)?.len();
    let mut piece = vec![0; PIECE];
    let mut bytes_done = 0;
    loop {
        let len = file.read(&mut piece).map_err(unreadable)?;
        if len == 0 {
            return Ok(bytes_done);
        }
        each(&piece[..len])?;
        bytes_done += len as u64;
        progress(Progress { bytes_done, bytes_total: bytes_total.max(bytes_done) });
    }
}
