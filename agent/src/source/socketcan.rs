//! A CAN interface of Linux. It may go down, be unplugged and come back at any time.
//!
//! * down: the socket stays bound and hears the first frame after the interface is up.
//! * gone: the socket is worth nothing; another is opened when the name is there again.
//! * away: down or gone, after it was up; counted once, and the next frame ends the gap.

use super::live::{Live, Wake};
use crate::board::SourceCounts;
use crate::decode::{CanFrame, CanId, CanIntake};
use socketcan::tokio::CanFdSocket;
use socketcan::{CanAnyFrame, EmbeddedFrame, Id, SocketOptions};
use std::io;
use std::time::Duration;
use tokio::time::{Instant, sleep_until};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Gap, GapReason, Note};
use underbrush_protocol::time::BootMs;

const FIRST_WAIT: Duration = Duration::from_millis(100);
/// An attempt costs one call; a bus that is back should not wait.
const LONGEST_WAIT: Duration = Duration::from_secs(1);
/// Bytes of an identifier, a length and a payload; only for the count of bytes read.
const FRAME_HEAD: u64 = 8;
/// Frames taken before the clock and the signals get their turn.
const AT_ONCE: usize = 64;
/// Some 5,000 frames: half a second of a full bus at 1 Mbit/s. The kernel's usual buffer
/// holds about 250.
const RECEIVE_BUFFER: i32 = 4 << 20;

// Source: Linux, include/uapi/asm-generic/socket.h and include/uapi/linux/sock_diag.h. The
// few processors with other numbers refuse them; then drops are not counted, and an
// interface that goes is noticed with the next frame only.
const SOL_SOCKET: i32 = 1;
const SO_ERROR: i32 = 4;
const SO_RCVBUF: i32 = 8;
const SO_RCVBUFFORCE: i32 = 33;
const SO_MEMINFO: i32 = 55;
const SK_MEMINFO_VARS: usize = 9;
const SK_MEMINFO_DROPS: usize = 8;

/// Reads `name` until the agent is asked to end; returns the bytes read.
pub(crate) async fn interface(name: &str, intake: &mut CanIntake, live: &mut Live) -> u64 {
    let mut bus = Bus { name, intake, live, away_from: None, bytes_read: 0 };
    let mut wait = FIRST_WAIT;
    let mut told = false;
    loop {
        match Interface::open(name) {
            Ok(interface) => {
                tracing::info!(interface = name, "interface open");
                bus.live.source_open(true);
                let before = bus.bytes_read;
                let Some(error) = bus.read_until_gone(interface).await else {
                    return bus.bytes_read;
                };
                tracing::warn!(interface = name, %error, "interface gone");
                bus.live.source_open(false);
                told = false;
                if bus.bytes_read > before {
                    wait = FIRST_WAIT;
                }
            }
            Err(error) if !told => {
                tracing::warn!(interface = name, %error, "cannot open the interface: trying again until it is there");
                told = true;
            }
            Err(_) => {}
        }
        let due = Instant::now() + wait;
        wait = (wait * 2).min(LONGEST_WAIT);
        loop {
            tokio::select! {
                () = sleep_until(due) => break,
                wake = bus.live.wake() => match wake {
                    Wake::Second => bus.second(),
                    Wake::Reply => {}
                    Wake::Stop => return bus.bytes_read,
                },
            }
        }
    }
}

/// An open socket, and what the kernel dropped because its buffer was full.
struct Interface {
    socket: CanFdSocket,
    dropped: u32,
}

impl Interface {
    fn open(name: &str) -> io::Result<Self> {
        let socket = CanFdSocket::open(name)?;
        // Beyond the system's limit only with the right to administer the network.
        let forced = socket.set_socket_option_int(SOL_SOCKET, SO_RCVBUFFORCE, RECEIVE_BUFFER);
        if let Err(error) =
            forced.or_else(|_| socket.set_socket_option_int(SOL_SOCKET, SO_RCVBUF, RECEIVE_BUFFER))
        {
            tracing::warn!(interface = name, %error, "the receive buffer stays small");
        }
        Ok(Self { socket, dropped: 0 })
    }

    /// The error that waits in the socket. An interface that goes gives nothing to
    /// read, so that a read alone would wait for ever.
    fn waiting_error(&self) -> Option<io::Error> {
        match self.socket.get_socket_option_int(SOL_SOCKET, SO_ERROR) {
            Ok(0) | Err(_) => None,
            Ok(code) => Some(io::Error::from_raw_os_error(code)),
        }
    }

    /// Frames dropped since the last call; `None` if this kernel does not tell.
    fn newly_dropped(&mut self) -> Option<u32> {
        let mut bytes = [0; 4 * SK_MEMINFO_VARS];
        let len = self.socket.get_socket_option_bytes(SOL_SOCKET, SO_MEMINFO, &mut bytes).ok()?;
        let (words, _) = bytes.get(..len)?.as_chunks::<4>();
        let total = u32::from_ne_bytes(*words.get(SK_MEMINFO_DROPS)?);
        Some(total.wrapping_sub(std::mem::replace(&mut self.dropped, total)))
    }
}

/// The way from the interface to the log.
struct Bus<'a> {
    name: &'a str,
    intake: &'a mut CanIntake,
    live: &'a mut Live,
    /// Time of the newest entry before the interface went away.
    away_from: Option<BootMs>,
    bytes_read: u64,
}

impl Bus<'_> {
    /// `None` when asked to end, else why the interface is gone.
    async fn read_until_gone(&mut self, mut interface: Interface) -> Option<io::Error> {
        loop {
            let error = tokio::select! {
                read = interface.socket.read_frame() => self.take_waiting(read, &interface),
                wake = self.live.wake() => {
                    self.count_dropped(&mut interface);
                    match wake {
                        Wake::Second => self.second(),
                        Wake::Reply => {}
                        Wake::Stop => return None,
                    }
                    interface.waiting_error()
                }
            };
            if let Some(error) = error {
                self.lost(&error);
                if error.kind() != io::ErrorKind::NetworkDown {
                    self.count_dropped(&mut interface);
                    return Some(error);
                }
            }
        }
    }

    /// Takes a frame and those that wait behind it, up to an error.
    fn take_waiting(
        &mut self,
        first: io::Result<CanAnyFrame>,
        interface: &Interface,
    ) -> Option<io::Error> {
        let at = self.live.now();
        let mut read = first;
        let mut taken = 0;
        loop {
            match read {
                Ok(frame) => self.frame(at, &frame),
                Err(error) if error.kind() == io::ErrorKind::WouldBlock => break,
                Err(error) => return Some(error),
            }
            taken += 1;
            if taken == AT_ONCE {
                break;
            }
            read = interface.socket.try_read_frame();
        }
        self.live.hand_over();
        None
    }

    fn frame(&mut self, at: BootMs, frame: &CanAnyFrame) {
        if let Some(from) = self.away_from.take() {
            tracing::info!(interface = self.name, "frames again");
            let gap = Gap { from, reason: GapReason::BridgeSilent, dropped: 0 };
            self.intake.note(at, Note::Gap(gap), &mut self.live.out);
        }
        self.bytes_read += take(frame, |frame| self.intake.frame(at, frame, &mut self.live.out));
    }

    /// The interface went away; one outage is counted once, whatever it consists of.
    fn lost(&mut self, error: &io::Error) {
        if self.away_from.is_none() {
            tracing::warn!(interface = self.name, %error, "interface lost");
            self.away_from = Some(self.intake.last());
            self.intake.disconnected();
        }
    }

    fn count_dropped(&mut self, interface: &mut Interface) {
        let dropped = interface.newly_dropped().unwrap_or(0);
        if dropped > 0 {
            tracing::warn!(
                interface = self.name,
                dropped,
                "frames came faster than they were read"
            );
            self.intake.missed(dropped);
        }
    }

    fn second(&mut self) {
        let mut notes: Vec<Entry> = Vec::new();
        self.intake.tick(self.live.now(), &mut notes);
        self.live.out.append(&mut notes);
        let counts =
            SourceCounts { frames: self.intake.counts().mapped, losses: self.intake.losses() };
        self.live.second(self.intake.last(), counts);
    }
}

/// Shows a frame of the kernel as ours; returns its size.
fn take(frame: &CanAnyFrame, each: impl FnOnce(&CanFrame<'_>)) -> u64 {
    let id = |id: Id| match id {
        Id::Standard(id) => CanId::Standard(id.as_raw()),
        Id::Extended(id) => CanId::Extended(id.as_raw()),
    };
    match frame {
        CanAnyFrame::Normal(f) => each(&CanFrame::Data { id: id(f.id()), data: f.data() }),
        CanAnyFrame::Fd(f) => each(&CanFrame::Data { id: id(f.id()), data: f.data() }),
        CanAnyFrame::Remote(_) => each(&CanFrame::Remote),
        CanAnyFrame::Error(_) => each(&CanFrame::Error),
    }
    FRAME_HEAD + frame.data().len() as u64
}
