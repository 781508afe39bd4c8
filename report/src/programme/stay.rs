//! The input of the programme: stays on sections, and what the book says was done.

use crate::settings::Phase;
use chrono::{DateTime, NaiveDate, Utc};
use underbrush_protocol::si::{Metres, Seconds, SquareMetres};

/// One stay of one machine in a section and phase in one night.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Stay {
    /// Local date on which its shift starts.
    pub(super) date: NaiveDate,
    pub(super) from: DateTime<Utc>,
    pub(super) machine: usize,
    /// `None`: nobody marked where.
    pub(super) section: Option<usize>,
    pub(super) phase: Option<Phase>,
    /// From begin to end, brushes on or off.
    pub(super) clock: Seconds,
    pub(super) brush_time: Seconds,
    /// Brush time in the band of the phase.
    pub(super) in_band: Seconds,
    /// Way with a brush turning.
    pub(super) way: Metres,
    pub(super) swept: SquareMetres,
    /// Where it was is assumed from the night's plan, not marked.
    pub(super) assumed: bool,
    pub(super) operators: Vec<String>,
}

/// Work that the shift book calls finished.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct ByHand {
    pub(super) date: NaiveDate,
    pub(super) section: usize,
    pub(super) phase: Phase,
}

/// One section's part of the input, in order of time; at equal dates the book comes first.
pub(super) struct SectionInput<'a> {
    pub(super) stays: Vec<&'a Stay>,
    pub(super) by_hand: Vec<ByHand>,
}

impl<'a> SectionInput<'a> {
    /// What concerns each of `sections` sections, up to the night of `date`.
    pub(super) fn sorted(
        sections: usize,
        stays: &'a [Stay],
        by_hand: &[ByHand],
        date: NaiveDate,
    ) -> Vec<Self> {
        let empty = || Self { stays: Vec::new(), by_hand: Vec::new() };
        let mut out: Vec<Self> = (0..sections).map(|_| empty()).collect();
        for stay in stays.iter().filter(|stay| stay.date <= date) {
            if let Some(input) = stay.section.and_then(|index| out.get_mut(index)) {
                input.stays.push(stay);
            }
        }
        for entry in by_hand.iter().filter(|entry| entry.date <= date) {
            if let Some(input) = out.get_mut(entry.section) {
                input.by_hand.push(*entry);
            }
        }
        for input in &mut out {
            input.stays.sort_by_key(|stay| (stay.date, stay.from, stay.machine));
            input.by_hand.sort_by_key(|entry| (entry.date, entry.phase));
        }
        out
    }
}
