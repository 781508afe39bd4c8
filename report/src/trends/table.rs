//! Trends for a terminal, and night by night for spreadsheets.

use super::points_to::SAFETY;
use super::rows::{key, unit};
use super::{MachineTrends, Series, Sign, Verdict, points_to};
use crate::settings::site::Language;
use crate::settings::table::guarded;
use crate::sheet::words::Words;
use chrono::NaiveDate;
use std::fmt::Write;
use underbrush_protocol::settings::Machine;

/// Columns of the small picture of a series.
const PICTURE: usize = 16;
const BARS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
/// Narrower text is not wrapped any further.
const NARROWEST: usize = 40;

/// Trends as text of at most `width` columns.
pub fn to_text(trends: &[MachineTrends], machines: &[&Machine], width: usize) -> String {
    let width = width.max(NARROWEST);
    let mut text = String::new();
    for of in trends {
        let Some(machine) = machines.get(of.machine) else { continue };
        // Writing to a string cannot fail.
        let _ = writeln!(
            text,
            "{}, {} to {}, {} nights with a record",
            machine.name.replace(char::is_control, " "),
            of.dates.0,
            of.dates.1,
            of.nights
        );
        if of.series.is_empty() {
            text.push_str(
                "  Nothing to follow: no night has readings that tell of the machine itself.\n",
            );
        }
        for line in table(of, width) {
            text.push_str(line.trim_end());
            text.push('\n');
        }
        for series in of.told() {
            text.push('\n');
            told(&mut text, series, of, width);
        }
        text.push('\n');
    }
    if trends.iter().any(|of| of.told().next().is_some()) {
        wrapped(&mut text, "", SAFETY, width);
    }
    text
}

fn table(of: &MachineTrends, width: usize) -> Vec<String> {
    let mut rows =
        vec![["sign", "nights", "first", "last", "change (95 %)", "", "so"].map(str::to_owned)];
    rows.extend(of.series.iter().map(row));
    let mut widths = [0; 7];
    for row in &rows {
        for (width, cell) in widths.iter_mut().zip(row) {
            *width = cell.chars().count().max(*width);
        }
    }
    // What does not fit goes in this order: the picture, then the first level.
    let total =
        |widths: &[usize; 7]| widths.iter().filter(|w| **w > 0).map(|w| w + 2).sum::<usize>();
    for dropped in [5, 2] {
        if total(&widths) > width {
            widths[dropped] = 0;
        }
    }
    let line = |row: &[String; 7]| {
        let mut line = String::from("  ");
        for (place, (cell, width)) in row.iter().zip(widths).enumerate() {
            if width == 0 {
                continue;
            }
            let _ = match place {
                1..=3 => write!(line, "{cell:>width$}  "),
                _ => write!(line, "{cell:<width$}  "),
            };
        }
        line
    };
    rows.iter().map(line).collect()
}

fn row(series: &Series) -> [String; 7] {
    let trend = &series.trend;
    let level = |value: Option<f64>| value.map_or("-".to_owned(), |v| amount(series.sign, v));
    let change = trend.change.map_or("-".to_owned(), |(best, low, high)| {
        format!("{} ({} to {})", percent(best), percent(low), percent(high))
    });
    [
        name(series.sign),
        trend.values.to_string(),
        level(trend.levels.map(|l| l.0)),
        level(trend.levels.map(|l| l.1)),
        change,
        picture(series),
        verdict(series),
    ]
}

/// What people call a sign.
pub(crate) fn name(sign: Sign) -> String {
    match sign {
        Sign::NoLoad(motor) => format!("current in the air, motor {}", motor + 1),
        Sign::RunDown(motor) => format!("coasting to half, brush {}", motor + 1),
        Sign::Winding(motor) => format!("winding and leads, motor {}", motor + 1),
        Sign::Battery => "battery and leads".to_owned(),
        Sign::DriveRestoring => "drive current, slow".to_owned(),
        Sign::DriveMaintaining => "drive current, fast".to_owned(),
        Sign::Way => "way of the same upkeep".to_owned(),
    }
}

fn amount(sign: Sign, value: f64) -> String {
    match sign {
        Sign::Winding(_) | Sign::Battery => format!("{:.1} mΩ", value * 1000.0),
        Sign::RunDown(_) => format!("{value:.2} s"),
        Sign::Way => format!("{:.1} %", value * 100.0),
        _ => format!("{value:.1} A"),
    }
}

fn percent(share: f64) -> String {
    let percent = (share * 100.0).round();
    if percent == 0.0 { "0 %".to_owned() } else { format!("{percent:+} %") }
}

fn verdict(series: &Series) -> String {
    let trend = &series.trend;
    match trend.verdict {
        Verdict::TooFew => "too few nights".to_owned(),
        Verdict::Steady => trend
            .better_since
            .map_or("steady".to_owned(), |step| format!("steady, better since {}", step.on)),
        Verdict::Drifted => "LOOK: drifts".to_owned(),
        Verdict::Coming(on) => format!("LOOK: at its limit about {on}"),
        Verdict::Stepped(step) => format!("LOOK: stepped on {}", step.on),
    }
}

fn told(text: &mut String, series: &Series, of: &MachineTrends, width: usize) {
    let part = points_to(series, &of.series);
    let name = name(series.sign);
    let head = match series.trend.verdict {
        Verdict::Stepped(step) => format!(
            "{name}: {} before {}, {} since ({}).",
            amount(series.sign, step.before),
            step.on,
            amount(series.sign, step.after),
            percent(step.change())
        ),
        _ => format!("{name}: {}.", percent(series.trend.change.map_or(0.0, |c| c.0))),
    };
    // Terminals speak English.
    let words = Words::new(Language::English);
    wrapped(text, "", &format!("{head} It may be: {}.", words.say(part.may_be)), width);
    for (number, check) in part.check.iter().enumerate() {
        wrapped(text, &format!("  {}. ", number + 1), &words.say(check), width);
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

/// One row for each night and sign.
pub fn to_csv(trends: &[MachineTrends], machines: &[&Machine]) -> String {
    let mut writer =
        csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    // Writing to memory cannot fail, and every row is as long as the head.
    let _ = writer.write_record(["machine", "date", "sign", "motor", "value", "unit"]);
    for of in trends {
        let Some(machine) = machines.get(of.machine) else { continue };
        for series in &of.series {
            for (date, value) in &series.points {
                let _ = writer.write_record([
                    guarded(&machine.id),
                    date.to_string(),
                    key(series.sign).to_owned(),
                    series.sign.motor().map_or(String::new(), |motor| (motor + 1).to_string()),
                    value.to_string(),
                    unit(series.sign).to_owned(),
                ]);
            }
        }
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}
