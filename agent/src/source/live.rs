//! What live sources share: the log's clock, the way to the disk, the end by a signal.
//!
//! Three threads: this one reads the port and must never wait for the disk; the
//! writer appends and syncs; the sealer makes archives. A bounded queue leads to
//! the writer. When it is full, entries wait here, bounded too; after that
//! readings are dropped and counted as a gap.
//!
//! Before that the watch judges them (see [`crate::watch`]), and those at full rate are
//! held back until it is known whether they are wanted (see [`crate::ring`]).

use super::threads::{Keeper, write_all};
use crate::board::{Board, SourceCounts};
use crate::clock::{BootClock, ClockWatch, Look, system_fix};
use crate::config::Config;
use crate::control;
use crate::error::AgentError;
use crate::record::{DirStorage, Durability, RecordCounts, Recorder, Retainer, SealReport, Sealer};
use crate::ring::{HighRate, HighRateCounts};
use crate::watch::{Alarm, AlarmSettings, Outputs, Watch};
use std::io;
use std::sync::mpsc::{self, Receiver, SyncSender, TrySendError};
use std::thread::JoinHandle;
use std::time::Duration;
use tokio::signal::unix::{Signal, SignalKind, signal};
use tokio::time::{Interval, MissedTickBehavior, interval, sleep};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{ClockFix, Gap, GapReason, Note};
use underbrush_protocol::time::{BootMs, UtcMs};

/// Pieces that may wait for the writer.
const QUEUE: usize = 64;
/// Entries go to the writer at this number or after `HAND_OVER_MS`.
const HAND_OVER: usize = 512;
const HAND_OVER_MS: u64 = 100;
/// Entries that may wait here while the queue is full: some 2 MB.
const WAITING_MAX: usize = 65_536;
/// Readings at full rate go on their way in pieces: a window of 10 s has tens of thousands,
/// and 1,000 each time that others do is far above the rate at which they come.
const RELEASE: usize = 1_000;
/// Outputs are looked at no more often than this, in ms.
const LEAST_WAIT_MS: u64 = 10;

/// What happened while a live source waited.
pub(crate) enum Wake {
    /// A second has gone by.
    Second,
    /// There are bytes for the bridge: see [`Live::for_bridge`].
    Reply,
    /// The agent is asked to end, or nobody takes entries any more.
    Stop,
}

/// What recording came to.
pub(crate) struct LiveEnd {
    pub(crate) recorded: RecordCounts,
    pub(crate) sealed: SealReport,
    /// Readings dropped on the way to the writer.
    pub(crate) dropped: u64,
    pub(crate) high_rate: HighRateCounts,
}

/// Who takes the entries from the queue.
enum Taker {
    Log {
        writer: JoinHandle<RecordCounts>,
        sealer: JoinHandle<SealReport>,
    },
    /// There is no log, and the listener ends when it has heard enough.
    Listener(JoinHandle<()>),
}

impl Taker {
    /// Whether it takes no more.
    fn has_ended(&self) -> bool {
        match self {
            Self::Log { writer, .. } => writer.is_finished(),
            Self::Listener(listener) => listener.is_finished(),
        }
    }

    /// Waits for its end, which comes once the queue is closed. A writer takes all before.
    fn join(self, took_all: bool) -> Result<(RecordCounts, SealReport), AgentError> {
        match self {
            Self::Log { .. } if !took_all => Err(ended("writer")),
            Self::Log { writer, sealer } => {
                let recorded = writer.join().map_err(|_| ended("writer"))?;
                Ok((recorded, sealer.join().map_err(|_| ended("sealer"))?))
            }
            Self::Listener(listener) => {
                listener.join().map_err(|_| ended("listener"))?;
                Ok(Default::default())
            }
        }
    }
}

/// The recording side of a live source.
pub(crate) struct Live {
    clock: BootClock,
    /// What came; sources append here.
    pub(crate) out: Vec<Entry>,
    /// Entries on their way to the writer.
    on_way: Vec<Entry>,
    watch: Watch,
    high_rate: HighRate,
    alarms: Vec<Alarm>,
    /// Which of them are told.
    tells: AlarmSettings,
    outputs: Outputs,
    /// Bytes for the bridge.
    bridge: Vec<u8>,
    handed_over: BootMs,
    hand_over_every: Duration,
    fixes: ClockWatch,
    board: Board,
    ready: bool,
    overload: Option<(BootMs, u32)>,
    dropped: u64,
    queue: SyncSender<Vec<Entry>>,
    taker: Taker,
    terminate: Signal,
    interrupt: Signal,
    seconds: Interval,
}

impl Live {
    /// Starts the threads; must be called within the runtime.
    pub(crate) fn start(config: &Config, storage: DirStorage) -> Result<Self, AgentError> {
        let clock = BootClock::start();
        // The way to the writer counts: in all no entry waits longer than was promised.
        let hand_over_ms = HAND_OVER_MS.min(config.journal.sync_every_ms / 2);
        let recorder = Recorder::new(
            storage.clone(),
            &config.machine.id,
            Durability::Every(config.journal.sync_every_ms - hand_over_ms),
            config.journal.rotation,
        );
        let board = Board::new(&config.machine.id, &config.source.name());
        let outputs =
            Outputs::open(&config.alarm, &config.machine.id, &board).map_err(AgentError::System)?;
        // It ends with the runtime.
        drop(tokio::spawn(control::serve(config.control.clone(), board.clone())));
        let (queue, entries) = mpsc::sync_channel(QUEUE);
        let (closed, to_seal) = mpsc::channel();
        let keeper = Keeper {
            sealer: Sealer::new(storage.clone(), &config.machine.id),
            retainer: Retainer::new(storage, config.retention),
            board: board.clone(),
        };
        let sealer = spawn("sealer", move || keeper.run(&to_seal))?;
        let writing = board.clone();
        let writer =
            spawn("writer", move || write_all(recorder, &entries, &closed, clock, &writing))?;
        tracing::info!(log_dir = %config.log_dir.display(), "started");
        let ends = (queue, Taker::Log { writer, sealer });
        let mut live =
            Self::between(config, clock, board, (&config.alarm, outputs), hand_over_ms, ends)?;
        live.fix_clock(BootMs(0));
        if live.fixes == ClockWatch::default() {
            tracing::warn!("the system clock is not set: the log is undated until it is");
        }
        Ok(live)
    }

    /// The same without a log: what comes goes to `listen` on a thread of its own. When that
    /// returns, the agent is asked to end.
    pub(crate) fn listening(
        config: &Config,
        listen: impl FnOnce(&Receiver<Vec<Entry>>, BootClock, &Board) + Send + 'static,
    ) -> Result<Self, AgentError> {
        let clock = BootClock::start();
        let board = Board::new(&config.machine.id, &config.source.name());
        let silent = AlarmSettings::default();
        let outputs =
            Outputs::open(&silent, &config.machine.id, &board).map_err(AgentError::System)?;
        let (queue, entries) = mpsc::sync_channel(QUEUE);
        let heard = board.clone();
        let listener = spawn("listener", move || listen(&entries, clock, &heard))?;
        let ends = (queue, Taker::Listener(listener));
        Self::between(config, clock, board, (&silent, outputs), HAND_OVER_MS, ends)
    }

    fn between(
        config: &Config,
        clock: BootClock,
        board: Board,
        (alarm, outputs): (&AlarmSettings, Outputs),
        hand_over_ms: u64,
        (queue, taker): (SyncSender<Vec<Entry>>, Taker),
    ) -> Result<Self, AgentError> {
        let mut seconds = interval(Duration::from_secs(1));
        seconds.set_missed_tick_behavior(MissedTickBehavior::Delay);
        Ok(Self {
            clock,
            out: vec![Entry::Note(BootMs(0), Note::Started)],
            on_way: Vec::new(),
            // Readings around an event are kept whether the event is told or not.
            watch: Watch::telling(
                &config.machine,
                &AlarmSettings { off: Vec::new(), ..alarm.clone() },
            ),
            high_rate: HighRate::new(config.high_rate, config.machine.deck.brushes.into()),
            alarms: Vec::new(),
            tells: alarm.clone(),
            outputs,
            bridge: Vec::new(),
            handed_over: BootMs(0),
            hand_over_every: Duration::from_millis(hand_over_ms),
            fixes: ClockWatch::default(),
            board,
            ready: false,
            overload: None,
            dropped: 0,
            queue,
            taker,
            terminate: signal(SignalKind::terminate()).map_err(AgentError::System)?,
            interrupt: signal(SignalKind::interrupt()).map_err(AgentError::System)?,
            seconds,
        })
    }

    /// The log's clock.
    pub(crate) fn now(&self) -> BootMs {
        self.clock.now()
    }

    /// Waits for the next second or the end, and meanwhile hands over what came last.
    /// Nothing is lost if it is not awaited to its end.
    pub(crate) async fn wake(&mut self) -> Wake {
        loop {
            let some_wait =
                !(self.out.is_empty() && self.on_way.is_empty()) || self.high_rate.has_more();
            let due = self.outputs.due();
            let in_ms = due.map_or(0, |due| due.since(self.now())).max(LEAST_WAIT_MS);
            tokio::select! {
                _ = self.seconds.tick() => {
                    return if self.taker.has_ended() { Wake::Stop } else { Wake::Second };
                }
                _ = self.terminate.recv() => return Wake::Stop,
                _ = self.interrupt.recv() => return Wake::Stop,
                () = sleep(self.hand_over_every), if some_wait => self.hand_over(),
                () = sleep(Duration::from_millis(in_ms)), if due.is_some() => {
                    self.tell_alarms();
                    if !self.bridge.is_empty() {
                        return Wake::Reply;
                    }
                }
            }
        }
    }

    /// The port or interface was opened or lost.
    pub(crate) fn source_open(&mut self, open: bool) {
        self.board.open(open);
        self.outputs.bridge_lost();
    }

    /// What is due once a second: a look at the clock, the state, word to the service
    /// manager. A fix is told for `newest`, the time of the newest entry, so that
    /// readings on their way are not overtaken by it.
    pub(crate) fn second(&mut self, newest: BootMs, counts: SourceCounts) {
        self.fix_clock(newest);
        self.judge();
        self.watch.passes(newest, &mut self.alarms);
        self.tell_alarms();
        self.hand_over();
        self.board.second(counts);
        self.board.high_rate(self.high_rate.counts());
        self.tell_service_manager();
    }

    fn fix_clock(&mut self, newest: BootMs) {
        let says = system_fix();
        let now = self.now();
        let look = self.fixes.look(now, says);
        self.board.clock(says.as_ref(), matches!(look, Look::Jump(..)));
        let fix = match look {
            Look::AsTold => return,
            Look::Lost => {
                tracing::warn!("the system clock is not set any more");
                return;
            }
            Look::Fix(fix) => fix,
            Look::Jump(fix, leap_ms) => {
                tracing::warn!(leap_ms, "the system clock leapt");
                fix
            }
        };
        let age_ms = i64::try_from(now.since(newest)).unwrap_or(0);
        let fix = ClockFix { utc: UtcMs(fix.utc.0 - age_ms), ..fix };
        self.out.push(Entry::Note(newest, Note::ClockFix(fix)));
    }

    /// Without a service manager this does nothing. A writer that the disk holds is no
    /// reason to be started again: what waits in memory would be lost.
    fn tell_service_manager(&mut self) {
        use sd_notify::{NotifyState, notify};
        let line = self.board.status().line();
        let mut states = vec![NotifyState::Watchdog, NotifyState::Status(&line)];
        if !self.ready {
            states.push(NotifyState::Ready);
            self.ready = true;
        }
        if let Err(error) = notify(&states) {
            tracing::debug!(%error, "cannot tell the service manager");
        }
    }

    /// Judges what came, and puts it on its way to the writer.
    fn judge(&mut self) {
        self.high_rate.sort_out(&mut self.out);
        self.watch.take(&self.out, &mut self.alarms);
        self.on_way.append(&mut self.out);
        self.tell_alarms();
        self.high_rate.release(RELEASE, &mut self.on_way);
    }

    /// Tells the alarms that began and ended, and what is due of those told before.
    fn tell_alarms(&mut self) {
        let now = self.now();
        for alarm in self.alarms.drain(..) {
            self.high_rate.fired(&alarm);
            if self.tells.tells(alarm.kind) {
                self.outputs.tell(alarm, now);
            }
        }
        self.outputs.go_on(now, &mut self.bridge);
    }

    /// Bytes to be sent to the bridge by now. Those that it does not take at once are lost:
    /// what counts is said again.
    pub(crate) fn for_bridge(&mut self) -> Vec<u8> {
        std::mem::take(&mut self.bridge)
    }

    /// The bridge did not take its bytes.
    pub(crate) fn bridge_deaf(&self) {
        self.board.bridge_deaf();
    }

    /// Takes what came, and hands entries to the writer if it is time. Never waits.
    pub(crate) fn hand_over(&mut self) {
        self.judge();
        let now = self.now();
        let due = self.on_way.len() >= HAND_OVER
            || now.since(self.handed_over) >= self.hand_over_every.as_millis() as u64;
        if !due || self.on_way.is_empty() {
            return;
        }
        self.handed_over = now;
        if let Some((from, dropped)) = self.overload
            && self.on_way.len() < WAITING_MAX / 2
        {
            let gap = Gap { from, reason: GapReason::Overload, dropped };
            let at = self.on_way.last().map_or(from, Entry::at);
            self.on_way.push(Entry::Note(at, Note::Gap(gap)));
            self.overload = None;
        }
        match self.queue.try_send(std::mem::take(&mut self.on_way)) {
            Ok(()) => {}
            Err(TrySendError::Full(back) | TrySendError::Disconnected(back)) => {
                self.on_way = back;
                self.limit();
            }
        }
    }

    fn limit(&mut self) {
        for entry in self.on_way.drain(WAITING_MAX.min(self.on_way.len())..) {
            if let Entry::Reading(reading) = entry {
                if self.overload.is_none() {
                    tracing::error!("the disk is too slow: readings are dropped");
                }
                let (from, dropped) = self.overload.get_or_insert((reading.at, 0));
                // Those at full rate come later than their time.
                *from = reading.at.min(*from);
                *dropped = dropped.saturating_add(1);
                self.dropped += 1;
                self.board.overload(self.dropped);
            }
        }
    }

    /// Ends in good order: everything is written, synced and sealed.
    pub(crate) fn stop(mut self, newest: BootMs) -> Result<LiveEnd, AgentError> {
        tracing::info!("stopping");
        let at = newest.max(self.now());
        if let Some((from, dropped)) = self.overload.take() {
            let gap = Gap { from, reason: GapReason::Overload, dropped };
            self.out.push(Entry::Note(newest, Note::Gap(gap)));
        }
        self.out.push(Entry::Note(at, Note::Stopped));
        self.judge();
        self.watch.finish(&mut self.alarms);
        self.tell_alarms();
        self.high_rate.finish(&mut self.on_way);
        let took_all = self.queue.send(self.on_way).is_ok();
        drop(self.queue);
        let (recorded, sealed) = self.taker.join(took_all)?;
        Ok(LiveEnd { recorded, sealed, dropped: self.dropped, high_rate: self.high_rate.counts() })
    }
}

fn ended(thread: &str) -> AgentError {
    AgentError::System(io::Error::other(format!("the {thread} thread ended early")))
}

fn spawn<T: Send + 'static>(
    name: &str,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<JoinHandle<T>, AgentError> {
    // Neither thread recurses; their buffers are on the heap.
    let builder = std::thread::Builder::new().name(name.to_owned()).stack_size(512 * 1024);
    builder.spawn(work).map_err(AgentError::System)
}
