//! One boot's clock against UTC.
//!
//! Words: a *fix* says what UTC was at an instant of the boot's clock; its
//! *offset* is their difference. Fixes agree when their offsets differ by no
//! more than their uncertainties, a drift of 200 ppm and two seconds.
//!
//! * rank: who was told the time by the world (network, satellites) comes before what a
//!   person or a battery kept, and that before a clock nobody is known to have set.
//! * group: of all fixes of the best rank the largest number that agrees; of equal ones
//!   that of the more trusted source, then the later. So one receiver whose week number
//!   rolled over does not outweigh the network, nor ten fixes of a clock that was never
//!   set the one fix of the network that came late.
//! * Between fixes of the group time is interpolated, as far as the drift of a crystal
//!   explains them; outside them it runs on unscaled.

use underbrush_protocol::note::{ClockFix, ClockSource};
use underbrush_protocol::time::{BootMs, UtcMs};

/// No log is older than the format itself: 2025-01-01T00:00:00Z.
const EARLIEST: i64 = 1_735_689_600_000;
/// Nor from after 2100-01-01T00:00:00Z.
const LATEST: i64 = 4_102_444_800_000;
const SLACK_MS: i128 = 2_000;
const DRIFT_PPM: i128 = 200;
/// Times of a log that lies are held within this, some 140 million years.
const FARTHEST_MS: i128 = 1 << 62;

/// Maps a boot's clock to UTC.
#[derive(Clone, Debug, PartialEq, Hash)]
pub struct ClockMap {
    /// Rising in both fields, never empty.
    fixes: Vec<(BootMs, UtcMs)>,
    uncertainty_ms: u32,
    rank: u8,
}

/// What the fixes of a boot gave.
#[derive(Clone, Debug, PartialEq)]
pub struct ClockVerdict {
    /// The map; `None` where no believable fix exists.
    pub map: Option<ClockMap>,
    /// Fixes left out because they contradict the others, with how far off the worst is, in ms.
    pub contradicting: Option<(usize, i64)>,
    /// What of them is as trustworthy as the map: offsets that could be right instead, in ms.
    pub rivals: Vec<i64>,
    /// Fixes before 2025 or after 2100.
    pub impossible: usize,
}

type Fix = (BootMs, ClockFix);

impl ClockMap {
    /// Makes the map from all fixes of a boot.
    pub fn from_fixes(fixes: &[Fix]) -> ClockVerdict {
        let (believable, impossible) = fixes
            .iter()
            .partition::<Vec<&Fix>, _>(|(_, fix)| (EARLIEST..LATEST).contains(&fix.utc.0));
        let best = believable.iter().map(|(_, fix)| rank(fix.source)).max().unwrap_or(0);
        let trusted: Vec<&Fix> =
            believable.iter().filter(|(_, fix)| rank(fix.source) == best).copied().collect();
        let (seed, group) = largest_group(&trusted);
        let Some(seed) = seed else {
            let impossible = impossible.len();
            return ClockVerdict { map: None, contradicting: None, rivals: Vec::new(), impossible };
        };
        let off: Vec<&Fix> =
            believable.into_iter().filter(|fix| !group.iter().any(|g| agree(g, fix))).collect();
        let worst =
            off.iter().map(|fix| offset(fix) - offset(&seed)).max_by_key(|ms| ms.unsigned_abs());
        let mut rivals: Vec<i64> = off
            .iter()
            .filter(|(_, fix)| rank(fix.source) == best)
            .map(|fix| held(offset(fix)))
            .collect();
        rivals.sort_unstable();
        rivals.dedup_by_key(|ms| *ms / 60_000);
        let uncertainty_ms = group.iter().map(|(_, f)| f.uncertainty_ms).min().unwrap_or(0);
        let map = Self { fixes: points(&seed, &group), uncertainty_ms, rank: best };
        ClockVerdict {
            map: Some(map),
            contradicting: worst.map(|worst| (off.len(), held(worst))),
            rivals,
            impossible: impossible.len(),
        }
    }

    /// UTC of an instant of the boot.
    pub fn utc(&self, at: BootMs) -> UtcMs {
        let place = self.fixes.partition_point(|(t, _)| *t <= at);
        let near = |(t, utc): (BootMs, UtcMs)| {
            UtcMs(held(i128::from(utc.0) + i128::from(at.0) - i128::from(t.0)))
        };
        match (place.checked_sub(1).map(|i| self.fixes[i]), self.fixes.get(place).copied()) {
            (Some((t0, u0)), Some((t1, u1))) => {
                let share = at.since(t0) as f64 / t1.since(t0) as f64;
                UtcMs(u0.0 + ((u1.0 - u0.0) as f64 * share).round() as i64)
            }
            (Some(fix), None) | (None, Some(fix)) => near(fix),
            (None, None) => near((BootMs(0), UtcMs(0))),
        }
    }

    /// Half width of the interval that holds the true time, in ms.
    pub fn uncertainty_ms(&self) -> u32 {
        self.uncertainty_ms
    }

    /// How far the clock is to be trusted; higher is better.
    pub(super) fn rank(&self) -> u8 {
        self.rank
    }
}

/// The highest [`ClockMap::rank`].
pub(super) const BEST_RANK: u8 = 2;

fn rank(source: ClockSource) -> u8 {
    match source {
        ClockSource::System => 0,
        ClockSource::Operator | ClockSource::RealTimeClock | ClockSource::Capture => 1,
        ClockSource::Network | ClockSource::Satellite => BEST_RANK,
    }
}

/// UTC at the boot's begin by this fix, in ms. In 128 bits: any time may stand in a log.
fn offset((at, fix): &Fix) -> i128 {
    i128::from(fix.utc.0) - i128::from(at.0)
}

fn held(ms: i128) -> i64 {
    ms.clamp(-FARTHEST_MS, FARTHEST_MS) as i64
}

/// Whether a crystal's drift and `uncertain_ms` explain the difference of two fixes.
fn within(a: &Fix, b: &Fix, uncertain_ms: i128) -> bool {
    let apart = i128::from(a.0.0.abs_diff(b.0.0));
    let allowed = uncertain_ms + SLACK_MS + apart / 1_000_000 * DRIFT_PPM + DRIFT_PPM;
    (offset(a) - offset(b)).abs() <= allowed
}

fn agree(a: &Fix, b: &Fix) -> bool {
    within(a, b, i128::from(a.1.uncertainty_ms) + i128::from(b.1.uncertainty_ms))
}

/// What the map goes through: a clock known to a minute only must not stretch the time.
fn points(seed: &Fix, group: &[Fix]) -> Vec<(BootMs, UtcMs)> {
    let mut points: Vec<(BootMs, UtcMs)> = Vec::new();
    for (at, fix) in group.iter().filter(|fix| within(seed, fix, 0)) {
        if points.last().is_none_or(|(t, utc)| *at > *t && fix.utc > *utc) {
            points.push((*at, fix.utc));
        }
    }
    points
}

/// The fix that most others agree with, and these.
fn largest_group(fixes: &[&Fix]) -> (Option<Fix>, Vec<Fix>) {
    // One fix in ten minutes gives few; a flood of them is thinned to bound the work.
    let step = fixes.len() / 512 + 1;
    let thinned: Vec<&Fix> = fixes.iter().step_by(step).copied().collect();
    let members = |seed: &Fix| thinned.iter().filter(|f| agree(seed, f)).count();
    let seed = thinned.iter().max_by_key(|seed| (members(seed), seed.1.source, seed.0)).copied();
    let mut group: Vec<Fix> = seed
        .map(|seed| thinned.iter().filter(|f| agree(seed, f)).map(|f| **f).collect())
        .unwrap_or_default();
    group.sort_by_key(|(at, fix)| (*at, fix.utc));
    (seed.copied(), group)
}

#[cfg(test)]
mod tests {
    use super::*;

    const T0: i64 = 1_790_000_000_000;

    fn fix(at: u64, utc: i64, source: ClockSource) -> (BootMs, ClockFix) {
        (BootMs(at), ClockFix { utc: UtcMs(utc), source, uncertainty_ms: 100 })
    }

    #[test]
    fn a_late_fix_dates_what_came_before_it() {
        let verdict = ClockMap::from_fixes(&[fix(600_000, T0, ClockSource::Network)]);
        let map = verdict.map.unwrap();
        assert_eq!(map.utc(BootMs(0)), UtcMs(T0 - 600_000));
        assert_eq!(map.utc(BootMs(700_000)), UtcMs(T0 + 100_000));
    }

    #[test]
    fn a_step_is_reported_and_the_majority_used() {
        let fixes: Vec<_> = (0..6)
            .map(|i| {
                let jump = if i == 3 { 86_400_000 } else { 0 };
                fix(i * 600_000, T0 + (i * 600_000) as i64 + jump, ClockSource::Network)
            })
            .collect();
        let verdict = ClockMap::from_fixes(&fixes);
        assert_eq!(verdict.contradicting, Some((1, 86_400_000)));
        assert_eq!(verdict.map.unwrap().utc(BootMs(1_800_000)), UtcMs(T0 + 1_800_000));
    }

    #[test]
    fn drift_is_interpolated() {
        let hour = 3_600_000;
        let slow = fix(hour, T0 + 3_600_360, ClockSource::Network);
        let map = ClockMap::from_fixes(&[fix(0, T0, ClockSource::Network), slow]).map.unwrap();
        assert_eq!(map.utc(BootMs(hour / 2)), UtcMs(T0 + 1_800_180));
    }

    #[test]
    fn a_better_source_wins_and_a_rollover_date_is_refused() {
        // 1024 weeks: the span after which a ten-bit week number repeats.
        let rolled = T0 - 1024 * 7 * 86_400_000;
        let fixes = [
            fix(0, rolled, ClockSource::Satellite),
            fix(10, T0 + 50_000_000, ClockSource::System),
            fix(20, T0 + 20, ClockSource::Network),
        ];
        let verdict = ClockMap::from_fixes(&fixes);
        assert_eq!(verdict.impossible, 1);
        assert_eq!(verdict.contradicting, Some((1, 49_999_990)));
        assert_eq!(verdict.map.unwrap().utc(BootMs(0)), UtcMs(T0));
        assert_eq!(ClockMap::from_fixes(&[]).map, None);
    }
}
