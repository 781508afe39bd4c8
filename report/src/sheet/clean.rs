//! Names and messages from outside, made fit to print.
//!
//! Control and direction characters could move or hide what stands beside them;
//! letters without a glyph would vanish. Both become a visible sign, and the
//! sheet says so. Line breaks become spaces. What is too long is cut with "…".

use super::typeface;
use std::cell::Cell;

/// Stands for what cannot be printed.
pub(super) const SUBSTITUTE: char = '\u{FFFD}';

/// Longest name, in characters.
const LONGEST_NAME: usize = 48;
/// Longest message, in characters.
const LONGEST_MESSAGE: usize = 600;

/// Cleans texts and remembers whether anything was replaced.
#[derive(Debug, Default)]
pub(super) struct Cleaner {
    replaced: Cell<bool>,
}

impl Cleaner {
    /// A name of a place, machine or tool.
    pub(super) fn name(&self, text: &str) -> String {
        self.clean(text, LONGEST_NAME)
    }

    /// A sentence.
    pub(super) fn message(&self, text: &str) -> String {
        self.clean(text, LONGEST_MESSAGE)
    }

    /// Whether anything was replaced so far.
    pub(super) fn replaced(&self) -> bool {
        self.replaced.get()
    }

    fn clean(&self, text: &str, longest: usize) -> String {
        let mut out = String::new();
        let mut count = 0;
        for c in text.chars() {
            let c = if c.is_whitespace() { ' ' } else { c };
            if c == ' ' && (out.is_empty() || out.ends_with(' ')) {
                continue;
            }
            if count == longest {
                out.pop();
                out.truncate(out.trim_end().len());
                out.push('…');
                return out;
            }
            if is_printable(c) {
                out.push(c);
            } else {
                self.replaced.set(true);
                out.push(SUBSTITUTE);
            }
            count += 1;
        }
        out.truncate(out.trim_end().len());
        out
    }
}

/// Whether the sheet has a letter for it that stays in its place.
fn is_printable(c: char) -> bool {
    let hidden = c.is_control()
        || matches!(c, '\u{AD}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{FEFF}');
    !hidden && typeface::has_glyph(c)
}
