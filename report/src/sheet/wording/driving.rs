//! How the machine was driven: speeds in numbers, time to correct, slips.

use super::Source;
use crate::findings::{Excursions, SlipFinding};
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::clock;
use underbrush_protocol::detect::SlipKind;

/// Slip hints named one by one.
const MOST_NAMED: usize = 3;

/// Empty where no brush turned.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let found = &source.findings.speed;
    if found.by_phase.is_empty() {
        return Vec::new();
    }
    let figures = &source.figures;
    let number = |v: Option<_>| v.map_or_else(|| figures.not_known(), |v| figures.speed(v));
    let rows = found
        .by_phase
        .iter()
        .map(|p| vec![source.phase_short(p.phase), number(p.p5), number(p.median), number(p.p95)])
        .collect();
    let unit = figures.speed_unit();
    let column = |id, share| Column::decimal(source.say(id), unit.clone(), share);
    let columns = vec![
        Column::words(source.say("column-work"), 0.3),
        column("driving-p5", 0.25),
        column("driving-median", 0.25),
        column("driving-p95", 0.2),
    ];
    let mut lines = Vec::new();
    let excursions = [
        excursion(source, &found.too_fast, "driving-too-fast"),
        excursion(source, &found.too_slow, "driving-too-slow"),
    ];
    lines.extend(excursions.into_iter().flatten());
    if found.direction_changes > 0 {
        lines.push(source.count("driving-turned", found.direction_changes as usize));
    }
    lines.extend(slips(source, &found.slips, found.more_slips));
    let mut out = vec![
        Block::Heading(source.say("driving-heading")),
        Block::Table(Table::new(source.words(), columns, rows, Vec::new())),
    ];
    if !lines.is_empty() {
        out.push(Block::Text(lines));
    }
    out
}

fn excursion(source: &Source, found: &Excursions, id: &str) -> Option<String> {
    let (median, longest) = (found.median?, found.longest?);
    let open = match found.open {
        0 => String::new(),
        n => format!("; {}", source.count("driving-ended-otherwise", n as usize)),
    };
    let times = source.count("count-times", found.corrected as usize);
    Some(source.with(
        id,
        &[
            ("times", times.into()),
            ("median", source.figures.duration(median).into()),
            ("longest", source.figures.duration(longest).into()),
            ("open", open.into()),
        ],
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
            let id = match slip.kind {
                SlipKind::Spin => "driving-slip-spin",
                SlipKind::Sideways => "driving-slip-sideways",
                SlipKind::Dragged => "driving-slip-dragged",
            };
            let at = clock(source.findings.shift.zone, slip.span.from);
            let section = source.section(slip.place);
            source.with(id, &[("at", at.into()), ("section", section.into())])
        })
        .collect();
    let all = slips.len() + more as usize;
    let mut named = named.join(", ");
    match all - slips.len().min(MOST_NAMED) {
        0 => {}
        n => named = format!("{named}, {}", source.count("driving-and-more", n)),
    }
    let times = source.count("count-times", all);
    Some(source.with("driving-slips", &[("times", times.into()), ("named", named.into())]))
}
