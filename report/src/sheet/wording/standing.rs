//! What stands on every sheet: checks by hand, cautions, lines to sign.
//!
//! The cautions are the usual ones of the trade in our own words; the machine's
//! manual and local rules always come first. Signal words: ANSI Z535.4-2007, 4.14.

use super::Source;
use crate::sheet::document::{Block, Signal};

/// Belongs wherever hands are sent to the brushes.
pub(super) const BEFORE_HANDS: &str =
    "Before hands go near the brushes: stop the machine, take the key out, disconnect the battery.";

/// Checks, cautions and signatures.
pub(super) fn checks(source: &Source) -> Vec<Block> {
    let unit = source.units.length_unit();
    let ticks = vec![
        format!("Weekly: shortest segment ________ {unit}, noted"),
        "Brushes turn freely; no segment loose or missing".to_owned(),
        "Water runs to every brush; tanks and filters clean".to_owned(),
        "Vacuum and squeegee leave no streaks".to_owned(),
        "Battery charged; plugs and cables whole".to_owned(),
        "Right grit fitted for the next step, noted".to_owned(),
        "Recorder's light on, bridge plugged in".to_owned(),
    ];
    let notes = vec![
        "Wet floor is slippery: close it off until it is dry.".to_owned(),
        "Slurry may hold silica: keep it wet, do not dry-sweep.".to_owned(),
        "Battery charging: ventilate; no flames, no sparks.".to_owned(),
        "The machine's manual, local rules and licensed practice come before this sheet."
            .to_owned(),
    ];
    let checks = vec![Block::Heading("Checks by hand".to_owned()), Block::Ticks(ticks)];
    let cautions = vec![
        Block::Heading("Cautions".to_owned()),
        Block::Signal(Signal::Warning, BEFORE_HANDS.to_owned()),
        Block::Text(notes),
    ];
    let below = vec![Block::Signatures(vec!["Operator", "Lead", "Date and time"])];
    vec![Block::Beside { left: checks, right: cautions, below }]
}

/// What to look at when a whole shift is missing.
pub(super) fn when_nothing_came() -> Vec<String> {
    [
        "Was the machine used? If not, nothing is wrong.",
        "Is the recorder on the machine powered, and is its light on?",
        "Is the bridge plugged in, and do its cables sit tight?",
        "Were the logs copied from this machine, and into the folder that was read?",
        "Do the machine's id and the recorder's clock agree with the settings?",
    ]
    .map(str::to_owned)
    .to_vec()
}
