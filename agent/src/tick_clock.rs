//! Bridge ticks to log times.
//!
//! * tick: ms of the bridge's own clock, in each packet; its crystal may be off
//!   by 200 ppm (0.2 ms/s), which is 10 s in a 14 h shift.
//! * arrival: when the board read the packet; late by the link's latency, which
//!   jitters (USB, a busy board) but is never negative.
//! * offset: arrival - tick. Its lower envelope is the true offset plus the
//!   smallest latency, so the clock follows the least offset of the last 10 to
//!   20 s. Jitter then does not move readings, and drift is followed.
//!
//! The method (a windowed minimum of delay, slewed) is the usual clock filter of
//! packet time transfer; the figures are ours and the tests below hold them.

use underbrush_protocol::time::BootMs;

/// Length of one of the two windows of the minimum.
const WINDOW_MS: u64 = 10_000;
/// A difference that no latency or drift explains: begin anew.
const JUMP_MS: i64 = 1_000;
/// The offset rises by at most 1 ms in this time (500 ppm), so that a board that
/// is slow for a minute does not drag the times along.
const RISE_EVERY_MS: u64 = 2_000;

/// Follows one bridge's tick by the times its packets arrive.
#[derive(Clone, Debug, Default)]
pub struct TickClock {
    follow: Option<Follow>,
    last: BootMs,
}

#[derive(Clone, Debug)]
struct Follow {
    last_tick: u32,
    /// The tick with its wraps at 2^32 added up.
    tick_ms: i64,
    offset_ms: i64,
    previous_least: i64,
    least: i64,
    window_from: BootMs,
    last_rise: BootMs,
    /// Whether a whole window was seen; before that the offset may drop at once.
    settled: bool,
}

impl TickClock {
    /// The log time of a packet with `tick` that arrived at `now`; never runs back.
    pub fn place(&mut self, now: BootMs, tick: u32) -> BootMs {
        let follow = self.follow.get_or_insert_with(|| Follow::begin(now, tick));
        let at = follow.place(now, tick);
        self.last = at.min(now).max(self.last);
        self.last
    }

    /// Forgets the bridge's tick, as when it restarts.
    pub fn restart(&mut self) {
        self.follow = None;
    }
}

impl Follow {
    fn begin(now: BootMs, tick: u32) -> Self {
        let offset_ms = now.0 as i64 - i64::from(tick);
        Self {
            last_tick: tick,
            tick_ms: i64::from(tick),
            offset_ms,
            previous_least: i64::MAX,
            least: offset_ms,
            window_from: now,
            last_rise: now,
            settled: false,
        }
    }

    fn place(&mut self, now: BootMs, tick: u32) -> BootMs {
        // Signed difference: a wrap of the tick is a step forward.
        self.tick_ms += i64::from(tick.wrapping_sub(self.last_tick) as i32);
        self.last_tick = tick;
        let offset = now.0 as i64 - self.tick_ms;
        if now.since(self.window_from) >= WINDOW_MS {
            self.previous_least = self.least;
            self.least = offset;
            self.window_from = now;
            self.settled = true;
        }
        self.least = self.least.min(offset);
        let target = self.least.min(self.previous_least);
        self.steer(now, offset, target);
        BootMs(u64::try_from(self.tick_ms + self.offset_ms).unwrap_or(0))
    }

    fn steer(&mut self, now: BootMs, offset: i64, target: i64) {
        let error = target - self.offset_ms;
        if error > JUMP_MS || (self.settled && offset - self.offset_ms < -JUMP_MS) {
            // Here the least offsets of before say nothing any more.
            self.offset_ms = if error > JUMP_MS { target } else { offset };
            self.previous_least = i64::MAX;
            self.least = self.offset_ms;
            self.window_from = now;
            self.settled = false;
        } else if !self.settled {
            self.offset_ms = self.offset_ms.min(target);
        } else if error < 0 {
            self.offset_ms -= 1;
        } else if error > 0 && now.since(self.last_rise) >= RISE_EVERY_MS {
            self.offset_ms += 1;
            self.last_rise = now;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Repeatable numbers in 0..1 (the 64-bit MMIX generator of Knuth, from memory).
    struct Noise(u64);

    impl Noise {
        fn next(&mut self) -> f64 {
            self.0 = self
                .0
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            (self.0 >> 11) as f64 / (1_u64 << 53) as f64
        }
    }

    /// Runs 24 h of packets at `period_ms` by a bridge off by `ppm` and returns the
    /// largest error after the first window. The truth is the simulation's own time.
    fn worst_error_ms(
        ppm: f64,
        period_ms: f64,
        first_tick: u32,
        latency: impl Fn(f64, f64) -> f64,
    ) -> f64 {
        let mut clock = TickClock::default();
        let mut noise = Noise(7);
        let mut worst: f64 = 0.0;
        let mut last = BootMs(0);
        let mut arrived = 0.0_f64;
        for i in 0..(86_400_000.0 / period_ms) as u64 {
            let sent = 5_000.0 + i as f64 * period_ms;
            let tick = first_tick.wrapping_add((sent * (1.0 + ppm * 1e-6)) as u64 as u32);
            // Packets arrive in order.
            arrived = arrived.max(sent + latency(sent, noise.next()));
            let at = clock.place(BootMs(arrived as u64), tick);
            assert!(at >= last, "ran back at {sent}");
            last = at;
            if sent > 30_000.0 {
                worst = worst.max((at.0 as f64 - sent).abs());
            }
        }
        worst
    }

    #[test]
    fn a_day_of_drift_and_jitter_stays_within_30_ms() {
        for ppm in [-200.0, -20.0, 0.0, 35.0, 200.0] {
            let usb = worst_error_ms(ppm, 50.0, 0, |_, r| 1.0 + 15.0 * r);
            assert!(usb < 30.0, "{ppm} ppm: {usb} ms");
            // One packet in fifty is held up by as much as 400 ms.
            let busy = worst_error_ms(ppm, 50.0, u32::MAX - 40_000_000, |_, r| {
                if r > 0.98 { 400.0 * r } else { 2.0 + 10.0 * r }
            });
            assert!(busy < 30.0, "{ppm} ppm, busy: {busy} ms");
        }
        let slow = worst_error_ms(200.0, 1_000.0, 0, |_, r| 1.0 + 15.0 * r);
        assert!(slow < 30.0, "{slow} ms");
    }

    #[test]
    fn a_slow_minute_and_a_stall_do_not_drag_the_times_along() {
        let worst = worst_error_ms(-100.0, 50.0, 0, |sent, r| {
            let minute = sent / 60_000.0;
            match minute as u64 % 60 {
                7 => 150.0 + 50.0 * r,
                // Nothing is read for 4 s; then all of it comes at once.
                20 if sent % 60_000.0 < 4_000.0 => 4_000.0 - sent % 60_000.0,
                _ => 1.0 + 15.0 * r,
            }
        });
        assert!(worst < 60.0, "{worst} ms");
    }

    #[test]
    fn jumps_and_restarts_begin_anew_and_never_run_back() {
        let mut clock = TickClock::default();
        assert_eq!(clock.place(BootMs(1_000), 5_000), BootMs(1_000));
        assert_eq!(clock.place(BootMs(1_130), 5_100), BootMs(1_100));
        clock.restart();
        assert_eq!(clock.place(BootMs(3_000), 12), BootMs(3_000));
        assert_eq!(clock.place(BootMs(3_100), 112), BootMs(3_100));
        // The tick runs an hour ahead of the arrivals after the clock settled.
        for i in 0..300 {
            clock.place(BootMs(3_200 + i * 100), 212 + i as u32 * 100);
        }
        let before = clock.place(BootMs(33_200), 30_212);
        let after = clock.place(BootMs(33_300), 3_630_212);
        assert_eq!((before, after), (BootMs(33_200), BootMs(33_300)));
    }

    #[test]
    fn an_old_backlog_at_the_start_is_made_good() {
        let mut clock = TickClock::default();
        // 0.8 s of packets waited in the port's buffer when it was opened.
        for i in 0..8_u32 {
            clock.place(BootMs(10_000), 4_200 + i * 100);
        }
        assert_eq!(clock.place(BootMs(10_102), 5_100), BootMs(10_102));
        assert_eq!(clock.place(BootMs(10_200), 5_200), BootMs(10_200));
    }
}
