//! One boot's clock against UTC.
//!
//! Words: a *fix* says what UTC was at an instant of the boot's clock; its
//! *offset* is their difference. Fixes agree when their offsets differ by no
//! more than their uncertainties, a drift of 200 ppm and two seconds. Of all
//! fixes of the most trusted source the largest group that agrees is used;
//! between its fixes time is interpolated, outside it runs on unscaled.

use underbrush_protocol::note::{ClockFix, ClockSource};
use underbrush_protocol::time::{BootMs, UtcMs};

/// No log is older than the format itself: 2025-01-01T00:00:00Z.
const EARLIEST: i64 = 1_735_689_600_000;
/// Nor from after 2100-01-01T00:00:00Z.
const LATEST: i64 = 4_102_444_800_000;
const SLACK_MS: i64 = 2_000;
const DRIFT_PPM: i64 = 200;

/// Maps a boot's clock to UTC.
#[derive(Clone, Debug, PartialEq)]
pub struct ClockMap {
    /// Rising in both fields, never empty.
    fixes: Vec<(BootMs, UtcMs)>,
    uncertainty_ms: u32,
}

/// What the fixes of a boot gave.
#[derive(Clone, Debug, PartialEq)]
pub struct ClockVerdict {
    /// The map; `None` where no believable fix exists.
    pub map: Option<ClockMap>,
    /// Fixes left out because they contradict the others, with how far off the worst is, in ms.
    pub contradicting: Option<(usize, i64)>,
    /// Fixes before 2025 or after 2100.
    pub impossible: usize,
}

impl ClockMap {
    /// Makes the map from all fixes of a boot.
    pub fn from_fixes(fixes: &[(BootMs, ClockFix)]) -> ClockVerdict {
        let offset = |(at, fix): &(BootMs, ClockFix)| fix.utc.0.saturating_sub(at.0 as i64);
        let (believable, impossible) =
            fixes.iter().partition::<Vec<&(BootMs, ClockFix)>, _>(|(_, fix)| {
                (EARLIEST..LATEST).contains(&fix.utc.0)
            });
        let best: Option<ClockSource> = believable.iter().map(|(_, fix)| fix.source).max();
        let trusted: Vec<&(BootMs, ClockFix)> =
            believable.iter().filter(|(_, fix)| Some(fix.source) == best).copied().collect();
        let group = largest_group(&trusted);
        let Some(first) = group.first() else {
            return ClockVerdict { map: None, contradicting: None, impossible: impossible.len() };
        };
        let off: Vec<i64> = believable
            .iter()
            .filter(|fix| !group.iter().any(|g| agree(g, fix)))
            .map(|fix| offset(fix) - offset(first))
            .collect();
        let worst = off.iter().copied().max_by_key(|ms| ms.abs());
        let mut points: Vec<(BootMs, UtcMs)> = Vec::new();
        for (at, fix) in &group {
            if points.last().is_none_or(|(t, utc)| *at > *t && fix.utc > *utc) {
                points.push((*at, fix.utc));
            }
        }
        let uncertainty_ms = group.iter().map(|(_, f)| f.uncertainty_ms).min().unwrap_or(0);
        ClockVerdict {
            map: Some(Self { fixes: points, uncertainty_ms }),
            contradicting: worst.map(|worst| (off.len(), worst)),
            impossible: impossible.len(),
        }
    }

    /// UTC of an instant of the boot.
    pub fn utc(&self, at: BootMs) -> UtcMs {
        let place = self.fixes.partition_point(|(t, _)| *t <= at);
        let near = |(t, utc): (BootMs, UtcMs)| UtcMs(utc.0 + at.0 as i64 - t.0 as i64);
        match (place.checked_sub(1).map(|i| self.fixes[i]), self.fixes.get(place).copied()) {
            (Some((t0, u0)), Some((t1, u1))) => {
                let share = at.since(t0) as f64 / t1.since(t0) as f64;
                UtcMs(u0.0 + ((u1.0 - u0.0) as f64 * share).round() as i64)
            }
            (Some(fix), None) | (None, Some(fix)) => near(fix),
            (None, None) => UtcMs(at.0 as i64),
        }
    }

    /// Half width of the interval that holds the true time, in ms.
    pub fn uncertainty_ms(&self) -> u32 {
        self.uncertainty_ms
    }
}

fn agree(a: &(BootMs, ClockFix), b: &(BootMs, ClockFix)) -> bool {
    let apart = (a.0.0 as i64).abs_diff(b.0.0 as i64) as i64;
    let offset = |f: &(BootMs, ClockFix)| f.1.utc.0 - f.0.0 as i64;
    let uncertain = i64::from(a.1.uncertainty_ms) + i64::from(b.1.uncertainty_ms);
    let allowed = uncertain + SLACK_MS + apart / 1_000_000 * DRIFT_PPM + DRIFT_PPM;
    (offset(a) - offset(b)).abs() <= allowed
}

/// The largest set of fixes that agree with one of them; the later one of equals.
fn largest_group(fixes: &[&(BootMs, ClockFix)]) -> Vec<(BootMs, ClockFix)> {
    // One fix in ten minutes gives few; a flood of them is thinned to bound the work.
    let step = fixes.len() / 512 + 1;
    let thinned: Vec<_> = fixes.iter().step_by(step).copied().collect();
    let members = |seed: &(BootMs, ClockFix)| thinned.iter().filter(|f| agree(seed, f)).count();
    let seed = thinned.iter().max_by_key(|fix| members(fix)).copied();
    let mut group: Vec<_> = seed
        .map(|seed| thinned.iter().filter(|f| agree(seed, f)).map(|f| **f).collect())
        .unwrap_or_default();
    group.sort_by_key(|(at, fix)| (*at, fix.utc));
    group
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
