//! Lost, doubled and restarted packets, told from sequence number and tick.

/// Where a packet stands against the one before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Order {
    /// The first packet seen.
    First,
    /// The next one.
    Next,
    /// This many packets are missing before it.
    Lost(u16),
    /// The same packet again: drop it.
    Duplicate,
    /// Older than the last one, by at most [`REORDER_WINDOW`]: drop it.
    Late,
    /// The bridge started anew: tick and sequence begin again.
    Restarted,
}

/// How many packets late one may come and still be told from a restart.
pub const REORDER_WINDOW: u16 = 64;
/// A tick that falls back by more than this is a restart, in ms.
const RESTART_FALLBACK_MS: i32 = 1_000;

/// Follows the numbers of one bridge.
#[derive(Clone, Copy, Debug, Default)]
pub struct SequenceTracker {
    last: Option<(u16, u32)>,
}

impl SequenceTracker {
    /// Places a packet with this sequence number and tick (ms).
    pub fn place(&mut self, sequence: u16, tick_ms: u32) -> Order {
        let Some((last_sequence, last_tick)) = self.last else {
            self.last = Some((sequence, tick_ms));
            return Order::First;
        };
        let ahead = sequence.wrapping_sub(last_sequence);
        let behind = last_sequence.wrapping_sub(sequence);
        // Signed difference: a wrap of the tick after 49.7 days is a step forward.
        let tick_step = tick_ms.wrapping_sub(last_tick) as i32;
        let order = if tick_step < -RESTART_FALLBACK_MS {
            Order::Restarted
        } else if ahead == 1 {
            Order::Next
        } else if tick_step <= 0 && ahead == 0 {
            Order::Duplicate
        } else if tick_step <= 0 && behind <= REORDER_WINDOW {
            Order::Late
        } else if tick_step < 0 {
            Order::Restarted
        } else {
            // A later tick is never an old packet: the number went round while the line was cut.
            Order::Lost(ahead.wrapping_sub(1))
        };
        if !matches!(order, Order::Duplicate | Order::Late) {
            self.last = Some((sequence, tick_ms));
        }
        order
    }

    /// Forgets the last packet, as after a reconnect.
    pub fn reset(&mut self) {
        self.last = None;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn orders() {
        let mut t = SequenceTracker::default();
        assert_eq!(t.place(65_534, 1_000), Order::First);
        assert_eq!(t.place(65_535, 1_100), Order::Next);
        assert_eq!(t.place(0, 1_200), Order::Next);
        assert_eq!(t.place(0, 1_200), Order::Duplicate);
        assert_eq!(t.place(65_535, 1_100), Order::Late);
        assert_eq!(t.place(4, 1_600), Order::Lost(3));
        assert_eq!(t.place(0, 0), Order::Restarted);
        assert_eq!(t.place(1, 100), Order::Next);
    }

    #[test]
    fn a_long_silence_that_wraps_the_number_is_loss_and_not_an_old_packet() {
        let mut t = SequenceTracker::default();
        t.place(100, 1_000);
        assert_eq!(t.place(98, 1_311_680), Order::Lost(65_533));
        assert_eq!(t.place(98, 2_622_380), Order::Lost(65_535));
        assert_eq!(t.place(99, 2_622_400), Order::Next);
    }

    #[test]
    fn a_wrapping_tick_is_no_restart() {
        let mut t = SequenceTracker::default();
        t.place(7, u32::MAX - 20);
        assert_eq!(t.place(8, 79), Order::Next);
    }
}
