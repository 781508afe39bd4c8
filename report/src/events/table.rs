//! The list for terminals: columns fitted to the width, or a few lines each where it is narrow.

use super::rows::Context;
use super::{Event, Measure, Severity};
use crate::sheet::{Cleaner, wrap};
use underbrush_protocol::si::Seconds;

/// Below this width each event is a few lines of its own.
const NARROW: usize = 76;
/// No terminal is narrower or wider than this.
const WIDTHS: (usize, usize) = (24, 400);
/// Columns that give room first, by the least that they keep.
const LEAST: [usize; COLUMNS] = [0, 0, 0, 10, 0, 8, 0, 12];
const COLUMNS: usize = 8;
const HEAD: [&str; COLUMNS] =
    ["event", "begin", "lasted", "what", "severity", "where", "motor", "figure"];
/// Between columns.
const WHITE: usize = 2;

/// The list as text, `width` characters wide at most.
pub fn to_text(events: &[&Event], context: Context<'_>, width: usize) -> String {
    let width = width.clamp(WIDTHS.0, WIDTHS.1);
    let clean = Cleaner::default();
    let rows: Vec<[String; COLUMNS]> =
        events.iter().map(|event| cells(event, context, &clean)).collect();
    let mut out = String::new();
    let mut line = |text: &str| {
        out.push_str(text.trim_end());
        out.push('\n');
    };
    match widths(&rows, width) {
        Some(widths) => {
            for text in lines(&HEAD.map(str::to_owned), &widths) {
                line(&text);
            }
            line(&widths.iter().map(|w| "-".repeat(*w)).collect::<Vec<_>>().join("  "));
            for text in rows.iter().flat_map(|row| lines(row, &widths)) {
                line(&text);
            }
        }
        None => {
            for text in rows.iter().flat_map(|row| card(row, width)) {
                line(&text);
            }
        }
    }
    for text in wrap(&total(events), width) {
        line(&text);
    }
    out
}

fn cells(event: &Event, context: Context<'_>, clean: &Cleaner) -> [String; COLUMNS] {
    let site = context.site;
    let begin = event.span.from.with_timezone(&site.zone).format("%H:%M:%S").to_string();
    let mut lasted = length(event.lasted());
    if event.cut_short {
        lasted.push('+');
    }
    let section = event.place.section.and_then(|i| site.sections.get(i));
    let section = section.map_or_else(|| "not marked".to_owned(), |s| clean.name(&s.id));
    let place = match event.place.phase {
        Some(phase) => format!("{section}, {phase}"),
        None => section,
    };
    [
        event.id.clone(),
        begin,
        lasted,
        event.kind.says().to_owned(),
        event.severity.word().to_owned(),
        place,
        event.motor.map_or(String::new(), |motor| (motor + 1).to_string()),
        figure(event),
    ]
}

/// `current 92.4 A, limit 75 A`.
fn figure(event: &Event) -> String {
    let Measure { of, unit, value } = event.figure;
    if !value.is_finite() {
        return format!("{of} not known");
    }
    let with_unit = |value: f64| format!("{} {unit}", number(value)).trim_end().to_owned();
    let limit = event.limit.map_or(String::new(), |limit| format!(", limit {}", with_unit(limit)));
    format!("{of} {}{limit}", with_unit(value))
}

/// Three digits, without zeros at the end.
pub(super) fn number(value: f64) -> String {
    let decimals = match value.abs() {
        v if v >= 100.0 => 0,
        v if v >= 10.0 => 1,
        _ => 2,
    };
    let text = format!("{value:.decimals$}");
    if text.contains('.') {
        return text.trim_end_matches('0').trim_end_matches('.').to_owned();
    }
    text
}

/// `14 s`, `12 min 5 s`, `2 h 3 min`.
pub(super) fn length(time: Seconds) -> String {
    if time.0 < 9.95 {
        return format!("{} s", number((time.0 * 10.0).round() / 10.0));
    }
    let s = time.0.round() as u64;
    match (s / 3600, s / 60 % 60, s % 60) {
        (0, 0, s) => format!("{s} s"),
        (0, min, 0) => format!("{min} min"),
        (0, min, s) => format!("{min} min {s} s"),
        (h, min, _) => format!("{h} h {min:02} min"),
    }
}

/// The width of each column; `None`: there is no room for columns.
fn widths(rows: &[[String; COLUMNS]], width: usize) -> Option<[usize; COLUMNS]> {
    let wide = |i: usize| {
        let cells = rows.iter().filter_map(|row| row.get(i)).map(|cell| cell.chars().count());
        cells.max().unwrap_or(0).max(HEAD[i].len())
    };
    let mut widths: [usize; COLUMNS] = std::array::from_fn(wide);
    let white = WHITE * (COLUMNS - 1);
    loop {
        let sum = widths.iter().sum::<usize>() + white;
        if sum <= width {
            return (width >= NARROW).then_some(widths);
        }
        // The one with the most to give gives.
        let spare = |i: &usize| match LEAST[*i] {
            0 => 0,
            least => widths[*i].saturating_sub(least),
        };
        let most = (0..COLUMNS).max_by_key(spare).filter(|i| spare(i) > 0)?;
        widths[most] -= 1;
    }
}

fn lines(row: &[String; COLUMNS], widths: &[usize; COLUMNS]) -> Vec<String> {
    let cells: Vec<Vec<String>> =
        row.iter().zip(widths).map(|(cell, width)| wrap(cell, *width)).collect();
    let most = cells.iter().map(Vec::len).max().unwrap_or(0);
    let one = |n: usize| {
        let parts = cells.iter().zip(widths).map(|(cell, width)| {
            let text = cell.get(n).map_or("", String::as_str);
            format!("{text:<width$}")
        });
        parts.collect::<Vec<_>>().join(&" ".repeat(WHITE))
    };
    (0..most).map(one).collect()
}

fn card(row: &[String; COLUMNS], width: usize) -> Vec<String> {
    let [id, begin, lasted, what, severity, place, motor, figure] = row;
    let motor = if motor.is_empty() { String::new() } else { format!(", motor {motor}") };
    let mut out = wrap(id, width);
    for text in [
        format!("{what}{motor}; {severity}"),
        format!("{begin}, {lasted}; {place}"),
        figure.clone(),
    ] {
        let wrapped = wrap(&text, width.saturating_sub(2));
        out.extend(wrapped.into_iter().map(|line| format!("  {line}")));
    }
    out
}

/// How many there are of each severity, the worst first.
fn total(events: &[&Event]) -> String {
    let of = |severity: Severity| {
        let count = events.iter().filter(|event| event.severity == severity).count();
        (count > 0).then(|| format!("{count} {}", severity.word()))
    };
    let parts: Vec<String> = Severity::ALL.into_iter().rev().filter_map(of).collect();
    match events.len() {
        0 => "no events".to_owned(),
        1 => format!("1 event: {}", parts.join(", ")),
        count => format!("{count} events: {}", parts.join(", ")),
    }
}
