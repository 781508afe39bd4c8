//! The report of what was learnt, for a terminal.

use super::draft::id_words;
use super::line::significant;
use super::plot::{blocks, prompt_row};
use super::prompts::{Prompt, Quantity};
use super::{Candidate, Learnt};
use std::fmt::Write;

/// Candidates shown of each quantity.
const SHOWN: usize = 3;
const COLUMNS: usize = 72;

/// The report.
pub fn report(learnt: &Learnt, prompts: &[Prompt]) -> String {
    let left = learnt.left_out;
    let mut text = format!(
        "heard {} frames in {:.0} s; judged {} identifiers\n\
         left out: {} identifiers too rare, {} constant; on the others {} counters, {} checksums, \
         {} clocks, {} odometers or pulse counters\n",
        learnt.frames,
        learnt.length_s,
        learnt.ids,
        left.rare_ids,
        left.constant_ids,
        left.counters,
        left.checksums,
        left.clocks,
        left.odometers
    );
    if prompts.is_empty() {
        text += "no prompts: only the ground speed can be told by its behaviour alone\n";
    } else {
        text += "under each picture: . stand, s slow, f fast, u brushes lifted, l low, h high pressure\n";
    }
    for quantity in Quantity::ALL {
        let candidates = learnt.of(quantity);
        // Writing to a String cannot fail.
        let _ = writeln!(text, "\n{}", quantity.name().to_uppercase());
        if candidates.is_empty() {
            text += "  nothing on this bus behaves like it\n";
        }
        for (place, candidate) in candidates.iter().take(SHOWN).enumerate() {
            text += &described(place + 1, candidate, prompts);
        }
    }
    text
}

fn described(place: usize, candidate: &Candidate, prompts: &[Prompt]) -> String {
    let mut text = format!(
        "  {place}. score {:.2}  id {}, {}, {:.0} a second{}\n",
        candidate.score,
        id_words(candidate.id),
        candidate.field.place(),
        candidate.rate_hz,
        match candidate.score {
            _ if candidate.sure => "  SURE",
            s if s < 0.5 => "  (weak: do not trust it)",
            _ if place == 1 => "  NOT SURE",
            _ => "",
        }
    );
    let _ = writeln!(text, "     {}", blocks(&candidate.trace, COLUMNS));
    if !prompts.is_empty() {
        let _ = writeln!(text, "     {}", prompt_row(prompts, candidate.trace.len(), COLUMNS));
    }
    for evidence in &candidate.evidence {
        let _ = writeln!(text, "     - {evidence}");
    }
    for doubt in &candidate.doubts {
        let _ = writeln!(text, "     ? {doubt}");
    }
    let scale = candidate.scale;
    let known = if scale.known { "" } else { " (a guess: calibrate it)" };
    let (factor, offset) = (significant(scale.factor), scale.offset.abs());
    let sign = if scale.offset < 0.0 { '-' } else { '+' };
    let _ = writeln!(text, "     - value = number x {factor} {sign} {offset:.4}{known}");
    if let Some(interval) = scale.interval {
        let _ = writeln!(text, "     - {}", interval.words());
    }
    text
}
