//! Past nights on disk, so that the next run need not read a year of logs again.
//!
//! What is kept is only ever what reading the logs gave. Each value stands with its
//! [`Basis`], a hash of all that it was made of. Where that differs, where the file is
//! damaged or of another build of the program, it is made anew. Sums of all nights share
//! one file; what was found of a shift is longer and stands in one of its own.

mod basis;
mod file;

use super::Inputs;
use super::condition::Condition;
use super::history::{Night, logged, span_of};
use super::types::{Findings, Planned, Shift, Span};
use super::wear::future;
use super::whereabouts::{AssumedMark, WorkBlock};
use crate::settings::book::Begun;
use crate::settings::{Book, Site};
use basis::{Basis, Digest};
use chrono::{DateTime, Days, NaiveDate, NaiveDateTime, Utc};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use underbrush_protocol::settings::Machine;

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
    nights: Shelf<Night>,
    places: Shelf<Vec<AssumedMark>>,
    conditions: Shelf<Condition>,
}

#[derive(Debug, Default)]
struct State {
    /// `None` until something of it is wanted.
    kept: Option<Kept>,
    /// Nights read from the logs.
    nights_read: usize,
    /// Shifts judged by the logs.
    shifts_judged: usize,
    /// Something is not in the file.
    changed: bool,
}

/// A shift as it was found, and the places assumed in it.
pub(crate) type Judged = (Findings, Vec<AssumedMark>);

/// The nights of one machine that earlier runs read. The file is written when the value goes.
#[derive(Debug)]
pub struct KeptNights {
    path: PathBuf,
    /// `None`: it is not known, so nothing is kept.
    program: Option<Basis>,
    /// Machine file and site file.
    settings: Basis,
    /// The same with the whole shift book.
    told: Basis,
    /// Marks of the shift book in order of time, each with a hash of it and all before.
    marks: Vec<(NaiveDateTime, Basis)>,
    state: Mutex<State>,
}

impl KeptNights {
    /// Those in the file at `path` and in the folder of that name beside it, which need not
    /// be there, for these settings and this machine's part of the `whole` shift book.
    pub fn open(path: &Path, machine: &Machine, site: &Site, book: &Book, whole: &Book) -> Self {
        let mut marks: Vec<(usize, &Begun)> = book.begun.iter().enumerate().collect();
        marks.sort_by_key(|(line, begun)| (begun.at, *line));
        let mut until = Digest::default();
        let hashed = |mark: (usize, &Begun)| {
            until = std::mem::take(&mut until).debug(&mark);
            (mark.1.at, until.clone().basis())
        };
        let marks = marks.into_iter().map(hashed).collect();
        let settings = Digest::default().debug(&(machine, site));
        Self {
            path: path.to_owned(),
            program: file::this_program(),
            settings: settings.clone().basis(),
            told: settings.debug(&(book, whole)).basis(),
            marks,
            state: Mutex::default(),
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
                self.state().nights_read += 1;
                read()
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
        let basis = Digest::default().hash(&self.settings).bytes(&(blocks, planned));
        self.get_or(|kept| &mut kept.places, which, basis.map(Digest::basis), assume)
    }

    /// The blocks of a shift in which nothing is assumed, if its night was kept.
    pub(crate) fn blocks(&self, inputs: &Inputs<'_>, date: NaiveDate) -> Option<Vec<WorkBlock>> {
        let basis = self.basis(inputs, date, &[])?;
        let night = self.known(|kept| &mut kept.nights, (date, Part::Told), basis)?;
        Some(night.shift_blocks)
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

    /// What was found of a shift as it was kept, or by `judge`. `building` are all machines
    /// with what is kept of each: they decide together where untold work was.
    pub(crate) fn judged_or<'a>(
        &self,
        building: impl Iterator<Item = (&'a Self, &'a Inputs<'a>)>,
        shift: &Shift,
        judge: impl FnOnce() -> Judged,
    ) -> Judged {
        let judge = || {
            self.state().shifts_judged += 1;
            judge()
        };
        let Some((program, basis)) = self.program.zip(judged_basis(building, shift)) else {
            return judge();
        };
        let path = self.path.with_extension("judged").join(shift.date.to_string());
        if let Some((of, judged)) = file::read::<(Basis, Judged)>(&path, program)
            && of == basis
        {
            return judged;
        }
        let judged = judge();
        file::write(&path, program, &(basis, &judged));
        judged
    }

    /// Machine file, site file and marks of the shift book; of each power-on that reaches
    /// into the night its clock and its files by name, length and time of change; the places
    /// that were assumed. `None` where the logs do not tell when they were changed, or the
    /// site has no such shift.
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
        let digest = Digest::default().hash(&(self.settings, files, marks));
        Some(digest.bytes(&assumed)?.basis())
    }

    /// What stands on a shelf, if it rests on `basis`; else it is made, and put there.
    fn get_or<T: Clone>(
        &self,
        shelf: fn(&mut Kept) -> &mut Shelf<T>,
        which: (NaiveDate, Part),
        basis: Option<Basis>,
        make: impl FnOnce() -> T,
    ) -> T {
        let Some(basis) = basis.filter(|_| self.program.is_some()) else { return make() };
        if let Some(value) = self.known(shelf, which, basis) {
            return value;
        }
        let value = make();
        let mut state = self.state();
        state.changed = true;
        shelf(state.kept.get_or_insert_default()).insert(which, (basis, value.clone()));
        value
    }

    /// What stands on a shelf, if it rests on `basis`.
    fn known<T: Clone>(
        &self,
        shelf: fn(&mut Kept) -> &mut Shelf<T>,
        which: (NaiveDate, Part),
        basis: Basis,
    ) -> Option<T> {
        let program = self.program?;
        let open = || file::read(&self.path, program).unwrap_or_default();
        let mut state = self.state();
        let (of, value) = shelf(state.kept.get_or_insert_with(open)).get(&which)?;
        (*of == basis).then(|| value.clone())
    }

    /// How many nights had to be read from the logs so far, and how many shifts judged.
    pub fn read_anew(&self) -> (usize, usize) {
        let state = self.state();
        (state.nights_read, state.shifts_judged)
    }

    fn state(&self) -> MutexGuard<'_, State> {
        // A night goes in as a whole, so a panic elsewhere leaves nothing half done.
        self.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Drop for KeptNights {
    fn drop(&mut self) {
        let state = self.state();
        if let (true, Some(program), Some(kept)) = (state.changed, self.program, &state.kept) {
            file::write(&self.path, program, kept);
        }
    }
}

/// All that a shift is judged by: of each machine its settings, the shift book, all its logs
/// up to the end of the shift, and what is told of logs that are not dated. `None` where the
/// logs do not tell when they were changed.
fn judged_basis<'a>(
    building: impl Iterator<Item = (&'a KeptNights, &'a Inputs<'a>)>,
    shift: &Shift,
) -> Option<Basis> {
    let until = Span { from: DateTime::<Utc>::MIN_UTC, to: shift.span.to };
    let mut digest = Digest::default().debug(shift);
    for (kept, inputs) in building {
        let logs = inputs.logs;
        let (first, last) = logged(inputs).unzip();
        // No log after the shift tells of it, but which entries of the book are too early.
        let early = future(inputs.book, last, shift.date);
        let told = (&logs.problems, logs.doubts(shift.span), first, early);
        digest = digest.hash(&(kept.told, logs.state_in(until)?)).debug(&told);
    }
    Some(digest.basis())
}
