//! The worked floor, made small enough for the sheet.

use super::raster::{CELL_M, MISSED, Raster, SIDE};
use underbrush_protocol::si::{Metres, SquareMetres};

/// Most squares along the longer side of a map.
const MOST_ALONG: f64 = 140.0;
/// A square that is missed to this share is shown as missed.
const SHOWN_FROM: f64 = 0.2;

/// How often each square of the floor was brushed, lanes from left to right.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct CoverageMap {
    /// Side of a square.
    pub square: Metres,
    /// Squares in a row.
    pub columns: usize,
    /// Row by row, the first row at the top.
    pub squares: Vec<Square>,
}

/// One square of the map.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum Square {
    /// Not brushed, and not between lanes.
    #[default]
    Outside,
    /// Between lanes, and not brushed.
    Missed,
    /// Brushed this often, the mean of the square.
    Brushed(u8),
}

impl CoverageMap {
    /// Squares in a column.
    pub fn rows(&self) -> usize {
        self.squares.len().checked_div(self.columns).unwrap_or(0)
    }

    /// Length of a row and of a column.
    pub fn size(&self) -> (Metres, Metres) {
        (self.square * self.columns as f64, self.square * self.rows() as f64)
    }

    /// Area of a square.
    pub fn square_area(&self) -> SquareMetres {
        self.square * self.square
    }

    /// The median of how often the brushed squares were brushed; 0 without any.
    pub fn usual_times(&self) -> u8 {
        let mut times: Vec<u8> = self.squares.iter().filter_map(|s| s.times()).collect();
        times.sort_unstable();
        times.get(times.len() / 2).copied().unwrap_or(0)
    }
}

impl Square {
    /// How often it was brushed; `None` where it was not.
    pub fn times(self) -> Option<u8> {
        match self {
            Self::Brushed(times) => Some(times),
            Self::Outside | Self::Missed => None,
        }
    }
}

#[derive(Clone, Copy, Debug, Default)]
struct Sum {
    times: u32,
    brushed: u32,
    missed: u32,
}

/// Length along and across the lanes of what was brushed, in m.
pub(crate) fn extent(raster: &Raster) -> (f64, f64) {
    let length = |(first, last): (i32, i32)| f64::from(last - first + 1) * CELL_M;
    bounds(raster).map_or((0.0, 0.0), |(columns, rows)| (length(columns), length(rows)))
}

/// Draws the raster; `None` where nothing was brushed.
pub(crate) fn draw(raster: &Raster) -> Option<CoverageMap> {
    let (columns, rows) = bounds(raster)?;
    let longest = (columns.1 - columns.0).max(rows.1 - rows.0);
    // Whole cells to a square, so that all squares hold as many.
    let each = (f64::from(longest) / MOST_ALONG).ceil().max(1.0) as i32;
    let across = ((columns.1 - columns.0) / each + 1) as usize;
    let down = ((rows.1 - rows.0) / each + 1) as usize;
    let mut sums = vec![Sum::default(); across * down];
    let side = SIDE as i32;
    for tile in raster.tiles() {
        let places: [usize; SIDE] = std::array::from_fn(|c| {
            let column = tile.column * side + c as i32 - columns.0;
            (column / each).clamp(0, across as i32 - 1) as usize
        });
        for (r, line) in tile.times.chunks_exact(SIDE).enumerate() {
            let row = (rows.1 - (tile.row * side + r as i32)) / each;
            let from = row.max(0) as usize * across;
            let Some(sums) = sums.get_mut(from..from + across) else { continue };
            for (times, place) in line.iter().zip(&places).filter(|(times, _)| **times != 0) {
                if *times == MISSED {
                    sums[*place].missed += 1;
                } else {
                    sums[*place].brushed += 1;
                    sums[*place].times += u32::from(*times);
                }
            }
        }
    }
    let cells = f64::from(each * each);
    let squares = sums.iter().map(|sum| square(*sum, cells)).collect();
    Some(CoverageMap { square: Metres(CELL_M * f64::from(each)), columns: across, squares })
}

fn square(sum: Sum, cells: f64) -> Square {
    if f64::from(sum.missed) >= SHOWN_FROM * cells {
        Square::Missed
    } else if f64::from(sum.brushed) >= 0.5 * cells {
        Square::Brushed((f64::from(sum.times) / f64::from(sum.brushed)).round() as u8)
    } else {
        Square::Outside
    }
}

/// First and last column and row that were brushed.
fn bounds(raster: &Raster) -> Option<((i32, i32), (i32, i32))> {
    let side = SIDE as i32;
    let mut found: Option<((i32, i32), (i32, i32))> = None;
    for tile in raster.tiles() {
        for (r, line) in tile.times.chunks_exact(SIDE).enumerate() {
            let Some(first) = line.iter().position(|t| *t != 0) else { continue };
            let last = line.iter().rposition(|t| *t != 0).unwrap_or(first);
            let row = tile.row * side + r as i32;
            let (first, last) =
                (tile.column * side + first as i32, tile.column * side + last as i32);
            let (columns, rows) = found.get_or_insert(((first, last), (row, row)));
            *columns = (columns.0.min(first), columns.1.max(last));
            *rows = (rows.0.min(row), rows.1.max(row));
        }
    }
    found
}
