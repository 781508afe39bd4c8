//! Which log files there are, which hold a shift, and whether they still change.

use super::catalogue::{BootLog, LogError, LogSet, log_paths};
use crate::findings::Span;
use std::collections::BTreeSet;
use std::fs::Metadata;
use std::hash::Hash;
use std::io::Read;
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};
use underbrush_protocol::checksum::LogCrc;
use underbrush_protocol::time::{BootMs, UtcMs};

/// The log files of a folder as they are at one moment.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Listing {
    files: Vec<Listed>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
struct Listed {
    path: PathBuf,
    stamp: Stamp,
}

/// Tells whether a file is still the one that was looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct Stamp {
    pub(super) length: u64,
    /// `None` where the system does not tell.
    changed: Option<SystemTime>,
}

impl Stamp {
    pub(super) fn of(about: &Metadata) -> Self {
        Self { length: about.len(), changed: changed(about) }
    }
}

impl Listing {
    /// Looks at the files that [`LogSet::open`] would read; no log file at all is an empty list.
    pub fn of(directory: &Path) -> Result<Self, LogError> {
        let paths = match log_paths(directory) {
            Err(LogError::Empty(_)) => return Ok(Self::default()),
            other => other?,
        };
        // A file that goes between the two looks is as good as one that was never there.
        let listed = |(path, _): (PathBuf, _)| {
            Some(Listed { stamp: Stamp::of(&std::fs::metadata(&path).ok()?), path })
        };
        Ok(Self { files: paths.into_iter().filter_map(listed).collect() })
    }

    /// There is none.
    pub fn is_empty(&self) -> bool {
        self.files.is_empty()
    }

    /// How long ago the last of them changed; `None` where the clocks do not tell.
    pub fn quiet_for(&self, now: SystemTime) -> Option<Duration> {
        let mut youngest = Duration::MAX;
        for file in &self.files {
            youngest = youngest.min(now.duration_since(file.stamp.changed?).ok()?);
        }
        Some(youngest)
    }
}

/// When a file or its name was last changed here. Tools that copy set the time of
/// modification back to that of the original; the time of change they cannot.
#[cfg(unix)]
fn changed(about: &Metadata) -> Option<SystemTime> {
    use std::os::unix::fs::MetadataExt;
    let since = Duration::new(about.ctime().try_into().ok()?, about.ctime_nsec().try_into().ok()?);
    SystemTime::UNIX_EPOCH.checked_add(since)
}

#[cfg(not(unix))]
fn changed(about: &Metadata) -> Option<SystemTime> {
    about.modified().ok()
}

impl LogSet {
    /// Files of dated logs that hold something between two instants, in order of name.
    pub fn files_in(&self, span: Span) -> BTreeSet<&Path> {
        let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
        let mut found = BTreeSet::new();
        for boot in &self.boots {
            let Some(clock) = boot.clock() else { continue };
            let holds =
                |first: BootMs, last: BootMs| clock.utc(first).0 < to && clock.utc(last).0 >= from;
            let parts = boot.parts.iter();
            let parts = parts.filter(|part| part.blocks.iter().any(|b| holds(b.first, b.last)));
            found.extend(parts.map(|part| part.path.as_path()));
        }
        found
    }

    /// All that a walk through `span` reads from: the power-ons that reach into it, with
    /// clock and files as they were when the set was opened. `None` where the system does not
    /// tell when a file was changed.
    pub(crate) fn state_in(&self, span: Span) -> Option<impl Hash + '_> {
        let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
        let mut state = Vec::new();
        for boot in &self.boots {
            let Some((first, last)) = boot.utc_span() else { continue };
            if first.0 < to && last.0 >= from {
                let files = boot.parts.iter();
                let files = files.map(|part| Some((&part.path, part.stamp, part.stamp.changed?)));
                state.push((
                    boot.boot,
                    first,
                    last,
                    boot.clock(),
                    files.collect::<Option<Vec<_>>>()?,
                ));
            }
        }
        Some(state)
    }

    /// A dated log holds that instant or a later one.
    pub fn reaches(&self, at: UtcMs) -> bool {
        self.boots.iter().filter_map(BootLog::utc_span).any(|(_, last)| last >= at)
    }
}

/// Length and checksum of a file.
pub fn fingerprint(path: &Path) -> std::io::Result<(u64, u32)> {
    let mut file = std::fs::File::open(path)?;
    let mut crc = LogCrc::new();
    let mut length = 0;
    let mut buffer = vec![0; 64 * 1024];
    loop {
        let read = file.read(&mut buffer)?;
        let Some(bytes) = buffer.get(..read).filter(|bytes| !bytes.is_empty()) else {
            return Ok((length, crc.finish()));
        };
        crc.update(bytes);
        length += read as u64;
    }
}
