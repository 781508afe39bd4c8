//! The screen on a real terminal: keys in, pictures out.
//!
//! What takes long is read by threads while the first picture is already shown; they are
//! left behind when the person leaves.

mod input;
mod signals;
mod terminal;
#[cfg(all(test, unix))]
mod tests;

use super::show::{Nights, Opening, Show, Told};
use super::{Colours, Effect, Key, shown};
use crate::timeline::ShiftError;
use crate::window::Overview;
use input::Input;
use std::io;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::thread;
use std::time::Duration;
use terminal::Terminal;

/// How long a signal or the end of a thread may go unnoticed.
const PATIENCE: Duration = Duration::from_millis(50);

/// How it ended.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ended {
    /// What was missing of the last night that was shown, a sentence each.
    pub losses: Vec<String>,
    /// Nothing was recorded in it.
    pub empty: bool,
}

/// Of a night opened as the `number`-th.
struct News {
    number: usize,
    what: What,
}

enum What {
    Overview(Overview),
    Events(Result<Told, ShiftError>),
}

/// Shows nights until the person leaves. The terminal is as it was before whenever this
/// ends: by a key, a signal, an error or a panic. After a signal the process ends by it.
pub fn run(nights: &Arc<dyn Nights>, opening: Opening, colours: Colours) -> io::Result<Ended> {
    let show = open(nights, opening)?;
    let signals = signals::Signals::watch()?;
    let mut terminal = Terminal::enter()?;
    let (sender, receiver) = channel();
    let mut screen = Screen { nights, show, colours, number: 0, reading: false, sender, receiver };
    let ended = screen.go(&mut terminal, &signals);
    // Before anything is said.
    drop(terminal);
    if signals.caught() {
        signals.end_by_it();
    }
    ended?;
    Ok(Ended { losses: screen.show.losses, empty: screen.show.scene.empty })
}

fn open(nights: &Arc<dyn Nights>, opening: Opening) -> io::Result<Show> {
    Show::open(nights.as_ref(), opening).map_err(io::Error::other)
}

struct Screen<'a> {
    nights: &'a Arc<dyn Nights>,
    show: Show,
    colours: Colours,
    /// Nights opened before this one.
    number: usize,
    /// What this one lacks is being read, or was.
    reading: bool,
    sender: Sender<News>,
    receiver: Receiver<News>,
}

impl Screen<'_> {
    /// Begins to read what the night still lacks.
    fn read(&self) {
        let number = self.number;
        let (extent, night) = (self.show.scene.extent, self.show.scene.night);
        let (nights, sender) = (Arc::clone(self.nights), self.sender.clone());
        let events_wanted = self.show.scene.waiting.events;
        // Nobody waits for these: where the person left, sending fails.
        thread::spawn(move || {
            let overview = nights.overview(extent, &shown());
            let _ = sender.send(News { number, what: What::Overview(overview) });
            if events_wanted {
                let told = nights.events(night);
                let _ = sender.send(News { number, what: What::Events(told) });
            }
        });
    }

    fn take_news(&mut self) -> io::Result<bool> {
        let mut any = false;
        while let Ok(News { number, what }) = self.receiver.try_recv() {
            if number != self.number {
                continue;
            }
            any = true;
            match what {
                What::Overview(overview) => {
                    self.show.take_overview(self.nights.as_ref(), overview);
                }
                What::Events(told) => self.show.take_events(told.map_err(io::Error::other)?),
            }
        }
        Ok(any)
    }

    /// Draws and does what keys say until they say to leave.
    fn go(&mut self, terminal: &mut Terminal, signals: &signals::Signals) -> io::Result<()> {
        let mut stale = true;
        loop {
            stale |= self.take_news()?;
            if signals.caught() {
                return Ok(());
            }
            if terminal::panicked() {
                return Err(io::Error::other("a part of the program failed, see above"));
            }
            if stale {
                let picture =
                    self.show.picture(self.nights.as_ref(), terminal.size(), self.colours);
                terminal.show(picture)?;
                stale = false;
                // Not before there is something to see: it would only take time from that.
                if !std::mem::replace(&mut self.reading, true) {
                    self.read();
                }
            }
            // All keys that wait, then one picture: a held key never lags behind.
            let mut patience = PATIENCE;
            while let Some(input) = input::next(patience)? {
                patience = Duration::ZERO;
                stale = true;
                match input {
                    Input::Resized => terminal.resized()?,
                    Input::Key(key) if self.key(key, terminal.size().0)? => return Ok(()),
                    Input::Key(_) | Input::Other => {}
                }
            }
        }
    }

    /// Carries out a key; whether it was to leave.
    fn key(&mut self, key: Key, width: u16) -> io::Result<bool> {
        match self.show.key(key, width) {
            Effect::Leave => return Ok(true),
            Effect::Stay => {}
            Effect::Night(night) => self.other_night(Opening::Night(night))?,
            Effect::Instant(at) => self.other_night(Opening::Instant(at))?,
        }
        Ok(false)
    }

    fn other_night(&mut self, opening: Opening) -> io::Result<()> {
        self.show = open(self.nights, opening)?;
        self.number += 1;
        self.reading = false;
        Ok(())
    }
}
