//! How much of each floor the brushes touched, by the path.

use super::Source;
use crate::findings::{CoverageMap, Square, Visit};
use crate::sheet::document::{Block, Column, FloorMap, Shade, Table};
use crate::sheet::figures::{NOT_KNOWN, area, clocks, count, grouped, passes};
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
    let mut blocks =
        vec![Block::Heading("Coverage, by the path".to_owned()), table(source, visits)];
    let maps: Vec<FloorMap> =
        visits.iter().filter(|v| v.holds()).filter_map(|v| map(source, v)).collect();
    if !maps.is_empty() {
        blocks.push(Block::Maps(maps));
    }
    blocks
}

fn table(source: &Source, visits: &[Visit]) -> Block {
    let unit = source.units.area_unit();
    let columns = vec![
        Column::words("Section", 0.2),
        Column::words("Work", 0.17),
        Column::words("From–to", 0.12),
        Column::decimal("Swept", unit, 0.085),
        Column::decimal("Floor", unit, 0.085),
        Column::decimal("Give or take", unit, 0.09),
        Column::decimal("Of section", "%", 0.085),
        Column::decimal("Mean times", "", 0.08),
        Column::decimal("Missed", unit, 0.085),
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
    let units = source.units;
    let held = |text: String| if visit.holds() { text } else { NOT_KNOWN.to_owned() };
    let section = visit.place.section.and_then(|i| source.site.sections.get(i));
    let share = section.map(|s| 100.0 * (visit.distinct / s.area)).filter(|v| v.is_finite());
    vec![
        source.section_and_name(visit.place),
        source.phase(visit.place.phase),
        clocks(source.findings.shift.zone, visit.span),
        area(units, visit.swept),
        held(area(units, visit.distinct)),
        held(small_area(units, visit.distinct_bound)),
        held(share.map_or_else(|| NOT_KNOWN.to_owned(), |v| format!("{v:.0}"))),
        visit.times().map_or_else(|| NOT_KNOWN.to_owned(), passes),
        held(small_area(units, visit.missed)),
    ]
}

fn notes(source: &Source, visits: &[Visit], left_out: usize) -> Vec<String> {
    let least = visits.first().map_or(Metres(0.0), |v| v.least_strip);
    let mut notes = vec![format!(
        "Floor: touched at least once; overlap counts once. Give or take: 80 % interval from the \
         drift of the path, which is reckoned from speed and turn rate; lanes are taken to be \
         parallel or at right angles, and sweeps to end at the same two sides. Missed: between \
         lanes, wider than {} and not wider than the brush path. Visits cannot be laid over each \
         other.",
        small_length(source.units, least)
    )];
    if visits.iter().any(|v| !v.holds()) {
        notes.push("Where the path drifted too far no floor is told.".to_owned());
    }
    let beyond = |v: &Visit| {
        let section = v.place.section.and_then(|i| source.site.sections.get(i));
        v.holds() && section.is_some_and(|s| v.distinct.0 > 1.05 * s.area.0)
    };
    if visits.iter().any(beyond) {
        notes.push(
            "Over 100 % of a section: turns at the ends of lanes lie outside of it, work went on \
             beyond its mark, or the path drifted."
                .to_owned(),
        );
    }
    if visits.iter().any(|v| v.goes_on) {
        notes.push(
            "Readings failed during a visit: its parts have a row each and may lie over each \
             other."
                .to_owned(),
        );
    }
    if left_out > 0 {
        notes.push(format!("{} with less work not shown.", count(left_out, "visit", "visits")));
    }
    notes
}

/// Whole square feet, or tenths of a square metre.
fn small_area(units: Units, a: SquareMetres) -> String {
    let v = units.area(a).max(0.0);
    match units {
        Units::Us => grouped(v.round() as u64),
        Units::Si => format!("{v:.1}"),
    }
}

/// With its unit: whole inches, or hundredths of a metre.
fn small_length(units: Units, l: Metres) -> String {
    match units {
        Units::Us => format!("{:.0} in", units.length(l).ceil()),
        Units::Si => format!("{:.2} m", l.0),
    }
}

fn map(source: &Source, visit: &Visit) -> Option<FloorMap> {
    let map = visit.map.as_ref()?;
    let units = source.units;
    let limits = Limits::of(map.usual_times());
    let place = source.section(visit.place);
    let phase = source.phase(visit.place.phase);
    let missed = if units.area(visit.missed) < 0.5 {
        "no strip missed".to_owned()
    } else {
        format!("{} {} missed", small_area(units, visit.missed), units.area_unit())
    };
    Some(FloorMap {
        title: format!("{place}, {phase}, {}", clocks(source.findings.shift.zone, visit.span)),
        columns: map.columns,
        squares: map.squares.iter().map(|square| limits.shade(*square)).collect(),
        scale: scale(units, map),
        legend: limits.legend(),
        caption: format!(
            "Times brushed. {} {} touched, give or take {}; the path may be off by {}; {missed}.",
            area(units, visit.distinct),
            units.area_unit(),
            small_area(units, visit.distinct_bound),
            small_length(units, visit.drift),
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

    fn legend(self) -> Vec<(Shade, String)> {
        let few = if self.few == 1 { "1".to_owned() } else { format!("1–{}", self.few) };
        vec![
            (Shade::Few, few),
            (Shade::Usual, format!("{}–{}", self.few + 1, self.usual)),
            (Shade::More, format!("{} or more", u16::from(self.usual) + 1)),
            (Shade::Missed, "missed".to_owned()),
        ]
    }
}

/// A round length of about a quarter of the map, as a share of its width.
fn scale(units: Units, map: &CoverageMap) -> (f64, String) {
    let (unit, one) = match units {
        Units::Us => ("ft", crate::units::METRES_PER_FOOT),
        Units::Si => ("m", 1.0),
    };
    let width = map.size().0.0 / one;
    let rounds = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0];
    let length = rounds.into_iter().rfind(|round| *round <= width / 3.0).unwrap_or(1.0);
    ((length / width).min(1.0), format!("{length} {unit}"))
}
