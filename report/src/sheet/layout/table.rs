//! Tables: words wrap, numbers stand with their decimal points below each other.

use super::grid::{self, BASE, HALF, LINE};
use super::lines::Style;
use super::shapes::{BLACK, Item, rule};
use super::{CELL, CELL_BOLD, Flow, HEADING, blocks};
use crate::sheet::document::{Align, Column, Table};

/// White between two columns.
const GUTTER: f64 = 8.0;
/// Narrowest column of words that is still read, as a share of the table.
const NARROWEST: f64 = 0.07;

/// A column in its place.
pub(super) struct Place<'a> {
    column: &'a Column,
    left: f64,
    right: f64,
    /// How far the longest fraction stands right of the decimal point.
    fraction: f64,
}

/// Sets a table over the full width.
pub(super) fn set(flow: &mut Flow, table: &Table) {
    let places = places(table, flow.left, flow.right);
    let head = head_height(&places);
    for (i, row) in table.rows.iter().enumerate() {
        let lines = cells(&places, row);
        let height = row_height(&lines);
        if i == 0 {
            flow.begin(head + height);
            draw_head(flow, &places);
        } else if flow.y + height > flow.bottom() {
            flow.turn_page();
            let text = format!("{}, continued", flow.heading);
            flow.set_lines(HEADING, flow.left, &[text]);
            draw_head(flow, &places);
        }
        draw_row(flow, &places, &lines);
        end_row(flow);
    }
    flow.y += HALF;
    for note in &table.notes {
        blocks::paragraph(flow, CELL, note);
    }
}

/// A thin line below a row.
pub(super) fn end_row(flow: &mut Flow) {
    let (left, right, y) = (flow.left, flow.right, flow.y);
    flow.push(rule((left, y), (right, y), 0.25, 0.5));
}

/// Where the columns stand. Numbers get the room they need, words what is left.
pub(super) fn places(table: &Table, left: f64, right: f64) -> Vec<Place<'_>> {
    let whole = right - left;
    let shares: Vec<f64> = table.columns.iter().map(|c| c.share).collect();
    let sum = shares.iter().sum::<f64>().max(f64::MIN_POSITIVE);
    let cell = |i: usize| table.rows.iter().filter_map(move |row| row.get(i));
    let widest = |i: usize, part: fn(&str) -> &str| {
        cell(i).map(|text| CELL.width(part(text))).fold(0.0, f64::max)
    };
    let sizes: Vec<(f64, f64)> = (0..shares.len())
        .map(|i| (widest(i, |t| split(t).0), widest(i, |t| split(t).1)))
        .collect();
    let asked = |(i, column): (usize, &Column)| {
        let share = column.share / sum;
        let (number, fraction) = sizes.get(i).copied().unwrap_or_default();
        match column.align {
            Align::Words => share,
            Align::Decimal => share.max((number + fraction + GUTTER) / whole),
        }
    };
    let wanted: Vec<f64> = table.columns.iter().enumerate().map(asked).collect();
    let of = |align: Align| {
        let both = table.columns.iter().zip(&wanted).filter(move |(c, _)| c.align == align);
        both.map(|(_, w)| *w).sum::<f64>()
    };
    let (numbers, words) = (of(Align::Decimal), of(Align::Words));
    let left_over = 1.0 - numbers;
    let enough = left_over > NARROWEST && words > 0.0;
    let fitted: Vec<f64> = table
        .columns
        .iter()
        .zip(&wanted)
        .map(|(c, w)| if c.align == Align::Words && enough { w / words * left_over } else { *w })
        .collect();
    let mut x = left;
    let mut out: Vec<Place> = Vec::new();
    for ((column, width), (_, fraction)) in
        table.columns.iter().zip(grid::parts(&fitted)).zip(sizes)
    {
        let width = width * whole;
        let fraction = if column.align == Align::Decimal { fraction } else { 0.0 };
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

pub(super) fn cells(places: &[Place], row: &[String]) -> Vec<Vec<String>> {
    places
        .iter()
        .zip(row)
        .map(|(place, cell)| match place.column.align {
            Align::Words => CELL.wrap(cell, place.right - place.left),
            Align::Decimal => vec![cell.clone()],
        })
        .collect()
}

pub(super) fn row_height(lines: &[Vec<String>]) -> f64 {
    lines.iter().map(Vec::len).max().unwrap_or(1) as f64 * LINE
}

pub(super) fn draw_row(flow: &mut Flow, places: &[Place], lines: &[Vec<String>]) {
    let top = flow.y + BASE;
    for (place, cell) in places.iter().zip(lines) {
        match place.column.align {
            Align::Words => {
                for (n, line) in cell.iter().enumerate() {
                    flow.push(CELL.left((place.left, top + n as f64 * LINE), line.clone()));
                }
            }
            Align::Decimal => {
                let text = cell.first().map_or("", String::as_str);
                flow.push(number(place, text, top));
            }
        }
    }
    flow.y += row_height(lines);
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

pub(super) fn head_height(places: &[Place]) -> f64 {
    let most = places.iter().map(|p| head_lines(p).len()).max().unwrap_or(1);
    most as f64 * LINE
}

/// Heads stand on one line with their units below; the first line of short ones is lowest.
pub(super) fn draw_head(flow: &mut Flow, places: &[Place]) {
    let (y, height) = (flow.y, head_height(places));
    for place in places {
        let lines = head_lines(place);
        let top = y + height - lines.len() as f64 * LINE + BASE;
        for (n, (text, style)) in lines.into_iter().enumerate() {
            let baseline = top + n as f64 * LINE;
            flow.push(match place.column.align {
                Align::Words => style.left((place.left, baseline), text),
                Align::Decimal => style.right((place.right, baseline), text),
            });
        }
    }
    flow.y += height;
    let (left, right, y) = (flow.left, flow.right, flow.y);
    flow.push(rule((left, y), (right, y), 0.6, BLACK));
}
