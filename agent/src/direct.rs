//! The configured source read directly, without recording: for `check` and `calibrate wheel`.
//!
//! A port can have one reader: beside an agent that reads it, this refuses and says how to go
//! on. A CAN interface and a file can be read beside it. The same code reads as when it is
//! recorded; nothing is written, told or sent.

use crate::board::Board;
use crate::clock::BootClock;
use crate::config::{Config, Source};
use crate::control::ask_status;
use crate::decode::CanIntake;
use crate::error::AgentError;
use crate::intake::{Intake, TimeBase};
use crate::run::{run_live, signal_reader};
use crate::source::capture::{self, CaptureIntake};
use crate::source::{Live, replay_file};
use crate::status::SourceState;
use std::path::Path;
use std::sync::mpsc::{Receiver, RecvTimeoutError, channel};
use std::time::Duration;
use underbrush_protocol::log::Entry;
use underbrush_protocol::time::BootMs;

/// How often a listener is asked whether it goes on.
const LOOK_EVERY: Duration = Duration::from_millis(100);

/// Somebody who listens.
pub(crate) trait Listener {
    /// Entries that came, in their order.
    fn take(&mut self, entries: &[Entry]);

    /// It is `now`; whether to go on. A file is read to its end whatever this says.
    fn passes(&mut self, now: BootMs, link: Link) -> bool;
}

/// What the link said so far.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Link {
    /// How it is; of a file that was read: receiving.
    pub(crate) state: SourceState,
    /// Frames understood.
    pub(crate) frames: u64,
    /// Damaged, or not understood.
    pub(crate) damaged: u64,
    /// Missing by their numbers.
    pub(crate) missing: u64,
}

/// Whether the source is a file: it has an end, and its own time.
pub(crate) fn is_file(config: &Config) -> bool {
    matches!(config.source, Source::Capture { .. } | Source::CanCapture { .. })
}

/// Reads the source until the listener has enough, the file ends, or Ctrl-C; the listener.
pub(crate) fn listen<L: Listener + Send + 'static>(
    config: &Config,
    mut listener: L,
) -> Result<L, AgentError> {
    match &config.source {
        Source::Capture { file, .. } => {
            let mut intake = Intake::new(TimeBase::Tick);
            from_file(file, &mut listener, |bytes, out| {
                match bytes {
                    Some(bytes) => intake.bytes(BootMs(0), bytes, out),
                    None => intake.source_ended(out),
                }
                (intake.last(), bridge_link(&intake))
            })?;
            Ok(listener)
        }
        Source::CanCapture { file, format, start, dbc } => {
            capture::check(file, *format)?;
            let can = CanIntake::new(signal_reader(config, dbc.as_deref())?);
            let mut intake = CaptureIntake::new(can, *format, *start);
            from_file(file, &mut listener, |bytes, out| {
                match bytes {
                    Some(bytes) => intake.bytes(bytes, out),
                    None => intake.source_ended(out),
                }
                (intake.can().last(), can_link(intake.can()))
            })?;
            Ok(listener)
        }
        Source::Serial { .. } | Source::CanAdapter { .. } => {
            if let Ok(status) = ask_status(&config.control) {
                let port = config.source.name();
                return Err(AgentError::InUse { port, process: status.process });
            }
            from_live(config, listener)
        }
        Source::SocketCan { .. } => from_live(config, listener),
    }
}

fn from_live<L: Listener + Send + 'static>(
    config: &Config,
    mut listener: L,
) -> Result<L, AgentError> {
    let (done, heard) = channel();
    let hear = move |entries: &Receiver<Vec<Entry>>, clock: BootClock, board: &Board| {
        loop {
            match entries.recv_timeout(LOOK_EVERY) {
                Ok(piece) => listener.take(&piece),
                Err(RecvTimeoutError::Timeout) => {}
                Err(RecvTimeoutError::Disconnected) => break,
            }
            let status = board.status();
            let link = Link {
                state: status.source,
                frames: status.frames,
                damaged: status.packets_damaged,
                missing: status.frames_missing,
            };
            if !listener.passes(clock.now(), link) {
                break;
            }
        }
        // Whoever waits for it is there until this thread has ended.
        let _ = done.send(listener);
    };
    run_live(config, || Live::listening(config, hear))?;
    heard.recv().map_err(|_| AgentError::System(std::io::Error::other("the listener is gone")))
}

fn bridge_link(intake: &Intake) -> Link {
    let loss = intake.losses();
    Link {
        state: SourceState::Receiving,
        frames: intake.frames(),
        damaged: u64::from(loss.damaged) + u64::from(loss.not_understood),
        missing: loss.lost.into(),
    }
}

fn can_link(can: &CanIntake) -> Link {
    let counts = can.counts();
    Link {
        state: SourceState::Receiving,
        frames: counts.mapped,
        damaged: counts.not_understood(),
        missing: 0,
    }
}

/// `intake` takes a piece, at last `None`, and says how far it is.
fn from_file(
    file: &Path,
    listener: &mut impl Listener,
    mut intake: impl FnMut(Option<&[u8]>, &mut Vec<Entry>) -> (BootMs, Link),
) -> Result<(), AgentError> {
    let mut out = Vec::new();
    let mut each = |bytes: Option<&[u8]>| {
        let (now, link) = intake(bytes, &mut out);
        listener.take(&out);
        out.clear();
        listener.passes(now, link);
    };
    replay_file(
        file,
        |_| {},
        |bytes| {
            each(Some(bytes));
            Ok(())
        },
    )?;
    each(None);
    Ok(())
}
