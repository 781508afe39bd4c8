//! What is likely behind an event, what speaks for and against it, and what to check in
//! order: the judgement of `events::cause` in words.

use super::Source;
use crate::events::cause::{Cause, Evidence, Judgement, Likelihood, Number};
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::words::Value;
use underbrush_protocol::si::{Amperes, MetresPerSecond, Seconds};

/// Ids of the steps before hands go to the deck, in order; the last is no step.
pub(crate) const SAFETY: [&str; 6] = [
    "safety-key",
    "safety-battery",
    "safety-wait",
    "safety-gloves",
    "safety-slurry",
    "safety-manual",
];

/// More causes than this are no help.
const MOST: usize = 6;

/// Causes with their evidence, safety, and checks.
pub(super) fn blocks(source: &Source, judgement: &Judgement) -> Vec<Block> {
    let rows = judgement.causes.iter().take(MOST).map(|cause| row(source, cause)).collect();
    let columns = vec![
        Column::words(source.say("column-cause"), 0.28),
        Column::words(source.say("column-likely"), 0.12),
        Column::words(source.say("column-for"), 0.3),
        Column::words(source.say("column-against"), 0.3),
    ];
    let notes = vec![source.say("technician-note")];
    let mut blocks = vec![
        Block::Heading(source.say("technician-cause")),
        Block::Table(Table::new(source.words(), columns, rows, notes)),
    ];
    let checks = judgement.checks.iter().enumerate();
    let checks: Vec<String> =
        checks.map(|(i, id)| format!("{}. {}", i + 1, source.say(id))).collect();
    if !checks.is_empty() {
        blocks.push(Block::Text(vec![source.say("technician-checks")]));
        blocks.push(Block::Ticks(checks));
    }
    blocks
}

/// What comes before hands go to the deck.
pub(super) fn safety(source: &Source) -> Vec<Block> {
    let lines: Vec<String> = SAFETY.iter().map(|id| source.say(id)).collect();
    vec![Block::Heading(source.say("heading-safety")), Block::Text(lines)]
}

fn row(source: &Source, cause: &Cause) -> Vec<String> {
    let all = |list: &[Evidence]| {
        let parts: Vec<String> = list.iter().map(|e| evidence(source, e)).collect();
        if parts.is_empty() { "–".to_owned() } else { parts.join("; ") }
    };
    vec![
        source.say(cause.id),
        likelihood(source, cause.likelihood),
        all(&cause.evidence_for),
        all(&cause.evidence_against),
    ]
}

fn likelihood(source: &Source, likelihood: Likelihood) -> String {
    source.say(match likelihood {
        Likelihood::Likely => "likely-yes",
        Likelihood::Possible => "likely-maybe",
        Likelihood::Unlikely => "likely-no",
    })
}

/// One fact with its numbers.
pub(super) fn evidence(source: &Source, evidence: &Evidence) -> String {
    let mut values: Vec<(&'static str, Value)> =
        evidence.values.iter().map(|(name, number)| (*name, value(source, *number))).collect();
    if evidence.values.iter().any(|(_, number)| matches!(number, Number::Speed(_))) {
        values.push(("unit", source.figures.speed_unit().into()));
    }
    source.with(evidence.id, &values)
}

fn value(source: &Source, number: Number) -> Value {
    let figures = &source.figures;
    match number {
        // One decimal, as amperes have.
        Number::Amperes(v) | Number::Volts(v) => figures.current(Amperes(v)).into(),
        Number::Seconds(v) => figures.seconds(Seconds(v)).into(),
        Number::Speed(v) => figures.speed(MetresPerSecond(v)).into(),
        Number::Percent(v) => figures.limit(v).into(),
        Number::Ratio(v) => figures.significant(v, 2).into(),
        Number::Count(n) => n.into(),
        Number::Motor(motor) => source.motor(motor).into(),
    }
}
