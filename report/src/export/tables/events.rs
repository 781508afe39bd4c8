//! `events`: what went wrong, one event a row, as the sheet lists them.

use super::Judged;
use super::sections::{phase_cells, section_cell};
use crate::export::batch::Cell;
use crate::export::column::{Column, Kind, MACHINE, NIGHT, Unit};
use crate::export::pen::Pen;
use crate::findings::{
    CareEvent, CareRule, LoadFindingEvent, LoadKind, Place, Severity, Span, StationaryFinding,
};

pub(super) const COLUMNS: &[Column] = &[
    MACHINE,
    NIGHT,
    Column::new("kind", Kind::Word, Unit::None)
        .always()
        .range("`stationary`; `stall`, `near_stall`, `trip`, `over_pressure`, `heavy`, `light`, `uneven`, `dry`, `hot`; `vacuum`, `water`, `pressure`, `head`, `forbidden`")
        .says("What went wrong: a brush turned while standing; a brush motor; care of machine and floor")
        .from("detectors of `protocol::detect`"),
    Column::new("from_utc", Kind::Time, Unit::None)
        .always()
        .says("Begin")
        .from("steps"),
    Column::new("to_utc", Kind::Time, Unit::None)
        .always()
        .says("End")
        .from("steps"),
    Column::new("duration", Kind::Double, Unit::Seconds)
        .always()
        .range("0 or more")
        .says("Time from begin to end")
        .from("`to_utc` - `from_utc`"),
    Column::new("cut_short", Kind::Flag, Unit::None)
        .always()
        .says("The data, not the event, ended there: it may have lasted longer")
        .from("steps"),
    Column::new("severity", Kind::Word, Unit::None)
        .range("`slight`, `inspect`, `severe`")
        .says("Of stationary brushes: how the spot compares with a whole step")
        .from("`equivalent_passes`"),
    Column::new("section", Kind::Text, Unit::None)
        .says("Id of the section; missing where nobody marked it")
        .from("marks, shift book, or the plan"),
    Column::new("phase", Kind::Word, Unit::None)
        .range("`step` or `maintenance`")
        .says("What was done there; missing where nobody said")
        .from("marks, shift book, or the plan"),
    Column::new("step", Kind::Whole, Unit::None)
        .range("1 or more")
        .says("Number of the grit step, where the phase is one")
        .from("the same"),
    Column::new("motor", Kind::Whole, Unit::None)
        .range("1 to 4, from the left")
        .says("Which brush motor; of uneven load the one that drew most")
        .from("steps"),
    Column::new("peak", Kind::Double, Unit::Amperes)
        .says("Largest current of that motor; of a trip: before it")
        .from("steps"),
    Column::new("mean", Kind::Double, Unit::Amperes)
        .says("Its mean current")
        .from("steps"),
    Column::new("ratio", Kind::Double, Unit::None)
        .range("0 or more")
        .says("Mean of current over normal current; of uneven load largest over smallest; of heat its largest share")
        .from("steps, normal currents"),
    Column::new("energy", Kind::Double, Unit::Joules)
        .range("0 or more")
        .says("Of stationary brushes: friction energy put into the spot")
        .from("steps, machine file `[motor]`"),
    Column::new("equivalent_passes", Kind::Double, Unit::None)
        .range("0 or more")
        .says("Of stationary brushes: passes at mid-band speed that grind as much")
        .from("steps, machine file `deck.contact_length`"),
];

/// What all events have, and what only some have.
#[derive(Clone, Copy)]
struct Row {
    kind: &'static str,
    span: Span,
    cut_short: bool,
    place: Place,
    severity: Option<&'static str>,
    motor: Option<usize>,
    peak: Option<f64>,
    mean: Option<f64>,
    ratio: Option<f64>,
    energy: Option<f64>,
    passes: Option<f64>,
}

pub(super) fn write(judged: &Judged<'_>, pen: &mut Pen<'_>) {
    let found = judged.findings;
    let mut rows: Vec<Row> = found.stationary.iter().map(of_stationary).collect();
    rows.extend(found.load.all().map(of_load));
    rows.extend(found.care.events.iter().map(of_care));
    rows.sort_by_key(|row| row.span.from);
    for row in rows {
        write_row(judged, &row, pen);
    }
}

fn plain(kind: &'static str, span: Span, cut_short: bool, place: Place) -> Row {
    Row {
        kind,
        span,
        cut_short,
        place,
        severity: None,
        motor: None,
        peak: None,
        mean: None,
        ratio: None,
        energy: None,
        passes: None,
    }
}

fn of_stationary(event: &StationaryFinding) -> Row {
    Row {
        severity: Some(match event.severity {
            Severity::Slight => "slight",
            Severity::Inspect => "inspect",
            Severity::Severe => "severe",
        }),
        energy: event.friction_energy.map(|energy| energy.0),
        passes: Some(event.equivalent_passes),
        ..plain("stationary", event.span, event.cut_short, event.place)
    }
}

fn of_load(event: &LoadFindingEvent) -> Row {
    let kind = match event.kind {
        LoadKind::Stall => "stall",
        LoadKind::NearStall => "near_stall",
        LoadKind::Trip => "trip",
        LoadKind::OverPressure => "over_pressure",
        LoadKind::Heavy => "heavy",
        LoadKind::Light => "light",
        LoadKind::Uneven => "uneven",
        LoadKind::Dry => "dry",
        LoadKind::Hot => "hot",
    };
    Row {
        motor: Some(event.motor),
        peak: Some(event.peak.0),
        mean: Some(event.mean.0),
        ratio: event.ratio,
        ..plain(kind, event.span, event.cut_short, event.place)
    }
}

fn of_care(event: &CareEvent) -> Row {
    let kind = match event.rule {
        CareRule::Vacuum => "vacuum",
        CareRule::Water => "water",
        CareRule::Pressure => "pressure",
        CareRule::Head => "head",
        CareRule::Forbidden => "forbidden",
    };
    plain(kind, event.span, event.cut_short, event.place)
}

fn write_row(judged: &Judged<'_>, row: &Row, pen: &mut Pen<'_>) {
    let (phase, step) = phase_cells(row.place.phase);
    for cell in [
        Cell::Text(&judged.machine.id),
        Cell::Date(judged.findings.shift.date),
        Cell::Text(row.kind),
        Cell::Time(row.span.from.timestamp_millis()),
        Cell::Time(row.span.to.timestamp_millis()),
        Cell::Double(row.span.length().0),
        Cell::Flag(row.cut_short),
        Cell::of(row.severity, Cell::Text),
        section_cell(judged.site, row.place.section),
        phase,
        step,
        Cell::of(row.motor, |motor| Cell::Whole(motor as i64 + 1)),
        Cell::of(row.peak, Cell::Double),
        Cell::of(row.mean, Cell::Double),
        Cell::of(row.ratio, Cell::Double),
        Cell::of(row.energy, Cell::Double),
        Cell::of(row.passes, Cell::Double),
    ] {
        pen.put(cell);
    }
}
