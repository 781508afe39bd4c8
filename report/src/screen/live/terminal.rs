//! The terminal while the screen has it, and as it was before when that ends.

use crossterm::cursor::{Hide, MoveTo, Show};
use crossterm::style::{Attribute, Color, Print, ResetColor, SetAttribute, SetForegroundColor};
use crossterm::terminal::{
    Clear, ClearType, EnterAlternateScreen, LeaveAlternateScreen, disable_raw_mode,
    enable_raw_mode, size,
};
use crossterm::{execute, queue};
use ratatui_core::buffer::Buffer;
use ratatui_core::layout::Rect;
use ratatui_core::style::{Color as Wanted, Modifier, Style};
use std::io::{self, BufWriter, Stdout, Write, stdout};
use std::sync::Once;
use std::sync::atomic::{AtomicBool, Ordering};

/// The screen has the terminal.
static ENTERED: AtomicBool = AtomicBool::new(false);
/// Some thread panicked while it had.
static PANICKED: AtomicBool = AtomicBool::new(false);

/// Where a terminal tells no size.
const USUAL_SIZE: (u16, u16) = (80, 24);

/// The terminal in the screen's hands; given back when this goes.
pub(super) struct Terminal {
    out: BufWriter<Stdout>,
    /// What it shows.
    shown: Buffer,
}

impl Terminal {
    /// Takes the terminal.
    pub(super) fn enter() -> io::Result<Self> {
        restore_on_panic();
        enable_raw_mode()?;
        ENTERED.store(true, Ordering::SeqCst);
        // From here on it is given back, whatever fails.
        let mut terminal = Self { out: BufWriter::new(stdout()), shown: Buffer::default() };
        execute!(terminal.out, EnterAlternateScreen, Hide)?;
        terminal.resized()?;
        Ok(terminal)
    }

    /// Columns and rows.
    pub(super) fn size(&self) -> (u16, u16) {
        (self.shown.area.width, self.shown.area.height)
    }

    /// Looks how large it is now, and clears it.
    pub(super) fn resized(&mut self) -> io::Result<()> {
        let (width, height) = match size()? {
            (0, _) | (_, 0) => USUAL_SIZE,
            told => told,
        };
        self.shown = Buffer::empty(Rect::new(0, 0, width, height));
        queue!(self.out, ResetColor, SetAttribute(Attribute::Reset), Clear(ClearType::All))?;
        self.out.flush()
    }

    /// Writes what is not shown yet of a picture of the terminal's size.
    pub(super) fn show(&mut self, picture: Buffer) -> io::Result<()> {
        let mut written: Option<((u16, u16), Style)> = None;
        for (x, y, cell) in self.shown.diff(&picture) {
            let style = cell.style();
            if written.is_none_or(|(at, _)| at != (x, y)) {
                queue!(self.out, MoveTo(x, y))?;
            }
            if written.is_none_or(|(_, before)| before != style) {
                set(&mut self.out, style)?;
            }
            queue!(self.out, Print(cell.symbol()))?;
            written = Some(((x + 1, y), style));
        }
        queue!(self.out, ResetColor, SetAttribute(Attribute::Reset))?;
        self.shown = picture;
        self.out.flush()
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        let _ = self.out.flush();
        restore();
    }
}

fn set(out: &mut impl Write, style: Style) -> io::Result<()> {
    queue!(out, ResetColor, SetAttribute(Attribute::Reset))?;
    let attributes = [
        (Modifier::BOLD, Attribute::Bold),
        (Modifier::DIM, Attribute::Dim),
        (Modifier::REVERSED, Attribute::Reverse),
    ];
    for (modifier, attribute) in attributes {
        if style.add_modifier.contains(modifier) {
            queue!(out, SetAttribute(attribute))?;
        }
    }
    match style.fg {
        Some(Wanted::Red) => queue!(out, SetForegroundColor(Color::DarkRed)),
        Some(Wanted::Yellow) => queue!(out, SetForegroundColor(Color::DarkYellow)),
        _ => Ok(()),
    }
}

/// Gives the terminal back, once.
fn restore() {
    if ENTERED.swap(false, Ordering::SeqCst) {
        // Nobody is left to tell a failure to.
        let _ = execute!(
            stdout(),
            ResetColor,
            SetAttribute(Attribute::Reset),
            Show,
            LeaveAlternateScreen
        );
        let _ = disable_raw_mode();
    }
}

/// A panic of any thread gives the terminal back before it is told.
fn restore_on_panic() {
    static ONCE: Once = Once::new();
    ONCE.call_once(|| {
        let before = std::panic::take_hook();
        std::panic::set_hook(Box::new(move |info| {
            if ENTERED.load(Ordering::SeqCst) {
                PANICKED.store(true, Ordering::SeqCst);
            }
            restore();
            before(info);
        }));
    });
}

/// Some thread panicked since the terminal was taken.
pub(super) fn panicked() -> bool {
    PANICKED.load(Ordering::SeqCst)
}
