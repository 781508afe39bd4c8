//! What each key does.

use super::goto::{self, Place};
use super::{Effect, Mode, Scene, State};

/// More than this is no time and no event.
const LONGEST_TYPED: usize = 40;
/// Shown before and after an event that is gone to, in ms, where it does not fit else.
const AROUND_MS: i64 = 30_000;

/// A key, whatever terminal it came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Key {
    /// A letter, digit or sign.
    Char(char),
    /// Arrow.
    Left,
    /// Arrow.
    Right,
    /// Arrow.
    Up,
    /// Arrow.
    Down,
    /// A page back in time.
    PageBack,
    /// A page on in time.
    PageOn,
    /// To the begin.
    Home,
    /// To the end.
    End,
    /// What was typed is done.
    Enter,
    /// What was typed is not wanted.
    Escape,
    /// The last letter away.
    Erase,
    /// The end, at once and from everywhere.
    Interrupt,
}

/// Carries out a key on a screen whose lanes are `columns` wide and of which `hidden` lanes
/// have no room.
pub fn update(state: &mut State, key: Key, scene: &Scene, columns: usize, hidden: usize) -> Effect {
    state.said = None;
    if key == Key::Interrupt {
        return Effect::Leave;
    }
    match std::mem::take(&mut state.mode) {
        Mode::Help => Effect::Stay,
        Mode::Ask(typed) => ask(state, key, typed, scene),
        Mode::Look => look(state, key, scene, columns, hidden),
    }
}

fn ask(state: &mut State, key: Key, mut typed: String, scene: &Scene) -> Effect {
    match key {
        Key::Escape => return Effect::Stay,
        Key::Enter if typed.trim().is_empty() => return Effect::Stay,
        Key::Enter => return go(state, &typed, scene),
        Key::Erase => drop(typed.pop()),
        Key::Char(c) if !c.is_control() && typed.chars().count() < LONGEST_TYPED => typed.push(c),
        _ => {}
    }
    state.mode = Mode::Ask(typed);
    Effect::Stay
}

fn go(state: &mut State, typed: &str, scene: &Scene) -> Effect {
    match goto::read(typed, scene) {
        Ok(Place::At(at)) => {
            state.view.centre_on(at);
            state.event = None;
        }
        Ok(Place::Event(number)) => to_event(state, scene, number),
        Ok(Place::Elsewhere(at)) => return Effect::Instant(at),
        Err(what) => state.said = Some(what),
    }
    Effect::Stay
}

fn look(state: &mut State, key: Key, scene: &Scene, columns: usize, hidden: usize) -> Effect {
    let view = &mut state.view;
    let (begin, end) = view.extent_ms();
    match key {
        Key::Left => view.step(-1, columns),
        Key::Right => view.step(1, columns),
        Key::PageBack => view.page(-1),
        Key::PageOn | Key::Char(' ') => view.page(1),
        Key::Home => view.point_at(begin),
        Key::End => view.point_at(end),
        Key::Char('+' | '=') => view.zoom_in(),
        Key::Char('-' | '_') => view.zoom_out(),
        Key::Char('0') => view.show_all(),
        Key::Up => state.first_lane = state.first_lane.saturating_sub(1),
        Key::Down => state.first_lane = (state.first_lane + 1).min(hidden),
        Key::Char('n') => return next(state, scene),
        Key::Char('p') => return previous(state, scene),
        Key::Char('g') => state.mode = Mode::Ask(String::new()),
        Key::Char('?' | 'h') => state.mode = Mode::Help,
        Key::Char('[') => return night(scene.night.pred_opt()),
        Key::Char(']') => return night(scene.night.succ_opt()),
        Key::Char('q') => return Effect::Leave,
        _ => {}
    }
    let stands = |number: usize| {
        let begins = scene.events.get(number).map(|event| event.span.from.timestamp_millis());
        begins == Some(state.view.cursor_ms())
    };
    state.event = state.event.filter(|number| stands(*number));
    Effect::Stay
}

fn night(date: Option<chrono::NaiveDate>) -> Effect {
    date.map_or(Effect::Stay, Effect::Night)
}

fn next(state: &mut State, scene: &Scene) -> Effect {
    let after =
        |event: &crate::events::Event| event.span.from.timestamp_millis() > state.view.cursor_ms();
    let found = match state.event {
        Some(number) => Some(number + 1).filter(|next| *next < scene.events.len()),
        None => scene.events.iter().position(after),
    };
    found_or_said(state, scene, found, "screen-no-event-after")
}

fn previous(state: &mut State, scene: &Scene) -> Effect {
    let before =
        |event: &crate::events::Event| event.span.from.timestamp_millis() < state.view.cursor_ms();
    let found = match state.event {
        Some(number) => number.checked_sub(1),
        None => scene.events.iter().rposition(before),
    };
    found_or_said(state, scene, found, "screen-no-event-before")
}

fn found_or_said(state: &mut State, scene: &Scene, found: Option<usize>, nothing: &str) -> Effect {
    match found {
        Some(number) => to_event(state, scene, number),
        None if scene.waiting.events => {
            state.said = Some(scene.words().say("screen-events-awaited"));
        }
        None => state.said = Some(scene.words().say(nothing)),
    }
    Effect::Stay
}

/// The cursor to the begin of an event; all of it is shown if it is longer than the view.
fn to_event(state: &mut State, scene: &Scene, number: usize) {
    let Some(event) = scene.events.get(number) else { return };
    let (from, to) = (event.span.from.timestamp_millis(), event.span.to.timestamp_millis());
    if to - from > state.view.length_ms() / 2 {
        state.view.show(from - AROUND_MS, to + AROUND_MS, from);
    } else {
        state.view.centre_on(from);
    }
    state.event = Some(number);
}
