//! Dots of a screen's curves.

/// Whether a dot, counted from below, is drawn in a half column. The bits are those of the
/// Unicode chart of Braille patterns: dots 1 2 3 7 at the left, 4 5 6 8 at the right.
pub(crate) fn dot_at(rows: &[Vec<char>], half: usize, dot: usize) -> bool {
    let row = rows.len() - 1 - dot / 4;
    let letter = rows[row].get(22 + half / 2).copied().unwrap_or(' ') as u32;
    let number = [[7, 3, 2, 1], [8, 6, 5, 4]][half % 2][dot % 4];
    (0x2801..0x2900).contains(&letter) && (letter - 0x2800) >> (number - 1) & 1 == 1
}
