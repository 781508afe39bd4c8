//! What comes from the terminal.

use crate::screen::Key;
use crossterm::event::{Event, KeyCode, KeyEvent, KeyEventKind, KeyModifiers, poll, read};
use std::io;
use std::time::Duration;

/// One thing that the terminal told.
pub(super) enum Input {
    /// A key.
    Key(Key),
    /// The window has another size.
    Resized,
    /// Nothing that concerns us.
    Other,
}

/// The next, if it comes in time.
pub(super) fn next(patience: Duration) -> io::Result<Option<Input>> {
    if !poll(patience)? {
        return Ok(None);
    }
    Ok(Some(match read()? {
        Event::Key(event) if event.kind != KeyEventKind::Release => {
            key(event).map_or(Input::Other, Input::Key)
        }
        Event::Resize(..) => Input::Resized,
        _ => Input::Other,
    }))
}

fn key(event: KeyEvent) -> Option<Key> {
    let held = event.modifiers.contains(KeyModifiers::CONTROL);
    Some(match event.code {
        KeyCode::Char('c' | 'd') if held => Key::Interrupt,
        KeyCode::Char(_) if held || event.modifiers.contains(KeyModifiers::ALT) => return None,
        KeyCode::Char(letter) => Key::Char(letter),
        KeyCode::Left => Key::Left,
        KeyCode::Right => Key::Right,
        KeyCode::Up => Key::Up,
        KeyCode::Down => Key::Down,
        KeyCode::PageUp => Key::PageBack,
        KeyCode::PageDown => Key::PageOn,
        KeyCode::Home => Key::Home,
        KeyCode::End => Key::End,
        KeyCode::Enter => Key::Enter,
        KeyCode::Esc => Key::Escape,
        KeyCode::Backspace => Key::Erase,
        _ => return None,
    })
}
