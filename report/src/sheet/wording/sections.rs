//! The table of sections.

use super::Source;
use super::steps::{self, SectionSteps};
use crate::findings::{Overlap, PlaceSource, SectionWork, StepVerdict};
use crate::settings::Phase;
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::{
    DASH, area, clocks, count, distance, duration, hours_minutes, passes, speed,
};

/// Work per section and phase.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let works = &source.findings.sections;
    if works.is_empty() {
        return vec![Block::Text(vec!["No brush work was seen on any section.".to_owned()])];
    }
    let units = source.units;
    let columns = vec![
        Column::words("Section", 0.2),
        Column::words("Work", 0.17),
        Column::words("From–to", 0.115),
        Column::decimal("Brush on", "h:mm", 0.065),
        Column::decimal("In band", "h:mm", 0.06),
        Column::decimal("Speed", units.speed_unit(), 0.07),
        Column::decimal("Swept", units.area_unit(), 0.07),
        Column::decimal("Passes", "", 0.075),
        Column::words("What next", 0.175),
    ];
    let steps = steps::all(source);
    let rows = works.iter().map(|w| row(source, w, &steps)).collect();
    vec![Block::Table(Table::new(source.words(), columns, rows, notes(source, works)))]
}

fn row(source: &Source, w: &SectionWork, steps: &[SectionSteps]) -> Vec<String> {
    let mut name = source.section_and_name(w.place);
    if w.place.source == PlaceSource::Book {
        name.push_str(" *");
    }
    vec![
        name,
        source.phase(w.place.phase),
        clocks(source.findings.shift.zone, w.span),
        hours_minutes(w.brush_time),
        w.in_band.map_or_else(|| DASH.to_owned(), hours_minutes),
        w.mean_speed.map_or_else(|| DASH.to_owned(), |v| speed(source.units, v)),
        area(source.units, w.swept_area),
        w.passes.map_or_else(|| DASH.to_owned(), passes),
        verdict(w, steps),
    ]
}

fn verdict(w: &SectionWork, steps: &[SectionSteps]) -> String {
    let of_section = steps.iter().find(|s| s.place.section == w.place.section);
    let mut text = match w.verdict {
        _ if w.forbidden => "Never to be polished: inspect the floor.".to_owned(),
        StepVerdict::Maintained => "Done.".to_owned(),
        _ if w.place.section.is_none() => "Not known: no section marked.".to_owned(),
        // Of a section's rows, only the one that decides names what comes next.
        StepVerdict::Done { next: Some(n) } => match of_section {
            Some(s) if s.comes_next(n) => format!("Done; step {n} next."),
            _ => "Done.".to_owned(),
        },
        StepVerdict::Done { next: None } => "Done: the last step.".to_owned(),
        StepVerdict::Open { missing, .. } => {
            format!("Not done: {} more in band.", duration(missing))
        }
        StepVerdict::Unknown => "Not known: no step marked.".to_owned(),
    };
    if w.stationary_events > 0 {
        let times = count(w.stationary_events as usize, "time", "times");
        text = format!("{text} Stood {times}.");
    }
    text
}

fn notes(source: &Source, works: &[SectionWork]) -> Vec<String> {
    let mut notes = Vec::new();
    let found = &source.findings.area;
    if let Some(rate) = found.area_per_hour {
        let units = source.units;
        let unit = units.area_unit();
        notes.push(format!(
            "All together {} {unit} swept, {} {unit} an hour of brush time; way driven {}. Swept \
             area is brush path width x way, so floor swept again counts again, also in passes: \
             swept area by the section's area. {}",
            area(units, found.swept_area),
            area(units, rate),
            distance(units, found.distance),
            overlap(source)
        ));
    }
    let mut small = Vec::new();
    if works.iter().any(|w| matches!(w.place.phase, Some(Phase::Step(_)))) {
        small.push(
            "A step is done when its minutes in band are reached in this shift; minutes of \
             earlier nights are not added up yet.",
        );
    }
    small.push("Speed is the mean while brushes turn.");
    if works.iter().any(|w| w.stationary_events > 0) {
        small.push("Stood: with brushes turning, see Events.");
    }
    if works.iter().any(|w| w.place.source == PlaceSource::Book) {
        small.push("* by the shift book, not marked at the machine.");
    }
    notes.push(small.join(" "));
    let unknown =
        |w: &SectionWork| w.in_band.is_none() || w.mean_speed.is_none() || w.passes.is_none();
    if works.iter().any(unknown) {
        notes.push(format!(
            "{DASH} not known: without a mark there is no band and no area to go by, without brush \
             time no mean speed."
        ));
    }
    notes
}

/// What is left of the swept area without overlap, and whether that is known.
fn overlap(source: &Source) -> String {
    let found = &source.findings.area;
    let (units, unit) = (source.units, source.units.area_unit());
    let net = area(units, found.net_area());
    match found.overlap {
        Overlap::Measured(share) => format!(
            "By the path, {:.0} % of it was floor swept before in the same visit: {net} {unit} net.",
            100.0 * share
        ),
        Overlap::Assumed(share) => format!(
            "The path is not known for most of the way: with {:.0} % overlap of neighbouring lanes (assumed, not \
             measured) {net} {unit} net.",
            100.0 * share
        ),
    }
}
