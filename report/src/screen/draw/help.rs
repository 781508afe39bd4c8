//! What every key and every sign means.

use super::{BOLD, fit};
use crate::sheet::words::Words;
use ratatui_core::buffer::Buffer;
use ratatui_core::style::Style;

/// Columns of the keys, and the one where their meaning begins.
const KEYS: (u16, usize) = (1, 16);
const MEANING: u16 = 18;

/// Keys or signs and what they mean, a row each: as many as the smallest terminal has.
fn rows(words: &Words) -> [(String, String); 14] {
    let keys = |keys: &str, id: &str| (keys.to_owned(), words.say(id));
    let named = |named: &str, id: &str| (words.say(named), words.say(id));
    [
        keys("← →", "screen-help-move"),
        named("screen-keys-pages", "screen-help-pages"),
        named("screen-keys-ends", "screen-help-ends"),
        keys("+ - 0", "screen-help-zoom"),
        keys("n p", "screen-help-next"),
        keys("g", "screen-help-go"),
        keys("[ ]", "screen-help-nights"),
        keys("↑ ↓", "screen-help-lanes"),
        named("screen-keys-leave", "screen-help-leave"),
        keys("⣿ ////", "screen-help-curve"),
        keys("╌ 75", "screen-help-limit"),
        keys("█ ▌ ─", "screen-help-switch"),
        keys("█ ░ ·", "screen-help-detector"),
        keys("▼ ▲ ▵ '", "screen-help-events"),
    ]
}

pub(super) fn draw(buffer: &mut Buffer, words: &Words) {
    let room = usize::from(buffer.area.width.saturating_sub(MEANING));
    for (row, (keys, what)) in (0..buffer.area.height).zip(rows(words)) {
        buffer.set_stringn(KEYS.0, row, fit::cut(&keys, KEYS.1), KEYS.1, BOLD);
        buffer.set_stringn(MEANING, row, fit::cut(&what, room), room, Style::new());
    }
}
