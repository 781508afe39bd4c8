//! How long a brush coasts in the air after its power went.

use underbrush_protocol::detect::Interval;

/// A brush that turned slower than this when its power went tells nothing, in r/min.
const LEAST_RPM: f64 = 60.0;
/// More coastings in a night than this add nothing.
const MOST: usize = 200;

/// The head must be up for this share of the time: its switch is told a little after it moves.
const LEAST_UP: f64 = 0.7;

/// Follows one brush.
#[derive(Clone, Debug, Default)]
pub(super) struct Coasting {
    last: Option<Before>,
    open: Option<Open>,
    /// Time to half over the full rotation, in s per r/min.
    times: Vec<f64>,
}

/// The interval before.
#[derive(Clone, Copy, Debug)]
struct Before {
    rpm: f64,
    /// Its middle in ms of the boot.
    middle: f64,
    on: bool,
}

/// A coasting that goes on.
#[derive(Clone, Copy, Debug)]
struct Open {
    /// When the power went, in ms of the boot.
    since: f64,
    /// Rotation then.
    full_rpm: f64,
    /// Time with the head up, in ms.
    up_ms: f64,
}

impl Coasting {
    /// Takes the next interval.
    pub(super) fn step(&mut self, interval: &Interval, rpm: Option<f64>, head_up: bool) {
        let (Some(rpm), Some(on)) = (rpm, interval.command_on) else { return self.broken() };
        let (from, to) = (interval.from.0 as f64, interval.to.0 as f64);
        let now = Before { rpm, middle: 0.5 * (from + to), on };
        let before = self.last.replace(now);
        if on {
            self.open = None;
            return;
        }
        let Some(before) = before else { return };
        if before.on {
            // The switch lies at the border, to within one period of the readings.
            let open = Open { since: from, full_rpm: before.rpm, up_ms: 0.0 };
            self.open = (before.rpm >= LEAST_RPM).then_some(open);
        }
        let Some(open) = &mut self.open else { return };
        if head_up {
            open.up_ms += to - from;
        }
        let half = 0.5 * open.full_rpm;
        if rpm > half {
            return;
        }
        let share = if before.rpm > rpm { (before.rpm - half) / (before.rpm - rpm) } else { 1.0 };
        let time = before.middle + share * (now.middle - before.middle) - open.since;
        let in_the_air = open.up_ms >= LEAST_UP * (to - open.since);
        if in_the_air && time > 0.0 && self.times.len() < MOST {
            self.times.push(time / 1000.0 / open.full_rpm);
        }
        self.open = None;
    }

    /// Something was not seen: what goes on is not measured.
    pub(super) fn broken(&mut self) {
        (self.last, self.open) = (None, None);
    }

    /// Times to half of the rotation, each over that rotation, in s per r/min.
    pub(super) fn times_per_rpm(&self) -> &[f64] {
        &self.times
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::time::BootMs;

    fn run(rpms: &[(f64, bool)], head_up: bool) -> Vec<f64> {
        let mut coasting = Coasting::default();
        for (i, (rpm, on)) in rpms.iter().enumerate() {
            let from = 100 * i as u64;
            let interval = Interval {
                from: BootMs(from),
                to: BootMs(from + 100),
                command_on: Some(*on),
                ..Interval::default()
            };
            coasting.step(&interval, Some(*rpm), head_up);
        }
        coasting.times_per_rpm().iter().map(|t| t * 200.0).collect()
    }

    /// By hand: 200 r/min falls by 40 r/min in each 0.1 s from 0.2 s on, so that the means of
    /// the intervals are 180, 140, 100 in the middles 0.25, 0.35, 0.45 s: half at 0.45 s.
    #[test]
    fn time_to_half_by_hand() {
        let fall = [(200.0, true), (200.0, true), (180.0, false), (140.0, false), (100.0, false)];
        let times = run(&fall, true);
        assert_eq!(times.len(), 1);
        assert!((times[0] - 0.25).abs() < 1e-9, "{times:?}");
        assert!(run(&fall, false).is_empty());
        assert!(run(&fall[2..], true).is_empty(), "the switch was not seen");
    }

    #[test]
    fn switched_on_again_is_no_coasting() {
        let again = [(200.0, true), (180.0, false), (190.0, true), (80.0, true)];
        assert!(run(&again, true).is_empty());
    }
}
