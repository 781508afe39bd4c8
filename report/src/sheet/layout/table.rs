//! Tables: words wrap, numbers stand with their decimal points below each other.

use super::lines::Style;
use super::shapes::{BLACK, Item, rule};
use super::{CELL, CELL_BOLD, Flow, HEADING, blocks};
use crate::sheet::document::{Align, Column, Table};

/// White between two columns.
const GUTTER: f64 = 6.0;
/// White above and below a row's text, together.
const PADDING: f64 = 3.5;

/// A column in its place.
struct Place<'a> {
    column: &'a Column,
    left: f64,
    right: f64,
    /// How far the longest fraction stands right of the decimal point.
    fraction: f64,
}

/// Sets a table over the full width.
pub(super) fn set(flow: &mut Flow, table: &Table) {
    let left = flow.left;
    let places = places(table, left, flow.right);
    let right = places.last().map_or(left, |p| p.right);
    let head = head_height(&places);
    let mut first = true;
    for row in &table.rows {
        let lines = cells(&places, row);
        let height = row_height(&lines);
        if first {
            flow.begin(head + height + 3.0);
            flow.y += 3.0;
            flow.y += draw_head(&mut flow.page.items, &places, flow.y);
            first = false;
        } else if flow.y + height > flow.bottom() {
            flow.turn_page();
            let text = format!("{}, continued", flow.heading);
            flow.push(HEADING.left((left, flow.y + HEADING.size), text));
            flow.y += HEADING.lead + 4.0;
            flow.y += draw_head(&mut flow.page.items, &places, flow.y);
        }
        draw_row(&mut flow.page.items, &places, &lines, flow.y);
        flow.y += height;
        flow.push(rule((left, flow.y), (right, flow.y), 0.25, 0.5));
    }
    flow.y += 3.0;
    for note in &table.notes {
        blocks::paragraph(flow, CELL, note);
    }
}

fn places(table: &Table, left: f64, right: f64) -> Vec<Place<'_>> {
    let whole = table.columns.iter().map(|c| c.share).sum::<f64>().max(1.0);
    let mut x = left;
    let place = |(i, column): (usize, &'_ Column)| {
        let width = (right - left) * column.share / whole;
        let fraction = |row: &Vec<String>| row.get(i).map_or(0.0, |cell| CELL.width(split(cell).1));
        let fraction = match column.align {
            Align::Words => 0.0,
            Align::Decimal => table.rows.iter().map(fraction).fold(0.0, f64::max),
        };
        (width, fraction)
    };
    let sizes: Vec<(f64, f64)> = table.columns.iter().enumerate().map(place).collect();
    let mut out = Vec::new();
    for (column, (width, fraction)) in table.columns.iter().zip(sizes) {
        out.push(Place { column, left: x, right: x + width - GUTTER, fraction });
        x += width;
    }
    if let Some(last) = out.last_mut() {
        last.right += GUTTER;
    }
    out
}

/// A number's part before the decimal point, and the rest.
fn split(cell: &str) -> (&str, &str) {
    let at = cell.find(['.', '+']).unwrap_or(cell.len());
    cell.split_at(at)
}

fn cells(places: &[Place], row: &[String]) -> Vec<Vec<String>> {
    places
        .iter()
        .zip(row)
        .map(|(place, cell)| match place.column.align {
            Align::Words => CELL.wrap(cell, place.right - place.left),
            Align::Decimal => vec![cell.clone()],
        })
        .collect()
}

fn row_height(lines: &[Vec<String>]) -> f64 {
    let most = lines.iter().map(Vec::len).max().unwrap_or(1);
    most as f64 * CELL.lead + PADDING
}

fn draw_row(items: &mut Vec<Item>, places: &[Place], lines: &[Vec<String>], y: f64) {
    let top = y + PADDING / 2.0 + CELL.size - 0.5;
    for (place, cell) in places.iter().zip(lines) {
        match place.column.align {
            Align::Words => {
                for (n, line) in cell.iter().enumerate() {
                    items.push(CELL.left((place.left, top + n as f64 * CELL.lead), line.clone()));
                }
            }
            Align::Decimal => {
                let text = cell.first().map_or("", String::as_str);
                items.push(number(place, text, top));
            }
        }
    }
}

/// A number at its decimal point; one that is wider than the column is set smaller.
fn number(place: &Place, text: &str, baseline: f64) -> Item {
    let x = place.right - place.fraction - CELL.width(split(text).0);
    let room = place.right - place.left;
    if x >= place.left && x + CELL.width(text) <= place.right + 0.1 {
        return CELL.left((x, baseline), text);
    }
    let size = CELL.size * (room / CELL.width(text)).min(1.0);
    Style { size, ..CELL }.right((place.right, baseline), text)
}

/// Head and unit, each wrapped into its column.
fn head_lines(place: &Place) -> Vec<(String, Style)> {
    let room = place.right - place.left;
    let mut lines: Vec<(String, Style)> =
        CELL_BOLD.wrap(place.column.head, room).into_iter().map(|l| (l, CELL_BOLD)).collect();
    if !place.column.unit.is_empty() {
        lines.push((place.column.unit.to_owned(), CELL));
    }
    lines
}

fn head_height(places: &[Place]) -> f64 {
    let most = places.iter().map(|p| head_lines(p).len()).max().unwrap_or(1);
    most as f64 * CELL.lead + 4.0
}

fn draw_head(items: &mut Vec<Item>, places: &[Place], y: f64) -> f64 {
    let height = head_height(places);
    for place in places {
        for (n, (text, style)) in head_lines(place).into_iter().enumerate() {
            let baseline = y + n as f64 * CELL.lead + CELL.size;
            items.push(match place.column.align {
                Align::Words => style.left((place.left, baseline), text),
                Align::Decimal => style.right((place.right, baseline), text),
            });
        }
    }
    if let (Some(first), Some(last)) = (places.first(), places.last()) {
        items.push(rule((first.left, y + height), (last.right, y + height), 0.6, BLACK));
    }
    height
}
