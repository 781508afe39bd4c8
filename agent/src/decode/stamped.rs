//! A frame with its time and bus, as recordings and live buses give it.

use super::can::CanFrame;

/// One frame of a recording.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamped<'a> {
    /// Time since the first frame of the recording, in us.
    pub at_us: u64,
    /// Which of several buses, counted from 0.
    pub bus: u8,
    /// What was on the bus.
    pub frame: CanFrame<'a>,
}
