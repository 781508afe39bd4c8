//! What to do this morning and tonight, most urgent first, short enough for the
//! first page.

use super::Source;
use super::answers::ORDER_NOTICE_DAYS;
use super::steps::{self, SectionSteps};
use super::{care, data, events, loads};
use crate::findings::{Severity, StationaryFinding};
use crate::programme::PlanItem;
use crate::settings::Phase;
use crate::sheet::document::Block;
use crate::sheet::figures::clock;

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
    let mut tonight: Vec<String> = planned(source).into_iter().collect();
    tonight.extend(grinding(source));
    tonight.extend(marks(source));

    let mut blocks = vec![Block::Heading(source.say("actions-morning"))];
    let list_of = |lines, most, id| list(source, lines, most, id);
    blocks.push(
        list_of(morning, MOST_MORNING, "actions-more")
            .unwrap_or_else(|| Block::Text(vec![source.say("actions-nothing")])),
    );
    if let Some(list) = list_of(tonight, MOST_TONIGHT, "actions-more-sections") {
        blocks.push(Block::Heading(source.say("actions-tonight")));
        blocks.push(list);
    }
    blocks
}

/// Lines to tick; the last one counts those without room.
fn list(source: &Source, mut lines: Vec<String>, most: usize, id: &str) -> Option<Block> {
    let hidden = lines.len().saturating_sub(most);
    if hidden > 0 {
        lines.truncate(most - 1);
        lines.push(source.count(id, hidden + 1));
    }
    (!lines.is_empty()).then_some(Block::Ticks(lines))
}

fn forbidden(source: &Source) -> Vec<String> {
    let works = source.findings.sections.iter().filter(|w| w.forbidden);
    let line = |w: &crate::findings::SectionWork| {
        let at = clock(source.findings.shift.zone, w.span.from);
        let values = [("section", source.section(w.place).into()), ("at", at.into())];
        source.with("actions-forbidden", &values)
    };
    fewer(source, works.map(line).collect(), "actions-forbidden-more")
}

fn spots(source: &Source) -> Vec<String> {
    let mut list: Vec<&StationaryFinding> =
        source.findings.stationary.iter().filter(|e| e.severity > Severity::Slight).collect();
    // Worst first; a stable sort keeps the order of time among equals.
    list.sort_by(|a, b| {
        b.severity.cmp(&a.severity).then(b.equivalent_passes.total_cmp(&a.equivalent_passes))
    });
    let line = |e: &&StationaryFinding| {
        source.with(
            if e.cut_short { "actions-spot-cut" } else { "actions-spot" },
            &[
                ("section", source.section(e.place).into()),
                ("at", clock(source.findings.shift.zone, e.span.from).into()),
                ("time", source.figures.duration(e.span.length()).into()),
                ("remedy", events::remedy(source, e.severity).into()),
            ],
        )
    };
    fewer(source, list.iter().map(line).collect(), "actions-spots-more")
}

/// The first few lines, and one for all others.
fn fewer(source: &Source, mut lines: Vec<String>, id: &str) -> Vec<String> {
    if lines.len() > MOST_SPOTS {
        let rest = lines.len() - (MOST_SPOTS - 1);
        lines.truncate(MOST_SPOTS - 1);
        lines.push(source.count(id, rest));
    }
    lines
}

fn segments(source: &Source) -> Vec<String> {
    let (wear, figures) = (&source.findings.wear, &source.figures);
    let shift = &source.findings.shift;
    let today = shift.span.to.with_timezone(&shift.zone).date_naive();
    let mut list = Vec::new();
    let short = wear.left.is_some_and(|l| l.best <= wear.reorder_length);
    match wear.order_by {
        _ if short => list.push(source.say("actions-order-short")),
        Some(day) if day <= today => list.push(source.say("actions-order-now")),
        Some(day) if (day - today).num_days() <= ORDER_NOTICE_DAYS => {
            list.push(source.with("actions-order-by", &[("date", figures.date(day).into())]));
        }
        _ => {}
    }
    match wear.measured {
        None => list.push(source.say("actions-measure")),
        Some((day, _)) if (today - day).num_days() >= MEASURE_DAYS => {
            list.push(source.with("actions-measure-due", &[("date", figures.date(day).into())]));
        }
        Some(_) => {}
    }
    list
}

/// What is not finished first, then what can begin.
fn grinding(source: &Source) -> Vec<String> {
    let mut sections = steps::all(source);
    sections.sort_by_key(|s| !s.unfinished());
    let line = |s: &SectionSteps| {
        let (section, task) = (source.section(s.place), s.task(source)?);
        let id = if is_planned(source, s) { "actions-grind" } else { "actions-not-planned" };
        Some(source.with(id, &[("section", section.into()), ("task", task.into())]))
    };
    sections.iter().filter_map(line).collect()
}

/// How much the plan has for this machine: what it is stands under Tonight.
fn planned(source: &Source) -> Option<String> {
    let plan = source.plans.get(source.place).filter(|plan| !plan.items.is_empty())?;
    let takes = source.figures.duration(plan.takes);
    let values = [("count", plan.items.len().into()), ("takes", takes.into())];
    Some(source.with("actions-plan", &values))
}

/// Whether some machine is to grind there tonight, or nobody planned.
fn is_planned(source: &Source, section: &SectionSteps) -> bool {
    let grinds = |item: &PlanItem| {
        Some(item.section) == section.place.section && matches!(item.phase, Phase::Step(_))
    };
    source.plans.is_empty() || source.plans.iter().any(|plan| plan.items.iter().any(grinds))
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
        let time = source.figures.duration(seconds);
        vec![source.with("actions-mark", &[("time", time.into())])]
    } else {
        Vec::new()
    }
}

fn lost(source: &Source) -> Vec<String> {
    let lost = source.findings.data.problems.iter().filter(|p| p.data_lost).count();
    if lost == 0 {
        return Vec::new();
    }
    let problems = source.count("count-problems", lost);
    vec![source.with("actions-lost", &[("problems", problems.into())])]
}
