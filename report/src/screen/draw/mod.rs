//! A scene and a state as letters in a buffer.

mod chart;
pub(super) mod fit;
mod help;
mod rows;

use super::scene::Colours;
use super::{Mode, Scene, State};
use crate::sheet::words::Words;
use crate::window::Window;
use ratatui_core::buffer::Buffer;
use ratatui_core::style::{Color, Modifier, Style};
use rows::Rows;

/// Columns and rows below which nothing is drawn but a word that says so.
pub const LEAST: (u16, u16) = (60, 14);
/// Room for names and limits, for narrow and for usual terminals.
const GUTTER: (u16, u16) = (19, 22);
/// Room for the value under the cursor.
const VALUE: u16 = 10;
/// Rows that are not lanes: title and events above; axis, times, status and keys below.
const ABOVE: u16 = 2;
const BELOW: u16 = 4;

/// How wide the lanes are on a terminal of that width.
pub fn plot_columns(width: u16) -> usize {
    usize::from(width.saturating_sub(gutter(width) + VALUE).max(1))
}

fn gutter(width: u16) -> u16 {
    if width < 80 { GUTTER.0 } else { GUTTER.1 }
}

const BOLD: Style = Style::new().add_modifier(Modifier::BOLD);
const DIM: Style = Style::new().add_modifier(Modifier::DIM);
const REVERSED: Style = Style::new().add_modifier(Modifier::REVERSED);

/// How it all looks where there is colour, and where there is none.
#[derive(Clone, Copy)]
struct Styles {
    colours: Colours,
}

impl Styles {
    fn with(self, style: Style, colour: Color) -> Style {
        if self.colours == Colours::Sixteen { style.fg(colour) } else { style }
    }

    fn limit(self) -> Style {
        self.with(DIM, Color::Yellow)
    }

    fn over(self) -> Style {
        self.with(BOLD, Color::Red)
    }
}

/// Where what stands.
struct Frame<'a> {
    scene: &'a Scene,
    state: &'a State,
    window: &'a Window,
    styles: Styles,
    words: Words,
    /// Left edge and width of the lanes.
    left: u16,
    columns: u16,
}

impl Frame<'_> {
    fn say(&self, id: &str) -> String {
        self.words.say(id)
    }
}

/// Draws all; `window` is of the state's view, two cells for each of [`plot_columns`].
/// Says how many lanes have no room.
pub fn draw(
    scene: &Scene,
    state: &State,
    window: &Window,
    colours: Colours,
    buffer: &mut Buffer,
) -> usize {
    let area = buffer.area;
    if area.width < LEAST.0 || area.height < LEAST.1 {
        let values = [("columns", LEAST.0.into()), ("rows", LEAST.1.into())];
        let told = scene.words().with("screen-too-small", &values);
        let row = area.height / 2;
        if area.height > 0 {
            buffer.set_stringn(0, row, told, usize::from(area.width), Style::new());
        }
        return 0;
    }
    let (left, columns) = (gutter(area.width), plot_columns(area.width) as u16);
    let (styles, words) = (Styles { colours }, scene.words());
    let frame = Frame { scene, state, window, styles, words, left, columns };
    if state.mode == Mode::Help {
        help::draw(buffer, &frame.words);
        return 0;
    }
    rows::title(&frame, buffer);
    rows::events(&frame, buffer, 1);
    let room = area.height - ABOVE - BELOW;
    let Rows { first, heights, hidden } = Rows::share(scene, state.first_lane, room);
    let mut row = ABOVE;
    for (lane, height) in scene.lanes.iter().skip(first).zip(heights) {
        chart::lane(&frame, buffer, lane, row, height);
        row += height;
    }
    let bottom = area.height - BELOW;
    rows::axis(&frame, buffer, bottom);
    rows::status(&frame, buffer, bottom + 2);
    rows::keys(&frame, buffer, bottom + 3, hidden);
    hidden
}

/// The buffer as lines of text, without what colours and the like add.
pub fn text(buffer: &Buffer) -> String {
    let width = usize::from(buffer.area.width).max(1);
    let line = |cells: &[ratatui_core::buffer::Cell]| {
        let line: String = cells.iter().map(ratatui_core::buffer::Cell::symbol).collect();
        format!("{}\n", line.trim_end())
    };
    buffer.content.chunks(width).map(line).collect()
}
