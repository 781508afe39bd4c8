//! The worked floor as small square cells, each with how often it was brushed.
//!
//! Model. Between two places of the brush line the floor it passed is the
//! quadrilateral between them; a cell was brushed when its middle lies in one.
//! A cell that the same pass touches again counts once. Cells live in square
//! tiles that are made when first touched, up to a fixed number: memory does not
//! grow with time.

use std::collections::HashMap;

/// Side of a cell in m.
pub(crate) const CELL_M: f64 = 0.03;
/// Cells along a side of a tile.
pub(super) const SIDE: usize = 64;
/// Tiles of 1.92 m x 1.92 m: some 5000 m² of floor, in 16 MB.
const MOST_TILES: usize = 2048;
/// Cells further out than this are not kept: 960 m.
const FURTHEST_CELL: f64 = 32_000.0;
/// A cell that belongs to a missed strip.
pub(super) const MISSED: u8 = u8::MAX;

/// A tile. Rows follow each other northwards, cells in a row eastwards.
#[derive(Clone, Debug)]
pub(super) struct Tile {
    pub(super) column: i32,
    pub(super) row: i32,
    pub(super) times: [u8; SIDE * SIDE],
    /// Last pass that touched the cell, 1 to 255 in turn.
    pass: [u8; SIDE * SIDE],
}

impl Tile {
    /// One row of cells.
    pub(super) fn line(&self, row: usize) -> [u8; SIDE] {
        std::array::from_fn(|c| self.times[row * SIDE + c])
    }
}

/// All tiles.
#[derive(Clone, Debug, Default)]
pub(crate) struct Raster {
    tiles: Vec<Box<Tile>>,
    index: HashMap<(i32, i32), usize>,
    /// Some floor was left out because no tile was left.
    full: bool,
}

/// A place in m.
pub(crate) type Point = (f64, f64);

/// Cells from `.0` up to but without `.1`.
type Stretch = (i32, i32);

impl Raster {
    pub(crate) fn clear(&mut self) {
        self.tiles.clear();
        self.index.clear();
        self.full = false;
    }

    pub(crate) fn full(&self) -> bool {
        self.full
    }

    pub(super) fn tiles(&self) -> &[Box<Tile>] {
        &self.tiles
    }

    pub(super) fn tile(&self, column: i32, row: i32) -> Option<&Tile> {
        self.index.get(&(column, row)).map(|i| &*self.tiles[*i])
    }

    pub(super) fn tile_mut(&mut self, column: i32, row: i32) -> Option<&mut Tile> {
        self.index.get(&(column, row)).map(|i| &mut *self.tiles[*i])
    }

    /// Brushed floor in m².
    pub(crate) fn brushed_m2(&self) -> f64 {
        let brushed = |t: &Tile| t.times.iter().filter(|n| **n != 0).count();
        let cells: usize = self.tiles.iter().map(|t| brushed(t)).sum();
        cells as f64 * CELL_M * CELL_M
    }

    /// The brush line went from `from` to `to`, each given by its two ends.
    pub(crate) fn sweep(&mut self, from: [Point; 2], to: [Point; 2], pass: u32) {
        let corners = [from[0], from[1], to[1], to[0]].map(|(x, y)| (x / CELL_M, y / CELL_M));
        let inside = |v: f64| v.abs() < FURTHEST_CELL;
        if !corners.iter().all(|(x, y)| inside(*x) && inside(*y)) {
            self.full = true;
            return;
        }
        let low = corners.iter().map(|c| c.1).fold(f64::MAX, f64::min);
        let high = corners.iter().map(|c| c.1).fold(f64::MIN, f64::max);
        let (first, last) = cells(low, high);
        let stamp = (pass % 255) as u8 + 1;
        let mut row = first;
        while row < last {
            // The rows of one row of tiles, and the columns that they reach.
            let bottom = row.div_euclid(SIDE as i32) * SIDE as i32;
            let end = last.min(bottom + SIDE as i32);
            let mut hull = Hull::new(bottom, (row, end));
            for (i, corner) in corners.iter().enumerate() {
                hull.add(*corner, corners[(i + 1) % corners.len()]);
            }
            self.fill(bottom, (row, end), &hull.stretches(), stamp);
            row = end;
        }
    }

    fn fill(
        &mut self,
        bottom: i32,
        (first, last): Stretch,
        stretches: &[Stretch; SIDE],
        stamp: u8,
    ) {
        let side = SIDE as i32;
        let rows = (first - bottom) as usize..(last - bottom) as usize;
        let some = stretches[rows.clone()].iter().filter(|s| s.0 < s.1);
        let reach = some.fold((i32::MAX, i32::MIN), |r, s| (r.0.min(s.0), r.1.max(s.1)));
        if reach.0 >= reach.1 {
            return;
        }
        for column in reach.0.div_euclid(side)..=(reach.1 - 1).div_euclid(side) {
            let Some(tile) = self.tile_at(column, bottom / side) else { continue };
            let left = column * side;
            for row in rows.clone() {
                let (from, to) = stretches[row];
                let from = (from - left).clamp(0, side) as usize;
                let to = (to - left).clamp(0, side) as usize;
                if from < to {
                    let cells = row * SIDE + from..row * SIDE + to;
                    touch(&mut tile.times[cells.clone()], &mut tile.pass[cells], stamp);
                }
            }
        }
    }

    fn tile_at(&mut self, column: i32, row: i32) -> Option<&mut Tile> {
        let next = self.tiles.len();
        let index = match self.index.get(&(column, row)) {
            Some(index) => *index,
            None if next >= MOST_TILES => {
                self.full = true;
                return None;
            }
            None => {
                let empty = Tile { column, row, times: [0; SIDE * SIDE], pass: [0; SIDE * SIDE] };
                self.tiles.push(Box::new(empty));
                self.index.insert((column, row), next);
                next
            }
        };
        self.tiles.get_mut(index).map(|tile| &mut **tile)
    }
}

/// Counts each cell once a pass; 254 times at most.
fn touch(times: &mut [u8], pass: &mut [u8], stamp: u8) {
    for (times, pass) in times.iter_mut().zip(pass) {
        let again = u8::from(*pass != stamp);
        *times = times.saturating_add(again).min(MISSED - 1);
        *pass = stamp;
    }
}

/// Cells whose middle lies between two places.
fn cells(low: f64, high: f64) -> Stretch {
    (cell(low), cell(high))
}

/// The first cell whose middle is not below a place: `floor(v + 1/2)` by a cast, which is quicker
/// than a call and the same within [`FURTHEST_CELL`].
fn cell(v: f64) -> i32 {
    const ABOVE_ALL: i32 = 65_536;
    (v + 0.5 + f64::from(ABOVE_ALL)) as i32 - ABOVE_ALL
}

/// For some rows of a row of tiles: the outermost places where sides cross the middle of the row.
struct Hull {
    bottom: i32,
    rows: Stretch,
    low: [f64; SIDE],
    high: [f64; SIDE],
}

impl Hull {
    fn new(bottom: i32, rows: Stretch) -> Self {
        Self { bottom, rows, low: [f64::MAX; SIDE], high: [f64::MIN; SIDE] }
    }

    fn add(&mut self, one: Point, other: Point) {
        let ((x0, y0), (x1, y1)) = if one.1 < other.1 { (one, other) } else { (other, one) };
        let (first, last) = cells(y0, y1);
        let (first, last) = (first.max(self.rows.0), last.min(self.rows.1));
        if first >= last {
            return;
        }
        let slope = (x1 - x0) / (y1 - y0);
        let mut x = x0 + (f64::from(first) + 0.5 - y0) * slope;
        let rows = (first - self.bottom) as usize..(last - self.bottom) as usize;
        for (low, high) in self.low[rows.clone()].iter_mut().zip(&mut self.high[rows]) {
            *low = if x < *low { x } else { *low };
            *high = if x > *high { x } else { *high };
            x += slope;
        }
    }

    fn stretches(&self) -> [Stretch; SIDE] {
        let mut out = [(0, 0); SIDE];
        for row in self.rows.0..self.rows.1 {
            let local = (row - self.bottom) as usize;
            if self.low[local] < self.high[local] {
                out[local] = cells(self.low[local], self.high[local]);
            }
        }
        out
    }
}
