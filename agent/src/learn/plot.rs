//! Small pictures of a candidate: one line of blocks for the terminal, and SVG.

use super::Candidate;
use super::prompts::{Prompt, Quantity, Task};
use super::series::CELL_S;
use std::fmt::Write;

const BLOCKS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
const WIDTH: f64 = 900.0;
const HEIGHT: f64 = 180.0;
const TOP: f64 = 28.0;
/// Points drawn at most; each column shows its least and its largest value.
const COLUMNS: usize = 450;

/// The trace as `columns` blocks from its least to its largest value.
pub(super) fn blocks(trace: &[f32], columns: usize) -> String {
    let least = trace.iter().copied().fold(f32::INFINITY, f32::min);
    let most = trace.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let span = (most - least).max(f32::MIN_POSITIVE);
    parts(trace, columns)
        .map(|part| {
            let mean = part.iter().sum::<f32>() / part.len() as f32;
            let step = ((mean - least) / span * 7.99) as usize;
            BLOCKS[step.min(7)]
        })
        .collect()
}

/// The prompts under a row of blocks: a letter where each begins.
pub(super) fn prompt_row(prompts: &[Prompt], cells: usize, columns: usize) -> String {
    let columns = columns.min(cells);
    let mut row = vec![' '; columns];
    for prompt in prompts {
        let at = |s: f64| ((s / CELL_S) * columns as f64 / cells.max(1) as f64) as usize;
        let cells = row.iter_mut().take(at(prompt.to_s)).skip(at(prompt.from_s));
        cells.for_each(|cell| *cell = letter(prompt.task));
    }
    row.into_iter().collect()
}

/// Letters of the tasks, as the report explains them.
pub(super) fn letter(task: Task) -> char {
    match task {
        Task::Stand => '.',
        Task::DriveSlow => 's',
        Task::DriveFast => 'f',
        Task::BrushLifted => 'u',
        Task::BrushLow => 'l',
        Task::BrushHigh => 'h',
    }
}

fn parts(trace: &[f32], columns: usize) -> impl Iterator<Item = &[f32]> {
    let columns = columns.clamp(1, trace.len().max(1));
    (0..columns).filter_map(move |i| {
        let part = trace.get(i * trace.len() / columns..(i + 1) * trace.len() / columns)?;
        (!part.is_empty()).then_some(part)
    })
}

/// The candidate over time, with the prompts as bands.
pub fn svg(quantity: Quantity, candidate: &Candidate, prompts: &[Prompt]) -> String {
    let trace = &candidate.trace;
    let length_s = trace.len() as f64 * CELL_S;
    let least = trace.iter().copied().fold(f32::INFINITY, f32::min);
    let most = trace.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    let span = f64::from((most - least).max(f32::MIN_POSITIVE));
    let x = |s: f64| s / length_s.max(CELL_S) * WIDTH;
    let y = |v: f32| TOP + (HEIGHT - TOP - 4.0) * (1.0 - f64::from(v - least) / span);
    let mut text = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {WIDTH} {HEIGHT}\" \
         font-family=\"sans-serif\" font-size=\"11\">\n<rect width=\"100%\" height=\"100%\" fill=\"white\"/>\n"
    );
    for prompt in prompts {
        let (from, to) = (x(prompt.from_s), x(prompt.to_s));
        // Writing to a String cannot fail.
        let _ = write!(
            text,
            "<rect x=\"{from:.1}\" y=\"{TOP}\" width=\"{:.1}\" height=\"{}\" fill=\"#e4e4e4\"/>\n\
             <text x=\"{from:.1}\" y=\"26\" font-size=\"8\">{}</text>\n",
            to - from,
            HEIGHT - TOP,
            prompt.task.name()
        );
    }
    let mut points = String::new();
    let columns = COLUMNS.min(trace.len());
    for (i, part) in parts(trace, COLUMNS).enumerate() {
        let at = (i as f64 + 0.5) / columns as f64 * WIDTH;
        let low = part.iter().copied().fold(f32::INFINITY, f32::min);
        let high = part.iter().copied().fold(f32::NEG_INFINITY, f32::max);
        let _ = write!(points, "{at:.1},{:.1} {at:.1},{:.1} ", y(low), y(high));
    }
    let _ = write!(
        text,
        "<polyline points=\"{}\" fill=\"none\" stroke=\"black\" stroke-width=\"1\"/>\n\
         <text x=\"4\" y=\"12\">{}: id {}, {}, score {:.2}; number {least} to {most} over {length_s:.0} s</text>\n</svg>\n",
        points.trim_end(),
        quantity.name(),
        super::draft::id_words(candidate.id),
        candidate.field.place(),
        candidate.score,
    );
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_go_from_least_to_most() {
        let trace: Vec<f32> = (0..80).map(|i| i as f32).collect();
        assert_eq!(blocks(&trace, 8), "▁▂▃▄▅▆▇█");
        assert_eq!(blocks(&[3.0, 3.0], 8), "▁▁");
        assert_eq!(blocks(&[], 8), "");
        let prompt = |from_s, to_s, task| Prompt { from_s, to_s, task };
        let prompts = [prompt(0.0, 4.0, Task::Stand), prompt(8.0, 16.0, Task::DriveSlow)];
        assert_eq!(prompt_row(&prompts, 80, 8), "..  ssss");
    }
}
