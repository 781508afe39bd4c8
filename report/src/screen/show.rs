//! A night on the screen: what was read of it so far, and where the person is in it.

use super::{Colours, Effect, Key, Lane, Scene, State, View, draw, plot_columns, shown, update};
use crate::events::Event;
use crate::findings::Span;
use crate::timeline::ShiftError;
use crate::window::{Overview, Quantity, Window};
use chrono::{DateTime, NaiveDate, Utc};
use ratatui_core::buffer::Buffer;
use ratatui_core::layout::Rect;

/// Where nights come from.
pub trait Nights: Send + Sync + 'static {
    /// A night, with what is known of it at once: no lanes, no events.
    fn scene(&self, night: NaiveDate) -> Result<Scene, ShiftError>;
    /// The night that an instant belongs to.
    fn night_of(&self, at: DateTime<Utc>) -> NaiveDate;
    /// A short span, read from the logs.
    fn window(&self, span: Span, cells: usize, wanted: &[Quantity]) -> Window;
    /// A whole night, read from the logs.
    fn overview(&self, extent: Span, wanted: &[Quantity]) -> Overview;
    /// What happened in a night.
    fn events(&self, night: NaiveDate) -> Result<Told, ShiftError>;
    /// Its lanes; `range` tells the smallest and largest that there is of a quantity.
    fn lanes(&self, range: &dyn Fn(Quantity) -> Option<(f32, f32)>) -> Vec<Lane>;
}

/// What happened in a night.
#[derive(Clone, Debug, Default)]
pub struct Told {
    /// In order of begin.
    pub events: Vec<Event>,
    /// Anything was recorded.
    pub recorded: bool,
    /// What is missing of its data, a sentence each.
    pub losses: Vec<String>,
}

/// Where the screen opens.
#[derive(Clone, Debug)]
pub enum Opening {
    /// With a whole night.
    Night(NaiveDate),
    /// With half a minute before and after an instant, in UTC ms.
    Instant(i64),
    /// With an event of a night and so many ms before and after it.
    Event(NaiveDate, Told, usize, i64),
}

/// A night on the screen.
pub struct Show {
    /// What there is to see.
    pub scene: Scene,
    /// What is seen of it.
    pub state: State,
    /// What is missing of the night's data.
    pub losses: Vec<String>,
    overview: Option<Overview>,
    hidden: usize,
}

/// More than this is not read while a person waits, in ms.
const LONGEST_AT_ONCE_MS: i64 = 30 * 60_000;
/// Shown before and after an instant, in ms.
const AROUND_MS: i64 = 30_000;

impl Show {
    /// Opens a night; its readings and, but for an event, its events are still to be read.
    pub fn open(nights: &dyn Nights, opening: Opening) -> Result<Self, ShiftError> {
        let instant = |at: i64| DateTime::from_timestamp_millis(at).unwrap_or_default();
        let night = match &opening {
            Opening::Night(night) | Opening::Event(night, ..) => *night,
            Opening::Instant(at) => nights.night_of(instant(*at)),
        };
        let mut scene = nights.scene(night)?;
        (scene.waiting.overview, scene.waiting.events) = (true, true);
        let state = State::new(View::whole(scene.extent));
        let mut show = Self { scene, state, losses: Vec::new(), overview: None, hidden: 0 };
        match opening {
            Opening::Night(_) => {}
            Opening::Instant(at) => show.state.view.show(at - AROUND_MS, at + AROUND_MS, at),
            Opening::Event(_, told, number, around_ms) => {
                if let Some(event) = told.events.get(number) {
                    let (from, to) = (event.span.from, event.span.to);
                    let (from, to) = (from.timestamp_millis(), to.timestamp_millis());
                    show.state.view.show(from - around_ms, to + around_ms, from);
                    show.state.event = Some(number);
                }
                show.take_events(told);
            }
        }
        Ok(show)
    }

    /// The whole night was read.
    pub fn take_overview(&mut self, nights: &dyn Nights, overview: Overview) {
        self.scene.lanes = nights.lanes(&|quantity| overview.range(quantity));
        self.scene.waiting.overview = false;
        self.overview = Some(overview);
    }

    /// The events were read.
    pub fn take_events(&mut self, told: Told) {
        self.scene.empty = !told.recorded;
        (self.scene.events, self.losses) = (told.events, told.losses);
        self.scene.waiting.events = false;
    }

    /// A picture of so many letters.
    pub fn picture(&mut self, nights: &dyn Nights, size: (u16, u16), colours: Colours) -> Buffer {
        let mut buffer = Buffer::empty(Rect::new(0, 0, size.0, size.1));
        let cells = 2 * plot_columns(size.0);
        let (span, wanted) = (self.state.view.span(), shown());
        let long = self.state.view.length_ms() > LONGEST_AT_ONCE_MS;
        let window = match &self.overview {
            Some(overview) => overview.window(span, cells, &wanted),
            // That would take as long as the night itself, which is being read.
            None if long => {
                self.scene.lanes = nights.lanes(&|_| None);
                Window { span, cells, lines: Vec::new() }
            }
            None => {
                let window = nights.window(span, cells, &wanted);
                self.scene.lanes = nights.lanes(&|quantity| range(&window, quantity));
                window
            }
        };
        self.hidden = draw(&self.scene, &self.state, &window, colours, &mut buffer);
        // What no longer has to be scrolled away is not.
        self.state.first_lane = self.state.first_lane.min(self.hidden);
        buffer
    }

    /// Carries out a key on a screen of this width.
    pub fn key(&mut self, key: Key, width: u16) -> Effect {
        update(&mut self.state, key, &self.scene, plot_columns(width), self.hidden)
    }
}

fn range(window: &Window, quantity: Quantity) -> Option<(f32, f32)> {
    let cells = window.line(quantity)?.cells.iter().filter_map(|cell| cell.range);
    cells.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
}
