//! Where the machine was in a night in which nobody told: work is cut into blocks, and
//! the blocks are matched with what was to be done, in order.
//!
//! What comes out is assumed, never known. Every block has a confidence, a mark of
//! the machine or of the shift book always wins, and a difference is told with the
//! lines that correct it.

mod assume;
mod blocks;
mod lattice;
mod likelihood;

pub use assume::assume;
pub use blocks::{Blocks, Limits, Rest, Told, WorkBlock};

use super::figure::{Amount, Case, Figure, Known};
use super::types::{Place, PlaceSource, SectionWork};
use underbrush_protocol::time::UtcMs;

/// A place that nobody told: from `at` until the next mark.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct AssumedMark {
    /// When the work there begins.
    pub at: UtcMs,
    /// Where; its section is `None` for work that is not in the plan.
    pub place: Place,
    /// How sure that is, 0 to 1.
    pub confidence: f64,
    /// What somebody told of the same work, where that differs: it is shown, and not used.
    pub against: Option<Place>,
}

fn assumed(known: &Known<'_>) -> Vec<Case> {
    let case = |work: &SectionWork| {
        let section = work.place.section.and_then(|i| known.site.sections.get(i));
        let name = section.map_or("not in the plan", |section| &section.id);
        let phase = work.place.phase.map_or_else(String::new, |phase| format!(", {phase}"));
        Case::event(format!("{name}{phase}"), work.span).with([
            ("brush time", Amount::Time(work.brush_time)),
            ("confidence", Amount::or_unknown(work.confidence, Amount::Share, "not matched")),
        ])
    };
    let works = known.findings.sections.iter();
    works.filter(|work| work.place.source == PlaceSource::Assumed).map(case).collect()
}

pub(super) const FIGURES: &[Figure] = &[Figure {
    id: "place.assumed",
    says: "Where the machine was, where nobody told",
    channels: &["speed", "brush_command", "brush_current_1", "brush_rotation_1"],
    settings: &["site:section", "site:step", "site:maintenance", "site:bands"],
    formula: "alignment of work blocks and planned entries of least total mismatch; confidence = \
              probability of the place over all alignments",
    source: "dynamic programming (Sakoe and Chiba 1978), forward-backward algorithm (Rabiner 1989)",
    assumed: &[
        "The night followed its plan in order, with some entries left out, interrupted, swapped \
         with their neighbour or worked without a rest.",
        "How brush time, speed and rests scatter: our own numbers, some chosen on \
         simulated nights.",
    ],
    worked: assumed,
}];
