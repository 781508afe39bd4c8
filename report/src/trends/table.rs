//! Trends for a terminal, in the words of the printed page.

use super::{MachineTrends, Series, Verdict, points_to};
use crate::sheet::figures::Figures;
use crate::sheet::{SheetOptions, TrendWords, wrap};
use chrono::NaiveDate;
use std::fmt::Write;
use underbrush_protocol::settings::Machine;

/// Columns of the small picture of a series.
const PICTURE: usize = 16;
const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// Narrower text is not wrapped any further.
const NARROWEST: usize = 40;
/// Of the table.
const COLUMNS: usize = 7;
const NAME: usize = 0;
const NIGHTS: usize = 1;
const FIRST: usize = 2;
const CHANGE: usize = 4;
const PICTURES: usize = 5;
const SO: usize = 6;
/// Between columns, and before the first.
const WHITE: usize = 2;

/// Trends as text of at most `width` columns.
pub fn to_text(
    trends: &[MachineTrends],
    machines: &[&Machine],
    options: &SheetOptions,
    width: usize,
) -> String {
    let width = width.max(NARROWEST);
    let words = TrendWords::new(Figures::new(options.units, options.language), trends);
    let mut text = String::new();
    wrapped(&mut text, "", &words.heading(trends), width);
    let safety = words.safety(trends);
    if !safety.is_empty() {
        text.push('\n');
        wrapped(&mut text, "", &words.say("heading-safety"), width);
    }
    for line in safety {
        wrapped(&mut text, "  ", &line, width);
    }
    for of in trends {
        let Some(machine) = machines.get(of.machine) else { continue };
        text.push('\n');
        let name = machine.name.replace(char::is_control, " ");
        wrapped(&mut text, "", &words.machine(name, of), width);
        if of.series.is_empty() {
            wrapped(&mut text, "  ", &words.say("trend-nothing"), width);
            continue;
        }
        for line in table(&words, of, width) {
            text.push_str(line.trim_end());
            text.push('\n');
        }
        for series in of.told() {
            text.push('\n');
            told(&mut text, &words, machine, series, of, width);
        }
    }
    text
}

fn table(words: &TrendWords, of: &MachineTrends, width: usize) -> Vec<String> {
    let ids = [
        "trend-column-sign",
        "trend-column-nights",
        "trend-column-first",
        "trend-column-last",
        "trend-column-change",
        "",
        "trend-column-so",
    ];
    let head = ids.map(|id| if id.is_empty() { String::new() } else { words.say(id) });
    let mut rows = vec![head];
    rows.extend(of.series.iter().map(|series| row(words, series)));
    let widths = widths(&rows, width);
    rows.iter().flat_map(|row| lines(row, &widths)).collect()
}

/// The width of each column, 0 for one that has no room.
fn widths(rows: &[[String; COLUMNS]], width: usize) -> [usize; COLUMNS] {
    let letters = |text: &str| text.chars().count();
    let mut wide = [0; COLUMNS];
    let mut words = [0; COLUMNS];
    for row in rows {
        for (place, cell) in row.iter().enumerate() {
            wide[place] = wide[place].max(letters(cell));
            let longest = cell.split_whitespace().map(letters).max().unwrap_or(0);
            words[place] = words[place].max(longest);
        }
    }
    let fits = |widths: &[usize; COLUMNS]| {
        widths.iter().filter(|width| **width > 0).map(|width| width + WHITE).sum::<usize>() <= width
    };
    // The picture goes first, then the first level.
    for dropped in [PICTURES, FIRST] {
        if !fits(&wide) {
            wide[dropped] = 0;
        }
    }
    // Then names and verdicts are wrapped between words, then other columns go; at last words
    // are broken.
    for least in [words, [1; COLUMNS]] {
        for dropped in [&[][..], &[CHANGE], &[CHANGE, NIGHTS]] {
            let mut widths = wide;
            for place in dropped {
                widths[*place] = 0;
            }
            let spare = |widths: &[usize; COLUMNS], place: usize| {
                widths[place].saturating_sub(least[place])
            };
            while !fits(&widths) && spare(&widths, NAME) + spare(&widths, SO) > 0 {
                let name = spare(&widths, NAME) >= spare(&widths, SO);
                widths[if name { NAME } else { SO }] -= 1;
            }
            if fits(&widths) {
                return widths;
            }
        }
    }
    wide
}

/// A row, its long cells in several lines.
fn lines(row: &[String; COLUMNS], widths: &[usize; COLUMNS]) -> Vec<String> {
    let cells: Vec<Vec<String>> = row
        .iter()
        .enumerate()
        .zip(widths)
        .map(|((place, cell), width)| match place {
            NAME | SO => wrap(cell, *width),
            _ => vec![cell.clone()],
        })
        .collect();
    let most = cells.iter().map(Vec::len).max().unwrap_or(0);
    let line = |number: usize| {
        let mut line = String::new();
        for (place, (cell, width)) in cells.iter().zip(widths).enumerate() {
            if *width == 0 {
                continue;
            }
            let text = cell.get(number).map_or("", String::as_str);
            line.push_str(&" ".repeat(WHITE));
            // Writing to a string cannot fail.
            let _ = match place {
                NIGHTS..CHANGE => write!(line, "{text:>width$}"),
                _ => write!(line, "{text:<width$}"),
            };
        }
        line
    };
    (0..most).map(line).collect()
}

fn row(words: &TrendWords, series: &Series) -> [String; COLUMNS] {
    let trend = &series.trend;
    let level =
        |value: Option<f64>| value.map_or("–".to_owned(), |v| words.amount(series.sign, v));
    let change = trend.change.map_or("–".to_owned(), |(best, low, high)| {
        let values = [
            ("change", words.percent(best, true).into()),
            ("low", words.percent(low, true).into()),
            ("high", words.percent(high, true).into()),
        ];
        words.with("trend-change", &values)
    });
    [
        words.name(series.sign),
        trend.values.to_string(),
        level(trend.levels.map(|l| l.0)),
        level(trend.levels.map(|l| l.1)),
        change,
        picture(series),
        verdict(words, series),
    ]
}

/// In a few words.
fn verdict(words: &TrendWords, series: &Series) -> String {
    let dated = |id: &str, on: NaiveDate| words.with(id, &[("date", words.day(on).into())]);
    match series.trend.verdict {
        Verdict::TooFew => words.say("trend-short-few"),
        Verdict::Steady => match series.trend.better_since {
            Some(step) => dated("trend-short-better", step.on),
            None => words.say("trend-short-steady"),
        },
        Verdict::Drifted => words.say("trend-short-drifted"),
        Verdict::Coming(on) => dated("trend-short-coming", on),
        Verdict::Stepped(step) => dated("trend-short-stepped", step.on),
    }
}

fn told(
    text: &mut String,
    words: &TrendWords,
    machine: &Machine,
    series: &Series,
    of: &MachineTrends,
    width: usize,
) {
    let part = points_to(series, &of.series);
    let mut said = vec![words.verdict(machine, series)];
    said.extend(words.better(series));
    said.push(words.may_be(part));
    wrapped(text, "", &said.join(" "), width);
    for (number, check) in words.checks(part).iter().enumerate() {
        wrapped(text, &format!("  {}. ", number + 1), check, width);
    }
}

/// The series as bars: medians of equal parts of its time; a blank where no night has a value.
fn picture(series: &Series) -> String {
    let (Some((first, _)), Some((last, _))) = (series.points.first(), series.points.last()) else {
        return String::new();
    };
    let days = (*last - *first).num_days().max(1);
    let part = |date: NaiveDate| (date - *first).num_days() * (PICTURE as i64 - 1) / days;
    let level = |column: usize| {
        let within = series.points.iter().filter(|p| part(p.0) == column as i64);
        crate::findings::robust::median(&within.map(|p| p.1).collect::<Vec<_>>())
    };
    let levels: Vec<Option<f64>> = (0..PICTURE).map(level).collect();
    let known = || levels.iter().flatten().copied();
    let (low, high) = (known().fold(f64::MAX, f64::min), known().fold(f64::MIN, f64::max));
    // A series that hardly changes must not look like one that does.
    let range = (high - low).max(0.1 * high.abs()).max(f64::MIN_POSITIVE);
    let bar = |level: &Option<f64>| {
        level.map_or(' ', |l| BARS[(((l - low) / range * 7.0).round() as usize).min(7)])
    };
    levels.iter().map(bar).collect()
}

/// Adds words in lines of at most `width` columns; lines after the first are set in by the
/// length of `lead`.
fn wrapped(text: &mut String, lead: &str, words: &str, width: usize) {
    let indent = lead.chars().count();
    let mut column = indent;
    text.push_str(lead);
    for (number, word) in words.split_whitespace().enumerate() {
        let length = word.chars().count();
        if number > 0 && column + 1 + length > width {
            text.push('\n');
            text.extend(std::iter::repeat_n(' ', indent));
            column = indent;
        } else if number > 0 {
            text.push(' ');
            column += 1;
        }
        text.push_str(word);
        column += length;
    }
    text.push('\n');
}
