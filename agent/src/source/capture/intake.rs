//! Frames of a recording to log entries. Pure.

use super::counts::{CaptureCounts, CaptureFormat};
use super::reader::{CaptureReader, Event, Taken};
use crate::decode::CanIntake;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::time::{BootMs, UtcMs};

/// Stamps before 2001-09-09 count from the capture's start, not from 1970.
const EARLIEST_UTC_MS: i64 = 1_000_000_000_000;
/// Stamps of a capture come from its computer's clock.
const STAMP_UNCERTAINTY_MS: u32 = 2_000;
/// A person who gives the start of a capture knows it to about a minute.
const START_UNCERTAINTY_MS: u32 = 60_000;
/// A stamp that falls back by more is a clock that was set.
const CLOCK_SET_MS: i64 = 1_000;

/// Bytes of a recording to log entries.
#[derive(Debug)]
pub struct CaptureIntake {
    reader: CaptureReader,
    to_log: ToLog,
}

/// The way from a frame to the log.
#[derive(Debug)]
struct ToLog {
    can: CanIntake,
    /// Time of the first frame, as a person says it.
    start: Option<UtcMs>,
    clock: Option<StampClock>,
    /// Whether a clock fix was given.
    dated: bool,
}

/// Stamps to log times.
#[derive(Debug)]
struct StampClock {
    /// Stamp and log time that belong together, in ms.
    stamp_ms: i64,
    at: BootMs,
    last_ms: i64,
}

impl CaptureIntake {
    /// An intake at the first byte of a file, of `format` if the content does not say
    /// which. `start` is the time of its first frame, if it is known better than the
    /// file knows it.
    pub fn new(can: CanIntake, format: Option<CaptureFormat>, start: Option<UtcMs>) -> Self {
        let to_log = ToLog { can, start, clock: None, dated: false };
        Self { reader: CaptureReader::new(format), to_log }
    }

    /// Takes the next bytes of the file.
    pub fn bytes(&mut self, bytes: &[u8], out: &mut Vec<Entry>) {
        let Self { reader, to_log } = self;
        reader.push(bytes, &mut |event| to_log.event(event, out));
    }

    /// The file has ended; its last frame may lack its end.
    pub fn source_ended(&mut self, out: &mut Vec<Entry>) {
        let Self { reader, to_log } = self;
        reader.end(&mut |event| to_log.event(event, out));
        to_log.can.finish(out);
    }

    /// What the head of the file says of its beginning, if nothing else dates its frames.
    pub fn undated(&self) -> Option<String> {
        let dated = self.to_log.dated;
        self.counts().local_start.filter(|_| !dated)
    }

    /// Counts and the newest time.
    pub fn can(&self) -> &CanIntake {
        &self.to_log.can
    }

    /// What the file held.
    pub fn counts(&self) -> CaptureCounts {
        self.reader.counts()
    }
}

impl ToLog {
    fn event(&mut self, event: Event<'_>, out: &mut Vec<Entry>) {
        match event {
            Event::Frame(taken) => self.frame(&taken, out),
            Event::Damaged => self.can.malformed(),
        }
    }

    fn frame(&mut self, taken: &Taken<'_>, out: &mut Vec<Entry>) {
        let at = if let Some(stamp_ns) = taken.stamp_ns {
            self.place(stamp_ns.div_euclid(1_000_000), out)
        } else {
            self.can.untimed();
            self.can.last()
        };
        self.can.frame(at, &taken.frame, out);
    }

    /// Log time of a stamp; the first one, and one after the clock was set, give a clock fix.
    fn place(&mut self, stamp_ms: i64, out: &mut Vec<Entry>) -> BootMs {
        if let Some(clock) = &mut self.clock {
            let back_ms = clock.last_ms - stamp_ms;
            if back_ms <= CLOCK_SET_MS {
                if back_ms > 0 {
                    self.can.backward_time();
                } else {
                    clock.last_ms = stamp_ms;
                }
                // Small steps back are held at the time before.
                let step = clock.last_ms - clock.stamp_ms;
                return clock.at.plus(u64::try_from(step).unwrap_or(0));
            }
            self.can.backward_time();
        }
        let first = self.clock.is_none();
        let at = self.can.last();
        self.clock = Some(StampClock { stamp_ms, at, last_ms: stamp_ms });
        let fix = match self.start {
            Some(utc) if first => Some((utc, ClockSource::Operator, START_UNCERTAINTY_MS)),
            // What the clock says after it was set does not fit to what a person said.
            Some(_) => None,
            None => (stamp_ms >= EARLIEST_UTC_MS).then_some((
                UtcMs(stamp_ms),
                ClockSource::Capture,
                STAMP_UNCERTAINTY_MS,
            )),
        };
        if let Some((utc, source, uncertainty_ms)) = fix {
            self.dated = true;
            self.can.note(at, Note::ClockFix(ClockFix { utc, source, uncertainty_ms }), out);
        }
        at
    }
}
