//! One lane: name and limits, the drawing, the value under the cursor.

use super::fit::width;
use super::{BOLD, DIM, Frame, REVERSED, fit};
use crate::screen::lane::{Lane, Limit, Shape};
use crate::sheet::words::Words;
use ratatui_core::buffer::Buffer;
use ratatui_core::style::Style;

/// Dots in a letter, across and down.
const DOTS: (usize, usize) = (2, 4);
/// Bits of the dots of a letter by column and row; Unicode, chapter 21.1 (Braille patterns).
const BITS: [[u32; DOTS.1]; DOTS.0] = [[0x01, 0x02, 0x04, 0x40], [0x08, 0x10, 0x20, 0x80]];
const BLANK: u32 = 0x2800;
/// Drawn where nothing was observed.
const UNSEEN: char = '/';
/// Drawn where a limit runs.
const LIMIT: char = '╌';

/// What stands where nothing was observed, or where nobody knows yet.
fn unseen(frame: &Frame<'_>) -> char {
    let unknown = frame.scene.waiting.overview && frame.window.lines.is_empty();
    if unknown { ' ' } else { UNSEEN }
}

/// Draws a lane from a row on, so many rows high.
pub(super) fn lane(frame: &Frame<'_>, buffer: &mut Buffer, lane: &Lane, top: u16, height: u16) {
    name(frame, buffer, lane, top, height);
    match &lane.shape {
        Shape::Curve { base, top: most, limits, .. } => {
            let scale = Scale { base: *base, top: *most, dots: usize::from(height) * DOTS.1 };
            curve(frame, buffer, lane, (top, height), scale, limits);
        }
        Shape::Switch => marks(frame, buffer, lane, top, |range| match range {
            (low, high) if low < 0.5 && high >= 0.5 => '▌',
            (_, high) if high >= 0.5 => '█',
            _ => '─',
        }),
        Shape::Detector => marks(frame, buffer, lane, top, |(_, high)| match high {
            high if high >= 1.0 => '█',
            high if high > 0.0 => '░',
            _ => '·',
        }),
    }
    cursor(frame, buffer, top, height);
    value(frame, buffer, lane, top);
}

/// From a value to a row of dots, 0 at the bottom.
#[derive(Clone, Copy)]
struct Scale {
    base: f64,
    top: f64,
    dots: usize,
}

impl Scale {
    fn dot(self, value: f64) -> usize {
        let share = ((value - self.base) / (self.top - self.base)).clamp(0.0, 1.0);
        (share * (self.dots - 1) as f64).round() as usize
    }

    /// Row of letters of a value, 0 at the top.
    fn row(self, value: f64) -> u16 {
        ((self.dots - 1 - self.dot(value)) / DOTS.1) as u16
    }
}

fn curve(
    frame: &Frame<'_>,
    buffer: &mut Buffer,
    lane: &Lane,
    (top, height): (u16, u16),
    scale: Scale,
    limits: &[Limit],
) {
    let limit_rows: Vec<u16> = limits.iter().map(|limit| scale.row(limit.value)).collect();
    for column in 0..frame.columns {
        let cells = [0, 1].map(|i| lane.cell(frame.window, usize::from(column) * DOTS.0 + i));
        let dots = cells.map(|cell| cell.map(|(low, high)| (scale.dot(low), scale.dot(high))));
        let over = cells.iter().flatten().any(|(_, high)| beyond(*high, limits));
        for row in 0..height {
            let bits = bits(dots, scale.dots, row);
            let limit = limit_rows.contains(&row);
            let (letter, style) = if bits != 0 {
                let style = if over { frame.styles.over() } else { Style::new() };
                (char::from_u32(BLANK + bits).unwrap_or(UNSEEN), style)
            } else if dots == [None, None] {
                (unseen(frame), DIM)
            } else if limit {
                (LIMIT, frame.styles.limit())
            } else {
                continue;
            };
            put(buffer, frame.left + column, top + row, letter, style);
        }
    }
}

/// Above the lowest of the limits that are passed upwards.
fn beyond(high: f64, limits: &[Limit]) -> bool {
    limits.iter().any(|limit| !limit.lower && high > limit.value)
}

/// Dots of one letter.
fn bits(dots: [Option<(usize, usize)>; DOTS.0], all: usize, row: u16) -> u32 {
    let mut bits = 0;
    for (column, range) in BITS.iter().zip(dots) {
        let Some((low, high)) = range else { continue };
        for (i, bit) in column.iter().enumerate() {
            let dot = all - 1 - (usize::from(row) * DOTS.1 + i);
            if (low..=high).contains(&dot) {
                bits |= bit;
            }
        }
    }
    bits
}

fn marks(
    frame: &Frame<'_>,
    buffer: &mut Buffer,
    lane: &Lane,
    row: u16,
    letter: impl Fn((f64, f64)) -> char,
) {
    for column in 0..frame.columns {
        let cells = usize::from(column) * DOTS.0;
        let range = lane.cells(frame.window, cells..cells + DOTS.0);
        let (letter, style) = match range {
            None => (unseen(frame), DIM),
            Some(range) => (letter(range), Style::new()),
        };
        let style = match letter {
            '─' | '·' => DIM,
            '█' if lane.shape == Shape::Detector => frame.styles.over(),
            _ => style,
        };
        put(buffer, frame.left + column, row, letter, style);
    }
}

/// Name at the left, limits and ends of the scale beside it. A limit whose name has no room
/// has its sign instead.
fn name(frame: &Frame<'_>, buffer: &mut Buffer, lane: &Lane, top: u16, height: u16) {
    let left = usize::from(frame.left);
    let mut beside: Vec<Vec<String>> = vec![Vec::new(); usize::from(height)];
    if let Shape::Curve { base, top: most, limits, .. } = &lane.shape {
        let scale = Scale { base: *base, top: *most, dots: usize::from(height) * DOTS.1 };
        let short = |value: f64| short(&frame.words, value);
        let named = |limit: &Limit| {
            let value = short(limit.value);
            (limit.value, vec![format!("{} {value}", limit.name), format!("{LIMIT} {value}")])
        };
        let ends = [(*most, vec![short(*most)]), (*base, vec![short(*base)])];
        let ends = ends.into_iter().filter(|_| height > 1);
        for (value, ways) in limits.iter().map(named).chain(ends) {
            let slot = beside.get_mut(usize::from(scale.row(value)));
            if let Some(slot) = slot.filter(|slot| slot.is_empty()) {
                *slot = ways;
            }
        }
    }
    for (row, ways) in (top..).zip(&beside) {
        let taken = if row == top { width(&lane.name) + 1 } else { 0 };
        if let Some(text) = ways.iter().find(|text| taken + width(text) < left) {
            let at = (left - 1 - width(text)) as u16;
            buffer.set_stringn(at, row, text, width(text), DIM);
        }
    }
    buffer.set_stringn(0, top, fit::cut(&lane.name, left - 1), left - 1, Style::new());
}

/// As few digits as needed.
fn short(words: &Words, value: f64) -> String {
    let text = format!("{value:.2}");
    words.decimal(text.trim_end_matches('0').trim_end_matches('.').to_owned())
}

fn cursor(frame: &Frame<'_>, buffer: &mut Buffer, top: u16, height: u16) {
    let column = frame.state.view.cursor_column(usize::from(frame.columns)) as u16;
    for row in top..top + height {
        if let Some(cell) = buffer.cell_mut((frame.left + column, row)) {
            cell.set_style(REVERSED);
        }
    }
}

/// Smallest and largest of the cursor's column.
fn value(frame: &Frame<'_>, buffer: &mut Buffer, lane: &Lane, row: u16) {
    let column = frame.state.view.cursor_column(usize::from(frame.columns)) * DOTS.0;
    let range = lane.cells(frame.window, column..column + DOTS.0);
    let [on, off] = ["screen-on", "screen-off"].map(|id| frame.say(id));
    let text = match (&lane.shape, range) {
        (_, None) => "–".to_owned(),
        (Shape::Curve { decimals, .. }, Some((low, high))) => {
            frame.words.decimal(numbers(low, high, *decimals))
        }
        (Shape::Switch, Some((low, high))) if low < 0.5 && high >= 0.5 => format!("{on}, {off}"),
        (Shape::Switch, Some((_, high))) => {
            if high >= 0.5 {
                on
            } else {
                off
            }
        }
        (Shape::Detector, Some((_, high))) => frame.say(match high {
            high if high >= 1.0 => "screen-event",
            high if high > 0.0 => "screen-near",
            _ => "screen-quiet",
        }),
    };
    let at = frame.left + frame.columns + 1;
    let room = usize::from(buffer.area.width - at);
    buffer.set_stringn(at, row, text, room, BOLD);
}

fn numbers(low: f64, high: f64, decimals: usize) -> String {
    let one = |value: f64, decimals: usize| format!("{value:.decimals$}");
    let (a, b) = (one(low, decimals), one(high, decimals));
    match (a == b, format!("{a}–{b}")) {
        (true, _) => a,
        (false, both) if both.chars().count() < usize::from(super::VALUE) => both,
        (false, _) => format!("{}–{}", one(low, 0), one(high, 0)),
    }
}

fn put(buffer: &mut Buffer, x: u16, y: u16, letter: char, style: Style) {
    if let Some(cell) = buffer.cell_mut((x, y)) {
        cell.set_char(letter).set_style(style);
    }
}
