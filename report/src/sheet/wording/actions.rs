//! What to do this morning and tonight, most urgent first, short enough for the
//! first page.

use super::Source;
use super::answers::ORDER_NOTICE_DAYS;
use super::steps::{self, SectionSteps};
use super::{care, data, events, loads};
use crate::findings::{Severity, StationaryFinding};
use crate::sheet::document::Block;
use crate::sheet::figures::{clock, count, date, duration};

/// Lines on the first page; everything is also in the tables.
const MOST_MORNING: usize = 6;
const MOST_TONIGHT: usize = 3;

/// Of these at most are spots and forbidden floors, so that they leave room.
const MOST_SPOTS: usize = 3;

/// Segments are measured weekly (common practice, no published source).
const MEASURE_DAYS: i64 = 7;

/// Unmarked brush work longer than this is worth a line, in s.
const UNMARKED_S: f64 = 300.0;

/// The lists to tick.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let mut morning = forbidden(source);
    morning.extend(spots(source));
    morning.extend(loads::to_do(source));
    morning.extend(care::morning(source));
    morning.extend(data::sensor_tasks(source));
    morning.extend(segments(source));
    morning.extend(lost(source));
    let mut tonight = grinding(source);
    tonight.extend(marks(source));

    let mut blocks = vec![Block::Heading("To do this morning".to_owned())];
    blocks.push(list(morning, MOST_MORNING, "see the next pages").unwrap_or_else(|| {
        let text = "Nothing was found that needs doing beyond the usual checks.";
        Block::Text(vec![text.to_owned()])
    }));
    if let Some(list) = list(tonight, MOST_TONIGHT, "see Sections") {
        blocks.push(Block::Heading("To do tonight".to_owned()));
        blocks.push(list);
    }
    blocks
}

/// Lines to tick; the last one counts those without room.
fn list(mut lines: Vec<String>, most: usize, see: &str) -> Option<Block> {
    let hidden = lines.len().saturating_sub(most);
    if hidden > 0 {
        lines.truncate(most - 1);
        lines.push(format!("And {} more: {see}.", hidden + 1));
    }
    (!lines.is_empty()).then_some(Block::Ticks(lines))
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
        let least = if e.cut_short { "at least " } else { "" };
        format!(
            "Inspect {} ({}, stood {least}{}): {}.",
            source.section(e.place),
            clock(source.findings.shift.zone, e.span.from),
            duration(e.span.length()),
            events::remedy(e.severity)
        )
    };
    fewer(list.iter().map(line).collect(), "Inspect", "spot", "spots")
}

/// The first few lines, and one for all others.
fn fewer(mut lines: Vec<String>, what: &str, one: &str, many: &str) -> Vec<String> {
    if lines.len() > MOST_SPOTS {
        let rest = lines.len() - (MOST_SPOTS - 1);
        lines.truncate(MOST_SPOTS - 1);
        lines.push(format!("{what} {} more: see Events.", count(rest, one, many)));
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
        _ if short => list.push("Order new segments now (estimate: too short).".into()),
        Some(day) if day <= today => {
            list.push("Order new segments now, to have them in time (estimate).".into());
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

/// What is not finished first, then what can begin.
fn grinding(source: &Source) -> Vec<String> {
    let mut sections = steps::all(source);
    sections.sort_by_key(|s| !s.unfinished());
    let line =
        |s: &SectionSteps| Some(format!("{}: {}.", source.section(s.place), s.task(source)?));
    sections.iter().filter_map(line).collect()
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
        vec![format!("Mark section and step: {} had no mark.", duration(seconds))]
    } else {
        Vec::new()
    }
}

fn lost(source: &Source) -> Vec<String> {
    let lost = source.findings.data.problems.iter().filter(|p| p.data_lost).count();
    if lost == 0 {
        return Vec::new();
    }
    vec![format!("Readings were lost ({}): see Data.", count(lost, "problem", "problems"))]
}
