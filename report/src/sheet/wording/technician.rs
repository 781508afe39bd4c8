//! A page for each serious event: what it was, where, how bad, what to check first, the
//! limits in force and the safety step before hands go near the deck.

use super::events::{self, Event};
use super::{Source, loads, standing};
use crate::findings::{LoadKind, Severity};
use crate::sheet::document::{Block, Signal};

/// Pages at most; the table of events has all.
const MOST_PAGES: usize = 12;

/// The pages; none where nothing serious happened.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let events = events::all(source);
    let numbered = events.iter().enumerate().filter(|(_, event)| serious(event));
    numbered.take(MOST_PAGES).flat_map(|(i, event)| page(source, i + 1, event)).collect()
}

fn serious(event: &Event) -> bool {
    match event {
        Event::Stationary(e) => e.severity > Severity::Slight,
        Event::Stall(_) | Event::OverPressure(_) => true,
        Event::OtherLoad(e) => matches!(e.kind, LoadKind::Trip | LoadKind::Hot),
    }
}

fn page(source: &Source, number: usize, event: &Event) -> Vec<Block> {
    let title = format!("{} {number}", source.say("heading-events"));
    let mut blocks = vec![
        Block::OwnPage,
        Block::Heading(title),
        Block::Signal(Signal::Warning, standing::before_hands(source)),
    ];
    blocks.extend(events::numbered(source, std::slice::from_ref(event), number));
    blocks.push(Block::Heading(source.say("heading-motors")));
    blocks.extend(loads::motors(source));
    blocks
}
