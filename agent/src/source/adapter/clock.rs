//! An adapter's times, which begin again each minute, to log times.

use crate::tick_clock::TickClock;
use underbrush_protocol::time::BootMs;

/// The times begin again after this.
const MINUTE_MS: i64 = 60_000;
/// Some adapters count all 16 bits, as a time beyond the minute shows.
const ALL_BITS_MS: i64 = 1 << 16;

/// Follows one adapter's times by when its frames arrive.
#[derive(Clone, Debug)]
pub(super) struct StampClock {
    clock: TickClock,
    turn_ms: i64,
    /// The newest time and when it arrived.
    last: Option<(i64, BootMs)>,
    tick: u32,
}

impl Default for StampClock {
    fn default() -> Self {
        Self { clock: TickClock::default(), turn_ms: MINUTE_MS, last: None, tick: 0 }
    }
}

impl StampClock {
    /// Whether the adapter gives times.
    pub(super) fn in_use(&self) -> bool {
        self.last.is_some()
    }

    /// The log time of a frame with `stamp_ms` that arrived at `now`; never runs back.
    pub(super) fn place(&mut self, now: BootMs, stamp_ms: u16) -> BootMs {
        let stamp_ms = i64::from(stamp_ms);
        if stamp_ms >= MINUTE_MS {
            self.turn_ms = ALL_BITS_MS;
        }
        if let Some((last_ms, at)) = self.last {
            let step_ms = (stamp_ms - last_ms).rem_euclid(self.turn_ms);
            // Turns that nobody saw; -1 where two frames came in the wrong order.
            let waited_ms = i64::try_from(now.since(at)).unwrap_or(i64::MAX / 2);
            let turns = (waited_ms - step_ms + self.turn_ms / 2).div_euclid(self.turn_ms);
            // The tick wraps at 2^32, which its clock knows.
            self.tick = self.tick.wrapping_add((step_ms + turns * self.turn_ms) as u32);
        }
        self.last = Some((stamp_ms, now));
        self.clock.place(now, self.tick)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Frames of these true times and what the log has of them; each 3 to 9 ms late.
    fn placed(times: &[u64], turn_ms: u64) -> Vec<u64> {
        let mut clock = StampClock::default();
        let place = |(i, at): (usize, &u64)| {
            let late = 3 + (i as u64 * 7) % 7;
            clock.place(BootMs(at + late), (at % turn_ms) as u16).0
        };
        times.iter().enumerate().map(place).collect()
    }

    #[test]
    fn minutes_wrap() {
        for turn_ms in [60_000, 65_536] {
            // From 59 s on: the first times show which turn it is.
            let times: Vec<u64> = (0..40_000).map(|i| 59_000 + i * 13).collect();
            let log = placed(&times, turn_ms);
            for (at, got) in times.iter().zip(&log).skip(10) {
                assert!((3..=9).contains(&(got - at)), "{at}: {got}");
            }
            let even = log.windows(2).skip(20).filter(|w| w[1] - w[0] == 13).count();
            assert!(even > 39_000, "{even}");
        }
    }

    #[test]
    fn silence_of_many_minutes_and_wrong_order() {
        let times = [1_000, 1_010, 400_000, 400_010, 400_005, 400_020, 1_000_400];
        let log = placed(&times, 60_000);
        for (at, got) in times.iter().zip(&log) {
            assert!((0..=15).contains(&(*got as i64 - *at as i64)), "{at}: {got}");
        }
        assert!(log.is_sorted());
    }
}
