//! A worked floor in letters, for terminals.

use super::document::{FloorMap, Shade};

/// Letters across at most: a map is an aid here, the figures are in the table.
const MOST_ACROSS: usize = 60;

/// Title, picture, legend and caption.
pub(super) fn lines(map: &FloorMap, width: usize) -> Vec<String> {
    let across = map.columns.clamp(1, MOST_ACROSS.min(width));
    let each = map.columns.div_ceil(across).max(1);
    let mut out = vec![String::new(), map.title.clone()];
    // A letter is about twice as high as wide.
    let rows: Vec<&[Shade]> = map.squares.chunks(map.columns.max(1)).collect();
    for high in rows.chunks(2 * each) {
        let line: String = (0..map.columns)
            .step_by(each)
            .map(|from| {
                let cells =
                    high.iter().filter_map(|row| row.get(from..(from + each).min(row.len())));
                letter(most(cells.flatten().copied()))
            })
            .collect();
        out.push(line.trim_end().to_owned());
    }
    let signs: Vec<String> =
        map.legend.iter().map(|(shade, text)| format!("{} {text}", letter(*shade))).collect();
    out.extend(super::text::wrap(&signs.join("   "), width));
    out.extend(super::text::wrap(&map.caption, width));
    out
}

/// The commonest shade; missed floor is never hidden by its neighbours.
fn most(shades: impl Iterator<Item = Shade>) -> Shade {
    let all = [Shade::Outside, Shade::Few, Shade::Usual, Shade::More];
    let mut counts = [0; 4];
    for shade in shades {
        match all.iter().position(|s| *s == shade) {
            Some(i) => counts[i] += 1,
            None => return Shade::Missed,
        }
    }
    let best = (0..4).max_by_key(|i| counts[*i]).unwrap_or(0);
    all[best]
}

fn letter(shade: Shade) -> char {
    match shade {
        Shade::Outside => ' ',
        Shade::Few => '.',
        Shade::Usual => 'o',
        Shade::More => '#',
        Shade::Missed => '!',
    }
}
