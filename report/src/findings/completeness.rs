//! How much of the shift was seen.

use super::moment::{Moment, wall};
use super::types::{Completeness, Problem, Shift, Span};
use crate::logset::{BootLog, ClockMap, LogSet};
use underbrush_protocol::note::{GapReason, Note, Removed, Repaired};
use underbrush_protocol::si::Seconds;

pub(super) struct Completing {
    shift: Span,
    found: Completeness,
    boots: Vec<u32>,
    open_gap: Option<Span>,
    longest_gap: Seconds,
    last_note_at: i64,
}

impl Completing {
    pub(super) fn new(shift: &Shift, longest_gap_ms: u64) -> Self {
        Self {
            shift: shift.span,
            found: Completeness::default(),
            boots: Vec::new(),
            open_gap: None,
            longest_gap: Seconds::from_ms(longest_gap_ms),
            last_note_at: 0,
        }
    }

    pub(super) fn boot_begins(&mut self, boot: &BootLog, clock: &ClockMap) {
        self.boots.push(boot.boot);
        self.found.boots += 1;
        let uncertainty = Seconds::from_ms(u64::from(clock.uncertainty_ms()));
        let worst = self.found.clock_uncertainty.unwrap_or(uncertainty);
        self.found.clock_uncertainty = Some(if uncertainty > worst { uncertainty } else { worst });
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        self.found.recorded += moment.length();
        self.found.readings += readings_in(moment);
        if moment.observed() {
            self.found.observed += moment.length();
            self.close_gap();
            return;
        }
        let interval = &moment.interval;
        let (from, to) = (wall(moment.clock, interval.from), wall(moment.clock, interval.to));
        match &mut self.open_gap {
            Some(gap) => gap.to = to,
            None => self.open_gap = Some(Span { from: from.max(self.shift.from), to }),
        }
    }

    pub(super) fn note(&mut self, at: i64, note: &Note) {
        if at < self.shift.from.timestamp_millis() {
            return;
        }
        self.last_note_at = at;
        match note {
            Note::LinkLoss(loss) => self.found.link.add(loss),
            Note::Gap(gap) if gap.dropped == 0 && gap.reason == GapReason::Storage => {
                self.found.problems.push(Problem {
                    data_lost: false,
                    message: "The agent's disk failed for a while: up to a few seconds before that may be missing."
                        .to_owned(),
                });
            }
            Note::Gap(gap) if gap.dropped > 0 => self.found.problems.push(Problem {
                data_lost: true,
                message: format!(
                    "The agent had to drop {} readings ({}).",
                    gap.dropped,
                    reason(gap.reason)
                ),
            }),
            Note::Repaired(Repaired { damaged_bytes, missing_batches, .. })
                if *damaged_bytes > 0 || *missing_batches > 0 =>
            {
                self.found.problems.push(Problem {
                    data_lost: true,
                    message: format!(
                        "The log was damaged before it was sealed: {damaged_bytes} bytes could not be read, {missing_batches} pieces of about a second are missing."
                    ),
                });
            }
            Note::Removed(Removed { boot, part, copied: false, .. }) => {
                self.found.problems.push(Problem {
                    data_lost: true,
                    message: format!(
                        "The agent's disk was nearly full: part {part} of power-on {boot} was removed before it was copied."
                    ),
                });
            }
            _ => {}
        }
    }

    pub(super) fn boot_ends(&mut self) {
        self.close_gap();
    }

    fn close_gap(&mut self) {
        if let Some(gap) = self.open_gap.take().filter(|gap| gap.length() > self.longest_gap) {
            self.found.gaps.push(gap);
        }
    }

    /// Adds the problems of the files that concern this shift.
    pub(super) fn finish(
        mut self,
        logs: &LogSet,
        walked: Vec<Problem>,
        more: Vec<Problem>,
    ) -> Completeness {
        let ours = |boot: &Option<u32>| boot.is_none_or(|boot| self.boots.contains(&boot));
        let files = logs.problems.iter().filter(|(boot, _)| ours(boot)).map(|(_, p)| p.clone());
        let mut problems: Vec<Problem> = files.chain(walked).chain(more).collect();
        problems.extend(logs.doubts(self.shift));
        self.found.problems.append(&mut problems);
        self.found
    }
}

/// Readings of speed, turn rate and brush motors that speak for this moment.
fn readings_in(moment: &Moment<'_>) -> u64 {
    let interval = &moment.interval;
    let motors = interval.motors.iter();
    let of_motors: usize = motors
        .map(|m| usize::from(m.current_a.is_some()) + usize::from(m.rotation_rpm.is_some()))
        .sum();
    let others = [
        interval.speed_m_s.is_some(),
        moment.interval.turn_rad_s.is_some(),
        interval.command_on.is_some(),
    ];
    (of_motors + others.into_iter().filter(|there| *there).count()) as u64
}

fn reason(reason: underbrush_protocol::note::GapReason) -> &'static str {
    use underbrush_protocol::note::GapReason as R;
    match reason {
        R::BridgeSilent => "the bridge was silent",
        R::Overload => "more came than the board could store",
        R::Storage => "its disk was full or failed",
        R::BridgeRestarted => "the bridge restarted",
    }
}
