//! The rows around the lanes: title, events, times, status and keys.

use super::fit::{beside, cut, fitting, width};
use super::{BOLD, DIM, Frame, REVERSED};
use crate::events::{Event, Severity};
use crate::screen::{Mode, Scene};
use crate::sheet::kind_id;
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
    let all = usize::from(buffer.area.width);
    let room = all.saturating_sub(width(&shown) + 2);
    buffer.set_stringn(0, 0, cut(&frame.scene.title, room), room, BOLD);
    let at = all.saturating_sub(width(&shown)) as u16;
    buffer.set_stringn(at, 0, &shown, all, Style::new());
}

fn length(ms: i64) -> String {
    let (hours, minutes, seconds) = (ms / 3_600_000, ms / 60_000 % 60, ms / 1000 % 60);
    let parts = [(hours, "h"), (minutes, "min"), (seconds, "s")];
    let said = parts.into_iter().filter(|(n, _)| *n > 0).map(|(n, unit)| format!("{n} {unit}"));
    said.collect::<Vec<_>>().join(" ")
}

/// A row of marks: where events begin, how bad they are, how long they go on.
pub(super) fn events(frame: &Frame<'_>, buffer: &mut Buffer, row: u16) {
    let waiting = frame.scene.waiting.events;
    let label = frame.say(if waiting { "screen-events-reading" } else { "layout-events" });
    let room = usize::from(frame.left) - 1;
    buffer.set_stringn(0, row, cut(&label, room), room, Style::new());
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
    let time = clock(frame, at, to - from < 1_000);
    let zone = local(frame, at).format("%Z").to_string();
    let here = |event: &&Event| {
        let span = (event.span.from.timestamp_millis(), event.span.to.timestamp_millis());
        span.0 < to && span.1.max(span.0 + 1) > from
    };
    let chosen = frame.state.event.and_then(|number| frame.scene.events.get(number));
    let mut events: Vec<&Event> = frame.scene.events.iter().filter(here).collect();
    events.sort_by_key(|event| std::cmp::Reverse(event.severity));
    let said = if let Some(what) = &frame.state.said {
        vec![what.clone()]
    } else if frame.scene.empty {
        vec![frame.say("screen-nothing-recorded")]
    } else if let Some(event) = chosen.or(events.first().copied()) {
        let more = events.iter().filter(|other| other.id != event.id).count();
        self::event(frame, event, more)
    } else {
        vec![String::new()]
    };
    let least = said.last().cloned().unwrap_or_default();
    let after = said.iter().map(|what| format!("{time} {zone}  {what}"));
    let ways = after.chain([format!("{time}  {least}"), least.clone()]);
    let room = usize::from(buffer.area.width);
    buffer.set_stringn(0, row, fitting(ways, room), room, BOLD);
}

/// What is said of an event, from all to the least: night and machine stand in the title, and
/// how bad it is in the row of events.
fn event(frame: &Frame<'_>, event: &Event, more: usize) -> Vec<String> {
    let seconds = TimeDelta::milliseconds((event.lasted().0 * 1000.0) as i64);
    let lasted = if seconds < TimeDelta::minutes(1) {
        frame.words.decimal(format!("{:.1} s", event.lasted().0))
    } else {
        length(seconds.num_milliseconds())
    };
    let what = frame.say(kind_id(event.kind));
    let number = |motor: usize| [("motor", (motor + 1).to_string().into())];
    let motor = event.motor.map(|motor| frame.words.with("screen-motor", &number(motor)));
    let severity = Some(frame.say(match event.severity {
        Severity::Note => "screen-note",
        Severity::Slight => "screen-slight",
        Severity::Inspect => "screen-inspect",
        Severity::Severe => "screen-severe",
    }));
    let others = frame.words.with("screen-more", &[("count", more.into())]);
    let others = (more > 0).then_some(others);
    let few = (more > 0).then(|| format!("+{more}"));
    let tail = event.id.rsplit('.').next().unwrap_or(&event.id);
    let parts = |id: &str, [motor, severity, others]: [&Option<String>; 3]| {
        let parts = [motor, severity, &Some(lasted.clone()), others];
        let parts: Vec<&str> = parts.into_iter().flatten().map(String::as_str).collect();
        format!("{id} {what}, {}", parts.join(", "))
    };
    vec![
        parts(&event.id, [&motor, &severity, &others]),
        parts(tail, [&motor, &severity, &others]),
        parts(tail, [&motor, &severity, &few]),
        parts(tail, [&motor, &None, &few]),
        parts(tail, [&None, &None, &few]),
    ]
}

/// What the keys do; help and the way out always stand there.
pub(super) fn keys(frame: &Frame<'_>, buffer: &mut Buffer, row: u16, hidden: usize) {
    let all = usize::from(buffer.area.width);
    let text = if let Mode::Ask(typed) = &frame.state.mode {
        let asked = frame.words.with("screen-asked", &[("typed", typed.into())]);
        let hint = frame.say("screen-asked-hint");
        fitting([format!("{asked}_   {hint}"), format!("{asked}_")], all)
    } else {
        let reading = frame.scene.waiting.overview && frame.state.mode == Mode::Look;
        let reading = if reading { frame.say("screen-reading") } else { String::new() };
        let taken = width(&reading);
        buffer.set_stringn((all - taken) as u16, row, &reading, taken, BOLD);
        beside(signs(frame, hidden), "  ", all - taken - if taken > 0 { 2 } else { 0 })
    };
    buffer.set_stringn(0, row, &text, all, DIM);
}

/// Keys by how much they matter, from 0 on, in the order in which they stand.
fn signs(frame: &Frame<'_>, hidden: usize) -> Vec<(u8, String)> {
    let sign = |sign: &str, id: &str| format!("{sign} {}", frame.say(id));
    let lanes = frame.words.with("screen-more-lanes", &[("count", hidden.into())]);
    let mut signs = Vec::new();
    if hidden > 0 {
        signs.push((2, format!("↑ ↓ {lanes}")));
    }
    signs.extend([
        (3, sign("← →", "screen-move")),
        (5, sign("+ -", "screen-zoom")),
        (4, sign("n p", "screen-next")),
        (6, sign("g", "screen-go")),
        (0, sign("?", "screen-help")),
        (1, sign("q", "screen-leave")),
    ]);
    signs
}
