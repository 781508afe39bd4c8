//! What the person at the keys sees of a scene.

use super::View;
use chrono::NaiveDate;

/// What the keys do at the moment.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Mode {
    /// They move.
    #[default]
    Look,
    /// They are explained; any key goes back.
    Help,
    /// A time is typed: what was typed so far.
    Ask(String),
}

/// All that keys change.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct State {
    /// What is shown.
    pub view: View,
    /// What the keys do.
    pub mode: Mode,
    /// The lane at the top, where not all have room.
    pub first_lane: usize,
    /// The event that was gone to last, by its place in the scene; only while the cursor
    /// still stands at its begin.
    pub event: Option<usize>,
    /// What to say about the last key.
    pub said: Option<String>,
}

impl State {
    /// Before any key.
    pub fn new(view: View) -> Self {
        Self { view, mode: Mode::Look, first_lane: 0, event: None, said: None }
    }
}

/// What a key asks of the outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Nothing: draw again.
    Stay,
    /// End.
    Leave,
    /// Another night.
    Night(NaiveDate),
    /// An instant of another night, in UTC ms.
    Instant(i64),
}
