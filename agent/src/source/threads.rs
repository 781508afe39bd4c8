//! The two threads that may wait for the disk: one writes the journal, one keeps the rest.

use crate::board::Board;
use crate::clock::{BootClock, system_fix};
use crate::record::{DirStorage, LogName, RecordCounts, Recorder, Retainer, SealReport, Sealer};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender};
use std::time::Duration;
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{Note, Removed};
use underbrush_protocol::time::BootMs;

/// The log's limits are looked at, and journals that could not be sealed tried again,
/// after each journal and this often.
const KEEP_EVERY: Duration = Duration::from_secs(60);
const GO_ON_AFTER: Duration = Duration::from_secs(1);
/// Readings reach the writer within this.
const ON_THE_WAY_MS: u64 = 500;

/// Writes and syncs until the source has ended.
pub(super) fn write_all(
    mut recorder: Recorder<DirStorage>,
    entries: &Receiver<Vec<Entry>>,
    closed: &Sender<LogName>,
    clock: BootClock,
    board: &Board,
) -> RecordCounts {
    let close = |recorder: &mut Recorder<DirStorage>| {
        for journal in recorder.take_closed() {
            // Without a sealer the journal stays for the next start.
            let _ = closed.send(journal);
        }
        board.writer(recorder.boot(), recorder.waiting(), recorder.counts(), recorder.failure());
    };
    loop {
        let due = recorder.next_due().since(clock.now()).clamp(10, 1_000);
        let mut piece = match entries.recv_timeout(Duration::from_millis(due)) {
            Ok(piece) => piece,
            Err(RecvTimeoutError::Timeout) => Vec::new(),
            Err(RecvTimeoutError::Disconnected) => break,
        };
        // The recorder moves them to the time of the newest entry.
        piece.extend(board.take_notes().into_iter().map(|note| Entry::Note(BootMs(0), note)));
        let now = clock.now();
        let told = board.take_told();
        // A little back, so that readings on their way are not overtaken.
        let at = BootMs(now.0.saturating_sub(ON_THE_WAY_MS));
        piece.extend(told.iter().map(|told| Entry::Note(at, Note::Told(told.clone()))));
        recorder.push(now, &mut piece);
        if !told.is_empty() {
            // Whoever told it waits to hear that it is safe.
            board.told_stored(told.len(), recorder.sync_now(now));
        }
        close(&mut recorder);
    }
    recorder.finish(clock.now());
    close(&mut recorder);
    recorder.counts()
}

/// Seals journals and keeps the log within its limits.
pub(super) struct Keeper {
    pub(super) sealer: Sealer<DirStorage>,
    pub(super) retainer: Retainer<DirStorage>,
    pub(super) board: Board,
}

impl Keeper {
    /// Works until the writer has ended.
    pub(super) fn run(mut self, closed: &Receiver<LogName>) -> SealReport {
        let mut wait = KEEP_EVERY;
        loop {
            match closed.recv_timeout(wait) {
                Ok(journal) => self.sealer.seal(journal),
                Err(RecvTimeoutError::Timeout) => self.sealer.retry(),
                Err(RecvTimeoutError::Disconnected) => return self.sealer.finish(),
            }
            self.board.sealer(self.sealer.report(), self.sealer.waiting());
            wait = if self.tend() { GO_ON_AFTER } else { KEEP_EVERY };
        }
    }

    /// Whether there is more to remove: that comes in steps, so that journals need not wait.
    fn tend(&mut self) -> bool {
        let tended = self.retainer.tend(system_fix().map(|fix| fix.utc));
        for removal in &tended.removed {
            self.board.removed(Removed {
                boot: removal.name.boot,
                part: removal.name.part,
                bytes: removal.bytes,
                copied: removal.copied,
            });
        }
        self.board.kept(&tended);
        tended.more
    }
}
