//! From settings to a sealed log: the whole flow as a handful of calls.

use crate::config::{CanAdapter, Config, Journal, Source};
use crate::decode::dbc::Database;
use crate::decode::{CanIntake, SignalReader};
use crate::error::AgentError;
use crate::intake::{Intake, TimeBase};
use crate::outcome::{Outcome, Progress};
use crate::record::{DirStorage, Durability, Recorder, Sealer};
use crate::ring::{HighRate, HighRateSettings};
use crate::source::adapter::AdapterIntake;
use crate::source::capture::{self, CaptureIntake};
use crate::source::{Live, LiveEnd, can_adapter, replay_file, serial};
use crate::watch::{Alarm, Watch};
use std::path::Path;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{ClockFix, ClockSource, Note};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::{BootMs, UtcMs};

/// A person who gives the start of a capture knows it to about a minute.
const OPERATOR_UNCERTAINTY_MS: u32 = 60_000;
/// Bytes of a capture taken in at once.
const PIECE: usize = 2_048;
/// Bytes made in memory come with the time of their clock.
const GIVEN_UNCERTAINTY_MS: u32 = 100;

/// Records what `config` says: a capture to its end, a live source until SIGTERM or SIGINT.
pub fn run_blocking(
    config: &Config,
    progress: impl FnMut(Progress),
) -> Result<Outcome, AgentError> {
    match &config.source {
        Source::Serial { .. } | Source::SocketCan { .. } | Source::CanAdapter { .. } => {
            run_live(config, || begin_live(config))
        }
        Source::Capture { file, start } => run_capture(config, file, *start, progress),
        Source::CanCapture { file, format, start, dbc } => {
            // What is wrong with a file is told before the log directory is touched.
            capture::check(file, *format)?;
            let can = CanIntake::new(signal_reader(config, dbc.as_deref())?);
            run_can_capture(config, file, CaptureIntake::new(can, *format, *start), progress)
        }
    }
}

/// Records bridge bytes from memory, each piece with the time it arrived at.
///
/// `start_utc` is the time at `BootMs(0)`. Nothing is judged, so that of readings at full
/// rate none is stored: see [`record_judged`].
pub fn record_chunks(
    log_dir: &Path,
    machine_id: &str,
    start_utc: UtcMs,
    chunks: impl Iterator<Item = (BootMs, Vec<u8>)>,
) -> Result<Outcome, AgentError> {
    let replay = Replay::begin(log_dir, machine_id, Journal::default())?;
    record_into(replay, start_utc, chunks)
}

/// The same for a machine whose limits are known: around its events readings at full rate
/// are stored.
pub fn record_judged(
    log_dir: &Path,
    machine: &Machine,
    high_rate: HighRateSettings,
    start_utc: UtcMs,
    chunks: impl Iterator<Item = (BootMs, Vec<u8>)>,
) -> Result<Outcome, AgentError> {
    let replay = Replay::begin(log_dir, &machine.id, Journal::default())?;
    record_into(replay.judging(machine, high_rate), start_utc, chunks)
}

fn record_into(
    mut replay: Replay,
    start_utc: UtcMs,
    chunks: impl Iterator<Item = (BootMs, Vec<u8>)>,
) -> Result<Outcome, AgentError> {
    let fix = ClockFix {
        utc: start_utc,
        source: ClockSource::Operator,
        uncertainty_ms: GIVEN_UNCERTAINTY_MS,
    };
    replay.out.push(Entry::Note(BootMs(0), Note::ClockFix(fix)));
    let mut intake = Intake::new(TimeBase::Arrival);
    let mut source_bytes = 0;
    for (now, bytes) in chunks {
        source_bytes += bytes.len() as u64;
        intake.bytes(now, &bytes, &mut replay.out);
        replay.store()?;
    }
    intake.source_ended(&mut replay.out);
    replay.end(intake.last(), bridge_outcome(&intake, source_bytes))
}

fn bridge_outcome(intake: &Intake, source_bytes: u64) -> Outcome {
    Outcome { source_bytes, frames: intake.frames(), link: intake.losses(), ..Outcome::default() }
}

fn can_outcome(can: &CanIntake, source_bytes: u64) -> Outcome {
    Outcome {
        source_bytes,
        frames: can.counts().mapped,
        link: can.losses(),
        can: can.counts(),
        ..Outcome::default()
    }
}

fn run_capture(
    config: &Config,
    file: &Path,
    start: Option<UtcMs>,
    progress: impl FnMut(Progress),
) -> Result<Outcome, AgentError> {
    readable(file)?;
    let mut replay = Replay::begin(&config.log_dir, &config.machine.id, config.journal)?
        .judging(&config.machine, config.high_rate);
    if let Some(utc) = start {
        let source = ClockSource::Operator;
        let fix = ClockFix { utc, source, uncertainty_ms: OPERATOR_UNCERTAINTY_MS };
        replay.out.push(Entry::Note(BootMs(0), Note::ClockFix(fix)));
    }
    let mut intake = Intake::new(TimeBase::Tick);
    let source_bytes = replay_file(file, progress, |bytes| {
        // In pieces of at most some seconds, since readings at full rate wait in memory.
        bytes.chunks(PIECE).try_for_each(|bytes| {
            // Without times of arrival: those of the ticks alone count.
            intake.bytes(BootMs(0), bytes, &mut replay.out);
            replay.store()
        })
    })?;
    intake.source_ended(&mut replay.out);
    replay.end(intake.last(), bridge_outcome(&intake, source_bytes))
}

fn run_can_capture(
    config: &Config,
    file: &Path,
    mut intake: CaptureIntake,
    progress: impl FnMut(Progress),
) -> Result<Outcome, AgentError> {
    let mut replay = Replay::begin(&config.log_dir, &config.machine.id, config.journal)?;
    let source_bytes = replay_file(file, progress, |bytes| {
        intake.bytes(bytes, &mut replay.out);
        replay.store()
    })?;
    intake.source_ended(&mut replay.out);
    if let Some(said) = intake.undated() {
        tracing::warn!(
            file = %file.display(),
            said,
            "the recording has no date in UTC: give its first frame's time by `start`"
        );
    }
    replay.end(intake.can().last(), can_outcome(intake.can(), source_bytes))
}

/// A missing capture is told before the log directory is touched.
fn readable(file: &Path) -> Result<(), AgentError> {
    match std::fs::File::open(file) {
        Ok(_) => Ok(()),
        Err(source) => Err(AgentError::Read { path: file.to_owned(), source }),
    }
}

/// So many remarks on a DBC file are told one by one.
const REMARKS_TOLD: usize = 20;

pub(crate) fn signal_reader(
    config: &Config,
    dbc: Option<&Path>,
) -> Result<SignalReader, AgentError> {
    let machine_file = config.machine_file.display().to_string();
    let (database, dbc) = match dbc {
        Some(dbc) => (read_dbc(dbc)?, dbc.display().to_string()),
        None => (Database::default(), "no DBC file".to_owned()),
    };
    Ok(SignalReader::new(&database, &dbc, &config.machine, &machine_file, &config.machine_text)?)
}

fn read_dbc(dbc: &Path) -> Result<Database, AgentError> {
    let bytes =
        std::fs::read(dbc).map_err(|source| AgentError::Read { path: dbc.to_owned(), source })?;
    let database = Database::parse(&bytes)
        .map_err(|message| AgentError::Dbc { path: dbc.to_owned(), message })?;
    for remark in database.remarks.iter().take(REMARKS_TOLD) {
        tracing::warn!(dbc = %dbc.display(), line = remark.line, "{}", remark.what);
    }
    if let Some(more) = database.remarks.len().checked_sub(REMARKS_TOLD).filter(|more| *more > 0) {
        tracing::warn!(dbc = %dbc.display(), more, "further lines are not as they should be");
    }
    Ok(database)
}

/// Starts what a live source feeds, within the runtime.
pub(crate) trait Begin: FnOnce() -> Result<Live, AgentError> {}

impl<F: FnOnce() -> Result<Live, AgentError>> Begin for F {}

/// Reads the live source that `config` names until it is asked to end.
pub(crate) fn run_live(config: &Config, begin: impl Begin) -> Result<Outcome, AgentError> {
    match &config.source {
        Source::Serial { port, baud } => run_serial(port, *baud, begin),
        Source::SocketCan { interface, dbc } => {
            run_socketcan(config, interface, dbc.as_deref(), begin)
        }
        Source::CanAdapter { adapter, dbc } => {
            run_can_adapter(config, adapter, dbc.as_deref(), begin)
        }
        Source::Capture { file, .. } | Source::CanCapture { file, .. } => {
            let source = std::io::Error::other("a file is no live source");
            Err(AgentError::Read { path: file.clone(), source })
        }
    }
}

fn run_serial(port: &str, baud: u32, begin: impl Begin) -> Result<Outcome, AgentError> {
    let mut intake = Intake::new(TimeBase::Arrival);
    let (source_bytes, end) = in_runtime(async {
        let mut live = begin()?;
        let source_bytes = serial(port, baud, &mut intake, &mut live).await;
        intake.finish(&mut live.out);
        Ok((source_bytes, live.stop(intake.last())?))
    })?;
    Ok(with_end(bridge_outcome(&intake, source_bytes), end))
}

fn run_can_adapter(
    config: &Config,
    adapter: &CanAdapter,
    dbc: Option<&Path>,
    begin: impl Begin,
) -> Result<Outcome, AgentError> {
    let mut intake = AdapterIntake::new(CanIntake::new(signal_reader(config, dbc)?));
    let (source_bytes, end) = in_runtime(async {
        let mut live = begin()?;
        let source_bytes = can_adapter(adapter, &mut intake, &mut live).await;
        intake.finish(&mut live.out);
        Ok((source_bytes, live.stop(intake.can().last())?))
    })?;
    Ok(with_end(can_outcome(intake.can(), source_bytes), end))
}

#[cfg(all(feature = "socketcan", target_os = "linux"))]
fn run_socketcan(
    config: &Config,
    interface: &str,
    dbc: Option<&Path>,
    begin: impl Begin,
) -> Result<Outcome, AgentError> {
    let mut can = CanIntake::new(signal_reader(config, dbc)?);
    let (source_bytes, end) = in_runtime(async {
        let mut live = begin()?;
        let source_bytes = crate::source::interface(interface, &mut can, &mut live).await;
        can.finish(&mut live.out);
        Ok((source_bytes, live.stop(can.last())?))
    })?;
    Ok(with_end(can_outcome(&can, source_bytes), end))
}

#[cfg(not(all(feature = "socketcan", target_os = "linux")))]
fn run_socketcan(
    config: &Config,
    interface: &str,
    _dbc: Option<&Path>,
    _begin: impl Begin,
) -> Result<Outcome, AgentError> {
    // `Config::read` refuses it with its line; this is for configurations made in code.
    let message = format!("{}: this agent was built without CAN interfaces", config.machine.id);
    Err(AgentError::Read {
        path: interface.into(),
        source: std::io::Error::new(std::io::ErrorKind::Unsupported, message),
    })
}

fn in_runtime<T>(work: impl Future<Output = Result<T, AgentError>>) -> Result<T, AgentError> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build();
    runtime.map_err(AgentError::System)?.block_on(work)
}

fn begin_live(config: &Config) -> Result<Live, AgentError> {
    Live::start(config, DirStorage::open_waiting(&config.log_dir)?)
}

fn with_end(mut outcome: Outcome, end: LiveEnd) -> Outcome {
    outcome.readings = end.recorded.readings;
    outcome.high_rate = end.high_rate;
    outcome.dropped = end.recorded.dropped + end.dropped;
    outcome.sealed = end.sealed;
    outcome
}

/// The recording side of a replay: one thread, no clock, any failure ends it.
struct Replay {
    storage: DirStorage,
    recorder: Recorder<DirStorage>,
    sealer: Sealer<DirStorage>,
    /// Entries on their way to the recorder.
    out: Vec<Entry>,
    high_rate: HighRate,
    /// What judges, from the first reading at full rate on, and the alarms of each piece.
    watch: Option<Watch>,
    alarms: Vec<Alarm>,
}

impl Replay {
    fn begin(log_dir: &Path, machine_id: &str, journal: Journal) -> Result<Self, AgentError> {
        let storage = DirStorage::open(log_dir)?;
        let sealer = Sealer::new(storage.clone(), machine_id);
        let recorder =
            Recorder::new(storage.clone(), machine_id, Durability::AtPartEnd, journal.rotation);
        let out = vec![Entry::Note(BootMs(0), Note::Started)];
        let high_rate = HighRate::new(HighRateSettings::default(), 1);
        let (watch, alarms) = (None, Vec::new());
        Ok(Self { storage, recorder, sealer, out, high_rate, watch, alarms })
    }

    /// Stores readings at full rate around this machine's events.
    fn judging(mut self, machine: &Machine, settings: HighRateSettings) -> Self {
        self.high_rate = HighRate::new(settings, machine.deck.brushes.into());
        self.watch = Some(Watch::new(machine));
        self
    }

    fn judge(&mut self) {
        self.high_rate.sort_out(&mut self.out);
        // Nothing but these readings needs judging, and most recordings have none.
        let Some(watch) = self.watch.as_mut().filter(|_| self.high_rate.counts().came > 0) else {
            return;
        };
        watch.take(&self.out, &mut self.alarms);
        for alarm in self.alarms.drain(..) {
            self.high_rate.fired(&alarm);
        }
        self.high_rate.release(usize::MAX, &mut self.out);
    }

    fn store(&mut self) -> Result<(), AgentError> {
        self.judge();
        self.recorder.push(BootMs(0), &mut self.out);
        self.seal_closed()
    }

    fn seal_closed(&mut self) -> Result<(), AgentError> {
        for journal in self.recorder.take_closed() {
            self.sealer.seal(journal);
        }
        self.recorder.failure().map_or(Ok(()), |error| {
            let source = std::io::Error::new(error.kind(), error.to_string());
            Err(AgentError::Storage { dir: self.storage.dir().to_owned(), source })
        })
    }

    fn end(mut self, last: BootMs, mut outcome: Outcome) -> Result<Outcome, AgentError> {
        self.judge();
        self.high_rate.finish(&mut self.out);
        self.out.push(Entry::Note(last, Note::Stopped));
        self.recorder.push(BootMs(0), &mut self.out);
        self.recorder.finish(BootMs(0));
        self.seal_closed()?;
        let recorded = self.recorder.counts();
        outcome.replay = true;
        outcome.readings = recorded.readings;
        outcome.high_rate = self.high_rate.counts();
        outcome.dropped = recorded.dropped;
        outcome.sealed = self.sealer.finish();
        Ok(outcome)
    }
}
