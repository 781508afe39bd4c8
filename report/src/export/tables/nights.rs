//! `nights`: a shift of a machine in one row, with the figures of its sheet.

use super::Judged;
use crate::export::batch::Cell;
use crate::export::column::{Column, Kind, MACHINE, NIGHT, Unit};
use crate::export::pen::Pen;
use crate::findings::{Overlap, PhaseSpeed, Span};
use underbrush_protocol::si::Seconds;

const fn seconds(stem: &'static str) -> Column {
    Column::new(stem, Kind::Double, Unit::Seconds).range("0 or more")
}

const fn count(stem: &'static str) -> Column {
    Column::new(stem, Kind::Whole, Unit::None).range("0 or more")
}

const fn length(stem: &'static str) -> Column {
    Column::new(stem, Kind::Double, Unit::Length)
        .range("0 or more")
        .missing("no set of known length is on the machine")
}

pub(super) const COLUMNS: &[Column] = &[
    MACHINE,
    NIGHT,
    Column::new("from_utc", Kind::Time, Unit::None)
        .says("Begin of the shift")
        .equals("shift.span.from")
        .from("site file, `[shift]`"),
    Column::new("to_utc", Kind::Time, Unit::None)
        .says("End of the shift: figures of this table are of the time before it")
        .equals("shift.span.to")
        .from("site file, `[shift]`"),
    seconds("recorded")
        .says("Time that the agent was recording")
        .equals("data.recorded_s")
        .from("steps"),
    seconds("observed")
        .says("Part of it in which speed and brush were both known")
        .equals("data.observed_s")
        .from("steps"),
    count("gaps")
        .says("Stretches without speed or brush readings")
        .equals("count(data.gaps)")
        .from("steps"),
    seconds("gaps").says("Their time in all").from("steps"),
    count("power_ons").says("Power-ons of the board in the shift").equals("data.boots").from("log"),
    count("frames").says("Frames that arrived").equals("data.link.frames").from("log"),
    count("frames_lost")
        .says("Frames missing by their sequence numbers")
        .equals("data.link.lost")
        .from("log"),
    count("frames_damaged")
        .says("Packets whose checksum or framing did not hold")
        .equals("data.link.damaged")
        .from("log"),
    count("problems")
        .says("Sentences of the sheet about what is wrong with the data")
        .equals("count(data.problems)")
        .from("log, settings"),
    seconds("brush_time")
        .says("Observed time with a brush turning")
        .equals("area.brush_time_s")
        .from("steps"),
    seconds("below_band")
        .says("Brush time slower than the band of the phase, standing included")
        .from("steps, site file `[bands]`"),
    seconds("in_band")
        .says("Brush time in the band, its ends included")
        .from("steps, site file `[bands]`"),
    seconds("above_band")
        .says("Brush time faster than the band")
        .from("steps, site file `[bands]`"),
    seconds("no_band").says("Brush time in which no phase was known").from("steps"),
    Column::new("distance", Kind::Double, Unit::Way)
        .range("0 or more")
        .says("Way driven, both directions, brushes on or off")
        .equals("area.distance_m")
        .from("steps: speed without sign x time"),
    Column::new("swept_distance", Kind::Double, Unit::Way)
        .range("0 or more")
        .says("Way driven with a brush turning and the head not known to be up")
        .equals("area.swept_distance_m")
        .from("steps"),
    Column::new("swept_area", Kind::Double, Unit::Area)
        .range("0 or more")
        .says("That way x path width; floor swept again counts again")
        .equals("area.swept_area_m2")
        .from("steps, machine file `deck.path_width`"),
    Column::new("overlap_share", Kind::Double, Unit::None)
        .range("0 to 1")
        .says("Share of the swept area that was swept before")
        .from("path, or machine file `path.assumed_overlap`"),
    Column::new("overlap_measured", Kind::Flag, Unit::None)
        .says("Whether that is from the path; else it is assumed")
        .from("path"),
    Column::new("net_area", Kind::Double, Unit::Area)
        .range("0 or more")
        .says("Swept area without the overlap")
        .from("`swept_area` x (1 - `overlap_share`)"),
    count("direction_changes")
        .says("Moves the other way, brushes turning")
        .equals("speed.direction_changes")
        .from("steps"),
    count("stationary_events")
        .says("Times that a brush turned while the machine stood")
        .equals("count(stationary)")
        .from("steps, machine file `[limits]`"),
    seconds("stationary").says("Their time in all").from("steps"),
    count("stalls").says("Stalls of brush motors").equals("count(load.stalls)").from("steps"),
    count("over_pressure")
        .says("Times that a motor drew more than its limit")
        .equals("count(load.over_pressure)")
        .from("steps"),
    count("other_load_events")
        .says("All other events of brush motors")
        .equals("count(load.others)")
        .from("steps"),
    count("care_events")
        .says("Times that vacuum, water, pressure, head or floor were not as they should be")
        .equals("count(care.events)")
        .from("steps, machine file `[care]`"),
    length("segments_left")
        .says("Bonded abrasive left at the end of the shift, best value")
        .equals("wear.left.best_m")
        .from("shift book `[[measured]]`, friction energy"),
    length("segments_left_low")
        .says("One in ten chance that it is below")
        .equals("wear.left.low_m")
        .from("the same"),
    length("segments_left_high")
        .says("One in ten chance that it is above")
        .equals("wear.left.high_m")
        .from("the same"),
];

pub(super) fn write(judged: &Judged<'_>, pen: &mut Pen<'_>) {
    let found = judged.findings;
    let (data, area, load) = (&found.data, &found.area, &found.load);
    let sum = |of: fn(&PhaseSpeed) -> Seconds| -> Seconds {
        found.speed.by_phase.iter().filter(|phase| phase.band.is_some()).map(of).sum()
    };
    let unjudged = found.speed.by_phase.iter().filter(|phase| phase.band.is_none());
    let time = |time: Seconds| Cell::Double(time.0);
    let whole = |number: usize| Cell::Whole(number as i64);
    let left = found.wear.left;
    for cell in [
        Cell::Text(&judged.machine.id),
        Cell::Date(found.shift.date),
        Cell::Time(found.shift.span.from.timestamp_millis()),
        Cell::Time(found.shift.span.to.timestamp_millis()),
        time(data.recorded),
        time(data.observed),
        whole(data.gaps.len()),
        time(data.gaps.iter().map(Span::length).sum()),
        whole(data.boots as usize),
        whole(data.link.frames as usize),
        whole(data.link.lost as usize),
        whole(data.link.damaged as usize),
        whole(data.problems.len()),
        time(area.brush_time),
        time(sum(|phase| phase.below)),
        time(sum(|phase| phase.within)),
        time(sum(|phase| phase.above)),
        time(unjudged.map(PhaseSpeed::total).sum()),
        Cell::Double(area.distance.0),
        Cell::Double(area.swept_distance.0),
        Cell::Double(area.swept_area.0),
        Cell::Double(area.overlap.share()),
        Cell::Flag(matches!(area.overlap, Overlap::Measured(_))),
        Cell::Double(area.net_area().0),
        whole(found.speed.direction_changes as usize),
        whole(found.stationary.len()),
        time(found.stationary.iter().map(|event| event.span.length()).sum()),
        whole(load.stalls.len()),
        whole(load.over_pressure.len()),
        whole(load.others.len()),
        whole(found.care.events.len()),
        Cell::of(left, |left| Cell::Double(left.best.0)),
        Cell::of(left, |left| Cell::Double(left.low.0)),
        Cell::of(left, |left| Cell::Double(left.high.0)),
    ] {
        pen.put(cell);
    }
}
