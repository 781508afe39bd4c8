//! Which part of the night is shown, and where the cursor stands.

use crate::findings::Span;
use chrono::DateTime;

/// Lengths that zooming goes through, in ms; beyond the last the whole night.
const LENGTHS_MS: [i64; 14] = [
    1_000, 2_000, 5_000, 10_000, 30_000, 60_000, 120_000, 300_000, 600_000, 1_800_000, 3_600_000,
    7_200_000, 14_400_000, 28_800_000,
];

/// Times are UTC in ms. The view lies in the extent, the cursor in the view.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct View {
    /// All there is.
    extent: (i64, i64),
    from: i64,
    length: i64,
    cursor: i64,
}

impl View {
    /// The whole extent, the cursor at its begin. An extent is at least a second long.
    pub fn whole(extent: Span) -> Self {
        let from = extent.from.timestamp_millis();
        let to = extent.to.timestamp_millis().max(from.saturating_add(LENGTHS_MS[0]));
        Self { extent: (from, to), from, length: to - from, cursor: from }
    }

    /// What is shown.
    pub fn span(&self) -> Span {
        let at = |ms: i64| DateTime::from_timestamp_millis(ms).unwrap_or_default();
        Span { from: at(self.from), to: at(self.from + self.length) }
    }

    /// First instant that is shown, in UTC ms.
    pub fn from_ms(&self) -> i64 {
        self.from
    }

    /// How much is shown, in ms.
    pub fn length_ms(&self) -> i64 {
        self.length
    }

    /// Where the cursor stands, in UTC ms.
    pub fn cursor_ms(&self) -> i64 {
        self.cursor
    }

    /// From when to when there is anything, in UTC ms.
    pub fn extent_ms(&self) -> (i64, i64) {
        self.extent
    }

    /// Which of so many columns the cursor stands in.
    pub fn cursor_column(&self, columns: usize) -> usize {
        let place = i128::from(self.cursor - self.from) * columns as i128 / i128::from(self.length);
        (place.max(0) as usize).min(columns.saturating_sub(1))
    }

    /// Begin and end of one of so many columns, in UTC ms: the begin rounded up, so that a
    /// cursor put there stands in that column.
    pub fn column(&self, number: usize, columns: usize) -> (i64, i64) {
        let all = columns.max(1) as i128;
        let edge = |n: usize| -((-(n as i128 * i128::from(self.length))).div_euclid(all)) as i64;
        (self.from + edge(number), self.from + edge(number + 1))
    }

    /// Puts the cursor to a time in the extent; the view follows as little as needed.
    pub fn point_at(&mut self, at: i64) {
        self.cursor = at.clamp(self.extent.0, self.extent.1 - 1);
        if self.cursor < self.from {
            self.from = self.cursor;
        } else if self.cursor >= self.from + self.length {
            self.from = self.cursor + 1 - self.length;
        }
        self.hold();
    }

    /// Moves the cursor by so many of so many columns.
    pub fn step(&mut self, by: i64, columns: usize) {
        let columns = columns.max(1);
        let here = self.cursor_column(columns) as i64;
        let there = here + by;
        if (0..columns as i64).contains(&there) {
            self.point_at(self.column(there as usize, columns).0);
        } else {
            let length = (self.length / columns as i64).max(1);
            self.point_at(self.cursor.saturating_add(by.saturating_mul(length)));
        }
    }

    /// Shows what comes after (or with -1 before) what is shown, a little less than all of it
    /// further; the cursor stays at its place on the screen.
    pub fn page(&mut self, pages: i64) {
        let before = self.from;
        self.from += pages * (self.length * 9 / 10).max(1);
        self.hold();
        let moved = self.from - before;
        // At the end of the night the cursor goes the rest of the way.
        let rest = if moved == 0 { pages.signum() * self.length } else { 0 };
        self.cursor = (self.cursor + moved + rest).clamp(self.from, self.from + self.length - 1);
    }

    /// Shows less, around the cursor.
    pub fn zoom_in(&mut self) {
        let shorter = LENGTHS_MS.iter().rev().find(|length| **length < self.length);
        self.zoom_to(shorter.copied().unwrap_or(LENGTHS_MS[0]));
    }

    /// Shows more, around the cursor.
    pub fn zoom_out(&mut self) {
        let longer = LENGTHS_MS.iter().find(|length| **length > self.length);
        self.zoom_to(longer.copied().unwrap_or(i64::MAX));
    }

    /// Shows all.
    pub fn show_all(&mut self) {
        self.zoom_to(i64::MAX);
    }

    /// Shows from one time to another, at least a second, the cursor at `cursor`.
    pub fn show(&mut self, from: i64, to: i64, cursor: i64) {
        self.length = (to - from).clamp(LENGTHS_MS[0], self.extent.1 - self.extent.0);
        self.from = from;
        self.hold();
        self.point_at(cursor);
    }

    /// The cursor to a time, in the middle of what is shown.
    pub fn centre_on(&mut self, at: i64) {
        self.from = at - self.length / 2;
        self.hold();
        self.point_at(at);
    }

    fn zoom_to(&mut self, length: i64) {
        let length = length.clamp(LENGTHS_MS[0], self.extent.1 - self.extent.0);
        let before = i128::from(self.cursor - self.from);
        // The cursor stays at its place on the screen.
        let share = before * i128::from(length) / i128::from(self.length);
        (self.from, self.length) = (self.cursor - share as i64, length);
        self.hold();
    }

    /// Keeps what is shown inside of what there is.
    fn hold(&mut self) {
        let (begin, end) = self.extent;
        self.from = self.from.min(end - self.length).max(begin);
    }
}
