//! Past nights on disk, so that the next run need not read a year of logs again.
//!
//! What is kept is only ever what reading the logs gave. Each night stands with its *basis*:
//! a hash of all that it was read from (see [`Basis`]). Where that differs, where the file is
//! damaged or of another build of the program, the night is read anew.

use super::Inputs;
use super::condition::Condition;
use super::history::{Night, span_of};
use super::types::Planned;
use super::whereabouts::{AssumedMark, WorkBlock};
use crate::settings::book::Begun;
use crate::settings::{Book, Site};
use chrono::{Days, NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::fmt::{Debug, Write as _};
use std::hash::{DefaultHasher, Hasher};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use underbrush_protocol::checksum::log_crc;
use underbrush_protocol::settings::Machine;

/// A checksum of the rest stands before it.
const SUM_BYTES: usize = 4;

/// All that a night is read from, as a hash: machine file, site file and marks of the shift
/// book; of each power-on that reaches into the night its clock and its files by
/// name, length and time of change; the places that were assumed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
struct Basis(u64);

/// Takes in values by all that their `Debug` tells.
#[derive(Default)]
struct Hash(DefaultHasher);

impl Hash {
    /// The hash of all values so far and this one.
    fn and(&mut self, value: &dyn Debug) -> u64 {
        // The hasher takes all that is written.
        let _ = write!(self, "{value:?};");
        self.0.finish()
    }
}

impl std::fmt::Write for Hash {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        self.0.write(text.as_bytes());
        Ok(())
    }
}

/// Which part of a night a value is of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub(crate) enum Part {
    /// All of it, as somebody told of it.
    Told,
    /// All of it, its work placed where nobody told.
    Placed,
    /// The hours of the shift.
    Shift,
}

/// Values of one kind, each with what it rests on.
type Shelf<T> = BTreeMap<(NaiveDate, Part), (Basis, T)>;

/// As it stands in the file.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Kept {
    /// Which build of the program wrote it.
    program: Option<u64>,
    nights: Shelf<Night>,
    places: Shelf<Vec<AssumedMark>>,
    blocks: Shelf<Vec<WorkBlock>>,
    conditions: Shelf<Condition>,
}

#[derive(Debug, Default)]
struct State {
    kept: Kept,
    /// Nights read from the logs.
    fresh: usize,
    /// Something is not in the file.
    changed: bool,
}

/// The nights of one machine that earlier runs read. The file is written when the value goes.
#[derive(Debug)]
pub struct KeptNights {
    path: PathBuf,
    /// No file is begun for fewer nights.
    least: usize,
    /// Hash of machine file and site file.
    settings: u64,
    /// Marks of the shift book in order of time, each with a hash of it and all before.
    marks: Vec<(NaiveDateTime, u64)>,
    state: Mutex<State>,
}

impl KeptNights {
    /// Those in the file at `path`, which need not be there, for these settings and this book.
    /// For fewer than `least` nights no file is begun.
    pub fn open(path: &Path, least: usize, machine: &Machine, site: &Site, book: &Book) -> Self {
        let program = this_program();
        let found = std::fs::read(path).ok().and_then(|bytes| whole(&bytes));
        let kept = found.filter(|kept| program.is_some() && kept.program == program);
        let kept = kept.unwrap_or(Kept { program, ..Kept::default() });
        let mut marks: Vec<(usize, &Begun)> = book.begun.iter().enumerate().collect();
        marks.sort_by_key(|(line, begun)| (begun.at, *line));
        let mut hash = Hash::default();
        let hashed = |mark: (usize, &Begun)| (mark.1.at, hash.and(&mark));
        Self {
            path: path.to_owned(),
            least,
            settings: Hash::default().and(&(machine, site)),
            marks: marks.into_iter().map(hashed).collect(),
            state: Mutex::new(State { kept, ..State::default() }),
        }
    }

    /// A night as it was kept, or by `read`.
    pub(super) fn night_or(
        &self,
        inputs: &Inputs<'_>,
        date: NaiveDate,
        assumed: &[AssumedMark],
        read: impl FnOnce() -> Night,
    ) -> Night {
        let part = if assumed.is_empty() { Part::Told } else { Part::Placed };
        let basis = self.basis(inputs, date, assumed);
        self.get_or(
            |kept| &mut kept.nights,
            (date, part),
            basis,
            || {
                let night = read();
                self.state().fresh += 1;
                night
            },
        )
    }

    /// The places assumed in a part of a night for these blocks by this plan as they were kept,
    /// or by `assume`.
    pub(crate) fn places_or(
        &self,
        which: (NaiveDate, Part),
        (blocks, planned): (&[WorkBlock], &[Planned]),
        assume: impl FnOnce() -> Vec<AssumedMark>,
    ) -> Vec<AssumedMark> {
        let basis = Basis(Hash::default().and(&(self.settings, blocks, planned)));
        self.get_or(|kept| &mut kept.places, which, Some(basis), assume)
    }

    /// The blocks of a shift in which nothing is assumed as they were kept, or by `judge`.
    pub(crate) fn blocks_or(
        &self,
        inputs: &Inputs<'_>,
        date: NaiveDate,
        judge: impl FnOnce() -> Vec<WorkBlock>,
    ) -> Vec<WorkBlock> {
        let basis = self.basis(inputs, date, &[]);
        self.get_or(|kept| &mut kept.blocks, (date, Part::Shift), basis, judge)
    }

    /// The machine's condition in a night as it was kept, or by `read`.
    pub(crate) fn condition_or(
        &self,
        inputs: &Inputs<'_>,
        date: NaiveDate,
        read: impl FnOnce() -> Condition,
    ) -> Condition {
        let basis = self.basis(inputs, date, &[]);
        self.get_or(|kept| &mut kept.conditions, (date, Part::Told), basis, read)
    }

    /// `None` where the logs do not tell when they were changed, or the site has no such shift.
    fn basis(
        &self,
        inputs: &Inputs<'_>,
        date: NaiveDate,
        assumed: &[AssumedMark],
    ) -> Option<Basis> {
        let files = inputs.logs.state_in(span_of(inputs.site, date)?)?;
        // A mark is in force until the next one; none after the night is.
        let after = date.checked_add_days(Days::new(2))?.and_hms_opt(0, 0, 0)?;
        let until = self.marks.partition_point(|(at, _)| *at < after);
        let marks = until.checked_sub(1).map(|last| self.marks[last].1);
        Some(Basis(Hash::default().and(&(self.settings, files, marks, assumed))))
    }

    /// What stands on a shelf, if it rests on `basis`; else it is made, and put there.
    fn get_or<T: Clone>(
        &self,
        shelf: fn(&mut Kept) -> &mut Shelf<T>,
        which: (NaiveDate, Part),
        basis: Option<Basis>,
        make: impl FnOnce() -> T,
    ) -> T {
        let Some(basis) = basis else { return make() };
        let known = shelf(&mut self.state().kept).get(&which).cloned();
        if let Some((of, value)) = known
            && of == basis
        {
            return value;
        }
        let value = make();
        let mut state = self.state();
        state.changed = true;
        shelf(&mut state.kept).insert(which, (basis, value.clone()));
        value
    }

    /// How many nights had to be read from the logs so far.
    pub fn read_anew(&self) -> usize {
        self.state().fresh
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // A night goes in as a whole, so a panic elsewhere leaves nothing half done.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Writes what is new. A file that cannot be written costs the next run time, no more.
    fn save(&self) {
        let state = self.state();
        let begun = self.path.exists();
        let few = state.fresh < self.least && !begun;
        if !state.changed || few || state.kept.program.is_none() {
            return;
        }
        let Ok(body) = postcard::to_allocvec(&state.kept) else { return };
        let mut bytes = log_crc(&[&body]).to_le_bytes().to_vec();
        bytes.extend(body);
        // Two runs at once write two files; the later one takes the name.
        let beside = self.path.with_extension(std::process::id().to_string());
        let folder = self.path.parent().unwrap_or(Path::new("."));
        let written = std::fs::create_dir_all(folder)
            .and_then(|()| std::fs::write(&beside, bytes))
            .and_then(|()| std::fs::rename(&beside, &self.path));
        if written.is_err() {
            let _ = std::fs::remove_file(&beside);
        }
    }
}

impl Drop for KeptNights {
    fn drop(&mut self) {
        self.save();
    }
}

fn whole(bytes: &[u8]) -> Option<Kept> {
    let (sum, body) = bytes.split_first_chunk::<SUM_BYTES>()?;
    (log_crc(&[body]) == u32::from_le_bytes(*sum)).then(|| postcard::from_bytes(body).ok())?
}

/// The running program by the length and the time of its file: another build may read the
/// same logs in another way.
fn this_program() -> Option<u64> {
    let about = std::env::current_exe().and_then(std::fs::metadata).ok()?;
    Some(Hash::default().and(&(about.len(), about.modified().ok()?)))
}
