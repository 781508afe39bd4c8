//! Guards text against spreadsheets.
//!
//! A cell that begins with `=`, `+`, `-`, `@` (also in their full width), a tab or a line
//! break may be computed as a formula; one that begins with a digit may be rewritten as
//! a number or a date (`0100`, `1-2`). Such a text gets an apostrophe before it, which
//! spreadsheets keep as text. Reading takes it off again, and takes unguarded text as it
//! stands. An empty text is an apostrophe alone, since an empty cell means none.

const GUARD: char = '\'';

fn is_risky(c: char) -> bool {
    matches!(c, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠' | '\t' | '\r' | '\n')
        || c.is_ascii_digit()
}

/// Whether reading would take off an apostrophe before this.
fn is_guarded(rest: &str) -> bool {
    rest.chars().next().is_none_or(|c| is_risky(c) || c == GUARD)
}

/// The text as it stands in the table. A whole number as people write it needs no guard.
pub(crate) fn guarded(text: &str) -> String {
    let plain_number = !text.is_empty()
        && text.len() <= 9
        && text.bytes().all(|b| b.is_ascii_digit())
        && !text.starts_with('0');
    let needs = match text.strip_prefix(GUARD) {
        Some(rest) => is_guarded(rest),
        None => text.chars().next().is_none_or(is_risky) && !plain_number,
    };
    if needs { format!("{GUARD}{text}") } else { text.to_owned() }
}

/// The text that was meant.
pub(super) fn unguarded(cell: &str) -> &str {
    cell.strip_prefix(GUARD).filter(|rest| is_guarded(rest)).unwrap_or(cell)
}
