//! A CAN bus that is listened to in a loop with waits, and never sent to.

use crate::decode::CanId;
use crate::error::AgentError;
use std::io;
use std::time::Duration;

/// A data frame with its payload.
pub(crate) type Data = (CanId, Vec<u8>);

/// Something that gives frames.
pub(crate) trait Listen {
    /// The next data frame; `None` if none came in `wait`, or another kind of frame.
    fn next(&mut self, wait: Duration) -> io::Result<Option<Data>>;

    /// What came that was no data frame, in words: it tells a wrong bit rate from a dead bus.
    fn also_heard(&self) -> Option<String> {
        None
    }
}

/// Opens a CAN interface of Linux.
#[cfg(all(feature = "socketcan", target_os = "linux"))]
pub(crate) fn interface(name: &str) -> Result<Box<dyn Listen>, AgentError> {
    use socketcan::{CanFdSocket, Socket};
    let socket =
        CanFdSocket::open(name).map_err(|source| AgentError::Read { path: name.into(), source })?;
    Ok(Box::new(Interface(socket)))
}

/// Refuses, as this agent cannot.
#[cfg(not(all(feature = "socketcan", target_os = "linux")))]
pub(crate) fn interface(name: &str) -> Result<Box<dyn Listen>, AgentError> {
    let message = "this agent was built without CAN interfaces: build it on Linux with \
                   `--features socketcan`, use an adapter at a serial port (`--port`), or record \
                   with `candump -L` and give `--capture FILE`";
    let source = io::Error::new(io::ErrorKind::Unsupported, message);
    Err(AgentError::Read { path: name.into(), source })
}

#[cfg(all(feature = "socketcan", target_os = "linux"))]
struct Interface(socketcan::CanFdSocket);

#[cfg(all(feature = "socketcan", target_os = "linux"))]
impl Listen for Interface {
    fn next(&mut self, wait: Duration) -> io::Result<Option<Data>> {
        use socketcan::{CanAnyFrame, EmbeddedFrame, Id, Socket};
        let frame = match self.0.read_frame_timeout(wait) {
            Ok(frame) => frame,
            Err(error)
                if matches!(error.kind(), io::ErrorKind::TimedOut | io::ErrorKind::WouldBlock) =>
            {
                return Ok(None);
            }
            Err(error) => return Err(error),
        };
        let (id, data) = match &frame {
            CanAnyFrame::Normal(frame) => (frame.id(), frame.data()),
            CanAnyFrame::Fd(frame) => (frame.id(), frame.data()),
            CanAnyFrame::Remote(_) | CanAnyFrame::Error(_) => return Ok(None),
        };
        let id = match id {
            Id::Standard(id) => CanId::Standard(id.as_raw()),
            Id::Extended(id) => CanId::Extended(id.as_raw()),
        };
        Ok(Some((id, data.to_vec())))
    }
}
