//! When a relay is switched. Pure: the caller brings the time.
//!
//! A relay goes on at once and stays on for at least the hold time, so that a short alarm is
//! heard and no alarm can make it chatter: it is switched on at most once in that time.

use underbrush_protocol::time::BootMs;

/// The state of one relay.
#[derive(Clone, Copy, Debug)]
pub(super) struct Relay {
    hold_ms: u64,
    /// Since when it is on.
    on: Option<BootMs>,
    wanted: bool,
}

impl Relay {
    pub(super) fn new(hold_ms: u64) -> Self {
        Self { hold_ms, on: None, wanted: false }
    }

    /// An alarm is on, or none is.
    pub(super) fn want(&mut self, on: bool) {
        self.wanted = on;
    }

    /// Whether to switch it on or off by now.
    pub(super) fn switch(&mut self, now: BootMs) -> Option<bool> {
        match self.on {
            None if self.wanted => {
                self.on = Some(now);
                Some(true)
            }
            Some(since) if !self.wanted && now.since(since) >= self.hold_ms => {
                self.on = None;
                Some(false)
            }
            _ => None,
        }
    }

    /// When it has to be looked at again, if before the next alarm.
    pub(super) fn due(&self) -> Option<BootMs> {
        self.on.filter(|_| !self.wanted).map(|since| since.plus(self.hold_ms))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Alarms as (at, on); the switchings that follow, looked at every 10 ms up to `end`.
    fn switched(alarms: &[(u64, bool)], end: u64) -> Vec<(u64, bool)> {
        let mut relay = Relay::new(1_000);
        let mut done = Vec::new();
        for now in (0..=end).step_by(10) {
            alarms.iter().filter(|(at, _)| *at == now).for_each(|(_, on)| relay.want(*on));
            done.extend(relay.switch(BootMs(now)).map(|on| (now, on)));
        }
        done
    }

    #[test]
    fn a_short_alarm_is_held_and_a_long_one_followed() {
        assert_eq!(switched(&[(100, true), (150, false)], 3_000), [(100, true), (1_100, false)]);
        assert_eq!(switched(&[(100, true), (2_500, false)], 3_000), [(100, true), (2_500, false)]);
        assert_eq!(switched(&[(100, true), (150, false), (200, true)], 3_000), [(100, true)]);
    }

    #[test]
    fn it_does_not_chatter() {
        let alarms: Vec<(u64, bool)> = (0..1_000).map(|i| (i * 20, i % 2 == 0)).collect();
        let done = switched(&alarms, 20_000);
        let on: Vec<u64> = done.iter().filter(|(_, on)| *on).map(|(at, _)| *at).collect();
        assert!(on.len() > 10 && on.windows(2).all(|w| w[1] - w[0] >= 1_000), "{on:?}");
    }
}
