//! The last packets of a link: they tell a restarted bridge from packets that come late.
//!
//! A packet that is doubled or late was made before those heard since, so it must fit
//! in among them: the same number is the same packet, and ticks never fall from one
//! number to the next. A bridge that restarts within its first second goes over the
//! same numbers and ticks again, but what it makes is other packets. Packets that are
//! the same to the last bit cannot be told apart, and need not be.

use std::collections::VecDeque;
use underbrush_protocol::frame::Frame;
use underbrush_protocol::link::{Header, REORDER_WINDOW};

/// Packets taken, the newest last. One of unknown kind has no frame.
#[derive(Clone, Debug, Default)]
pub(crate) struct Recent {
    heard: VecDeque<(Header, Option<Frame>)>,
}

impl Recent {
    /// Notes a packet that was taken.
    pub(crate) fn took(&mut self, header: Header, frame: Option<&Frame>) {
        let newest = header.sequence;
        let too_old = |(h, _): &(Header, _)| {
            newest.wrapping_sub(h.sequence).wrapping_sub(1) >= REORDER_WINDOW
        };
        while self.heard.front().is_some_and(too_old) {
            self.heard.pop_front();
        }
        self.heard.push_back((header, frame.cloned()));
    }

    /// Forgets all, as when numbers begin again.
    pub(crate) fn clear(&mut self) {
        self.heard.clear();
    }

    /// Whether a packet that looks doubled or late can be of the same run as those heard.
    pub(crate) fn fits(&self, header: Header, frame: Option<&Frame>) -> bool {
        let Some((newest, _)) = self.heard.back() else { return false };
        let age = |h: &Header| newest.sequence.wrapping_sub(h.sequence);
        self.heard.iter().all(|(other, other_frame)| {
            // Signed difference: a wrap of the tick is a step forward.
            let later_ms = header.tick_ms.wrapping_sub(other.tick_ms) as i32;
            match age(other).cmp(&age(&header)) {
                std::cmp::Ordering::Equal => *other == header && other_frame.as_ref() == frame,
                std::cmp::Ordering::Greater => later_ms >= 0,
                std::cmp::Ordering::Less => later_ms <= 0,
            }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::frame::{Kind, Mark};

    fn header(sequence: u16, tick_ms: u32) -> Header {
        Header { kind: Kind(7), sequence, tick_ms }
    }

    #[test]
    fn only_packets_that_were_made_before_fit() {
        let frame = |n| Some(Frame::Mark(Mark::Button(n)));
        let mut recent = Recent::default();
        for (sequence, tick_ms) in [(65_534, 100), (65_535, 200), (2, 500), (3, 500)] {
            recent.took(header(sequence, tick_ms), frame(sequence as u8).as_ref());
        }
        for (sequence, tick_ms, n, fits) in [
            (65_535, 200, 255, true),  // again
            (65_535, 200, 7, false),   // another frame by its number
            (65_535, 201, 255, false), // another tick
            (0, 300, 9, true),         // was missing
            (0, 199, 9, false),        // older than the one before it
            (0, 501, 9, false),        // newer than the one behind it
            (65_000, 90, 9, true),     // before all of them
            (65_000, 101, 9, false),
        ] {
            let found = recent.fits(header(sequence, tick_ms), frame(n).as_ref());
            assert_eq!(found, fits, "number {sequence} at {tick_ms} ms, frame {n}");
        }
        for sequence in 4..68 {
            recent.took(header(sequence, 600), None);
        }
        assert_eq!(recent.heard.len(), usize::from(REORDER_WINDOW) + 1);
        recent.clear();
        assert!(!recent.fits(header(67, 600), None));
    }
}
