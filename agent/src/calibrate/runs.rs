//! Runs between standstills, and how far the speed signal says that each went. Pure.
//!
//! Words: the machine *stands* below the speed from which it moves again
//! (`limits.moving_speed`); a *run* begins when it moves and ends when it has stood for
//! [`STILL_MS`]. A speed is the mean since the reading before it, so that way = speed x time
//! since then. A little standing before and after is taken in: the slow begin and end of a run
//! count, the noise of a long stay does not.

use std::collections::VecDeque;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::time::BootMs;

/// Standing for so long ends a run, in ms.
pub(super) const STILL_MS: u64 = 1_500;
/// So much standing before a run is taken in, in ms.
const BEFORE_MS: u64 = 1_000;
/// A machine that drove back on its way by more than this share did not drive the distance.
const MOST_BACK: f64 = 0.02;
/// A way that is not within this factor of the distance is another one.
const OTHER_WAY: f64 = 1.5;

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum RunEnd {
    /// So far by the signal, in m.
    Driven(f64),
    /// It went forth and back.
    Back,
    /// It is too far from the distance, in m.
    OtherWay(f64),
    /// Readings are missing in it for so long, in ms.
    Hole(u64),
    /// The data ended before it did.
    Unfinished,
}

/// Finds the runs in the readings of the speed.
#[derive(Clone, Debug)]
pub(super) struct Runs {
    distance_m: f64,
    moving_m_s: f64,
    longest_gap_ms: u64,
    last: Option<BootMs>,
    /// Time and way of each reading before a run.
    before: VecDeque<(BootMs, f64)>,
    run: Option<Run>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Run {
    /// Forward less backward, in m.
    net_m: f64,
    /// Both, in m.
    gross_m: f64,
    still_since: Option<BootMs>,
    hole_ms: u64,
}

impl Run {
    fn goes(&mut self, way_m: f64) {
        self.net_m += way_m;
        self.gross_m += way_m.abs();
    }
}

impl Runs {
    /// Runs of `distance_m`; from `moving_m_s` by the signal on it moves.
    pub(super) fn new(distance_m: f64, moving_m_s: f64, longest_gap_ms: u64) -> Self {
        let before = VecDeque::new();
        Self { distance_m, moving_m_s, longest_gap_ms, last: None, before, run: None }
    }

    /// Takes the next reading; the run that it ends.
    pub(super) fn take(&mut self, reading: Reading) -> Option<RunEnd> {
        if reading.channel != Channel::SPEED {
            return None;
        }
        let speed_m_s = f64::from(reading.raw) * Channel::SPEED.resolution();
        let at = reading.at;
        let from = self.last.replace(at)?;
        let ms = at.since(from);
        let seen = ms <= self.longest_gap_ms;
        let way_m = if seen { speed_m_s * ms as f64 / 1e3 } else { 0.0 };
        let moves = speed_m_s.abs() >= self.moving_m_s;
        let Some(run) = &mut self.run else {
            if !seen {
                self.before.clear();
            }
            self.before.push_back((at, way_m));
            while self.before.front().is_some_and(|(then, _)| at.since(*then) > BEFORE_MS) {
                self.before.pop_front();
            }
            if moves {
                let mut run = Run::default();
                self.before.drain(..).for_each(|(_, way_m)| run.goes(way_m));
                // A run that begins behind a hole may have begun in it.
                run.hole_ms = if seen { 0 } else { ms };
                self.run = Some(run);
            }
            return None;
        };
        run.goes(way_m);
        if !seen {
            run.hole_ms = run.hole_ms.max(ms);
        }
        if moves {
            run.still_since = None;
            return None;
        }
        let since = *run.still_since.get_or_insert(from);
        if at.since(since) < STILL_MS {
            return None;
        }
        self.run.take().map(|run| self.judge(run))
    }

    /// Ends the data; the run that they cut.
    pub(super) fn finish(&mut self) -> Option<RunEnd> {
        self.run.take().map(|_| RunEnd::Unfinished)
    }

    fn judge(&self, run: Run) -> RunEnd {
        let signal_m = run.net_m.abs();
        if run.hole_ms > 0 {
            RunEnd::Hole(run.hole_ms)
        } else if signal_m < (1.0 - 2.0 * MOST_BACK) * run.gross_m {
            RunEnd::Back
        } else if !(self.distance_m / OTHER_WAY..=self.distance_m * OTHER_WAY).contains(&signal_m) {
            RunEnd::OtherWay(signal_m)
        } else {
            RunEnd::Driven(signal_m)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ten readings a second of these speeds in mm/s, each for so many readings.
    fn ends(pieces: &[(i32, usize)]) -> Vec<RunEnd> {
        let mut runs = Runs::new(10.0, 0.06, 1_000);
        let raws = pieces.iter().flat_map(|(raw, count)| std::iter::repeat_n(*raw, *count));
        let mut ends: Vec<RunEnd> = raws
            .enumerate()
            .filter_map(|(i, raw)| {
                let at = BootMs(500 + 100 * i as u64);
                runs.take(Reading { at, channel: Channel::SPEED, raw })
            })
            .collect();
        ends.extend(runs.finish());
        ends
    }

    fn driven(end: &RunEnd) -> f64 {
        let RunEnd::Driven(m) = end else { panic!("{end:?}") };
        *m
    }

    #[test]
    fn the_whole_run_counts_with_its_slow_begin_and_end() {
        // 20 x 0.05 m + 0.03 x 2 x 0.1 below the limit: 10.006 m, and back again.
        let there = [(0, 30), (30, 1), (500, 200), (30, 1), (0, 30)];
        let back = [(-30, 1), (-500, 200), (-30, 1), (0, 30)];
        let ends = ends(&[&there[..], &back].concat());
        assert_eq!(ends.len(), 2);
        assert!(ends.iter().all(|end| (driven(end) - 10.006).abs() < 1e-9), "{ends:?}");
    }

    #[test]
    fn noise_of_a_long_stay_does_not_count() {
        // A signal that says 1 mm/s at rest for 10 minutes: 0.6 m.
        let ends = ends(&[(1, 6_000), (500, 200), (1, 6_000)]);
        assert!((driven(&ends[0]) - 10.0).abs() < 0.003, "{ends:?}");
    }

    #[test]
    fn a_short_stop_is_no_end() {
        let ends = ends(&[(0, 20), (500, 100), (0, 10), (500, 100), (0, 30)]);
        assert_eq!(ends.len(), 1);
        assert!((driven(&ends[0]) - 10.0).abs() < 1e-9);
    }

    #[test]
    fn runs_that_say_nothing_are_told() {
        let back = ends(&[(0, 20), (500, 220), (0, 5), (-500, 20), (0, 30)]);
        assert_eq!(back, [RunEnd::Back]);
        let short = ends(&[(0, 20), (500, 20), (0, 30)]);
        assert!(matches!(short[..], [RunEnd::OtherWay(m)] if (m - 1.0).abs() < 1e-9), "{short:?}");
        let far = ends(&[(0, 20), (500, 400), (0, 30)]);
        assert!(matches!(far[..], [RunEnd::OtherWay(m)] if (m - 20.0).abs() < 1e-9), "{far:?}");
        assert_eq!(ends(&[(0, 20), (500, 200)]), [RunEnd::Unfinished]);
        assert_eq!(ends(&[]), []);
    }

    #[test]
    fn a_hole_in_the_data_spoils_the_run() {
        let mut runs = Runs::new(10.0, 0.06, 1_000);
        let mut ends = Vec::new();
        let mut at = 0;
        for i in 0..300 {
            at += if i == 100 { 1_500 } else { 100 };
            let raw = if (20..220).contains(&i) { 500 } else { 0 };
            ends.extend(runs.take(Reading { at: BootMs(at), channel: Channel::SPEED, raw }));
        }
        assert_eq!(ends, [RunEnd::Hole(1_500)]);
        // It moves when it is heard again: where the run began, nobody saw.
        let mut runs = Runs::new(10.0, 0.06, 1_000);
        let speeds = (0..20).map(|i| (i * 100, 0)).chain((40..240).map(|i| (i * 100, 500)));
        let speeds = speeds.chain((240..280).map(|i| (i * 100, 0)));
        let ends: Vec<RunEnd> = speeds
            .filter_map(|(at, raw)| {
                runs.take(Reading { at: BootMs(at), channel: Channel::SPEED, raw })
            })
            .collect();
        assert_eq!(ends, [RunEnd::Hole(2_100)]);
    }
}
