//! The rows around the lanes: title, events, times, status and keys.

use super::{BOLD, DIM, Frame, REVERSED};
use crate::events::{Event, Severity};
use crate::screen::{Mode, Scene};
use chrono::{DateTime, TimeDelta, Utc};
use ratatui_core::buffer::Buffer;
use ratatui_core::style::Style;

/// Which lanes have room, and how much.
pub(super) struct Rows {
    /// The lane at the top.
    pub(super) first: usize,
    pub(super) heights: Vec<u16>,
    /// Lanes without room.
    pub(super) hidden: usize,
}

impl Rows {
    /// Shares out `room` rows to the lanes from `first` on, or from an earlier one if there
    /// is room for it.
    pub(super) fn share(scene: &Scene, first: usize, room: u16) -> Self {
        let least = |lane: &crate::screen::Lane| lane.rows.0 as u16;
        let all: Vec<u16> = scene.lanes.iter().map(least).collect();
        let fit = |from: usize| {
            let mut used = 0;
            let fits = |height: &&u16| {
                used += **height;
                used <= room
            };
            all.iter().skip(from).take_while(fits).count()
        };
        let last_first = (0..all.len()).find(|from| from + fit(*from) >= all.len()).unwrap_or(0);
        let first = first.min(last_first);
        let count = fit(first);
        let mut heights: Vec<u16> = all.iter().skip(first).take(count).copied().collect();
        let mut left = room - heights.iter().sum::<u16>();
        // One row after the other to those that make good use of it.
        loop {
            let before = left;
            for (lane, height) in scene.lanes.iter().skip(first).zip(&mut heights) {
                if left > 0 && usize::from(*height) < lane.rows.1 {
                    (*height, left) = (*height + 1, left - 1);
                }
            }
            if left == before {
                break;
            }
        }
        Self { first, heights, hidden: all.len() - count }
    }
}

fn local(frame: &Frame<'_>, ms: i64) -> DateTime<chrono_tz::Tz> {
    let at: DateTime<Utc> = DateTime::from_timestamp_millis(ms).unwrap_or_default();
    at.with_timezone(&frame.scene.zone)
}

/// The time of day, with tenths of a second where they matter.
fn clock(frame: &Frame<'_>, ms: i64, tenths: bool) -> String {
    let whole = local(frame, ms).format("%H:%M:%S");
    if tenths { format!("{whole}.{}", ms.rem_euclid(1_000) / 100) } else { whole.to_string() }
}

/// Building and machine at the left, what is shown at the right.
pub(super) fn title(frame: &Frame<'_>, buffer: &mut Buffer) {
    let view = &frame.state.view;
    let (from, to) = (view.from_ms(), view.from_ms() + view.length_ms());
    let tenths = view.length_ms() < 60_000;
    let shown = format!(
        "{}  {}–{}  ({})",
        local(frame, from).format("%Y-%m-%d"),
        clock(frame, from, tenths),
        clock(frame, to, tenths),
        length(view.length_ms()),
    );
    let width = usize::from(buffer.area.width);
    let room = width.saturating_sub(shown.chars().count() + 2);
    buffer.set_stringn(0, 0, &frame.scene.title, room, BOLD);
    let at = width.saturating_sub(shown.chars().count()) as u16;
    buffer.set_stringn(at, 0, &shown, width, Style::new());
}

fn length(ms: i64) -> String {
    let (hours, minutes, seconds) = (ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60);
    let parts = [(hours, "h"), (minutes, "min"), (seconds, "s")];
    let said = parts.into_iter().filter(|(n, _)| *n > 0).map(|(n, unit)| format!("{n} {unit}"));
    said.collect::<Vec<_>>().join(" ")
}

/// A row of marks: where events begin, how bad they are, how long they go on.
pub(super) fn events(frame: &Frame<'_>, buffer: &mut Buffer, row: u16) {
    let label = if frame.scene.waiting.events { "Events (reading)" } else { "Events" };
    buffer.set_stringn(0, row, label, usize::from(frame.left) - 1, Style::new());
    let columns = usize::from(frame.columns);
    let view = &frame.state.view;
    // What is worse is drawn later, over the rest.
    let mut events: Vec<&Event> = frame.scene.events.iter().collect();
    events.sort_by_key(|event| event.severity);
    let mut put = |column: usize, letter: &str, style: Style| {
        buffer.set_stringn(frame.left + column as u16, row, letter, 1, style);
    };
    for first in [false, true] {
        for event in &events {
            let Some((from, to)) = place(event, view, columns) else { continue };
            let begins = event.span.from.timestamp_millis() >= view.from_ms();
            let (mark, style) = match event.severity {
                Severity::Note => ('\'', DIM),
                Severity::Slight => ('▵', Style::new()),
                Severity::Inspect => ('▲', BOLD),
                Severity::Severe => ('▼', frame.styles.over()),
            };
            if first && begins {
                put(from, mark.encode_utf8(&mut [0; 4]), style);
            } else if !first {
                let line = if event.severity >= Severity::Inspect { "━" } else { "─" };
                (from..=to).for_each(|column| put(column, line, style));
            }
        }
    }
    let chosen = frame.state.event.and_then(|number| frame.scene.events.get(number));
    if let Some((from, to)) = chosen.and_then(|event| place(event, view, columns)) {
        for column in from..=to {
            if let Some(cell) = buffer.cell_mut((frame.left + column as u16, row)) {
                cell.set_style(REVERSED);
            }
        }
    }
}

/// First and last column of an event, if it is shown.
fn place(event: &Event, view: &crate::screen::View, columns: usize) -> Option<(usize, usize)> {
    let (from, to) = (event.span.from.timestamp_millis(), event.span.to.timestamp_millis());
    let (begin, length) = (view.from_ms(), view.length_ms());
    // An event of no length still has a begin.
    let to = to.max(from + 1);
    if to <= begin || from >= begin + length {
        return None;
    }
    let column = |at: i64| {
        let column = i128::from(at - begin) * columns as i128 / i128::from(length);
        (column.max(0) as usize).min(columns.saturating_sub(1))
    };
    Some((column(from.max(begin)), column(to - 1)))
}

/// Steps between times, in ms.
const STEPS_MS: [i64; 20] = [
    100, 200, 500, 1_000, 2_000, 5_000, 10_000, 15_000, 30_000, 60_000, 120_000, 300_000, 600_000,
    900_000, 1_800_000, 3_600_000, 7_200_000, 10_800_000, 14_400_000, 21_600_000,
];

/// A line with the cursor's place, and below it the times.
pub(super) fn axis(frame: &Frame<'_>, buffer: &mut Buffer, row: u16) {
    let view = &frame.state.view;
    let columns = i64::from(frame.columns);
    let line: String = (0..frame.columns).map(|_| '─').collect();
    buffer.set_stringn(frame.left, row, line, usize::from(frame.columns), DIM);
    let room = |step: i64| match step {
        step if step < 1_000 => 12,
        step if step < 60_000 => 10,
        _ => 7,
    };
    let fits = |step: &&i64| **step * columns / view.length_ms() >= room(**step);
    let step = STEPS_MS.iter().find(fits).copied().unwrap_or(43_200_000);
    let from = local(frame, view.from_ms());
    let into = from.naive_local().and_utc().timestamp_millis().rem_euclid(step);
    let mut at = view.from_ms() + if into == 0 { 0 } else { step - into };
    while at < view.from_ms() + view.length_ms() {
        let column = ((at - view.from_ms()) * columns / view.length_ms()) as u16;
        let text = match step {
            step if step < 60_000 => clock(frame, at, step < 1_000),
            _ => local(frame, at).format("%H:%M").to_string(),
        };
        buffer.set_stringn(frame.left + column, row, "┬", 1, DIM);
        if usize::from(column) + text.len() <= usize::from(frame.columns) {
            buffer.set_stringn(frame.left + column, row + 1, &text, text.len(), Style::new());
        }
        at += step;
    }
    let column = view.cursor_column(usize::from(frame.columns)) as u16;
    buffer.set_stringn(frame.left + column, row, "▲", 1, BOLD);
}

/// The time under the cursor, and what happens there.
pub(super) fn status(frame: &Frame<'_>, buffer: &mut Buffer, row: u16) {
    let view = &frame.state.view;
    let columns = usize::from(frame.columns);
    let (from, to) = view.column(view.cursor_column(columns), columns);
    let at = view.cursor_ms();
    let mut said = clock(frame, at, to - from < 1_000);
    said += &local(frame, at).format(" %Z  ").to_string();
    let here = |event: &&Event| {
        let span = (event.span.from.timestamp_millis(), event.span.to.timestamp_millis());
        span.0 < to && span.1.max(span.0 + 1) > from
    };
    let chosen = frame.state.event.and_then(|number| frame.scene.events.get(number));
    let mut events: Vec<&Event> = frame.scene.events.iter().filter(here).collect();
    events.sort_by_key(|event| std::cmp::Reverse(event.severity));
    if let Some(what) = &frame.state.said {
        said += what;
    } else if frame.scene.empty {
        said += "nothing was recorded in this night";
    } else if let Some(event) = chosen.or(events.first().copied()) {
        said += &self::event(event);
        let more = events.iter().filter(|other| other.id != event.id).count();
        if more > 0 {
            said += ", ";
            said += &more.to_string();
            said += " more";
        }
    }
    let width = usize::from(buffer.area.width);
    buffer.set_stringn(0, row, said, width, BOLD);
}

fn event(event: &Event) -> String {
    let seconds = TimeDelta::milliseconds((event.lasted().0 * 1000.0) as i64);
    let lasted = if seconds < TimeDelta::minutes(1) {
        format!("{:.1} s", event.lasted().0)
    } else {
        length(seconds.num_milliseconds())
    };
    let motor = event.motor.map_or_else(String::new, |motor| format!(", motor {}", motor + 1));
    format!("{} {}{motor}, {}, {lasted}", event.id, event.kind.says(), event.severity.word())
}

/// What the keys do.
pub(super) fn keys(frame: &Frame<'_>, buffer: &mut Buffer, row: u16, hidden: usize) {
    let width = usize::from(buffer.area.width);
    let text = if let Mode::Ask(typed) = &frame.state.mode {
        format!("go to: {typed}_   (1:23:45, a date and a time, or an event)")
    } else {
        let lanes = match hidden {
            0 => String::new(),
            1 => "↑ ↓ 1 more lane  ".to_owned(),
            _ => format!("↑ ↓ {hidden} more lanes  "),
        };
        format!("{lanes}← → move  + - zoom  n p event  g go to  ? help  q leave")
    };
    buffer.set_stringn(0, row, text, width, DIM);
    let reading = "reading the night";
    if frame.scene.waiting.overview && frame.state.mode == Mode::Look {
        let at = width.saturating_sub(reading.len());
        buffer.set_stringn(at as u16, row, reading, reading.len(), BOLD);
    }
}
