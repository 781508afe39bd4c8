//! Past nights on disk, so that the next run need not read a year of logs again.
//!
//! What is kept is only ever what reading the logs gave. Each night stands with its *basis*:
//! a hash of all that it was read from (see [`Basis`]). Where that differs, where the file is
//! damaged or of another build of the program, the night is read anew.

use super::Inputs;
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
pub(super) struct Basis(u64);

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

/// A night, and whether its work was placed where nobody told.
type Which = (NaiveDate, bool);

/// As it stands in the file.
#[derive(Debug, Default, Serialize, Deserialize)]
struct Kept {
    /// Which build of the program wrote it.
    program: Option<u64>,
    nights: BTreeMap<Which, (Basis, Night)>,
    /// Places that were assumed, of a night and of its shift alone.
    places: BTreeMap<NaiveDate, Vec<(Basis, Vec<AssumedMark>)>>,
    /// Blocks of the shift alone, without assumed places.
    blocks: BTreeMap<NaiveDate, (Basis, Vec<WorkBlock>)>,
}

#[derive(Debug, Default)]
struct State {
    kept: Kept,
    /// Nights read from the logs.
    fresh: usize,
    /// Something is not in the file.
    changed: bool,
}

/// A night's places are asked for as a whole and for the hours of its shift.
const PLACES_A_NIGHT: usize = 2;

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

    /// `None` where the logs do not tell when they were changed, or the site has no such shift.
    pub(super) fn basis(
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

    /// The night as it was kept, or by `read`.
    pub(super) fn get_or(
        &self,
        date: NaiveDate,
        placed: bool,
        basis: Basis,
        read: impl FnOnce() -> Night,
    ) -> Night {
        let which = (date, placed);
        if let Some((of, night)) = self.state().kept.nights.get(&which)
            && *of == basis
        {
            return night.clone();
        }
        let night = read();
        let mut state = self.state();
        state.fresh += 1;
        state.changed = true;
        state.kept.nights.insert(which, (basis, night.clone()));
        night
    }

    /// The places that were assumed for these blocks by this plan as they were kept, or by
    /// `assume`.
    pub(crate) fn places_or(
        &self,
        date: NaiveDate,
        (blocks, planned): (&[WorkBlock], &[Planned]),
        assume: impl FnOnce() -> Vec<AssumedMark>,
    ) -> Vec<AssumedMark> {
        let basis = Basis(Hash::default().and(&(self.settings, blocks, planned)));
        let known = |state: &State| {
            let places = state.kept.places.get(&date)?.iter();
            places.clone().find(|(of, _)| *of == basis).map(|(_, marks)| marks.clone())
        };
        if let Some(marks) = known(&self.state()) {
            return marks;
        }
        let marks = assume();
        let mut state = self.state();
        state.changed = true;
        let places = state.kept.places.entry(date).or_default();
        places.push((basis, marks.clone()));
        let old = places.len().saturating_sub(PLACES_A_NIGHT);
        places.drain(..old);
        marks
    }

    /// The blocks of a shift as somebody told of them, if they were kept.
    pub(crate) fn blocks(&self, inputs: &Inputs<'_>, date: NaiveDate) -> Option<Vec<WorkBlock>> {
        let basis = self.basis(inputs, date, &[])?;
        let state = self.state();
        let (of, blocks) = state.kept.blocks.get(&date)?;
        (*of == basis).then(|| blocks.clone())
    }

    /// Keeps the blocks of a shift, in which nothing was assumed.
    pub(crate) fn keep_blocks(&self, inputs: &Inputs<'_>, date: NaiveDate, blocks: &[WorkBlock]) {
        let Some(basis) = self.basis(inputs, date, &[]) else { return };
        let mut state = self.state();
        state.changed = true;
        state.kept.blocks.insert(date, (basis, blocks.to_vec()));
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
