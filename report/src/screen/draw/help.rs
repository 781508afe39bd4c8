//! What every key and every sign means.

use super::BOLD;
use ratatui_core::buffer::Buffer;
use ratatui_core::style::Style;

const KEYS: [(&str, &str); 14] = [
    ("← →", "cursor by a column; the view follows"),
    ("PgUp PgDn space", "a page back, on"),
    ("Home End", "begin, end of the night"),
    ("+ -", "zoom around the cursor, 1 s to the whole night"),
    ("0", "the whole night"),
    ("n p", "next, previous event"),
    ("g", "go to a time, a date and a time, or an event"),
    ("[ ]", "the night before, after"),
    ("↑ ↓", "other lanes, where not all have room"),
    ("q  Ctrl-C", "leave"),
    ("⣿ ////", "smallest to largest in a column; nothing was read"),
    ("█ ▌ ─", "switch on, both, off"),
    ("█ ░ ·", "detector in an event, near one, quiet"),
    ("▼ ▲ ▵ '", "event: severe, inspect, slight, note"),
];

pub(super) fn draw(buffer: &mut Buffer) {
    let width = usize::from(buffer.area.width);
    for (row, (keys, what)) in (0..buffer.area.height).zip(KEYS) {
        buffer.set_stringn(1, row, keys, 16, BOLD);
        buffer.set_stringn(18, row, what, width - 18, Style::new());
    }
}
