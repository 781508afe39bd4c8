//! Tables: words wrap, numbers stand with their decimal points below each other.

use super::grid::{self, BASE, HALF, LINE};
use super::lines::Style;
use super::shapes::{BLACK, Item, rule};
use super::{CELL, CELL_BOLD, Flow, HEADING, blocks};
use crate::sheet::document::{Align, Column, Table};

/// White between two columns.
const GUTTER: f64 = 6.0;
/// Narrowest column of words that is still read, as a share of the table.
const NARROWEST: f64 = 0.07;
/// A word longer than this share of the table may be broken.
const LONGEST: f64 = 0.2;
/// Columns are rounded to the grid: so much may be lost by it.
const PART: f64 = 1.0 / grid::PARTS;

/// A column in its place.
pub(super) struct Place<'a> {
    column: &'a Column,
    /// Sign before the fraction of numbers.
    point: char,
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
            let heading = flow.heading.as_str().into();
            let text = flow.words.with("layout-continued", &[("heading", heading)]);
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
    let needs: Vec<Need> = (0..table.columns.len()).map(|i| need(table, i)).collect();
    let fitted = fit(table, &needs, whole);
    let mut x = left;
    let mut out: Vec<Place> = Vec::new();
    for ((column, width), need) in table.columns.iter().zip(grid::parts(&fitted)).zip(needs) {
        let width = width * whole;
        let (right, point) = (x + width - GUTTER, table.point);
        out.push(Place { column, left: x, right, fraction: need.fraction, point });
        x += width;
    }
    if let Some(last) = out.last_mut() {
        last.right += GUTTER;
    }
    out
}

/// What the cells of a column ask for.
#[derive(Clone, Copy)]
struct Need {
    /// Narrowest width without breaking a word or a number.
    width: f64,
    /// Longest part from the decimal point on.
    fraction: f64,
}

fn need(table: &Table, i: usize) -> Need {
    let words = |style: Style, text: &str| {
        text.split_whitespace().map(|word| style.width(word)).fold(0.0, f64::max)
    };
    let cells = || table.rows.iter().filter_map(|row| row.get(i)).map(String::as_str);
    let Some(column) = table.columns.get(i) else { return Need { width: 0.0, fraction: 0.0 } };
    let head = words(CELL_BOLD, &column.head).max(CELL.width(&column.unit));
    let (body, fraction) = match column.align {
        Align::Words => (cells().map(|text| words(CELL, text)).fold(0.0, f64::max), 0.0),
        Align::Decimal => {
            let number =
                cells().map(|text| CELL.width(split(text, table.point).0)).fold(0.0, f64::max);
            let fraction =
                cells().map(|text| CELL.width(split(text, table.point).1)).fold(0.0, f64::max);
            (number + fraction, fraction)
        }
    };
    Need { width: body.max(head) + GUTTER + 1.0, fraction }
}

/// Shares of the width: what columns ask for, numbers at least what they need; words share
/// what is left and are broken only where it does not do.
fn fit(table: &Table, needs: &[Need], whole: f64) -> Vec<f64> {
    let all = table.columns.iter().map(|c| c.share).sum::<f64>().max(1.0);
    let floors = needs.iter().zip(&table.columns).map(|(need, column)| {
        let width = need.width / whole;
        PART + if column.align == Align::Words { width.min(LONGEST) } else { width }
    });
    // Share and least share of each column; `None` while the share is open.
    let mut columns: Vec<(f64, f64, Option<f64>)> = table
        .columns
        .iter()
        .zip(floors)
        .map(|(c, floor)| {
            let number = c.align == Align::Decimal;
            (c.share, floor, number.then_some(c.share.max(floor)))
        })
        .collect();
    let asked: f64 = columns.iter().map(|c| c.0).sum();
    let numbers: f64 = columns.iter().filter_map(|c| c.2).sum();
    let least: f64 = columns.iter().filter(|c| c.2.is_none()).map(|c| c.1).sum();
    let mut left = (asked.min(all) - numbers).max(NARROWEST);
    let broken = least > left;
    loop {
        let wanted = columns.iter().filter(|c| c.2.is_none()).map(|c| c.0).sum::<f64>();
        let scale = left / wanted.max(f64::MIN_POSITIVE);
        let narrow = |c: &&mut (f64, f64, Option<f64>)| c.2.is_none() && c.0 * scale < c.1;
        match columns.iter_mut().find(narrow) {
            Some(column) if !broken => {
                column.2 = Some(column.1);
                left -= column.1;
            }
            _ => {
                let rest = (1.0 - asked).max(0.0);
                let share = |c: &(f64, f64, Option<f64>)| c.2.unwrap_or(c.0 * scale);
                return columns.iter().map(share).chain([rest]).collect();
            }
        }
    }
}

/// A number's part before the decimal point, and the rest.
fn split(cell: &str, point: char) -> (&str, &str) {
    let at = cell.find([point, '+']).unwrap_or(cell.len());
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
    let x = place.right - place.fraction - CELL.width(split(text, place.point).0);
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
        CELL_BOLD.wrap(&place.column.head, room).into_iter().map(|l| (l, CELL_BOLD)).collect();
    if !place.column.unit.is_empty() {
        lines.push((place.column.unit.clone(), CELL));
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
