//! Keeps the log within its limits: looks at the directory and removes what the policy says.
//!
//! Only archives go, never journals, and no archive whose journal is still there: it
//! would come back from it. Before and after removals the directory is synced, so that
//! what a removal rests on (the archive of a journal that was removed, the list of copies)
//! cannot be undone by a power cut behind it.
//!
//! Nothing is kept on disk but the list of copies, which this only reads. In memory each
//! archive takes 40 bytes.

use super::archive_end::archive_end;
use super::listed::{COPIED_LIST, ListFile};
use super::name::{FileUse, LogName};
use super::plain::{PlainFiles, measure};
use super::retain_policy::{
    Archive, BY_AGE_FOR_EACH_NEW, End, Limits, Plan, Removal, Situation, WITNESSES, plan,
};
use std::collections::BTreeSet;
use std::io::{self, ErrorKind};
use underbrush_protocol::time::UtcMs;

/// Archives that are looked at in one call for when they end.
const LOOKS: usize = 2 * WITNESSES;
/// Removals in one call: before each, the archive is read and compared with the list.
const REMOVALS: usize = 64;
/// The oldest archives are watched up to this number: 2.6 MB. At an archive an hour and
/// eight hours a night that is 22 years.
const MOST_KNOWN: usize = 65_536;
/// After a failed removal an archive is left alone for so many calls.
const REST: u8 = 10;

/// What one call came to.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Tended {
    /// What was removed, in this order.
    pub removed: Vec<Removal>,
    /// Archives that are left, and their bytes.
    pub archives: usize,
    /// Bytes of the archives that are left.
    pub archive_bytes: u64,
    /// Archives beyond age or size that stay because no copy was confirmed.
    pub held_for_copy: u32,
    /// Bytes of free room that are missing, with nothing left that may be removed.
    pub short_bytes: u64,
    /// There is more to remove: the next call goes on.
    pub more: bool,
    /// Lines of the list of copies that are not believed.
    pub bad_list_lines: usize,
    /// What could not be done; the next calls try again.
    pub failures: Vec<String>,
}

impl Tended {
    /// How many archives went that exist nowhere else.
    pub fn lost(&self) -> usize {
        self.removed.iter().filter(|removal| !removal.copied).count()
    }
}

/// Removes archives beyond the limits.
#[derive(Debug)]
pub struct Retainer<S> {
    storage: S,
    limits: Limits,
    /// In order.
    known: Vec<Known>,
    copied: Copied,
    age_allowance: usize,
    listed_before: bool,
}

#[derive(Clone, Copy, Debug)]
struct Known {
    archive: Archive,
    /// The list's line is not about this content.
    list_is_wrong: bool,
    /// Calls until a removal that failed is tried again.
    rest: u8,
}

/// The list of copies as last read.
#[derive(Debug, Default)]
struct Copied {
    /// Length and last bytes of the list: it is replaced as a whole.
    seen: Option<(u64, Vec<u8>)>,
    /// Boot, part, length and checksum, sorted.
    copies: Vec<(u32, u32, u64, u32)>,
    bad_lines: usize,
}

impl<S: PlainFiles> Retainer<S> {
    /// For the log in `storage`. Nothing is read yet.
    pub fn new(storage: S, limits: Limits) -> Self {
        Self {
            storage,
            limits,
            known: Vec::new(),
            copied: Copied::default(),
            age_allowance: BY_AGE_FOR_EACH_NEW,
            listed_before: false,
        }
    }

    /// Looks and removes what has to go. Call it after each sealing, and about each
    /// minute. `now` is what the system clock says, if it can be believed at all.
    pub fn tend(&mut self, now: Option<UtcMs>) -> Tended {
        let mut tended = Tended::default();
        if let Err(error) = self.look(now, &mut tended) {
            tracing::warn!(%error, "cannot keep the log within its limits: tried again later");
            tended.failures.push(error.to_string());
        }
        tended.archives = self.known.len();
        tended.archive_bytes = self.known.iter().map(|known| known.archive.bytes).sum();
        tended
    }

    fn look(&mut self, now: Option<UtcMs>, tended: &mut Tended) -> io::Result<()> {
        let with_journal = self.list()?;
        if self.limits.keep_ms.is_some() {
            self.date_some();
        }
        let free_bytes = match self.storage.free_bytes() {
            Ok(bytes) => Some(bytes),
            Err(error) => {
                tended.failures.push(format!("free room is not known: {error}"));
                None
            }
        };
        for known in &mut self.known {
            let Archive { name, fixed, .. } = &mut known.archive;
            *fixed = known.rest > 0 || with_journal.contains(&(name.boot, name.part));
        }
        let planned = self.plan_now(now, free_bytes, tended)?;
        tended.held_for_copy = planned.held_for_copy;
        tended.short_bytes = planned.short_bytes;
        if planned.short_bytes > 0 {
            let missing_bytes = planned.short_bytes;
            tracing::warn!(missing_bytes, "the disk is nearly full and nothing may be removed");
        }
        self.carry_out(&planned, tended)
    }

    /// Brings `known` up to date; gives the parts whose journal is there.
    fn list(&mut self) -> io::Result<BTreeSet<(u32, u32)>> {
        let mut names = Vec::new();
        let mut journals = BTreeSet::new();
        for name in self.storage.list()?.iter().filter_map(|name| LogName::parse(name)) {
            match name.kind {
                FileUse::Archive => names.push(name),
                FileUse::Journal => {
                    journals.insert((name.boot, name.part));
                }
                _ => {}
            }
        }
        names.sort_unstable();
        names.truncate(MOST_KNOWN);
        let before = std::mem::take(&mut self.known);
        self.known.reserve(names.len());
        for name in names {
            let found = before.binary_search_by_key(&name, |known| known.archive.name);
            if let Some(known) = found.ok().and_then(|place| before.get(place)) {
                let rest = known.rest.saturating_sub(1);
                self.known.push(Known { rest, ..*known });
            } else if let Ok(Some(bytes)) = self.storage.plain_size(&name.to_string()) {
                // Links, folders and what cannot be looked at are not ours to remove.
                let archive =
                    Archive { name, bytes, end: End::Unknown, copied: false, fixed: false };
                self.known.push(Known { archive, list_is_wrong: false, rest: 0 });
                if self.listed_before {
                    self.age_allowance += BY_AGE_FOR_EACH_NEW;
                }
            }
        }
        self.listed_before = true;
        Ok(journals)
    }

    /// Finds out when some more archives end: the newest first, for they say what time
    /// it is; then from the oldest on, as these go first.
    fn date_some(&mut self) {
        let newest_from = self.known.len().saturating_sub(WITNESSES);
        let (older, newest) = self.known.split_at_mut(newest_from);
        let unknown = newest.iter_mut().rev().chain(older).map(|known| &mut known.archive);
        for archive in unknown.filter(|archive| archive.end == End::Unknown).take(LOOKS) {
            let name = archive.name.to_string();
            match archive_end(&self.storage, &name, archive.bytes) {
                Ok(end) => archive.end = end.utc.map_or(End::Undated, End::At),
                // Looked at again next time; until then it is too new to go.
                Err(error) => tracing::debug!(%error, name, "cannot read when it ends"),
            }
        }
    }

    fn plan_now(
        &mut self,
        now: Option<UtcMs>,
        free_bytes: Option<u64>,
        tended: &mut Tended,
    ) -> io::Result<Plan> {
        let mut archives: Vec<Archive> = self.known.iter().map(|known| known.archive).collect();
        let (limits, age_allowance) = (self.limits, self.age_allowance);
        let plan_for = |archives: &[Archive]| {
            plan(&limits, &Situation { archives, free_bytes, now, age_allowance })
        };
        // Most calls find nothing to remove, and then need no list of copies.
        for archive in &mut archives {
            archive.copied = true;
        }
        let at_most = plan_for(&archives);
        if at_most.removals.is_empty() {
            return Ok(at_most);
        }
        self.copied.refresh(&self.storage)?;
        tended.bad_list_lines = self.copied.bad_lines;
        for (archive, known) in archives.iter_mut().zip(&self.known) {
            archive.copied = !known.list_is_wrong && self.copied.lists(archive);
        }
        Ok(plan_for(&archives))
    }

    fn carry_out(&mut self, planned: &Plan, tended: &mut Tended) -> io::Result<()> {
        if planned.removals.is_empty() {
            return Ok(());
        }
        self.storage.sync_dir()?;
        tended.more = planned.removals.len() > REMOVALS;
        for removal in planned.removals.iter().take(REMOVALS) {
            let name = removal.name.to_string();
            let removed = match self.is_as_listed(removal) {
                Ok(false) => {
                    // Planned again with that in the next call.
                    tracing::warn!(name, "is not what the list of copies says was copied");
                    tended.more = true;
                    continue;
                }
                Ok(true) => self.storage.remove(&name),
                Err(error) => Err(error),
            };
            match removed {
                Ok(()) => self.removed(removal, &name, tended),
                Err(error) if error.kind() == ErrorKind::NotFound => {}
                Err(error) => {
                    tended.failures.push(format!("cannot remove {name}: {error}"));
                    tracing::warn!(%error, name, "cannot remove it: tried again later");
                    if error.kind() == ErrorKind::ReadOnlyFilesystem {
                        break;
                    }
                    if let Some(known) = self.known_mut(removal.name) {
                        known.rest = REST;
                    }
                }
            }
        }
        self.storage.sync_dir()
    }

    fn removed(&mut self, removal: &Removal, name: &str, tended: &mut Tended) {
        let Removal { bytes, reason, copied, .. } = *removal;
        if copied {
            tracing::info!(name, bytes, %reason, "removed an archive; a copy of it was confirmed");
        } else {
            tracing::warn!(name, bytes, %reason, "removed an archive that was never copied");
        }
        if reason == super::retain_policy::Reason::TooOld {
            self.age_allowance = self.age_allowance.saturating_sub(1);
        }
        self.known.retain(|known| known.archive.name != removal.name);
        tended.removed.push(*removal);
    }

    fn known_mut(&mut self, name: LogName) -> Option<&mut Known> {
        let place = self.known.binary_search_by_key(&name, |known| known.archive.name).ok()?;
        self.known.get_mut(place)
    }

    /// Reads an archive that counts as copied and compares it with the list: names come
    /// again when somebody empties a log directory.
    fn is_as_listed(&mut self, removal: &Removal) -> io::Result<bool> {
        if !removal.copied {
            return Ok(true);
        }
        let name = removal.name;
        let (bytes, crc) = measure(&self.storage, &name.to_string())?;
        let same = self.copied.copies.binary_search(&(name.boot, name.part, bytes, crc)).is_ok();
        if let Some(known) = self.known_mut(name).filter(|_| !same) {
            known.list_is_wrong = true;
        }
        Ok(same)
    }
}

impl Copied {
    fn refresh(&mut self, files: &impl PlainFiles) -> io::Result<()> {
        const LAST: u64 = 256;
        let seen = match files.plain_size(COPIED_LIST) {
            Ok(Some(size)) => {
                let from = size.saturating_sub(LAST);
                Some((size, files.read_at(COPIED_LIST, from, LAST as usize)?))
            }
            Ok(None) => None,
            Err(error) if error.kind() == ErrorKind::NotFound => None,
            Err(error) => return Err(error),
        };
        if seen.is_none() || seen != self.seen {
            let list = ListFile::read(files, COPIED_LIST)?;
            let entry = |l: &super::listed::Listed| (l.name.boot, l.name.part, l.bytes, l.crc);
            self.copies = list.lines.iter().map(entry).collect();
            self.copies.sort_unstable();
            self.bad_lines = list.bad_lines;
            self.seen = seen;
        }
        Ok(())
    }

    fn lists(&self, archive: &Archive) -> bool {
        let wanted = (archive.name.boot, archive.name.part, archive.bytes);
        let place =
            self.copies.partition_point(|&(boot, part, bytes, _)| (boot, part, bytes) < wanted);
        self.copies.get(place).is_some_and(|&(boot, part, bytes, _)| (boot, part, bytes) == wanted)
    }
}
