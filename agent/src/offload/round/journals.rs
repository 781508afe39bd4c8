//! Journals: copied as they stand, and replaced by their archives later.

use super::{CopyError, Round, copy, log_names};
use crate::record::{FileUse, LogName, PlainFiles, measure};
use std::collections::BTreeSet;
use std::io::{self, ErrorKind};

impl<S: PlainFiles, D: PlainFiles> Round<'_, S, D> {
    /// Copies what is not sealed yet.
    pub(super) fn snapshots(&mut self, names: &BTreeSet<LogName>) {
        for name in names {
            let wanted = match name.kind {
                FileUse::Journal => !names.contains(&name.with(FileUse::Archive)),
                FileUse::Unread => true,
                FileUse::Archive | FileUse::Unfinished => false,
            };
            if wanted && self.report.stopped.is_none() && !self.tried.contains(name) {
                self.snapshot(*name);
            }
        }
    }

    fn snapshot(&mut self, name: LogName) {
        let text = name.to_string();
        let gone = |error: &io::Error| {
            matches!(error.kind(), ErrorKind::NotFound | ErrorKind::UnexpectedEof)
        };
        let len = match self.source.plain_size(&text) {
            Err(error) if gone(&error) => return self.sealed_meanwhile = true,
            _ => self.length(&text).unwrap_or(0),
        };
        self.tried.insert(name);
        // Nothing is in it yet; a report would take it for a damaged file.
        if len == 0 {
            return;
        }
        match self.destination.plain_size(&text) {
            Ok(None) => return self.left(&text, "something that is no file has this name there"),
            Ok(Some(there)) if there == len => {
                let same = |a: io::Result<(u64, u32)>, b: io::Result<(u64, u32)>| matches!((a, b), (Ok(a), Ok(b)) if a == b);
                if same(measure(self.source, &text), measure(self.destination, &text)) {
                    return;
                }
            }
            _ => {}
        }
        match copy(self.source, self.destination, &text, len, &text) {
            Ok(_) => {
                self.failures = 0;
                self.report.snapshots += 1;
                self.report.copied_bytes += len;
            }
            Err(CopyError::Source(error)) if gone(&error) => {
                self.tried.remove(&name);
                self.sealed_meanwhile = true;
            }
            Err(error) => self.failed(&text, error),
        }
    }

    /// Copies of journals go when their archive is there.
    pub(super) fn drop_replaced(&mut self) {
        if self.report.stopped.is_some() {
            return;
        }
        let (names, mut trouble) = match log_names(self.destination) {
            Ok(names) => (names, None),
            Err(error) => (BTreeSet::new(), Some(error)),
        };
        let mut dropped = 0;
        for name in names.iter().filter(|name| name.kind == FileUse::Journal) {
            let archive = name.with(FileUse::Archive);
            let text = name.to_string();
            if self.there.contains(&archive)
                && !matches!(self.destination.plain_size(&text), Ok(None))
            {
                match self.destination.remove(&text) {
                    Ok(()) => dropped += 1,
                    Err(error) => trouble = Some(error),
                }
            }
        }
        self.report.snapshots_removed += dropped;
        if dropped > 0 {
            trouble = self.destination.sync_dir().err().or(trouble);
        }
        if let Some(error) = trouble {
            self.remark(format!("copies of journals that are sealed cannot be removed: {error}"));
        }
    }
}
