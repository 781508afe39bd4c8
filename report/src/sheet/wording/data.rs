//! How good the data are, and everything that is wrong with them.

use super::{Source, answers};
use crate::findings::Span;
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::{
    NOT_KNOWN, clock, clocks, count, date, duration, grouped, percent, seconds,
};
use underbrush_protocol::si::Seconds;

/// Gaps listed one by one; of more, the longest.
const MOST_GAPS: usize = 20;

/// Everything about the data.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let mut blocks = vec![Block::Facts(facts(source))];
    blocks.extend(gaps(source));
    if source.findings.data.problems.is_empty() {
        blocks.push(Block::Text(vec!["No problem was found with logs, marks or settings.".into()]));
    } else {
        blocks.push(problems(source));
    }
    blocks.push(Block::Text(vec![method(source)]));
    blocks
}

fn facts(source: &Source) -> Vec<(&'static str, String)> {
    let data = &source.findings.data;
    let link = &data.link;
    let shift = source.findings.shift.span.length();
    let mut bad = Vec::new();
    for (n, one, many) in [
        (link.lost, "lost", "lost"),
        (link.damaged, "damaged", "damaged"),
        (link.not_understood, "not understood", "not understood"),
        (link.doubled, "twice or late", "twice or late"),
        (link.restarts, "bridge restart", "bridge restarts"),
        (link.disconnects, "port loss", "port losses"),
    ] {
        if n > 0 {
            bad.push(count(n as usize, one, many));
        }
    }
    let bad = if bad.is_empty() { "nothing lost".to_owned() } else { bad.join(", ") };
    let clock = data.clock_uncertainty.map_or_else(
        || format!("{NOT_KNOWN}: no log was placed in time"),
        |half| format!("right within {}", duration(half)),
    );
    let mut facts = vec![
        (
            "Recorded",
            format!(
                "{} ({} of the shift's {})",
                duration(data.recorded),
                percent(data.recorded.0, shift.0),
                duration(shift)
            ),
        ),
        (
            "Speed and brush observed",
            format!(
                "{} ({} of recorded)",
                duration(data.observed),
                percent(data.observed.0, data.recorded.0)
            ),
        ),
        ("Power-ons (key turned on)", grouped(u64::from(data.boots))),
        ("Readings used", grouped(data.readings)),
        ("Frames from the bridge", format!("{} received; {bad}", grouped(u64::from(link.frames)))),
        ("Clock", clock),
    ];
    if let Some(meter) = source.findings.area.brush_meter {
        facts.push((
            "Machine's own brush hour meter",
            format!(
                "{} (brush time here: {})",
                duration(meter),
                duration(source.findings.area.brush_time)
            ),
        ));
    }
    facts
}

fn gaps(source: &Source) -> Vec<Block> {
    let gaps = &source.findings.data.gaps;
    if gaps.is_empty() {
        return Vec::new();
    }
    let mut shown: Vec<&Span> = gaps.iter().collect();
    shown.sort_by(|a, b| b.length().0.total_cmp(&a.length().0));
    let rest: Seconds = shown.iter().skip(MOST_GAPS).map(|g| g.length()).sum();
    let hidden = shown.len().saturating_sub(MOST_GAPS);
    shown.truncate(MOST_GAPS);
    shown.sort_by_key(|g| g.from);
    let zone = source.findings.shift.zone;
    let rows = shown.iter().map(|g| vec![clocks(zone, **g), seconds(g.length())]).collect();
    let columns =
        vec![Column::words("Gaps while recording", 0.35), Column::decimal("Lasted", "s", 0.15)];
    let mut notes =
        vec!["No readings of speed or brush then; nothing is assumed of these times.".to_owned()];
    if hidden > 0 {
        notes.push(format!(
            "The {MOST_GAPS} longest are listed; {} more, {} in all.",
            grouped(hidden as u64),
            duration(rest)
        ));
    }
    vec![Block::Table(Table::new(columns, rows, notes))]
}

/// Every problem, those that lost data first.
pub(super) fn problems(source: &Source) -> Block {
    let mut list: Vec<_> = source.findings.data.problems.iter().collect();
    list.sort_by_key(|p| !p.data_lost);
    let rows = list
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let lost = if p.data_lost { "lost" } else { "none lost" };
            vec![(i + 1).to_string(), lost.to_owned(), source.clean.message(&p.message)]
        })
        .collect();
    let columns = vec![
        Column::decimal("No.", "", 0.06),
        Column::words("Data", 0.10),
        Column::words("Problem", 0.84),
    ];
    Block::Table(Table::new(columns, rows, Vec::new()))
}

fn method(source: &Source) -> String {
    let shift = &source.findings.shift;
    format!(
        "Worked out from the machine's own readings between {} {} and {}. Brush time is observed time \
         with a brush turning; below the band counts standing too. {} Section and step are those of the last mark.",
        date(shift.date),
        clock(shift.zone, shift.span.from),
        clock(shift.zone, shift.span.to),
        answers::speed_words()
    )
}
