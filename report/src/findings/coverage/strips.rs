//! Floor between lanes that no brush touched.
//!
//! Model. Along each line across the lanes, untouched cells between touched ones
//! are a gap. A gap wider than the least strip and no wider than the brush path
//! (one lane left out; more than that is taken for a column, an aisle or the
//! end of the work) belongs to a missed strip, if the strip is at least half a
//! path width long: shorter ones are the notches between turns at the ends.

use super::raster::{CELL_M, MISSED, Raster, SIDE};

/// What was missed.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Missed {
    /// All of it, in m².
    pub(crate) area_m2: f64,
    /// The longest stretch along the lanes, in m.
    pub(crate) longest_m: f64,
}

/// Marks missed cells and adds them up. `least_m` and `most_m` bound the gap's width.
pub(crate) fn find(raster: &mut Raster, least_m: f64, most_m: f64) -> Missed {
    let least = (least_m / CELL_M).ceil().max(1.0) as u32;
    let most = (most_m / CELL_M).floor() as u32;
    let mut places: Vec<(i32, i32)> = raster.tiles().iter().map(|t| (t.column, t.row)).collect();
    places.sort_unstable();
    let mut at = 0;
    while let Some(&(column, _)) = places.get(at) {
        let end = at + places[at..].iter().take_while(|p| p.0 == column).count();
        let rows: Vec<i32> = places[at..end].iter().map(|p| p.1).collect();
        mark_column(raster, column, &rows, least, most);
        at = end;
    }
    let shortest = (most_m / 2.0 / CELL_M).ceil() as usize;
    keep_long(raster, shortest.max(1))
}

/// Goes up a column of tiles, all 64 columns of cells at once.
fn mark_column(raster: &mut Raster, column: i32, rows: &[i32], least: u32, most: u32) {
    // Untouched cells since the last touched one; none before the first.
    let mut gap = [u32::MAX; SIDE];
    let mut before: Option<i32> = None;
    for &row in rows {
        // Tiles that were never made are untouched floor.
        let skipped = before.map_or(0, |b| (row - b - 1) as u32 * SIDE as u32);
        before = Some(row);
        let Some(tile) = raster.tile(column, row) else { continue };
        let mut found: Vec<(usize, usize, u32)> = Vec::new();
        for gap in gap.iter_mut().filter(|gap| **gap != u32::MAX) {
            *gap = gap.saturating_add(skipped).min(u32::MAX - 1);
        }
        let mut closed = gap.iter().all(|gap| *gap == 0);
        for (r, cells) in tile.times.chunks_exact(SIDE).enumerate() {
            let whole = cells.iter().all(|times| *times != 0);
            if whole && closed {
                continue;
            }
            closed = whole;
            for (c, (times, gap)) in cells.iter().zip(&mut gap).enumerate() {
                if *times == 0 {
                    *gap = gap.saturating_add(u32::from(*gap < u32::MAX - 1));
                } else {
                    if (least..=most).contains(gap) {
                        found.push((c, r, *gap));
                    }
                    *gap = 0;
                }
            }
        }
        for (c, r, gap) in found {
            mark(raster, column, row * SIDE as i32 + r as i32, c, gap);
        }
    }
}

/// Marks `gap` cells below the cell row `above`.
fn mark(raster: &mut Raster, column: i32, above: i32, c: usize, gap: u32) {
    let side = SIDE as i32;
    for cell_row in above - gap as i32..above {
        let row = cell_row.div_euclid(side);
        if let Some(tile) = raster.tile_mut(column, row) {
            tile.times[(cell_row - row * side) as usize * SIDE + c] = MISSED;
        }
    }
}

/// Unmarks what is shorter than `shortest` cells along its row, and adds up the rest.
fn keep_long(raster: &mut Raster, shortest: usize) -> Missed {
    let marked = |tile: &super::raster::Tile| tile.times.contains(&MISSED);
    let mut rows: Vec<(i32, i32)> =
        raster.tiles().iter().filter(|t| marked(t)).map(|t| (t.row, t.column)).collect();
    rows.sort_unstable();
    let (mut cells, mut longest) = (0, 0);
    for r in 0..SIDE {
        let mut open: Vec<(i32, i32, usize)> = Vec::new();
        let mut expected = None;
        for &(row, column) in &rows {
            if expected != Some((row, column)) {
                close(raster, &mut open, (shortest, r), (&mut cells, &mut longest));
            }
            expected = Some((row, column + 1));
            let Some(line) = raster.tile(column, row).map(|t| t.line(r)) else { continue };
            for (c, times) in line.into_iter().enumerate() {
                if times == MISSED {
                    open.push((column, row, c));
                } else {
                    close(raster, &mut open, (shortest, r), (&mut cells, &mut longest));
                }
            }
        }
        close(raster, &mut open, (shortest, r), (&mut cells, &mut longest));
    }
    Missed { area_m2: cells as f64 * CELL_M * CELL_M, longest_m: longest as f64 * CELL_M }
}

fn close(
    raster: &mut Raster,
    open: &mut Vec<(i32, i32, usize)>,
    (shortest, r): (usize, usize),
    (cells, longest): (&mut usize, &mut usize),
) {
    if open.len() < shortest {
        for (column, row, c) in open.drain(..) {
            if let Some(tile) = raster.tile_mut(column, row) {
                tile.times[r * SIDE + c] = 0;
            }
        }
    }
    *cells += open.len();
    *longest = (*longest).max(open.len());
    open.clear();
}
