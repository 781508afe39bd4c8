//! How the machine was driven: speeds in numbers, time to correct, slips.

use super::Source;
use crate::findings::{Excursions, SlipFinding};
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::{NOT_KNOWN, clock, count, duration, speed};
use underbrush_protocol::detect::SlipKind;

/// Slip hints named one by one.
const MOST_NAMED: usize = 3;

/// Empty where no brush turned.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let found = &source.findings.speed;
    if found.by_phase.is_empty() {
        return Vec::new();
    }
    let units = source.units;
    let number = |v: Option<_>| v.map_or_else(|| NOT_KNOWN.to_owned(), |v| speed(units, v));
    let rows = found
        .by_phase
        .iter()
        .map(|p| vec![source.phase_short(p.phase), number(p.p5), number(p.median), number(p.p95)])
        .collect();
    let unit = units.speed_unit();
    let columns = vec![
        Column::words("Work", 0.3),
        Column::decimal("5 % of the time under", unit, 0.25),
        Column::decimal("Half of the time under", unit, 0.25),
        Column::decimal("95 % of the time under", unit, 0.2),
    ];
    let mut lines = Vec::new();
    let excursions = [
        excursion("Too fast", &found.too_fast, ""),
        excursion("Too slow", &found.too_slow, "; turns and stops are among them"),
    ];
    lines.extend(excursions.into_iter().flatten());
    if found.direction_changes > 0 {
        let times = count(found.direction_changes as usize, "time", "times");
        lines.push(format!("Direction changed {times} with brushes turning."));
    }
    lines.extend(slips(source, &found.slips, found.more_slips));
    let mut out = vec![
        Block::Heading("Speed".to_owned()),
        Block::Table(Table::new(source.words(), columns, rows, Vec::new())),
    ];
    if !lines.is_empty() {
        out.push(Block::Text(lines));
    }
    out
}

fn excursion(name: &str, found: &Excursions, remark: &str) -> Option<String> {
    let (median, longest) = (found.median?, found.longest?);
    let times = count(found.corrected as usize, "time", "times");
    let open = match found.open {
        0 => String::new(),
        n => format!("; {n} more ended otherwise"),
    };
    Some(format!(
        "{name} {times}; back in the band after {} as a rule, {} at most{open}{remark}.",
        duration(median),
        duration(longest)
    ))
}

fn slips(source: &Source, slips: &[SlipFinding], more: u32) -> Option<String> {
    if slips.is_empty() {
        return None;
    }
    let named: Vec<String> = slips
        .iter()
        .take(MOST_NAMED)
        .map(|slip| {
            let why = match slip.kind {
                SlipKind::Spin => "the wheel's speed leapt",
                SlipKind::Sideways => "too fast for its turn",
                SlipKind::Dragged => "it turned while its wheel stood",
            };
            let at = clock(source.findings.shift.zone, slip.span.from);
            format!("{at} in {} ({why})", source.section(slip.place))
        })
        .collect();
    let all = slips.len() + more as usize;
    let rest = match all - named.len() {
        0 => String::new(),
        n => format!(", and {n} more"),
    };
    Some(format!(
        "A wheel may have slipped {}: {}{rest}. Way and area count what the wheel turned: look at its \
         tyre and at the floor there.",
        count(all, "time", "times"),
        named.join(", ")
    ))
}
