//! Link losses: counted in total and since the last note about them.

use underbrush_protocol::log::Entry;
use underbrush_protocol::note::{LinkLoss, Note};
use underbrush_protocol::time::BootMs;

/// A note comes at least this often.
const NOTE_EVERY_MS: u64 = 60_000;
/// With losses it comes sooner, but a bad cable must not fill the log.
const LOSS_NOTE_EVERY_MS: u64 = 1_000;

/// Counts and says when they belong into the log.
#[derive(Clone, Debug, Default)]
pub(crate) struct LossLedger {
    total: LinkLoss,
    since_note: LinkLoss,
    last_note: BootMs,
}

impl LossLedger {
    /// Adds `more`.
    pub(crate) fn add(&mut self, more: LinkLoss) {
        self.total.add(&more);
        self.since_note.add(&more);
    }

    /// Counts since the start.
    pub(crate) fn total(&self) -> LinkLoss {
        self.total
    }

    /// Appends a note if one is due at `at`.
    pub(crate) fn note_if_due(&mut self, at: BootMs, out: &mut Vec<Entry>) {
        let waited = at.since(self.last_note);
        if waited >= NOTE_EVERY_MS || (self.since_note.any_loss() && waited >= LOSS_NOTE_EVERY_MS) {
            self.note(at, out);
        }
    }

    /// Appends a note with the counts since the one before.
    pub(crate) fn note(&mut self, at: BootMs, out: &mut Vec<Entry>) {
        let counts = std::mem::take(&mut self.since_note);
        self.last_note = at;
        out.push(Entry::Note(at, Note::LinkLoss(counts)));
    }
}
