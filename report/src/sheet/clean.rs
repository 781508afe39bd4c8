//! Names and messages from outside, made fit to print.
//!
//! Control and direction characters could move or hide what stands beside them;
//! letters without a glyph would vanish. Both become a visible sign, and the
//! sheet says so. Line breaks become spaces. What is too long is cut with "…".

use super::typeface;
use std::cell::Cell;
use std::ops::RangeInclusive;

/// Stands for what cannot be printed.
pub(super) const SUBSTITUTE: char = '\u{FFFD}';

/// Longest name, in characters.
const LONGEST_NAME: usize = 48;
/// Longest message, in characters.
const LONGEST_MESSAGE: usize = 600;

/// Cleans texts and remembers whether anything was replaced.
#[derive(Debug, Default)]
pub(crate) struct Cleaner {
    replaced: Cell<bool>,
}

impl Cleaner {
    /// A name of a place, machine or tool.
    pub(crate) fn name(&self, text: &str) -> String {
        self.clean(text, LONGEST_NAME)
    }

    /// A sentence.
    pub(crate) fn message(&self, text: &str) -> String {
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

/// Soft hyphen, characters of no width, of direction and of line ends.
const HIDDEN: [RangeInclusive<char>; 5] = [
    '\u{AD}'..='\u{AD}',
    '\u{200B}'..='\u{200F}',
    '\u{2028}'..='\u{202E}',
    '\u{2060}'..='\u{206F}',
    '\u{FEFF}'..='\u{FEFF}',
];

/// Whether the sheet has a letter for it that stays in its place.
fn is_printable(c: char) -> bool {
    let hidden = c.is_control() || HIDDEN.iter().any(|range| range.contains(&c));
    !hidden && typeface::has_glyph(c)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_and_unknown_letters_become_visible() {
        let clean = Cleaner::default();
        assert_eq!(clean.name("Café Łódź, Зал 2, Αίθουσα"), "Café Łódź, Зал 2, Αίθουσα");
        assert!(!clean.replaced());
        assert_eq!(clean.name("a\u{202E}b\u{7}c"), "a\u{FFFD}b\u{FFFD}c");
        assert!(clean.replaced());
        assert_eq!(clean.name("東"), "\u{FFFD}");
        assert_eq!(clean.name("  two\n\tlines  "), "two lines");
    }

    #[test]
    fn long_names_are_cut_with_a_sign() {
        let name = Cleaner::default().name(&"x".repeat(500));
        assert_eq!(name.chars().count(), LONGEST_NAME);
        assert!(name.ends_with("x…"));
        let fits = "y".repeat(LONGEST_NAME);
        assert_eq!(Cleaner::default().name(&fits), fits);
    }
}
