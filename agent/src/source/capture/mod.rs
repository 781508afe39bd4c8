//! Recordings of CAN buses by other programs, in any of the usual formats.
//!
//! | format | what it is | file |
//! |---|---|---|
//! | candump | text of can-utils: the log form (`-L`) and the console form | `candump.rs` |
//! | ASC | text of measurement programs | `asc.rs` |
//! | BLF | their binary log | `blf/` |
//! | TRC | text of CAN viewers, versions 1.0 to 2.1 | `trc.rs` |
//!
//! Which one a file is, its content says. [`frames`] gives the frames of a file;
//! [`CaptureIntake`] makes log entries of them. What is damaged is counted with its
//! place, and the rest is read. A damaged file takes no more memory than a whole one.

mod asc;
mod blf;
mod candump;
mod counts;
mod intake;
mod reader;
mod trc;
mod words;

pub use counts::{CaptureCounts, CaptureFormat, Damage, Place};
pub use intake::CaptureIntake;
pub use reader::{CaptureReader, Event, Taken};

use crate::decode::{CanFrame, CanId, Stamped, length_of_code};
use crate::error::AgentError;
use crate::source::replay::replay_file;
use std::fs::File;
use std::io::Read;
use std::path::Path;

/// Data bytes of the longest frame.
const FD_MAX: usize = 64;
const CLASSIC_MAX: usize = 8;

/// Gives `each` the frames of a recording in their order; it may end the reading by an error.
pub fn frames(
    path: &Path,
    mut each: impl FnMut(Stamped<'_>) -> Result<(), AgentError>,
) -> Result<CaptureCounts, AgentError> {
    let mut reader = CaptureReader::new(None);
    let mut first_ns = None;
    let mut last_us = 0;
    let mut backward = 0;
    let mut take = |taken: Taken<'_>| -> Result<(), AgentError> {
        let at_us = match taken.stamp_ns {
            Some(stamp_ns) => {
                let since_ns = stamp_ns.saturating_sub(*first_ns.get_or_insert(stamp_ns));
                u64::try_from(since_ns / 1_000).unwrap_or(0)
            }
            None => last_us,
        };
        backward += u64::from(at_us < last_us);
        last_us = at_us;
        each(Stamped { at_us, bus: taken.bus, frame: taken.frame })
    };
    let mut failed = Ok(());
    let mut sink = |event: Event<'_>| {
        if let (Event::Frame(taken), Ok(())) = (event, &failed) {
            failed = take(taken);
        }
    };
    replay_file(
        path,
        |_| {},
        |bytes| {
            reader.push(bytes, &mut sink);
            Ok(())
        },
    )?;
    reader.end(&mut sink);
    failed?;
    let counts = CaptureCounts { backward, ..reader.counts() };
    if counts.format.is_none() && counts.bytes > 0 {
        return Err(AgentError::NotACapture(path.to_owned()));
    }
    Ok(counts)
}

/// Tells a file that cannot be read, or that is no recording unless it is of `format`.
pub(crate) fn check(path: &Path, format: Option<CaptureFormat>) -> Result<(), AgentError> {
    let unreadable = |source| AgentError::Read { path: path.to_owned(), source };
    let file = File::open(path).map_err(unreadable)?;
    let mut head = Vec::new();
    file.take(reader::LOOK_AT as u64).read_to_end(&mut head).map_err(unreadable)?;
    if head.is_empty() || format.is_some() || reader::recognise(&head).is_some() {
        return Ok(());
    }
    Err(AgentError::NotACapture(path.to_owned()))
}

/// An identifier of that number, if its kind has it.
fn can_id(number: u32, extended: bool) -> Option<CanId> {
    const EXTENDED_MAX: u32 = 0x1FFF_FFFF;
    if extended {
        (number <= EXTENDED_MAX).then_some(CanId::Extended(number))
    } else {
        (number <= 0x7FF).then_some(CanId::Standard(number as u16))
    }
}

/// A data frame over the first `len` bytes.
fn data_frame(id: CanId, data: &[u8; FD_MAX], len: usize) -> CanFrame<'_> {
    CanFrame::Data { id, data: data.get(..len).unwrap_or(data) }
}
