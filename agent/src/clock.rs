//! The two clocks of the board: monotonic for the log, system for fixes.

use std::path::Path;
use std::time::{Instant, SystemTime, UNIX_EPOCH};
use underbrush_protocol::note::{ClockFix, ClockSource};
use underbrush_protocol::time::{BootMs, UtcMs};

/// A fix is taken at start and then this often.
const FIX_EVERY_MS: u64 = 600_000;
/// A difference from the last fix that no drift explains: 600 s at 200 ppm are 0.12 s.
const JUMP_MS: i64 = 1_000;
/// systemd-timesyncd makes this file once it has set the clock (its manual page,
/// systemd-timesyncd.service(8), section "Files").
const SYNCHRONIZED: &str = "/run/systemd/timesync/synchronized";
/// 2025-01-01T00:00:00Z: a board without a battery-backed clock starts earlier.
const EARLIEST_MS: i64 = 1_735_689_600_000;
const NETWORK_UNCERTAINTY_MS: u32 = 100;
const SYSTEM_UNCERTAINTY_MS: u32 = 60_000;

/// The log's clock: milliseconds since the agent started.
#[derive(Clone, Copy, Debug)]
pub struct BootClock(Instant);

impl BootClock {
    /// A clock that reads 0.
    pub fn start() -> Self {
        Self(Instant::now())
    }

    /// The time on it.
    pub fn now(self) -> BootMs {
        BootMs(u64::try_from(self.0.elapsed().as_millis()).unwrap_or(u64::MAX))
    }
}

/// What the system clock says, if it can be believed at all.
pub fn system_fix() -> Option<ClockFix> {
    fix_of(SystemTime::now(), Path::new(SYNCHRONIZED).exists())
}

/// Decides when a fix belongs into the log: at first, from time to time, when the clock
/// leaps, and when it becomes better known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ClockWatch {
    told: Option<(BootMs, ClockFix)>,
}

/// What a look at the clock came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Look {
    /// Nothing to tell.
    AsTold,
    /// A fix for the log.
    Fix(ClockFix),
    /// A fix for the log: the clock leapt by so many ms.
    Jump(ClockFix, i64),
    /// It was set, and is not any more.
    Lost,
}

impl ClockWatch {
    /// Looks at what the system clock says at `now`.
    pub fn look(&mut self, now: BootMs, says: Option<ClockFix>) -> Look {
        let Some(fix) = says else {
            return if self.told.take().is_some() { Look::Lost } else { Look::AsTold };
        };
        let Some((at, told)) = self.told else {
            self.told = Some((now, fix));
            return Look::Fix(fix);
        };
        let since = i64::try_from(now.since(at)).unwrap_or(i64::MAX);
        let leap = fix.utc.0.saturating_sub(told.utc.0.saturating_add(since));
        let better = fix.source > told.source || fix.uncertainty_ms < told.uncertainty_ms;
        if leap.abs() > JUMP_MS {
            self.told = Some((now, fix));
            Look::Jump(fix, leap)
        } else if better || now.since(at) >= FIX_EVERY_MS {
            self.told = Some((now, fix));
            Look::Fix(fix)
        } else {
            Look::AsTold
        }
    }
}

fn fix_of(now: SystemTime, synchronized: bool) -> Option<ClockFix> {
    let since_epoch = now.duration_since(UNIX_EPOCH).ok()?;
    let utc = UtcMs(i64::try_from(since_epoch.as_millis()).ok()?);
    let (source, uncertainty_ms) = if synchronized {
        (ClockSource::Network, NETWORK_UNCERTAINTY_MS)
    } else {
        (ClockSource::System, SYSTEM_UNCERTAINTY_MS)
    };
    (utc.0 >= EARLIEST_MS).then_some(ClockFix { utc, source, uncertainty_ms })
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::time::Duration;

    #[test]
    fn a_clock_that_was_never_set_gives_no_fix() {
        let at = |s| UNIX_EPOCH + Duration::from_secs(s);
        // Source: `date -u -d 2025-01-01T00:00:00Z +%s` (GNU coreutils) prints 1735689600.
        assert_eq!(fix_of(at(1_735_689_599), true), None);
        let set = fix_of(at(1_735_689_600), true).unwrap();
        assert_eq!((set.source, set.uncertainty_ms), (ClockSource::Network, 100));
        let unsure = fix_of(at(1_735_689_600), false).unwrap();
        assert_eq!((unsure.source, unsure.uncertainty_ms), (ClockSource::System, 60_000));
        assert_eq!(fix_of(UNIX_EPOCH - Duration::from_secs(1), true), None);
    }

    #[test]
    fn a_fix_is_told_at_first_after_leaps_and_when_better() {
        let says = |ms: i64, source, uncertainty_ms| {
            Some(ClockFix { utc: UtcMs(1_795_586_400_000 + ms), source, uncertainty_ms })
        };
        let system = |ms| says(ms, ClockSource::System, 60_000);
        let mut watch = ClockWatch::default();
        let mut look = |at, fix| watch.look(BootMs(at), fix);
        assert_eq!(look(0, None), Look::AsTold);
        assert_eq!(look(1_000, system(0)), Look::Fix(system(0).unwrap()));
        assert_eq!(look(2_000, system(1_000)), Look::AsTold);
        // 20 ppm fast.
        assert_eq!(look(600_000, system(599_012)), Look::AsTold);
        assert_eq!(look(601_000, system(600_012)), Look::Fix(system(600_012).unwrap()));
        let year = 31_536_000_000;
        for leap in [year, -year, 5_000, -5_000] {
            let fix = system(600_012 + leap);
            assert_eq!(look(601_000, fix), Look::Jump(fix.unwrap(), leap));
            let back = system(600_012);
            assert_eq!(look(601_000, back), Look::Jump(back.unwrap(), -leap));
        }
        let network = says(601_012, ClockSource::Network, 100);
        assert_eq!(look(602_000, network), Look::Fix(network.unwrap()));
        assert_eq!(look(603_000, None), Look::Lost);
        assert_eq!(look(604_000, None), Look::AsTold);
    }
}
