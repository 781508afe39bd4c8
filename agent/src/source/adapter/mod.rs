//! A CAN adapter at a serial port that speaks the common ASCII protocol, known in Linux as
//! slcan. It may be pulled and plugged at any time.
//!
//! It is told to close (`C`), its version is asked (`V`), the bit rate is set (`Sn`) and the
//! channel is opened, usually to listen only (`L`): then it does not even confirm frames, and
//! the machine's bus does not notice it. An adapter that refuses `L` is left closed, never
//! opened otherwise. Frames are never sent.

mod clock;
mod intake;
mod line;
mod opening;

pub use intake::{AdapterIntake, Answer};
pub use line::{AdapterReader, AdapterSaid};
pub(crate) use opening::{ANSWER_WAIT, BEFORE, QUIET, commands, refusal};

use super::live::{Live, Wake};
use crate::board::SourceCounts;
use crate::config::CanAdapter;
use std::convert::Infallible;
use std::io;
use std::time::Duration;
use tokio::io::{AsyncReadExt, AsyncWriteExt};
use tokio::time::{Instant, sleep, sleep_until, timeout};
use tokio_serial::{SerialPortBuilderExt, SerialStream};
use underbrush_protocol::log::Entry;

const FIRST_WAIT: Duration = Duration::from_millis(100);
const LONGEST_WAIT: Duration = Duration::from_secs(5);
const WRITE_WAIT: Duration = Duration::from_millis(500);
/// After each read, so that one wake-up takes many frames.
const GATHER: Duration = Duration::from_millis(5);
const BUFFER: usize = 16 * 1024;
/// Seconds between questions for the flags of lost frames.
const FLAGS_EVERY: u32 = 10;

/// Reads the adapter until the agent is asked to end; returns the bytes read.
pub(crate) async fn can_adapter(
    adapter: &CanAdapter,
    intake: &mut AdapterIntake,
    live: &mut Live,
) -> u64 {
    let mut way = Way { intake, live, buffer: vec![0; BUFFER], bytes_read: 0, answers: Vec::new() };
    let port = &adapter.port;
    let mut wait = FIRST_WAIT;
    let mut told = String::new();
    loop {
        let before = way.bytes_read;
        let why = match tokio_serial::new(port, adapter.baud).open_native_async() {
            Ok(mut stream) => match way.use_adapter(adapter, &mut stream).await {
                Err(End::Stop) => {
                    // Off the bus; an adapter that is gone needs no word.
                    let _ = send(&mut stream, "C").await;
                    return way.bytes_read;
                }
                Err(End::Lost(error)) => format!("port lost: {error}"),
                Err(End::Refuses(what)) => what,
            },
            Err(error) => format!("cannot open the port: {error}"),
        };
        way.intake.closed();
        way.live.source_open(false);
        // A reason that stays the same is told once.
        if told != why {
            tracing::warn!(port, "{why}: trying again");
            told = why;
        }
        if way.bytes_read > before {
            wait = FIRST_WAIT;
        }
        let due = Instant::now() + wait;
        wait = (wait * 2).min(LONGEST_WAIT);
        loop {
            tokio::select! {
                () = sleep_until(due) => break,
                wake = way.live.wake() => if way.woken(&wake) { return way.bytes_read },
            }
        }
    }
}

/// Why a port is not read any more.
enum End {
    /// The agent is asked to end.
    Stop,
    Lost(io::Error),
    /// The adapter does not do what the settings ask for.
    Refuses(String),
}

impl From<io::Error> for End {
    fn from(error: io::Error) -> Self {
        Self::Lost(error)
    }
}

/// What came first.
enum Came {
    Bytes,
    Time,
    Second,
}

/// The way from an adapter to the log.
struct Way<'a> {
    intake: &'a mut AdapterIntake,
    live: &'a mut Live,
    buffer: Vec<u8>,
    bytes_read: u64,
    answers: Vec<Answer>,
}

impl Way<'_> {
    async fn use_adapter(
        &mut self,
        adapter: &CanAdapter,
        stream: &mut SerialStream,
    ) -> Result<Infallible, End> {
        self.open(adapter, stream).await?;
        self.intake.opened();
        self.live.source_open(true);
        let CanAdapter { port, bitrate, listen_only, .. } = adapter;
        tracing::info!(port, bitrate, listen_only, "adapter open");
        let mut seconds = 0;
        let mut ask_flags = true;
        loop {
            match self.next(stream, None).await? {
                Came::Bytes => {
                    let refused = self.answers.drain(..).any(|answer| answer == Answer::Refused);
                    // An adapter without flags is not asked again.
                    ask_flags &= !refused;
                    sleep(GATHER).await;
                }
                Came::Second | Came::Time => {
                    seconds += 1;
                    if ask_flags && seconds % FLAGS_EVERY == 0 {
                        send(stream, "F").await?;
                    }
                }
            }
        }
    }

    /// Opens the channel as the settings say.
    async fn open(&mut self, adapter: &CanAdapter, stream: &mut SerialStream) -> Result<(), End> {
        for command in BEFORE {
            send(stream, command).await?;
        }
        let quiet = Instant::now() + QUIET;
        while !matches!(self.next(stream, Some(quiet)).await?, Came::Time) {}
        let mut silent = true;
        for command in commands(adapter) {
            self.answers.clear();
            let answer = self.ask(stream, &command).await?;
            silent &= answer.is_none();
            match (command.as_str(), answer) {
                ("V", Some(Answer::Told(version))) => tracing::info!(version, "adapter"),
                ("V", _) => {}
                ("Z1", Some(Answer::Refused)) => {
                    tracing::warn!("the adapter gives no times: those of arrival count");
                }
                (_, Some(Answer::Refused)) => return Err(End::Refuses(refusal(&command))),
                _ => {}
            }
        }
        if silent {
            let CanAdapter { port, baud, .. } = adapter;
            tracing::warn!(port, baud, "no answer: is it the adapter's port, and its baud?");
        }
        Ok(())
    }

    /// Sends a command and waits for its answer; `None` if there is none.
    async fn ask(
        &mut self,
        stream: &mut SerialStream,
        command: &str,
    ) -> Result<Option<Answer>, End> {
        send(stream, command).await?;
        let due = Instant::now() + ANSWER_WAIT;
        loop {
            if let Some(answer) = self.answers.pop() {
                return Ok(Some(answer));
            }
            if let Came::Time = self.next(stream, Some(due)).await? {
                return Ok(None);
            }
        }
    }

    /// Waits for bytes, a second or `until`, whichever is first.
    async fn next(
        &mut self,
        stream: &mut SerialStream,
        until: Option<Instant>,
    ) -> Result<Came, End> {
        let time = sleep_until(until.unwrap_or_else(|| Instant::now() + LONGEST_WAIT));
        tokio::select! {
            read = stream.read(&mut self.buffer) => match read {
                Ok(0) => Err(End::Lost(io::ErrorKind::UnexpectedEof.into())),
                Ok(len) => {
                    self.bytes_read += len as u64;
                    let now = self.live.now();
                    let bytes = self.buffer.get(..len).unwrap_or(&[]);
                    self.intake.bytes(now, bytes, &mut self.live.out, &mut self.answers);
                    self.live.hand_over();
                    Ok(Came::Bytes)
                }
                Err(error) => Err(End::Lost(error)),
            },
            wake = self.live.wake() => if self.woken(&wake) { Err(End::Stop) } else { Ok(Came::Second) },
            () = time, if until.is_some() => Ok(Came::Time),
        }
    }

    /// Whether the agent is asked to end.
    fn woken(&mut self, wake: &Wake) -> bool {
        match wake {
            Wake::Second => {
                let mut notes: Vec<Entry> = Vec::new();
                self.intake.tick(self.live.now(), &mut notes);
                self.live.out.append(&mut notes);
                let can = self.intake.can();
                let counts = SourceCounts { frames: can.counts().mapped, losses: can.losses() };
                self.live.second(can.last(), counts);
                false
            }
            // Words for a bridge's buzzer: an adapter would put them onto the bus.
            Wake::Reply => {
                drop(self.live.for_bridge());
                false
            }
            Wake::Stop => true,
        }
    }
}

async fn send(stream: &mut SerialStream, command: &str) -> io::Result<()> {
    let line = format!("{command}\r");
    match timeout(WRITE_WAIT, stream.write_all(line.as_bytes())).await {
        Ok(sent) => sent,
        Err(_) => Err(io::ErrorKind::TimedOut.into()),
    }
}
