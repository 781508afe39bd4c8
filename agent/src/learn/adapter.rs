//! A CAN adapter of the common ASCII protocol at a serial port, listened to in a loop with
//! waits. It is opened to listen only, as `source::adapter` does; no frame is ever sent.

use super::listen::{Data, Listen};
use crate::config::CanAdapter;
use crate::decode::CanFrame;
use crate::error::AgentError;
use crate::source::adapter::{
    ANSWER_WAIT, AdapterReader, AdapterSaid, BEFORE, QUIET, commands, refusal,
};
use std::collections::VecDeque;
use std::io::{self, Read, Write};
use std::time::{Duration, Instant};
use tokio_serial::SerialPort;

const BUFFER: usize = 4096;

/// Opens the adapter's channel.
pub(super) fn adapter(settings: &CanAdapter) -> Result<Box<dyn Listen>, AgentError> {
    let failed = |source| AgentError::Read { path: settings.port.clone().into(), source };
    let port = tokio_serial::new(&settings.port, settings.baud)
        .timeout(ANSWER_WAIT)
        .open()
        .map_err(|error| failed(error.into()))?;
    let mut adapter = Adapter::new(port);
    adapter.open(settings).map_err(failed)?;
    Ok(Box::new(adapter))
}

/// What an adapter answers to a command.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Answer {
    Taken,
    Refused,
}

struct Adapter {
    port: Box<dyn SerialPort>,
    reader: AdapterReader,
    buffer: Vec<u8>,
    frames: VecDeque<Data>,
    answer: Option<Answer>,
    /// Nothing answered when it was opened.
    mute: bool,
    bus_errors: u64,
    damaged: u64,
}

impl Adapter {
    fn new(port: Box<dyn SerialPort>) -> Self {
        Self {
            port,
            reader: AdapterReader::default(),
            buffer: vec![0; BUFFER],
            frames: VecDeque::new(),
            answer: None,
            mute: true,
            bus_errors: 0,
            damaged: 0,
        }
    }

    fn open(&mut self, settings: &CanAdapter) -> io::Result<()> {
        for command in BEFORE {
            self.send(command)?;
        }
        let quiet = Instant::now() + QUIET;
        while Instant::now() < quiet {
            self.hear(QUIET)?;
        }
        for command in commands(settings) {
            self.answer = None;
            self.send(&command)?;
            let due = Instant::now() + ANSWER_WAIT;
            while self.answer.is_none() && Instant::now() < due {
                self.hear(due.saturating_duration_since(Instant::now()))?;
            }
            self.mute &= self.answer.is_none();
            // An adapter that does not tell its version is none the worse.
            if self.answer == Some(Answer::Refused) && command != "V" {
                return Err(io::Error::other(refusal(&command)));
            }
        }
        // What came before the channel was open as asked is of another bit rate, perhaps.
        self.frames.clear();
        (self.bus_errors, self.damaged) = (0, 0);
        Ok(())
    }

    fn send(&mut self, command: &str) -> io::Result<()> {
        self.port.write_all(format!("{command}\r").as_bytes())
    }

    /// Takes what comes within `wait`.
    fn hear(&mut self, wait: Duration) -> io::Result<()> {
        self.port.set_timeout(wait)?;
        let len = match self.port.read(&mut self.buffer) {
            Ok(0) => return Err(io::ErrorKind::UnexpectedEof.into()),
            Ok(len) => len,
            Err(error)
                if matches!(
                    error.kind(),
                    io::ErrorKind::TimedOut
                        | io::ErrorKind::WouldBlock
                        | io::ErrorKind::Interrupted
                ) =>
            {
                return Ok(());
            }
            Err(error) => return Err(error),
        };
        let Self { reader, buffer, frames, answer, bus_errors, damaged, .. } = self;
        reader.push(buffer.get(..len).unwrap_or(&[]), &mut |said| match said {
            AdapterSaid::Frame { frame: CanFrame::Data { id, data }, .. } => {
                frames.push_back((id, data.to_vec()));
            }
            AdapterSaid::Frame { .. } => {}
            AdapterSaid::BusError { .. } => *bus_errors += 1,
            AdapterSaid::Damaged(_) => *damaged += 1,
            AdapterSaid::Refused => *answer = Some(Answer::Refused),
            AdapterSaid::Done | AdapterSaid::Flags(_) | AdapterSaid::Told(_) => {
                *answer = Some(Answer::Taken);
            }
        });
        Ok(())
    }
}

impl Listen for Adapter {
    fn next(&mut self, wait: Duration) -> io::Result<Option<Data>> {
        if self.frames.is_empty() {
            self.hear(wait)?;
        }
        Ok(self.frames.pop_front())
    }

    fn also_heard(&self) -> Option<String> {
        if self.mute {
            return Some(
                "the adapter answered nothing: is it its port, and its --baud?".to_owned(),
            );
        }
        let Self { bus_errors, damaged, .. } = self;
        (bus_errors + damaged > 0).then(|| {
            format!(
                "{bus_errors} errors of the bus and {damaged} unreadable lines came: that speaks \
                 for another bit rate"
            )
        })
    }
}

impl Drop for Adapter {
    fn drop(&mut self) {
        // Off the bus; an adapter that is gone needs no word.
        let _ = self.send("C");
    }
}
