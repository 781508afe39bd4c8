//! A CAN interface of Linux. It may go down and come back at any time.

use super::live::{Live, Wake};
use crate::decode::{CanFrame, CanId, CanIntake};
use crate::error::AgentError;
use socketcan::tokio::CanFdSocket;
use socketcan::{CanAnyFrame, EmbeddedFrame, Id};
use std::time::Duration;
use tokio::time::{Instant, sleep_until};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Gap, GapReason, Note};

const FIRST_WAIT: Duration = Duration::from_millis(100);
const LONGEST_WAIT: Duration = Duration::from_secs(5);
/// Bytes of an identifier, a length and a payload; only for the count of bytes read.
const FRAME_HEAD: u64 = 8;

/// Reads `name` until the agent is asked to end; returns the bytes read.
pub(crate) async fn interface(
    name: &str,
    intake: &mut CanIntake,
    live: &mut Live,
) -> Result<u64, AgentError> {
    let mut bytes_read = 0;
    let mut wait = FIRST_WAIT;
    let mut told = false;
    loop {
        match CanFdSocket::open(name) {
            Ok(socket) => {
                tracing::info!(interface = name, "interface open");
                let before = bytes_read;
                let Some(error) = read_until_lost(&socket, &mut bytes_read, intake, live).await?
                else {
                    return Ok(bytes_read);
                };
                tracing::warn!(interface = name, %error, "interface lost");
                intake.disconnected();
                told = false;
                if bytes_read > before {
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
                wake = live.wake() => match wake {
                    Wake::Second => second(intake, live)?,
                    Wake::Stop => return Ok(bytes_read),
                },
            }
        }
    }
}

/// `None` when asked to end, else why the interface is lost.
async fn read_until_lost(
    socket: &CanFdSocket,
    bytes_read: &mut u64,
    intake: &mut CanIntake,
    live: &mut Live,
) -> Result<Option<std::io::Error>, AgentError> {
    let mut away_from = (intake.losses().disconnects > 0).then(|| intake.last());
    loop {
        tokio::select! {
            read = socket.read_frame() => match read {
                Ok(frame) => {
                    let at = live.now();
                    if let Some(from) = away_from.take() {
                        let gap = Gap { from, reason: GapReason::BridgeSilent, dropped: 0 };
                        intake.note(at, Note::Gap(gap), &mut live.out);
                    }
                    *bytes_read += take(&frame, |frame| intake.frame(at, frame, &mut live.out));
                    live.hand_over();
                }
                Err(error) => return Ok(Some(error)),
            },
            wake = live.wake() => match wake {
                Wake::Second => second(intake, live)?,
                Wake::Stop => return Ok(None),
            },
        }
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

fn second(intake: &mut CanIntake, live: &mut Live) -> Result<(), AgentError> {
    let mut notes: Vec<Entry> = Vec::new();
    intake.tick(live.now(), &mut notes);
    live.out.append(&mut notes);
    live.fix_clock(intake.last());
    live.hand_over();
    live.check()
}
