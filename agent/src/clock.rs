//! The two clocks of the board: monotonic for the log, system for fixes.

use std::path::Path;
use std::time::{Duration, Instant, SystemTime, UNIX_EPOCH};
use underbrush_protocol::note::{ClockFix, ClockSource};
use underbrush_protocol::time::{BootMs, UtcMs};

/// A fix is taken at start and then this often.
pub const FIX_EVERY: Duration = Duration::from_secs(600);
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
}
