//! Words where there is little room: whole if that goes, else with a sign that some are missing.

use ratatui_core::text::Span;

/// Stands for what is missing.
const MISSING: char = '…';

/// Letters of a terminal that a text takes.
pub(in crate::screen) fn width(text: &str) -> usize {
    Span::raw(text).width()
}

/// As much of a text as there is room for.
pub(in crate::screen) fn cut(text: &str, room: usize) -> String {
    let mut out = text.to_owned();
    if width(text) <= room {
        return out;
    }
    while width(&out) + 1 > room && out.pop().is_some() {}
    out.truncate(out.trim_end().len());
    out.push(MISSING);
    out
}

/// The first of several ways to say it that has room; if none has, the last of them, cut.
pub(super) fn fitting(ways: impl IntoIterator<Item = String>, room: usize) -> String {
    let mut last = String::new();
    for way in ways {
        if width(&way) <= room {
            return way;
        }
        last = way;
    }
    cut(&last, room)
}

/// What is said side by side, most important first by its rank, in the order given: the
/// least important go until the rest has room.
pub(super) fn beside(mut parts: Vec<(u8, String)>, between: &str, room: usize) -> String {
    loop {
        let texts: Vec<&str> = parts.iter().map(|(_, text)| text.as_str()).collect();
        let line = texts.join(between);
        let least = parts.iter().enumerate().max_by_key(|(_, (rank, _))| *rank);
        match least.map(|(place, _)| place) {
            Some(place) if parts.len() > 1 && width(&line) > room => drop(parts.remove(place)),
            _ => return cut(&line, room),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_is_shown() {
        assert_eq!(cut("Test hall", 9), "Test hall");
        assert_eq!(cut("Test hall", 8), "Test ha…");
        assert_eq!(cut("Test hall", 6), "Test…", "no blank before the sign");
        // Two letters of a terminal each: East Asian Width W, Unicode Annex 11.
        assert_eq!(cut("漢字漢字", 5), "漢字…");
        assert_eq!(width("漢字"), 4);
    }

    #[test]
    fn the_longest_way_that_fits() {
        let ways = || ["one, two, three", "one, two", "one"].map(str::to_owned);
        assert_eq!(fitting(ways(), 15), "one, two, three");
        assert_eq!(fitting(ways(), 14), "one, two");
        assert_eq!(fitting(ways(), 2), "o…");
    }

    #[test]
    fn the_least_important_goes_first() {
        let parts = || vec![(2, "aa".to_owned()), (3, "bb".to_owned()), (1, "cc".to_owned())];
        assert_eq!(beside(parts(), "  ", 10), "aa  bb  cc");
        assert_eq!(beside(parts(), "  ", 9), "aa  cc");
        assert_eq!(beside(parts(), "  ", 5), "cc");
        assert_eq!(beside(Vec::new(), "  ", 5), "");
    }
}
