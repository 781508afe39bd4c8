//! How much of each floor the brushes touched, by the path.

use super::Source;
use crate::findings::{CoverageMap, Square, Visit};
use crate::sheet::document::{Block, Column, FloorMap, Shade, Table};
use crate::sheet::figures::clocks;
use crate::units::Units;
use underbrush_protocol::si::{Metres, SquareMetres};

/// Visits that have a row; the largest ones.
const MOST_ROWS: usize = 10;

/// Nothing where no path is known.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let visits = &source.findings.coverage.visits;
    if visits.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![Block::Heading(source.say("coverage-heading")), table(source, visits)];
    let maps: Vec<FloorMap> =
        visits.iter().filter(|v| v.holds()).filter_map(|v| map(source, v)).collect();
    if !maps.is_empty() {
        blocks.push(Block::Maps(maps));
    }
    blocks
}

fn table(source: &Source, visits: &[Visit]) -> Block {
    let unit = source.figures.area_unit();
    let number = |id, unit: &str, share| Column::decimal(source.say(id), unit, share);
    let columns = vec![
        Column::words(source.say("column-section"), 0.2),
        Column::words(source.say("column-work"), 0.17),
        Column::words(source.say("column-from-to"), 0.12),
        number("column-swept", &unit, 0.085),
        number("coverage-floor", &unit, 0.085),
        number("coverage-give-or-take", &unit, 0.09),
        number("coverage-of-section", "%", 0.085),
        number("coverage-mean-times", "", 0.08),
        number("coverage-missed", &unit, 0.085),
    ];
    let mut order: Vec<usize> = (0..visits.len()).collect();
    order.sort_by(|a, b| visits[*b].swept.0.total_cmp(&visits[*a].swept.0));
    let left_out = order.len().saturating_sub(MOST_ROWS);
    order.truncate(MOST_ROWS);
    order.sort_unstable();
    let rows = order.into_iter().map(|i| row(source, &visits[i])).collect();
    Block::Table(Table::new(source.words(), columns, rows, notes(source, visits, left_out)))
}

fn row(source: &Source, visit: &Visit) -> Vec<String> {
    let figures = &source.figures;
    let held = |text: String| if visit.holds() { text } else { figures.not_known() };
    let section = visit.place.section.and_then(|i| source.site.sections.get(i));
    let share = section.map(|s| 100.0 * (visit.distinct / s.area)).filter(|v| v.is_finite());
    vec![
        source.section_and_name(visit.place),
        source.phase(visit.place.phase),
        clocks(source.findings.shift.zone, visit.span),
        figures.area(visit.swept),
        held(figures.area(visit.distinct)),
        held(small_area(source, visit.distinct_bound)),
        held(share.map_or_else(|| figures.not_known(), |v| format!("{v:.0}"))),
        visit.times().map_or_else(|| figures.not_known(), |v| figures.passes(v)),
        held(small_area(source, visit.missed)),
    ]
}

fn notes(source: &Source, visits: &[Visit], left_out: usize) -> Vec<String> {
    let least = visits.first().map_or(Metres(0.0), |v| v.least_strip);
    let strip = small_length(source, least);
    let mut notes = vec![source.with("coverage-note", &[("strip", strip.into())])];
    if visits.iter().any(|v| !v.holds()) {
        notes.push(source.say("coverage-note-drift"));
    }
    let beyond = |v: &Visit| {
        let section = v.place.section.and_then(|i| source.site.sections.get(i));
        v.holds() && section.is_some_and(|s| v.distinct.0 > 1.05 * s.area.0)
    };
    if visits.iter().any(beyond) {
        notes.push(source.say("coverage-note-over"));
    }
    if visits.iter().any(|v| v.goes_on) {
        notes.push(source.say("coverage-note-parts"));
    }
    if left_out > 0 {
        notes.push(source.count("coverage-note-left-out", left_out));
    }
    notes
}

/// Whole square feet, or tenths of a square metre.
fn small_area(source: &Source, a: SquareMetres) -> String {
    let v = source.units.area(a).max(0.0);
    match source.units {
        Units::Us => source.figures.grouped(v.round() as u64),
        Units::Si => source.figures.fixed(v, 1),
    }
}

/// With its unit: whole inches, or hundredths of a metre.
fn small_length(source: &Source, l: Metres) -> String {
    let figures = &source.figures;
    match source.units {
        Units::Us => {
            let inches = figures.fixed(source.units.length(l).ceil(), 0);
            format!("{inches} {}", figures.length_unit())
        }
        Units::Si => format!("{} m", figures.fixed(l.0, 2)),
    }
}

fn map(source: &Source, visit: &Visit) -> Option<FloorMap> {
    let map = visit.map.as_ref()?;
    let figures = &source.figures;
    let limits = Limits::of(map.usual_times());
    let place = source.section(visit.place);
    let phase = source.phase(visit.place.phase);
    let missed = if source.units.area(visit.missed) < 0.5 {
        source.say("coverage-none-missed")
    } else {
        let (area, unit) = (small_area(source, visit.missed), figures.area_unit());
        source.with("coverage-strips-missed", &[("area", area.into()), ("unit", unit.into())])
    };
    Some(FloorMap {
        title: format!("{place}, {phase}, {}", clocks(source.findings.shift.zone, visit.span)),
        columns: map.columns,
        squares: map.squares.iter().map(|square| limits.shade(*square)).collect(),
        scale: scale(source, map),
        legend: limits.legend(source),
        caption: source.with(
            "coverage-caption",
            &[
                ("area", figures.area(visit.distinct).into()),
                ("unit", figures.area_unit().into()),
                ("bound", small_area(source, visit.distinct_bound).into()),
                ("drift", small_length(source, visit.drift).into()),
                ("missed", missed.into()),
            ],
        ),
    })
}

/// How often is few, usual and more, in whole numbers.
#[derive(Clone, Copy)]
struct Limits {
    few: u8,
    usual: u8,
}

impl Limits {
    /// Up to half of the usual number, and up to one and a half times it.
    fn of(usual: u8) -> Self {
        if usual <= 3 {
            return Self { few: 1, usual: 3 };
        }
        Self { few: usual / 2, usual: usual.saturating_add(usual / 2) }
    }

    fn shade(self, square: Square) -> Shade {
        match square {
            Square::Outside => Shade::Outside,
            Square::Missed => Shade::Missed,
            Square::Brushed(times) if times <= self.few => Shade::Few,
            Square::Brushed(times) if times <= self.usual => Shade::Usual,
            Square::Brushed(_) => Shade::More,
        }
    }

    fn legend(self, source: &Source) -> Vec<(Shade, String)> {
        let few = if self.few == 1 { "1".to_owned() } else { format!("1–{}", self.few) };
        vec![
            (Shade::Few, few),
            (Shade::Usual, format!("{}–{}", self.few + 1, self.usual)),
            (Shade::More, source.count("coverage-or-more", usize::from(self.usual) + 1)),
            (Shade::Missed, source.say("coverage-sign-missed")),
        ]
    }
}

/// A round length of about a quarter of the map, as a share of its width.
fn scale(source: &Source, map: &CoverageMap) -> (f64, String) {
    let (unit, one) = match source.units {
        Units::Us => ("ft", crate::units::METRES_PER_FOOT),
        Units::Si => ("m", 1.0),
    };
    let width = map.size().0.0 / one;
    let rounds = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let length = rounds.into_iter().rfind(|round| *round <= width / 3.0).unwrap_or(1.0);
    ((length / width).min(1.0), format!("{length} {unit}"))
}
