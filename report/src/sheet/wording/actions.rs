//! What to do next, most urgent first, short enough for the first page.

use super::Source;
use super::answers::{ORDER_NOTICE_DAYS, latest};
use super::events::{self, Event};
use crate::findings::{Severity, StationaryFinding, StepVerdict};
use crate::sheet::document::{Block, MarkKind};
use crate::sheet::figures::{clock, count, date, duration};

/// Lines on the first page; everything is also in the tables.
const MOST: usize = 7;

/// Of these at most are spots and forbidden floors, so that they leave room.
const MOST_SPOTS: usize = 3;

/// Segments are measured weekly (common practice, no published source).
const MEASURE_DAYS: i64 = 7;

/// Unmarked brush work longer than this is worth a line, in s.
const UNMARKED_S: f64 = 300.0;

/// The list to tick.
pub(super) fn blocks(source: &Source, events: &[Event]) -> Vec<Block> {
    let mut list = all(source, events);
    let mut blocks = Vec::new();
    if list.is_empty() {
        blocks.push(Block::Text(vec![
            "Nothing was found that needs doing beyond the usual checks.".to_owned(),
        ]));
    } else {
        let hidden = list.len().saturating_sub(MOST);
        if hidden > 0 {
            list.truncate(MOST - 1);
        }
        blocks.push(Block::Ticks(list));
        if hidden > 0 {
            let text = format!("And {} more: see the next pages.", hidden + 1);
            blocks.push(Block::Text(vec![text]));
        }
    }
    blocks
}

fn all(source: &Source, events: &[Event]) -> Vec<String> {
    let mut list = forbidden(source);
    list.extend(spots(source));
    list.extend(segments(source));
    list.extend(motor(source, events));
    list.extend(steps(source));
    list.extend(marks(source));
    list.extend(data(source));
    list
}

fn forbidden(source: &Source) -> Vec<String> {
    let works = source.findings.sections.iter().filter(|w| w.forbidden);
    let line = |w: &crate::findings::SectionWork| {
        format!(
            "Brushes turned in {}, which must never be polished, at {}: inspect the floor.",
            source.section(w.place),
            clock(source.findings.shift.zone, w.span.from)
        )
    };
    fewer(works.map(line).collect(), "Brushes turned where never to polish,", "time", "times")
}

fn spots(source: &Source) -> Vec<String> {
    let mut list: Vec<&StationaryFinding> =
        source.findings.stationary.iter().filter(|e| e.severity > Severity::Slight).collect();
    // Worst first; a stable sort keeps the order of time among equals.
    list.sort_by(|a, b| {
        b.severity.cmp(&a.severity).then(b.equivalent_passes.total_cmp(&a.equivalent_passes))
    });
    let line = |e: &&StationaryFinding| {
        format!("{}: {}.", events::stood(source, e), events::remedy(e.severity))
    };
    fewer(list.iter().map(line).collect(), "Stood with brushes turning at", "spot", "spots")
}

/// The first few lines, and one for all others.
fn fewer(mut lines: Vec<String>, what: &str, one: &str, many: &str) -> Vec<String> {
    if lines.len() > MOST_SPOTS {
        let rest = lines.len() - (MOST_SPOTS - 1);
        lines.truncate(MOST_SPOTS - 1);
        lines.push(format!("{what} {} more: see the next pages.", count(rest, one, many)));
    }
    lines
}

fn segments(source: &Source) -> Vec<String> {
    let wear = &source.findings.wear;
    let shift = &source.findings.shift;
    let today = shift.span.to.with_timezone(&shift.zone).date_naive();
    let mut list = Vec::new();
    let short = wear.left.is_some_and(|l| l.best <= wear.reorder_length);
    match wear.order_by {
        _ if short => list.push("Order new segments now (estimate: order length reached).".into()),
        Some(day) if day <= today => {
            list.push(format!("Order new segments now (estimate: order day was {}).", date(day)));
        }
        Some(day) if (day - today).num_days() <= ORDER_NOTICE_DAYS => {
            list.push(format!("Order new segments by {} (estimate).", date(day)));
        }
        _ => {}
    }
    match wear.measured {
        None => list.push("Measure the segments: no measurement is in the shift book.".into()),
        Some((day, _)) if (today - day).num_days() >= MEASURE_DAYS => {
            list.push(format!("Measure the segments: last measured on {}.", date(day)));
        }
        Some(_) => {}
    }
    list
}

fn motor(source: &Source, events: &[Event]) -> Vec<String> {
    let zone = source.findings.shift.zone;
    let mut list = Vec::new();
    let mut of = |kind: MarkKind, what: &str, todo: &str| {
        let mut found = events.iter().filter(|e| e.kind() == kind);
        let Some(first) = found.next() else { return };
        let (Event::Stall(e) | Event::OverPressure(e)) = first else { return };
        let times = match found.count() {
            0 => String::new(),
            more => format!(" and {} more", count(more, "time", "times")),
        };
        list.push(format!(
            "Motor {} {what} in {} at {}{times}: {todo}.",
            source.motor(e.motor),
            source.section(e.place),
            clock(zone, e.span.from)
        ));
    };
    of(MarkKind::Stall, "stalled", "find what held the brush");
    of(MarkKind::OverPressure, "ran over pressure", "check head pressure");
    list
}

fn steps(source: &Source) -> Vec<String> {
    let mut open = Vec::new();
    let mut next = Vec::new();
    for work in latest(source).into_iter().filter(|w| !w.forbidden) {
        let name = source.section(work.place);
        match work.verdict {
            StepVerdict::Open { step, missing } => open.push(format!(
                "{name}: go on with {}, {} more in band.",
                source.step(step),
                duration(missing)
            )),
            StepVerdict::Done { next: Some(n) } => {
                next.push(format!("{name}: begin {}.", source.step(n)));
            }
            _ => {}
        }
    }
    open.append(&mut next);
    open
}

fn marks(source: &Source) -> Vec<String> {
    let unmarked = source
        .findings
        .speed
        .by_phase
        .iter()
        .filter(|p| p.phase.is_none())
        .map(|p| p.total().0)
        .sum::<f64>();
    let seconds = underbrush_protocol::si::Seconds(unmarked);
    if unmarked > UNMARKED_S {
        vec![format!(
            "Mark section and step when work begins: {} of brush work had no mark.",
            duration(seconds)
        )]
    } else {
        Vec::new()
    }
}

fn data(source: &Source) -> Vec<String> {
    let lost = source.findings.data.problems.iter().filter(|p| p.data_lost).count();
    if lost == 0 {
        return Vec::new();
    }
    vec![format!("Data were lost ({}): see Data.", count(lost, "problem", "problems"))]
}
