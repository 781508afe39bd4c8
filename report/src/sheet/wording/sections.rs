//! The table of sections.

use super::Source;
use super::place::assumed_sign;
use super::steps::{self, SectionSteps};
use crate::findings::{Overlap, PlaceSource, SectionWork, StepVerdict};
use crate::settings::Phase;
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::{DASH, clocks};

/// Work per section and phase.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let works = &source.findings.sections;
    if works.is_empty() {
        return vec![Block::Text(vec![source.say("sections-none")])];
    }
    let (say, figures) = (|id| source.say(id), &source.figures);
    let columns = vec![
        Column::words(say("column-section"), 0.2),
        Column::words(say("column-work"), 0.17),
        Column::words(say("column-from-to"), 0.115),
        Column::decimal(say("sections-brush-on"), "h:mm", 0.065),
        Column::decimal(say("chart-in"), "h:mm", 0.06),
        Column::decimal(say("sections-speed"), figures.speed_unit(), 0.07),
        Column::decimal(say("column-swept"), figures.area_unit(), 0.07),
        Column::decimal(say("sections-passes"), "", 0.075),
        Column::words(say("sections-what-next"), 0.175),
    ];
    let steps = steps::all(source);
    let rows = works.iter().map(|w| row(source, w, &steps)).collect();
    vec![Block::Table(Table::new(source.words(), columns, rows, notes(source, works)))]
}

fn row(source: &Source, w: &SectionWork, steps: &[SectionSteps]) -> Vec<String> {
    let figures = &source.figures;
    let mut name = source.section_and_name(w.place);
    if w.place.source == PlaceSource::Book {
        name.push_str(" *");
    }
    if w.place.source == PlaceSource::Assumed {
        name = format!("{name} {}", assumed_sign(w));
    }
    vec![
        name,
        source.phase(w.place.phase),
        clocks(source.findings.shift.zone, w.span),
        figures.hours_minutes(w.brush_time),
        w.in_band.map_or_else(|| DASH.to_owned(), |t| figures.hours_minutes(t)),
        w.mean_speed.map_or_else(|| DASH.to_owned(), |v| figures.speed(v)),
        figures.area(w.swept_area),
        w.passes.map_or_else(|| DASH.to_owned(), |v| figures.passes(v)),
        verdict(source, w, steps),
    ]
}

fn verdict(source: &Source, w: &SectionWork, steps: &[SectionSteps]) -> String {
    let of_section = steps.iter().find(|s| s.place.section == w.place.section);
    let text = match w.verdict {
        _ if w.forbidden => source.say("sections-forbidden"),
        StepVerdict::Maintained => source.say("sections-done"),
        _ if w.place.section.is_none() => source.say("sections-no-section"),
        // Of a section's rows, only the one that decides names what comes next.
        StepVerdict::Done { next: Some(n) } => match of_section {
            Some(s) if s.comes_next(n) => source.with("sections-done-next", &[("step", n.into())]),
            _ => source.say("sections-done"),
        },
        StepVerdict::Done { next: None } => source.say("sections-done-last"),
        StepVerdict::Open { step, missing } if w.place.phase != Some(Phase::Step(step)) => {
            let time = source.figures.duration(missing).into();
            source.with("sections-too-early", &[("step", step.into()), ("time", time)])
        }
        StepVerdict::Open { missing, .. } => {
            let time = source.figures.duration(missing);
            source.with("sections-not-done", &[("time", time.into())])
        }
        StepVerdict::Unknown => source.say("sections-no-step"),
    };
    if w.stationary_events > 0 {
        let times = source.count("count-times", w.stationary_events as usize);
        return format!("{text} {}", source.with("sections-stood", &[("times", times.into())]));
    }
    text
}

fn notes(source: &Source, works: &[SectionWork]) -> Vec<String> {
    let (mut notes, figures) = (Vec::new(), &source.figures);
    let found = &source.findings.area;
    if let Some(rate) = found.area_per_hour {
        let all = source.with(
            "sections-all",
            &[
                ("area", figures.area(found.swept_area).into()),
                ("rate", figures.area(rate).into()),
                ("unit", figures.area_unit().into()),
                ("way", figures.distance(found.distance).into()),
            ],
        );
        notes.push(format!("{all} {}", overlap(source)));
    }
    let mut small = Vec::new();
    if works.iter().any(|w| matches!(w.place.phase, Some(Phase::Step(_)))) {
        small.push(source.say("sections-note-step"));
    }
    small.push(source.say("sections-note-speed"));
    if works.iter().any(|w| w.stationary_events > 0) {
        small.push(source.say("sections-note-stood"));
    }
    if works.iter().any(|w| w.place.source == PlaceSource::Book) {
        small.push(format!("* {}", source.say("sections-note-book")));
    }
    small.extend(assumed_note(source, works));
    notes.push(small.join(" "));
    let unknown =
        |w: &SectionWork| w.in_band.is_none() || w.mean_speed.is_none() || w.passes.is_none();
    if works.iter().any(unknown) {
        notes.push(format!("{DASH} {}", source.say("sections-note-unknown")));
    }
    notes
}

/// What the sign of assumed places means, and how the least sure one is corrected.
fn assumed_note(source: &Source, works: &[SectionWork]) -> Option<String> {
    let assumed = works.iter().filter(|w| w.place.source == PlaceSource::Assumed);
    let sure = |w: &SectionWork| w.confidence.unwrap_or(0.0);
    let least = assumed.min_by(|a, b| sure(a).total_cmp(&sure(b)))?;
    let note = source.say("sections-note-assumed");
    let lines = source.correction(least);
    Some(lines.map_or(note.clone(), |lines| {
        format!("{note} {}", source.with("sections-correct-assumed", &[("lines", lines.into())]))
    }))
}

/// What is left of the swept area without overlap, and whether that is known.
fn overlap(source: &Source) -> String {
    let (found, figures) = (&source.findings.area, &source.figures);
    let (id, share) = match found.overlap {
        Overlap::Measured(share) => ("sections-overlap-measured", share),
        Overlap::Assumed(share) => ("sections-overlap-assumed", share),
    };
    source.with(
        id,
        &[
            ("share", format!("{:.0} %", 100.0 * share).into()),
            ("net", figures.area(found.net_area()).into()),
            ("unit", figures.area_unit().into()),
        ],
    )
}
