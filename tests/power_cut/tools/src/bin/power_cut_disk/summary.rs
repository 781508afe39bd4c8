//! What a recording holds, for the sum of what a flash memory lives through.

use crate::Outcome;
use crate::recording::{Acknowledged, Event, Kind, read};
use std::path::Path;

/// Prints `name=number` pairs. The rates count from each start's first sync to its end,
/// so that mounting does not count as recording.
pub(crate) fn print(recording: &Path) -> Outcome<()> {
    let events = read(recording)?;
    let count = |kind: Kind| events.iter().filter(|e| e.kind == kind).count();
    let mut steady = Steady::default();
    for start in events.split(|event| event.kind == Kind::Killed) {
        steady.add(start);
    }
    let seconds = steady.us as f64 / 1e6;
    println!(
        "events={} writes={} safe_writes={} flushes={} boots={} syncs={} seconds={seconds:.1} \
         bytes_a_sync={:.0} bytes_a_second={:.0} flushes_a_second={:.1}",
        events.len(),
        count(Kind::Write),
        count(Kind::SafeWrite),
        count(Kind::Flush),
        count(Kind::Killed),
        steady.syncs,
        steady.bytes as f64 / steady.syncs.max(1) as f64,
        steady.bytes as f64 / seconds,
        steady.flushes as f64 / seconds,
    );
    Ok(())
}

/// Sums over the time in which the agent records.
#[derive(Default)]
struct Steady {
    us: u64,
    bytes: usize,
    flushes: usize,
    syncs: usize,
}

impl Steady {
    fn add(&mut self, start: &[Event]) {
        let mut seen = Acknowledged::default();
        let mut is_sync = |e: &Event| e.kind == Kind::Console && seen.line(&e.bytes);
        let Some(first) = start.iter().position(&mut is_sync) else { return };
        let (Some(begin), Some(end)) = (start.get(first), start.last()) else { return };
        self.us += end.at_us - begin.at_us;
        for event in start.iter().skip(first + 1) {
            self.syncs += usize::from(is_sync(event));
            match event.kind {
                Kind::Write | Kind::SafeWrite => self.bytes += event.bytes.len(),
                Kind::Flush => self.flushes += 1,
                Kind::Console | Kind::Killed => {}
            }
        }
    }
}
