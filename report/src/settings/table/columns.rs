//! The columns of the table, and which entries they belong to.

/// How the text of a cell becomes a value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    /// Any text.
    Text,
    /// A word of the book, in small letters.
    Word,
    /// A date.
    Date,
    /// A number without a unit.
    Number,
    /// A length with its unit.
    Length,
    /// Lengths parted by `/`.
    Lengths,
    /// Lists of lengths parted by `|`.
    Grid,
}

/// The first column: which kind of entry the row is.
pub(super) const ENTRY: &str = "entry";
/// Day of the entry, by whatever key.
pub(super) const DATE: &str = "date";
/// Time of the day, for entries that have one.
pub(super) const TIME: &str = "time";

/// All columns in the order in which they are written; `time` is joined to `date`.
pub(super) const COLUMNS: [(&str, Kind); 18] = [
    (ENTRY, Kind::Word),
    (DATE, Kind::Date),
    (TIME, Kind::Text),
    ("machine", Kind::Text),
    ("section", Kind::Text),
    ("phase", Kind::Word),
    ("grit", Kind::Text),
    ("set", Kind::Text),
    ("length", Kind::Length),
    ("brush", Kind::Number),
    ("lengths", Kind::Lengths),
    ("quadrants", Kind::Grid),
    ("removed", Kind::Date),
    ("name", Kind::Text),
    ("what", Kind::Text),
    ("result", Kind::Word),
    ("text", Kind::Text),
    ("by", Kind::Text),
];

/// The tables of the book.
pub(super) const ENTRIES: [&str; 8] =
    ["tool", "measured", "begun", "done", "plan", "crew", "check", "remark"];

/// The key that holds the day of an entry.
pub(super) fn date_key(entry: &str) -> &'static str {
    match entry {
        "tool" => "fitted",
        "begun" => "at",
        _ => DATE,
    }
}
