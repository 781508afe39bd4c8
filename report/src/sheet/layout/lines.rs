//! Breaks text into lines and sets it.

use super::shapes::{Item, Point};
use crate::sheet::typeface::{Weight, width};

/// Units that stay on the line of their number.
const UNITS: [&str; 16] =
    ["s", "min", "h", "%", "A", "in", "mm", "mph", "m/s", "mi", "km", "kJ", "MJ", "sq", "m²", "mΩ"];

/// A way to set text.
#[derive(Clone, Copy, Debug)]
pub(super) struct Style {
    pub(super) size: f64,
    pub(super) weight: Weight,
}

impl Style {
    pub(super) const fn new(size: f64, weight: Weight) -> Self {
        Self { size, weight }
    }

    pub(super) fn width(self, text: &str) -> f64 {
        width(text, self.weight, self.size)
    }

    /// Text that begins at `at`.
    pub(super) fn left(self, at: Point, text: impl Into<String>) -> Item {
        Item::Text { at, size: self.size, weight: self.weight, text: text.into() }
    }

    /// Text that ends at `at`.
    pub(super) fn right(self, at: Point, text: impl Into<String>) -> Item {
        let text = text.into();
        self.left((at.0 - self.width(&text), at.1), text)
    }

    /// Text with its middle at `at`.
    pub(super) fn centred(self, at: Point, text: impl Into<String>) -> Item {
        let text = text.into();
        self.left((at.0 - self.width(&text) / 2.0, at.1), text)
    }

    /// Lines no wider than `room`. A word that is wider is broken.
    pub(super) fn wrap(self, text: &str, room: f64) -> Vec<String> {
        let mut lines = Vec::new();
        let mut line = String::new();
        for word in words(text) {
            let joined = if line.is_empty() { word.clone() } else { format!("{line} {word}") };
            if self.width(&joined) <= room {
                line = joined;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for c in word.chars() {
                line.push(c);
                if self.width(&line) > room && line.chars().count() > 1 {
                    line.pop();
                    lines.push(std::mem::take(&mut line));
                    line.push(c);
                }
            }
        }
        if !line.is_empty() || lines.is_empty() {
            lines.push(line);
        }
        lines
    }
}

/// Words of a text; a number and its unit are one.
fn words(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for word in text.split_whitespace() {
        let bare = word.trim_end_matches([',', '.', ';', ':', ')']);
        match out.last_mut() {
            Some(last) if UNITS.contains(&bare) && last.ends_with(|c: char| c.is_ascii_digit()) => {
                last.push(' ');
                last.push_str(word);
            }
            Some(last)
                if last.ends_with(" h") && word.starts_with(|c: char| c.is_ascii_digit()) =>
            {
                last.push(' ');
                last.push_str(word);
            }
            _ => out.push(word.to_owned()),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    const STYLE: Style = Style::new(10.0, Weight::Regular);

    #[test]
    fn lines_fit_and_lose_nothing() {
        let text = "Stood 14 s with brushes turning in A-12 at 23:41: inspect the spot for a ring.";
        for room in [40.0, 90.0, 200.0, 1000.0] {
            let lines = STYLE.wrap(text, room);
            assert!(lines.iter().all(|l| STYLE.width(l) <= room), "{lines:?}");
            let bare = |t: &str| t.chars().filter(|c| *c != ' ').collect::<String>();
            assert_eq!(bare(&lines.concat()), bare(text));
        }
    }

    #[test]
    fn numbers_keep_their_units() {
        for room in 60..200 {
            for line in STYLE.wrap("after 1 h 24 min at 44.2 A in 5 h 12 min.", f64::from(room)) {
                assert!(!line.starts_with(['h', 'm', 'A']), "{line:?}");
                assert!(!line.ends_with(" h"), "{line:?}");
            }
        }
    }

    #[test]
    fn long_words_are_broken() {
        let lines = STYLE.wrap(&"W".repeat(80), 50.0);
        assert!(lines.len() > 10);
        assert_eq!(lines.concat().len(), 80);
    }
}
