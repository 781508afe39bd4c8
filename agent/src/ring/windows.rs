//! The windows that are open or still to be given.

use std::collections::VecDeque;
use underbrush_protocol::time::BootMs;

/// More than these are not kept apart: what lies between two is given too.
const MOST: usize = 8;

/// A stretch of time, both ends in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Span {
    pub(super) from: BootMs,
    pub(super) to: BootMs,
}

/// Windows in order of time, none of which touch.
#[derive(Debug, Default)]
pub(super) struct Windows {
    open: VecDeque<Span>,
}

impl Windows {
    /// Adds a window; with those that it touches it becomes one.
    pub(super) fn open(&mut self, mut window: Span) {
        // Detectors fire in order of time, so the newest are at the end.
        while let Some(last) = self.open.back() {
            let apart = last.to < window.from && self.open.len() < MOST;
            if apart {
                break;
            }
            window.from = window.from.min(last.from);
            window.to = window.to.max(last.to);
            self.open.pop_back();
        }
        self.open.push_back(window);
    }

    /// The oldest.
    pub(super) fn first(&self) -> Option<Span> {
        self.open.front().copied()
    }

    /// All of the oldest was given.
    pub(super) fn close_first(&mut self) {
        self.open.pop_front();
    }

    /// Whether a time is in one of them.
    pub(super) fn holds(&self, at: BootMs) -> bool {
        self.open.iter().any(|span| (span.from..=span.to).contains(&at))
    }
}
