//! `events`: what went wrong, one event a row, as the sheet lists them.

use super::Judged;
use super::sections::{phase_cells, section_cell};
use crate::events::{Event, Finding, Told, list};
use crate::export::batch::Cell;
use crate::export::column::{Column, Kind, MACHINE, NIGHT, PHASE, SECTION, STEP, Unit};
use crate::export::pen::Pen;
pub(super) const COLUMNS: &[Column] = &[
    MACHINE,
    NIGHT,
    Column::new("id", Kind::Word, Unit::None)
        .says("What `underbrush trace` and people call it")
        .from("night, machine and begin"),
    Column::new("kind", Kind::Word, Unit::None)
        .range("the kinds of `underbrush events`: `stationary`, `stall`, `over-pressure`, ...")
        .says("What happened")
        .from("detectors of `protocol::detect`, findings"),
    Column::new("severity", Kind::Word, Unit::None)
        .range("`note`, `slight`, `inspect`, `severe`")
        .says("How bad it is")
        .from("kind, length and figure"),
    Column::new("from_utc", Kind::Time, Unit::None)
        .says("Begin")
        .from("steps"),
    Column::new("to_utc", Kind::Time, Unit::None)
        .says("End")
        .from("steps"),
    Column::new("duration", Kind::Double, Unit::Seconds)
        .range("0 or more")
        .says("Time from begin to end")
        .from("`to_utc` - `from_utc`"),
    Column::new("cut_short", Kind::Flag, Unit::None)
        .says("The data, not the event, ended there: it may have lasted longer")
        .from("steps"),
    SECTION,
    PHASE,
    STEP,
    Column::new("motor", Kind::Whole, Unit::None)
        .range("1 to 4, from the left")
        .says("Which brush motor; of uneven load the one that drew most")
        .missing("the event is of no single motor")
        .from("steps"),
    Column::new("figure_of", Kind::Word, Unit::None)
        .says("What `figure` is of")
        .from("kind"),
    Column::new("figure", Kind::Double, Unit::None)
        .says("The number that made it an event, in SI units")
        .missing("it could not be computed")
        .from("findings"),
    Column::new("figure_unit", Kind::Word, Unit::None)
        .says("Unit of `figure` and `limit`; empty for a bare number")
        .from("kind"),
    Column::new("limit", Kind::Double, Unit::None)
        .says("What the figure passed")
        .missing("there is no limit")
        .from("machine file"),
    Column::new("peak", Kind::Double, Unit::Amperes)
        .says("Largest current of that motor; of a trip: before it")
        .missing("no event of a motor's load")
        .from("steps"),
    Column::new("mean", Kind::Double, Unit::Amperes)
        .says("Its mean current")
        .missing("no event of a motor's load")
        .from("steps"),
    Column::new("ratio", Kind::Double, Unit::None)
        .range("0 or more")
        .says("Mean of current over normal current; of uneven load largest over smallest; of heat its largest share")
        .missing("no event of a motor's load, or no normal current is known")
        .from("steps, normal currents"),
    Column::new("energy", Kind::Double, Unit::Joules)
        .range("0 or more")
        .says("Of stationary brushes: friction energy put into the spot")
        .missing("another event, or the motor's constants or its current are not known")
        .from("steps, machine file `[motor]`"),
    Column::new("equivalent_passes", Kind::Double, Unit::None)
        .range("0 or more")
        .says("Of stationary brushes: passes at mid-band speed that grind as much")
        .missing("another event")
        .from("steps, machine file `deck.contact_length`"),
];

pub(super) fn write(judged: &Judged<'_>, pen: &mut Pen<'_>) {
    let told = Told { machine: judged.number, findings: judged.findings };
    for event in list(judged.machines, [told]) {
        write_event(judged, &event, pen);
    }
}

fn write_event(judged: &Judged<'_>, event: &Event, pen: &mut Pen<'_>) {
    let (phase, step) = phase_cells(event.place.phase);
    let load = match &event.finding {
        Finding::Load(load) => Some(load),
        _ => None,
    };
    let stood = match &event.finding {
        Finding::Stationary(stood) => Some(stood),
        _ => None,
    };
    let energy = stood.and_then(|stood| stood.friction_energy);
    for cell in [
        Cell::Text(&judged.machine.id),
        Cell::Date(event.night),
        Cell::Text(&event.id),
        Cell::Text(event.kind.word()),
        Cell::Text(event.severity.word()),
        Cell::Time(event.span.from.timestamp_millis()),
        Cell::Time(event.span.to.timestamp_millis()),
        Cell::Double(event.lasted().0),
        Cell::Flag(event.cut_short),
        section_cell(judged.site, event.place.section),
        phase,
        step,
        Cell::of(event.motor, |motor| Cell::Whole(motor as i64 + 1)),
        Cell::Text(event.figure.of),
        Cell::Double(event.figure.value),
        Cell::Text(event.figure.unit),
        Cell::of(event.limit, Cell::Double),
        Cell::of(load, |load| Cell::Double(load.peak.0)),
        Cell::of(load, |load| Cell::Double(load.mean.0)),
        Cell::of(load.and_then(|load| load.ratio), Cell::Double),
        Cell::of(energy, |energy| Cell::Double(energy.0)),
        Cell::of(stood, |stood| Cell::Double(stood.equivalent_passes)),
    ] {
        pen.put(cell);
    }
}
