//! A bridge at a serial port, which may be pulled and plugged at any time.

use super::live::{Live, Wake};
use crate::board::SourceCounts;
use crate::intake::Intake;
use std::io;
use std::time::Duration;
use tokio::io::AsyncReadExt;
use tokio::time::sleep;
use tokio_serial::{SerialPortBuilderExt, SerialStream};

/// First wait after a failed attempt; it doubles up to `LONGEST_WAIT`.
const FIRST_WAIT: Duration = Duration::from_millis(100);
const LONGEST_WAIT: Duration = Duration::from_secs(5);
/// After each read, so that one wake-up takes many frames. Bytes meanwhile wait in
/// the port's buffer (4 KiB for a tty of Linux: 5 ms fill it at 8 Mbit/s).
const GATHER: Duration = Duration::from_millis(5);
const BUFFER: usize = 16 * 1024;

/// Reads `port` until the agent is asked to end; returns the bytes read.
pub(crate) async fn serial(port: &str, baud: u32, intake: &mut Intake, live: &mut Live) -> u64 {
    let mut buffer = vec![0; BUFFER];
    let mut bytes_read = 0;
    let mut wait = FIRST_WAIT;
    let mut told = false;
    loop {
        match tokio_serial::new(port, baud).open_native_async() {
            Ok(mut stream) => {
                tracing::info!(port, baud, "port open");
                live.source_open(true);
                let before = bytes_read;
                let end = read_until_lost(&mut stream, &mut buffer, &mut bytes_read, intake, live);
                let Some(error) = end.await else { return bytes_read };
                tracing::warn!(port, %error, "port lost");
                live.source_open(false);
                intake.disconnected();
                told = false;
                // A port that opens and gives nothing is no better than one that does not open.
                if bytes_read > before {
                    wait = FIRST_WAIT;
                }
            }
            Err(error) if !told => {
                tracing::warn!(port, %error, "cannot open the port: trying again until it is there");
                told = true;
            }
            Err(_) => {}
        }
        let due = tokio::time::Instant::now() + wait;
        wait = (wait * 2).min(LONGEST_WAIT);
        loop {
            tokio::select! {
                () = tokio::time::sleep_until(due) => break,
                wake = live.wake() => match wake {
                    Wake::Second => second(intake, live),
                    Wake::Reply => drop(live.for_bridge()),
                    Wake::Stop => return bytes_read,
                },
            }
        }
    }
}

/// `None` when asked to end, else why the port is lost.
async fn read_until_lost(
    stream: &mut SerialStream,
    buffer: &mut [u8],
    bytes_read: &mut u64,
    intake: &mut Intake,
    live: &mut Live,
) -> Option<io::Error> {
    loop {
        tokio::select! {
            read = stream.read(buffer) => match read {
                Ok(0) => return Some(io::ErrorKind::UnexpectedEof.into()),
                Ok(len) => {
                    *bytes_read += len as u64;
                    let now = live.now();
                    // A read gives no more than the buffer holds.
                    intake.bytes(now, &buffer[..len], &mut live.out);
                    live.hand_over();
                    reply(stream, live);
                    sleep(GATHER).await;
                }
                Err(error) => return Some(error),
            },
            wake = live.wake() => match wake {
                Wake::Second => {
                    second(intake, live);
                    reply(stream, live);
                }
                Wake::Reply => reply(stream, live),
                Wake::Stop => return None,
            },
        }
    }
}

/// Sends what is for the bridge. A port that takes nothing must not keep the readings waiting.
fn reply(stream: &mut SerialStream, live: &mut Live) {
    let bytes = live.for_bridge();
    if !bytes.is_empty() && !matches!(stream.try_write(&bytes), Ok(sent) if sent == bytes.len()) {
        live.bridge_deaf();
    }
}

fn second(intake: &mut Intake, live: &mut Live) {
    let now = live.now();
    intake.tick(now, &mut live.out);
    let counts = SourceCounts { frames: intake.frames(), losses: intake.losses() };
    live.second(intake.last(), counts);
}
