//! `sections`: work on each section, phase by phase, as the sheet lists it.

use super::Judged;
use crate::export::batch::Cell;
use crate::export::column::{Column, GRIT, Kind, MACHINE, NIGHT, PHASE, STEP, Unit};
use crate::export::pen::Pen;
use crate::findings::{PlaceSource, SectionWork, StepVerdict};
use crate::settings::{Phase, Site};

pub(super) const COLUMNS: &[Column] = &[
    MACHINE,
    NIGHT,
    Column::new("section", Kind::Text, Unit::None)
        .says("Id of the section")
        .missing("nobody marked it, and no plan tells")
        .from("marks, shift book, or the plan: see `told_by`"),
    Column::new("section_name", Kind::Text, Unit::None)
        .says("Its name")
        .missing("the section is not known")
        .from("site file"),
    Column::new("section_area", Kind::Double, Unit::Area)
        .range("more than 0")
        .says("Its area")
        .missing("the section is not known")
        .from("site file"),
    PHASE,
    STEP,
    GRIT,
    Column::new("told_by", Kind::Word, Unit::None)
        .range("`machine`, `book`, `assumed`, `nobody`")
        .says("Who said where the machine was, for most of the time")
        .from("marks, shift book, or the plan"),
    Column::new("confidence", Kind::Double, Unit::None)
        .range("0 to 1")
        .says("How sure it is that the work was here")
        .missing("most of it was told, not assumed")
        .equals("sections[].confidence")
        .from("the plan"),
    Column::new("from_utc", Kind::Time, Unit::None)
        .says("Begin of the first work there")
        .equals("sections[].span.from")
        .from("steps"),
    Column::new("to_utc", Kind::Time, Unit::None)
        .says("End of the last work there; other work may lie between")
        .equals("sections[].span.to")
        .from("steps"),
    Column::new("brush_time", Kind::Double, Unit::Seconds)
        .range("0 or more")
        .says("Brush time there")
        .equals("sections[].brush_time_s")
        .from("steps"),
    Column::new("in_band", Kind::Double, Unit::Seconds)
        .range("0 or more")
        .says("Brush time in the band of the phase")
        .missing("no phase is known, so no band")
        .equals("sections[].in_band_s")
        .from("steps, site file `[bands]`"),
    Column::new("mean_speed", Kind::Double, Unit::Speed)
        .range("0 or more")
        .says("Mean speed, without sign, over brush time")
        .missing("no brush turned")
        .equals("sections[].mean_speed_m_s")
        .from("steps"),
    Column::new("swept_area", Kind::Double, Unit::Area)
        .range("0 or more")
        .says("Path width x way with a brush turning on the floor")
        .equals("sections[].swept_area_m2")
        .from("steps, machine file `deck.path_width`"),
    Column::new("passes", Kind::Double, Unit::None)
        .range("0 or more")
        .says("Swept area / area of the section")
        .missing("the section is not known")
        .equals("sections[].passes")
        .from("steps, site file"),
    Column::new("stationary_events", Kind::Whole, Unit::None)
        .range("0 or more")
        .says("Stationary-brush events there")
        .equals("sections[].stationary_events")
        .from("steps"),
    Column::new("forbidden", Kind::Flag, Unit::None)
        .says("Brushes turned on a floor that must never be polished")
        .equals("sections[].forbidden")
        .from("steps, site file"),
    Column::new("verdict", Kind::Word, Unit::None)
        .range("`done`, `open`, `maintained`, `unknown`")
        .says("Whether the step is done, by the minutes of all nights and machines")
        .from("steps of all nights, site file `[[step]]`"),
    Column::new("missing", Kind::Double, Unit::Seconds)
        .range("more than 0")
        .says("Time in band that the step still needs")
        .missing("the step is not open")
        .from("the same"),
    Column::new("next_step", Kind::Whole, Unit::None)
        .range("1 or more")
        .says("Step to go on with")
        .missing("the section is done, or nothing is known")
        .from("the same"),
];

pub(super) fn write(judged: &Judged<'_>, pen: &mut Pen<'_>) {
    for work in &judged.findings.sections {
        write_work(judged, work, pen);
    }
}

fn write_work(judged: &Judged<'_>, work: &SectionWork, pen: &mut Pen<'_>) {
    let section = work.place.section.and_then(|place| judged.site.sections.get(place));
    let (verdict, missing, next) = verdict(work.verdict);
    let (phase, step) = phase_cells(work.place.phase);
    for cell in [
        Cell::Text(&judged.machine.id),
        Cell::Date(judged.findings.shift.date),
        Cell::of(section, |section| Cell::Text(&section.id)),
        Cell::of(section, |section| Cell::Text(&section.name)),
        Cell::of(section, |section| Cell::Double(section.area.0)),
        phase,
        step,
        grit_cell(judged.site, work.place.phase),
        Cell::Text(told_by(work.place.source)),
        Cell::of(work.confidence, Cell::Double),
        Cell::Time(work.span.from.timestamp_millis()),
        Cell::Time(work.span.to.timestamp_millis()),
        Cell::Double(work.brush_time.0),
        Cell::of(work.in_band, |time| Cell::Double(time.0)),
        Cell::of(work.mean_speed, |speed| Cell::Double(speed.0)),
        Cell::Double(work.swept_area.0),
        Cell::of(work.passes, Cell::Double),
        Cell::Whole(i64::from(work.stationary_events)),
        Cell::Flag(work.forbidden),
        Cell::Text(verdict),
        missing,
        next,
    ] {
        pen.put(cell);
    }
}

/// `phase` and `step` of a row.
pub(super) fn phase_cells(phase: Option<Phase>) -> (Cell<'static>, Cell<'static>) {
    match phase {
        None => (Cell::Empty, Cell::Empty),
        Some(Phase::Maintenance) => (Cell::Text("maintenance"), Cell::Empty),
        Some(Phase::Step(number)) => (Cell::Text("step"), Cell::Whole(i64::from(number))),
    }
}

/// `grit` of a row.
pub(super) fn grit_cell(site: &Site, phase: Option<Phase>) -> Cell<'_> {
    let grit = phase.and_then(|phase| match phase {
        Phase::Step(number) => site.step(number).map(|step| step.grit.as_str()),
        Phase::Maintenance => site.maintenance.as_ref().map(|daily| daily.grit.as_str()),
    });
    Cell::of(grit, Cell::Text)
}

/// Id of the section of a row.
pub(super) fn section_cell(site: &Site, section: Option<usize>) -> Cell<'_> {
    let section = section.and_then(|place| site.sections.get(place));
    Cell::of(section, |section| Cell::Text(&section.id))
}

fn told_by(source: PlaceSource) -> &'static str {
    match source {
        PlaceSource::Machine => "machine",
        PlaceSource::Book => "book",
        PlaceSource::Assumed => "assumed",
        PlaceSource::Unmarked => "nobody",
    }
}

fn verdict(verdict: StepVerdict) -> (&'static str, Cell<'static>, Cell<'static>) {
    let step = |number: u8| Cell::Whole(i64::from(number));
    match verdict {
        StepVerdict::Done { next } => ("done", Cell::Empty, Cell::of(next, step)),
        StepVerdict::Open { step: number, missing } => {
            ("open", Cell::Double(missing.0), step(number))
        }
        StepVerdict::Maintained => ("maintained", Cell::Empty, Cell::Empty),
        StepVerdict::Unknown => ("unknown", Cell::Empty, Cell::Empty),
    }
}
