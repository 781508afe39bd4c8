//! The body of a block: notes, then times, then columns.
//!
//! ```text
//! notes:     length, varint u32; entries (see `log`) based at the block's first time
//! times:     count, varint u8; each: rows, varint u32; a column of ms since
//!            the block's first time
//! columns:   count, varint u8; each: channel, u8; which times, u8; a column
//! ```
//!
//! Channels of one frame share their times, so each set of times stands once.

use super::column::{Coded, put, write};
use crate::channel::Channel;
use crate::log::{Entry, EntryWriter, read_entries};
use crate::note::Note;
use crate::reading::Reading;
use crate::time::BootMs;
use alloc::sync::Arc;
use alloc::vec::Vec;

/// The most entries in one block, so also the most rows of one column.
pub const MAX_ENTRIES: usize = 65_536;
/// The most numbers of one block, times and values: bounds memory before decoding.
/// Each set of times belongs to one column at least.
const MAX_NUMBERS: usize = 2 * MAX_ENTRIES;

/// All readings and notes of a stretch of time, by channel.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Block {
    /// Notes in time order.
    pub notes: Vec<(BootMs, Note)>,
    /// Readings, one column a channel, sorted by channel.
    pub columns: Vec<Column>,
    /// Notes of a kind this version does not know.
    pub unknown_notes: u32,
}

/// The readings of one channel in time order.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Column {
    /// Of what.
    pub channel: Channel,
    /// When: ms since the block's base.
    pub at: Arc<[i32]>,
    /// Raw values, as many as times.
    pub raw: Vec<i32>,
}

impl Block {
    /// Number of readings.
    pub fn rows(&self) -> usize {
        self.columns.iter().map(|c| c.raw.len()).sum()
    }

    /// Sorts entries into columns; `base` is the time that column times count from.
    pub fn from_entries(base: BootMs, entries: &[Entry]) -> Self {
        let mut block = Self::default();
        let mut open: Vec<(Channel, Vec<i32>, Vec<i32>)> = Vec::new();
        for entry in entries {
            match entry {
                Entry::Note(at, note) => block.notes.push((*at, note.clone())),
                Entry::Reading(Reading { at, channel, raw }) => {
                    let place =
                        open.binary_search_by_key(channel, |c| c.0).unwrap_or_else(|place| {
                            open.insert(place, (*channel, Vec::new(), Vec::new()));
                            place
                        });
                    open[place].1.push(at.since(base) as i32);
                    open[place].2.push(*raw);
                }
            }
        }
        block.columns = open
            .into_iter()
            .map(|(channel, at, raw)| Column { channel, at: at.into(), raw })
            .collect();
        block
    }

    /// The body's bytes.
    pub(super) fn write(&self, base: BootMs) -> Vec<u8> {
        let mut out = Vec::new();
        let mut notes = Vec::new();
        let mut writer = EntryWriter::new(base);
        for (at, note) in &self.notes {
            writer.note(&mut notes, *at, note);
        }
        put(&mut out, &(notes.len() as u32));
        out.extend_from_slice(&notes);

        let mut times: Vec<&[i32]> = Vec::new();
        let mut uses = Vec::new();
        for column in &self.columns {
            let place = times.iter().position(|t| **t == *column.at).unwrap_or_else(|| {
                times.push(&column.at);
                times.len() - 1
            });
            uses.push(place as u8);
        }
        put(&mut out, &(times.len() as u8));
        for at in &times {
            put(&mut out, &(at.len() as u32));
            write(at, &mut out);
        }
        put(&mut out, &(self.columns.len() as u8));
        for (column, place) in self.columns.iter().zip(uses) {
            out.extend_from_slice(&[column.channel.0, place]);
            write(&column.raw, &mut out);
        }
        out
    }
}

/// A block whose columns are decoded when they are asked for.
#[derive(Clone, Debug)]
pub struct BlockView<'a> {
    base: BootMs,
    notes: &'a [u8],
    times: Vec<Coded<'a>>,
    columns: Vec<ColumnView<'a>>,
}

/// A column of a [`BlockView`].
#[derive(Clone, Copy, Debug)]
pub struct ColumnView<'a> {
    /// Of what.
    pub channel: Channel,
    /// Which times of the block it has: columns with the same number share them.
    pub times: u8,
    raw: Coded<'a>,
}

impl ColumnView<'_> {
    /// Its raw values; `None` if they are not a column all the same.
    pub fn values(&self) -> Option<Vec<i32>> {
        self.raw.values()
    }

    /// How many values it has.
    pub fn rows(&self) -> usize {
        self.raw.rows()
    }
}

impl<'a> BlockView<'a> {
    /// Finds the columns of a body whose checksum held; `None` if it is not one all the same.
    pub(super) fn find(base: BootMs, mut body: &'a [u8]) -> Option<Self> {
        let notes_len: u32 = number(&mut body)?;
        let (notes, rest) = body.split_at_checked(notes_len as usize)?;
        body = rest;
        let mut budget = MAX_NUMBERS;
        let mut spend = |rows: usize| {
            budget = budget.checked_sub(rows)?;
            (rows <= MAX_ENTRIES).then_some(rows)
        };
        let mut view = Self { base, notes, times: Vec::new(), columns: Vec::new() };
        let times_count: u8 = number(&mut body)?;
        for _ in 0..times_count {
            let rows: u32 = number(&mut body)?;
            view.times.push(Coded::take(&mut body, spend(rows as usize)?)?);
        }
        let column_count: u8 = number(&mut body)?;
        for _ in 0..column_count {
            let (&[channel, times], rest) = body.split_first_chunk()?;
            body = rest;
            let rows = view.times.get(usize::from(times))?.rows();
            let raw = Coded::take(&mut body, spend(rows)?)?;
            view.columns.push(ColumnView { channel: Channel(channel), times, raw });
        }
        Some(view)
    }

    /// Its columns, sorted by channel.
    pub fn columns(&self) -> &[ColumnView<'a>] {
        &self.columns
    }

    /// The whole block; `None` if a part of it is not what it should be.
    pub fn block(&self) -> Option<Block> {
        let mut block = Block::default();
        self.read_notes(&mut block)?;
        self.read_columns(&mut block, |_| true, ColumnView::values)?;
        // Times that no column has are judged too: a block is whole or it is not one.
        let used = |place: usize| self.columns.iter().any(|c| usize::from(c.times) == place);
        for place in (0..self.times.len()).filter(|place| !used(*place)) {
            self.times_at(place)?;
        }
        Some(block)
    }

    /// The notes alone.
    pub fn read_notes(&self, block: &mut Block) -> Option<()> {
        let mut too_many = false;
        let outcome = read_entries(self.base, self.notes, |entry| {
            if let Entry::Note(at, note) = entry {
                too_many |= block.notes.len() == MAX_ENTRIES;
                if !too_many {
                    block.notes.push((at, note));
                }
            }
        });
        block.unknown_notes = outcome.unknown_notes;
        (!too_many).then_some(())
    }

    /// Appends the columns of wanted channels, each with what `values` gives for it.
    pub fn read_columns(
        &self,
        block: &mut Block,
        wanted: impl Fn(Channel) -> bool,
        mut values: impl FnMut(&ColumnView<'a>) -> Option<Vec<i32>>,
    ) -> Option<()> {
        let mut times: Vec<Option<Arc<[i32]>>> = alloc::vec![None; self.times.len()];
        for column in self.columns.iter().filter(|column| wanted(column.channel)) {
            let place = usize::from(column.times);
            let slot = times.get_mut(place)?;
            let at = match slot {
                Some(at) => Arc::clone(at),
                None => Arc::clone(slot.insert(self.times_at(place)?)),
            };
            let raw = values(column)?;
            if raw.len() != at.len() {
                return None;
            }
            block.columns.push(Column { channel: column.channel, at, raw });
        }
        Some(())
    }

    fn times_at(&self, place: usize) -> Option<Arc<[i32]>> {
        let at = self.times.get(place)?.values()?;
        let rising = at.is_sorted() && at.first().is_none_or(|first| *first >= 0);
        rising.then(|| at.into())
    }
}

fn number<T: serde::de::DeserializeOwned>(bytes: &mut &[u8]) -> Option<T> {
    let (value, rest) = postcard::take_from_bytes(bytes).ok()?;
    *bytes = rest;
    Some(value)
}
