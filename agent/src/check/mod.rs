//! `check`: what the source says at this moment, with units, and whether a machine can do that.

mod bounds;
mod gauges;
mod picture;

use crate::config::{Config, Source};
use crate::direct::{Link, Listener, is_file, listen};
use crate::error::AgentError;
use gauges::Gauges;
use picture::Picture;
use std::io::{self, Write};
use std::path::PathBuf;
use underbrush_protocol::log::Entry;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

/// A live source is listened to for so long by `--once`, in ms: a Hello comes every 10 s.
pub const USUAL_MS: u64 = 12_000;
/// The picture on a screen is drawn this often, in ms; lines of JSON come once a second.
const DRAW_MS: u64 = 200;
const LINE_MS: u64 = 1_000;
/// On a screen an impossible value is shown for so long, in ms.
const SHOWN_MS: u64 = 5_000;
/// Not everything is as it should be.
const DOUBTS: u8 = 3;

/// What to check and how to show it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckOptions {
    /// The settings file.
    pub config: PathBuf,
    /// One table at the end, instead of a picture that is drawn anew until Ctrl-C.
    pub once: bool,
    /// As lines of JSON.
    pub json: bool,
    /// How long to listen for that one, in ms.
    pub for_ms: u64,
}

/// Listens to the source and shows what it says; the exit code: 3 where something is missing,
/// stuck or impossible. A file is read to its end and shown once, as is anything that is not
/// shown on a terminal, but for JSON.
///
/// # Errors
/// If the settings are wrong, or the source cannot be read.
pub fn check<W: Write + Send + 'static>(
    options: &CheckOptions,
    terminal: bool,
    out: W,
) -> Result<u8, AgentError> {
    let config = Config::read(&options.config)?;
    let once = options.once || is_file(&config) || !(terminal || options.json);
    let mapped = !matches!(config.source, Source::Serial { .. } | Source::Capture { .. });
    let show = Show {
        gauges: Gauges::new(&config.machine, mapped),
        machine: config.machine.clone(),
        source: config.source.name(),
        once,
        json: options.json,
        for_ms: options.for_ms,
        out,
        next: BootMs(0),
        lines: 0,
    };
    let mut show = listen(&config, show)?;
    let picture = show.picture(None);
    if once {
        let text = if options.json { picture.json() } else { picture.text() };
        // Nobody reads any more; what it came to stands in the exit code.
        let _ = show.out.write_all(text.as_bytes()).and_then(|()| show.out.flush());
    }
    let code = if once { &picture } else { &show.picture(Some(SHOWN_MS)) };
    Ok(if code.all_plausible() { 0 } else { DOUBTS })
}

/// Gauges, and where they are shown.
struct Show<W> {
    gauges: Gauges,
    machine: Machine,
    source: String,
    once: bool,
    json: bool,
    for_ms: u64,
    out: W,
    next: BootMs,
    /// Lines that stand on the screen.
    lines: usize,
}

impl<W: Write> Show<W> {
    fn picture(&self, within_ms: Option<u64>) -> Picture {
        Picture::of(&self.gauges, &self.machine, &self.source, within_ms)
    }

    fn draw(&mut self) -> io::Result<()> {
        let picture = self.picture(Some(SHOWN_MS));
        if self.json {
            self.out.write_all(picture.json().as_bytes())?;
        } else {
            let back = if self.lines > 0 { format!("\x1b[{}A", self.lines) } else { String::new() };
            let text = picture.text();
            self.lines = text.lines().count();
            write!(self.out, "{back}\r\x1b[J{text}")?;
        }
        self.out.flush()
    }
}

impl<W: Write> Listener for Show<W> {
    fn take(&mut self, entries: &[Entry]) {
        self.gauges.take(entries);
    }

    fn passes(&mut self, now: BootMs, link: Link) -> bool {
        self.gauges.passes(now, link);
        if self.once {
            return now.0 < self.for_ms;
        }
        if now < self.next {
            return true;
        }
        self.next = now.plus(if self.json { LINE_MS } else { DRAW_MS });
        // Nobody reads any more: enough.
        self.draw().is_ok()
    }
}
