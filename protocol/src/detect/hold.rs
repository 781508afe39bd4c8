//! A condition that must hold for a while.

use crate::time::BootMs;

/// A stretch over which a condition held.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Run {
    /// Begin.
    pub from: BootMs,
    /// End.
    pub to: BootMs,
    /// The run did not end by itself: the data did.
    pub cut_short: bool,
}

impl Run {
    /// Length in ms.
    pub fn ms(&self) -> u64 {
        self.to.since(self.from)
    }
}

/// Joins intervals in which a condition holds and gives the runs longer than a limit.
#[derive(Clone, Copy, Debug)]
pub struct Hold {
    longer_than_ms: u64,
    /// A lapse of the condition up to this long does not end a run.
    pub(super) bridge_ms: u64,
    open: Option<Run>,
    /// End of the last interval while a run is open: beyond `Run::to` in a lapse.
    reached: BootMs,
}

impl Hold {
    /// Gives runs longer than `longer_than_ms`.
    pub fn new(longer_than_ms: u64) -> Self {
        Self::bridging(longer_than_ms, 0)
    }

    /// The same; a lapse of up to `bridge_ms` in which the condition was seen not to hold
    /// does not end a run. The run's end stays the last moment at which it held.
    pub fn bridging(longer_than_ms: u64, bridge_ms: u64) -> Self {
        Self { longer_than_ms, bridge_ms, open: None, reached: BootMs(0) }
    }

    /// Takes the next interval; `holds` is `None` where the condition was not observed.
    ///
    /// Returns the run that ended before this interval, if it was long enough.
    pub fn step(&mut self, from: BootMs, to: BootMs, holds: Option<bool>) -> Option<Run> {
        // Intervals join only when they touch: a hole between them ends the run.
        let ended = match self.open {
            Some(_) if from != self.reached => self.end(true),
            _ => None,
        };
        self.reached = to;
        match (holds, &mut self.open) {
            (Some(true), Some(run)) => {
                run.to = to;
                None
            }
            (Some(true), open @ None) => {
                *open = Some(Run { from, to, cut_short: false });
                ended
            }
            (Some(false), Some(run)) if to.since(run.to) <= self.bridge_ms => None,
            (Some(false), Some(_)) => self.end(false),
            (None, Some(_)) => self.end(true),
            (Some(false) | None, None) => ended,
        }
    }

    /// The run that is going on, long enough or not.
    pub fn open(&self) -> Option<Run> {
        self.open
    }

    /// Whether the run that is going on is long enough already: a live alarm.
    pub fn is_active(&self) -> bool {
        self.open.is_some_and(|run| run.ms() > self.longer_than_ms)
    }

    /// Ends the data: gives the open run, cut short.
    pub fn finish(&mut self) -> Option<Run> {
        self.end(true)
    }

    fn end(&mut self, cut_short: bool) -> Option<Run> {
        self.open
            .take()
            .filter(|run| run.ms() > self.longer_than_ms)
            .map(|run| Run { cut_short, ..run })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn joins_ends_and_cuts() {
        let mut hold = Hold::new(150);
        let at = BootMs;
        assert_eq!(hold.step(at(0), at(100), Some(true)), None);
        assert_eq!(hold.step(at(100), at(200), Some(true)), None);
        assert!(hold.is_active());
        let run = hold.step(at(200), at(300), Some(false));
        assert_eq!(run, Some(Run { from: at(0), to: at(200), cut_short: false }));
        hold.step(at(300), at(500), Some(true));
        // A hole from 500 to 900 ends the run and the next one begins behind it.
        let run = hold.step(at(900), at(1000), Some(true));
        assert_eq!(run, Some(Run { from: at(300), to: at(500), cut_short: true }));
        assert_eq!(hold.finish(), None, "100 ms are too short");
    }

    #[test]
    fn a_short_lapse_is_bridged_and_a_long_one_not() {
        let mut hold = Hold::bridging(150, 200);
        let at = BootMs;
        hold.step(at(0), at(100), Some(true));
        assert_eq!(hold.step(at(100), at(300), Some(false)), None);
        hold.step(at(300), at(400), Some(true));
        assert_eq!(hold.step(at(400), at(600), Some(false)), None);
        // At 700 the lapse is 300 ms long: the run ended where it last held.
        let run = hold.step(at(600), at(700), Some(false));
        assert_eq!(run, Some(Run { from: at(0), to: at(400), cut_short: false }));
        hold.step(at(700), at(900), Some(true));
        hold.step(at(900), at(1000), Some(false));
        let run = Run { from: at(700), to: at(900), cut_short: true };
        assert_eq!(hold.finish(), Some(run), "the lapse is no part of it");
    }
}
