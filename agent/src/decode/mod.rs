//! What frames mean: bridge frames and CAN frames to readings.

mod bits;
mod can;
mod can_intake;
pub mod canopen;
pub mod dbc;
pub mod long;
mod long_extended;
mod signals;
mod stamped;
mod unknown;

pub(crate) use can::length_of_code;
pub use can::{CanFrame, CanId};
pub use can_intake::{CanCounts, CanIntake};
pub use signals::SignalReader;
pub use stamped::Stamped;

use underbrush_protocol::frame::Frame;
use underbrush_protocol::log::Entry;
use underbrush_protocol::reading::{Reading, unpack, unpack_burst};
use underbrush_protocol::time::BootMs;

/// Appends what a bridge frame of time `at` puts into the log.
pub(crate) fn bridge_entries(at: BootMs, frame: &Frame, out: &mut Vec<Entry>) {
    if let Frame::Burst(burst) = frame {
        out.extend(unpack_burst(at, burst).map(Entry::Reading));
    }
    let unpacked = unpack(frame);
    for (channel, raw) in unpacked.readings {
        out.push(Entry::Reading(Reading { at, channel, raw }));
    }
    if let Some(note) = unpacked.note {
        out.push(Entry::Note(at, note));
    }
}
