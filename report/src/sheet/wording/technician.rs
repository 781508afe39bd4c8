//! A page for each serious event: what it was, where, how bad, the likely cause and what
//! to check in order, the readings around it, the limits in force and the safety step
//! before hands go near the deck.

use super::events::{self, Event};
use super::{Source, causes, loads, standing, trace};
use crate::findings::{MOST_TRACES, Trace};
use crate::sheet::document::{Block, Signal};

/// The pages, of the first events only: the table of events has all. None where nothing
/// serious happened.
pub(super) fn blocks(source: &Source, traces: &[Trace]) -> Vec<Block> {
    let events = events::all(source);
    let numbered = events.iter().enumerate().filter(|(_, event)| serious(event));
    let numbered = numbered.take(MOST_TRACES);
    numbered.flat_map(|(i, event)| page(source, i + 1, event, traces)).collect()
}

fn serious(event: &Event) -> bool {
    match event {
        Event::Stationary(e) => e.serious(),
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => e.serious(),
    }
}

fn page(source: &Source, number: usize, event: &Event, traces: &[Trace]) -> Vec<Block> {
    let title = format!("{} {number}", source.say("heading-events"));
    let mut blocks = vec![
        Block::OwnPage,
        Block::Heading(title),
        Block::Signal(Signal::Warning, standing::before_hands(source)),
    ];
    blocks.extend(events::numbered(source, std::slice::from_ref(event), number));
    let trace = traces.iter().find(|trace| trace.event == event.span());
    blocks.extend(causes::blocks(source, event, trace));
    if let Some(trace) = trace {
        blocks.push(Block::Heading(source.say("heading-trace")));
        blocks.push(Block::Trace(Box::new(trace::chart(source, trace))));
    }
    blocks.push(Block::Heading(source.say("heading-motors")));
    blocks.extend(loads::motors(source));
    blocks
}
