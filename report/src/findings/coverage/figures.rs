//! Where the figures of coverage come from.

use super::Visit;
use crate::findings::figure::{Amount, Case, Figure, Known};

const READ: &[&str] = &["speed", "turn_rate", "brush_command", "brush_current_1", "head_down"];
const SETTINGS: &[&str] = &[
    "machine:deck.path_width",
    "machine:path.deck_offset",
    "machine:path.gyro_noise",
    "machine:path.gyro_start_bias",
    "machine:path.gyro_wander",
    "machine:path.gyro_wander_time",
    "machine:path.gyro_scale_error",
    "machine:path.speed_noise",
    "machine:path.lane_spread",
    "machine:path.side_spread",
    "machine:limits.standing_speed",
];
const SOURCE: &str = "dead reckoning by arcs with an extended Kalman filter (R. E. Kalman, 1960); sensor numbers of a consumer gyro: common practice, no published source";
const ASSUMED: &[&str] = &[
    "A machine that stands with a quiet gyro does not turn.",
    "Lanes lie parallel or at right angles; one that does not is left out.",
    "Sweeps over the same floor end at the same two sides; one that does not is left out.",
    "The wheels do not slip.",
];

fn case(known: &Known<'_>, visit: &Visit) -> Case {
    let section = visit.place.section.and_then(|i| known.site.sections.get(i));
    let name = section.map_or("no section marked", |s| &s.id);
    let phase = visit.place.phase.map_or_else(String::new, |phase| format!(", {phase}"));
    let (fitting, odd) = visit.lanes;
    Case::event(format!("{name}{phase}"), visit.span).with([
        ("swept area", Amount::Area(visit.swept)),
        ("lanes that fitted", Amount::Count(fitting.into())),
        ("lanes that did not", Amount::Count(odd.into())),
        ("ends of sweeps at known sides", Amount::Count(visit.sides_seen.into())),
        ("drift across the lanes, 80 %", Amount::Way(visit.drift)),
    ])
}

fn distinct(known: &Known<'_>) -> Vec<Case> {
    const LOST: &str = "the path drifted too far or is not whole";
    let one = |visit: &Visit| {
        let overlap = Amount::or_unknown(visit.overlap(), Amount::Share, LOST);
        let area = visit.holds().then_some(visit.distinct);
        case(known, visit).with([
            ("distinct area, half of its 80 % interval", Amount::Area(visit.distinct_bound)),
            ("overlap", overlap),
            ("distinct area", Amount::or_unknown(area, Amount::Area, LOST)),
        ])
    };
    known.findings.coverage.visits.iter().map(one).collect()
}

fn missed(known: &Known<'_>) -> Vec<Case> {
    let one = |visit: &Visit| {
        case(known, visit).with([
            ("narrowest strip looked for", Amount::Length(visit.least_strip)),
            ("longest strip", Amount::Way(visit.longest_missed)),
            ("missed area", Amount::Area(visit.missed)),
        ])
    };
    known.findings.coverage.visits.iter().filter(|v| v.holds()).map(one).collect()
}

pub(in crate::findings) const FIGURES: &[Figure] = &[
    Figure {
        id: "coverage.distinct",
        says: "Floor swept at least once, visit by visit, with its drift",
        channels: READ,
        settings: SETTINGS,
        formula: "area of the union of the floor that the brush line passed, on cells of 3 cm; bound 1.2816 sqrt(2 ((length x drift across)^2 + (breadth x drift along)^2))",
        source: SOURCE,
        assumed: ASSUMED,
        worked: distinct,
    },
    Figure {
        id: "coverage.missed",
        says: "Floor between lanes that no brush touched",
        channels: READ,
        settings: &["machine:path.least_strip", "machine:deck.path_width"],
        formula: "untouched cells between touched ones across the lanes, wider than the least strip, not wider than the path, and at least half a path width long",
        source: "our own definition",
        assumed: &[
            "A gap wider than the brush path is a column or an aisle, not a missed strip.",
            "Strips narrower than the drift between neighbouring lanes may be missing or made up.",
        ],
        worked: missed,
    },
];
