//! A page for an event: what it was, where, how bad, the readings around it with the
//! limits in force, the likely causes, the safety steps before hands go near the deck, and
//! what to check in order. On the sheet each serious event has one; `underbrush trace`
//! makes the same page of any event.

use super::events::{self, Event as Listed};
use super::{Source, causes, kind_id, loads, standing, trace};
use crate::events::cause::{Case, InTheAir, judge};
use crate::events::{Event, EventKind, Family, Finding, Told, list};
use crate::findings::MOST_TRACES;
use crate::settings::Book;
use crate::sheet::document::{Block, Signal};
use crate::sheet::{Closeup, EventInput};
use crate::window::DetectorKind;

/// The pages, of the first events only: the table of events has all. None where nothing
/// serious happened.
pub(super) fn blocks(source: &Source, closeup: Option<&Closeup<'_>>) -> Vec<Block> {
    let all = list(&[source.machine], [Told { machine: 0, findings: source.findings }]);
    let brush = all.iter().filter(|event| event.kind.family() == Family::Brush);
    let numbered = brush.enumerate().filter(|(_, event)| serious(event)).take(MOST_TRACES);
    let none = Book::default();
    let book = closeup.map_or(&none, |closeup| closeup.book);
    let traces = closeup.map_or(&[][..], |closeup| &closeup.traces);
    let air = closeup.and_then(|closeup| closeup.air.as_ref());
    let page = |(i, event): (usize, &Event)| {
        let trace = traces.iter().find(|trace| trace.event == event.span);
        let title = format!("{} {}", source.say("heading-events"), i + 1);
        let mut blocks = vec![Block::OwnPage];
        let Source { site, machine, findings, .. } = *source;
        let air = air.filter(|_| InTheAir::matters(event.kind));
        let input = EventInput { site, machine, book, findings, event, trace, air };
        blocks.extend(page(source, &title, &input));
        blocks.push(Block::Heading(source.say("heading-motors")));
        blocks.extend(loads::motors(source));
        blocks
    };
    numbered.flat_map(page).collect()
}

fn serious(event: &Event) -> bool {
    match &event.finding {
        Finding::Stationary(e) => e.serious(),
        Finding::Load(e) => e.serious(),
        _ => false,
    }
}

/// One event under this heading.
pub(super) fn page(source: &Source, title: &str, input: &EventInput<'_>) -> Vec<Block> {
    let EventInput { site, machine, book, findings, event, trace, air } = *input;
    let mut blocks = vec![
        Block::Heading(title.to_owned()),
        Block::Signal(Signal::Warning, standing::before_hands(source)),
    ];
    blocks.extend(what(source, event));
    if let Some(trace) = trace {
        blocks.push(Block::Heading(source.say("heading-trace")));
        let chart = trace::chart(source, trace, detector(event));
        blocks.push(Block::Trace(Box::new(chart)));
        blocks.extend(normal_load(source, event).map(|line| Block::Text(vec![line])));
    }
    let judgement = judge(event, trace, &Case { machine, site, book, findings, air });
    blocks.extend(causes::safety(source));
    blocks.extend(causes::blocks(source, &judgement));
    blocks
}

/// What heavy, light and dry load is judged against, for an event of such.
fn normal_load(source: &Source, event: &Event) -> Option<String> {
    use EventKind::{Dry, Heavy, Light};
    let motor = event.motor.filter(|_| matches!(event.kind, Heavy | Light | Dry))?;
    let (normal, from) = loads::normal_of(source, motor)?;
    let current = source.figures.current(normal);
    let values =
        [("motor", source.motor(motor).into()), ("current", current.into()), ("from", from.into())];
    Some(source.with("trace-normal", &values))
}

/// What happened: its row of the sheet's table, or a sentence.
fn what(source: &Source, event: &Event) -> Vec<Block> {
    let listed = events::all(source).into_iter().enumerate().find(|(_, listed)| {
        listed.span() == event.span
            && match (listed, &event.finding) {
                (Listed::Stationary(a), Finding::Stationary(b)) => *a == b,
                (
                    Listed::Stall(a) | Listed::OverPressure(a) | Listed::OtherLoad(a),
                    Finding::Load(b),
                ) => *a == b,
                _ => false,
            }
    });
    if let Some((number, listed)) = listed {
        return events::numbered(source, &[listed], number + 1);
    }
    let zone = source.findings.shift.zone;
    let at = event.span.from.with_timezone(&zone).format("%H:%M:%S %Z").to_string();
    let values = [
        ("what", source.say(kind_id(event.kind)).into()),
        ("at", at.into()),
        ("time", source.figures.seconds(event.lasted()).into()),
        ("section", source.section_and_name(event.place).into()),
    ];
    vec![Block::Text(vec![source.with("technician-what", &values)])]
}

/// The detector that found it.
fn detector(event: &Event) -> Option<DetectorKind> {
    match &event.finding {
        Finding::Stationary(_) => Some(DetectorKind::Stationary),
        Finding::Load(e) => Some(DetectorKind::Load(e.kind)),
        Finding::Care(e) => Some(DetectorKind::Care(e.rule)),
        _ => None,
    }
}
