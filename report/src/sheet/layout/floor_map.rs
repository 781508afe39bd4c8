//! Worked floors from above, two beside each other.

use super::grid::{self, BASE, GUTTER, HALF, LINE};
use super::lines::Style;
use super::shapes::{Area, BLACK, Grey, Item, rule};
use super::{CELL_BOLD, Flow, LABEL};
use crate::sheet::document::{FloorMap, Shade};

/// Highest map: four of them take less than half a page.
const HIGHEST: f64 = 96.0;
const SWATCH: f64 = 8.0;

/// Sets the maps in rows of two.
pub(super) fn set(flow: &mut Flow, maps: &[FloorMap]) {
    let room = (flow.width() - GUTTER) / 2.0;
    for pair in maps.chunks(2) {
        let height = pair.iter().map(|map| height(map, room)).fold(0.0, f64::max);
        flow.begin(height + HALF);
        for (i, map) in pair.iter().enumerate() {
            let left = flow.left + i as f64 * (room + GUTTER);
            draw(&mut flow.page.items, map, (left, flow.y), room);
        }
        flow.y += height + HALF;
    }
}

/// Side of a square.
fn square(map: &FloorMap, room: f64) -> f64 {
    (room / map.columns.max(1) as f64).min(HIGHEST / map.rows().max(1) as f64)
}

fn caption(map: &FloorMap, room: f64) -> Vec<String> {
    LABEL.wrap(&map.caption, room)
}

fn height(map: &FloorMap, room: f64) -> f64 {
    let picture = square(map, room) * map.rows() as f64;
    LINE + grid::whole(picture + 2.0) + (2 + caption(map, room).len()) as f64 * LINE
}

fn draw(items: &mut Vec<Item>, map: &FloorMap, (left, top): (f64, f64), room: f64) {
    let title = CELL_BOLD.wrap(&map.title, room).into_iter().next().unwrap_or_default();
    items.push(CELL_BOLD.left((left, top + BASE), title));
    let side = square(map, room);
    let area = Area {
        left,
        top: top + LINE + 1.0,
        right: left + side * map.columns as f64,
        bottom: top + LINE + 1.0 + side * map.rows() as f64,
    };
    squares(items, map, area, side);
    items.push(area.outlined(0.3));
    let mut y = top + LINE + grid::whole(area.height() + 2.0) + BASE;
    scale(items, map, area, y);
    y += LINE;
    legend(items, map, (left, y), LABEL);
    for line in caption(map, room) {
        y += LINE;
        items.push(LABEL.left((left, y), line));
    }
}

/// Neighbours of one shade in a row are one rectangle.
fn squares(items: &mut Vec<Item>, map: &FloorMap, area: Area, side: f64) {
    for (row, shades) in map.squares.chunks(map.columns.max(1)).enumerate() {
        let top = area.top + row as f64 * side;
        let mut from = 0;
        for run in shades.chunk_by(|a, b| a == b) {
            let to = from + run.len();
            if let Some(grey) = run.first().and_then(|shade| grey(*shade)) {
                let left = area.left + from as f64 * side;
                let right = area.left + to as f64 * side;
                items.push(Area { left, top, right, bottom: top + side }.filled(grey));
            }
            from = to;
        }
    }
}

fn grey(shade: Shade) -> Option<Grey> {
    match shade {
        Shade::Outside => None,
        Shade::Few => Some(0.88),
        Shade::Usual => Some(0.68),
        Shade::More => Some(0.42),
        Shade::Missed => Some(BLACK),
    }
}

fn scale(items: &mut Vec<Item>, map: &FloorMap, area: Area, y: f64) {
    let (share, label) = &map.scale;
    let right = area.left + share * area.width();
    let bar = y - 3.0;
    items.push(rule((area.left, bar), (right, bar), 1.2, BLACK));
    for x in [area.left, right] {
        items.push(rule((x, bar - 3.0), (x, bar + 3.0), 0.6, BLACK));
    }
    items.push(LABEL.left((right + 4.0, y), label.clone()));
}

fn legend(items: &mut Vec<Item>, map: &FloorMap, (left, y): (f64, f64), style: Style) {
    let mut x = left;
    for (shade, text) in &map.legend {
        let swatch = Area { left: x, top: y - SWATCH + 1.0, right: x + SWATCH, bottom: y + 1.0 };
        items.extend(grey(*shade).map(|grey| swatch.filled(grey)));
        items.push(swatch.outlined(0.4));
        items.push(style.left((x + SWATCH + 3.0, y), text.clone()));
        x += SWATCH + 3.0 + style.width(text) + 9.0;
    }
}
