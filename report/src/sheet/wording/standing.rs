//! What stands on every sheet: checks by hand, cautions, lines to sign.
//!
//! The cautions are the usual ones of the trade in our own words; the machine's
//! manual and local rules always come first. Signal words: ANSI Z535.4-2007, 4.14.

use super::Source;
use crate::sheet::document::{Block, Signal};

/// Belongs wherever hands are sent to the brushes.
pub(super) fn before_hands(source: &Source) -> String {
    source.say("caution-before-hands")
}

/// Checks, cautions and signatures.
pub(super) fn checks(source: &Source) -> Vec<Block> {
    let say = |ids: &[&str]| ids.iter().map(|id| source.say(id)).collect::<Vec<_>>();
    let unit = source.figures.length_unit();
    let mut ticks = vec![source.with("check-segment", &[("unit", unit.into())])];
    ticks.extend(say(&[
        "check-brushes",
        "check-water",
        "check-vacuum",
        "check-battery",
        "check-grit",
        "check-recorder",
    ]));
    let notes = say(&["caution-wet", "caution-slurry", "caution-battery", "caution-manual"]);
    let checks = vec![Block::Heading(source.say("heading-checks")), Block::Ticks(ticks)];
    let cautions = vec![
        Block::Heading(source.say("heading-cautions")),
        Block::Signal(Signal::Warning, before_hands(source)),
        Block::Text(notes),
    ];
    let names = say(&["sign-operator", "sign-lead", "sign-date"]);
    let below = vec![Block::Signatures(names)];
    vec![Block::Beside { left: checks, right: cautions, below }]
}

/// What to look at when a whole shift is missing.
pub(super) fn when_nothing_came(source: &Source) -> Vec<String> {
    ["missing-used", "missing-power", "missing-bridge", "missing-copied", "missing-settings"]
        .map(|id| source.say(id))
        .to_vec()
}
