//! `steps`: the time line of a night, wide: what the findings are summed up from.

use super::Judged;
use super::sections::{grit_cell, phase_cells, section_cell};
use crate::export::batch::Cell;
use crate::export::column::{Column, GRIT, Kind, MACHINE, NIGHT, PHASE, SECTION, STEP, Unit};
use crate::export::pen::Pen;
use crate::export::{Gaps, Loss};
use crate::findings::whereabouts::AssumedMark;
use crate::findings::{Inputs, Span, ToldStep, told_steps};
use crate::timeline::shift_of;
use chrono::Days;
use underbrush_protocol::frame::MAX_MOTORS;

/// Readings speak for the time since the reading before.
const UNSEEN: &str = "not observed in this step";
/// Settings and the battery are read now and then.
const UNTOLD: &str = "not read in the minute before";

const fn state(stem: &'static str) -> Column {
    Column::new(stem, Kind::Flag, Unit::None).missing(UNSEEN)
}

const fn sensor(stem: &'static str, unit: Unit) -> Column {
    Column::new(stem, Kind::Float, unit).missing(UNSEEN)
}

const fn current(stem: &'static str) -> Column {
    sensor(stem, Unit::Amperes)
        .says("Current of that brush motor; motors count from the left")
        .from("channels `brush_current_1` to `_4`")
}

const fn rotation(stem: &'static str) -> Column {
    sensor(stem, Unit::Rotation)
        .range("0 or more")
        .says("Rotation of that brush's shaft")
        .from("channels `brush_rotation_1` to `_4`")
}

pub(super) const COLUMNS: &[Column] = &[
    MACHINE,
    NIGHT,
    Column::new("boot", Kind::Whole, Unit::None)
        .range("1 or more")
        .says("Number of the board's power-on")
        .from("log"),
    Column::new("from_utc", Kind::Time, Unit::None)
        .says("Begin of the step")
        .from("the reading before, by the time fixes in the log"),
    Column::new("to_utc", Kind::Time, Unit::None).says("Its end").from("the reading that ends it"),
    Column::new("ms", Kind::Whole, Unit::None)
        .range("0 or more")
        .says("Its length in ms by the board's own clock: sums of time are sums of this")
        .from("log"),
    Column::new("in_shift", Kind::Flag, Unit::None)
        .says("Whether it ends in the shift's hours: only such steps are on the sheet of the night")
        .from("site file, `[shift]`"),
    sensor("speed", Unit::Speed)
        .says("Ground speed, forward positive")
        .from("channel `speed` x `speed.wheel_factor`"),
    sensor("turn_rate", Unit::TurnRate)
        .says("Turn rate, anticlockwise from above positive")
        .from("channel `turn_rate`"),
    state("command_on").says("Brushes switched on").from("channel `brush_command`"),
    current("current_1"),
    current("current_2"),
    current("current_3"),
    current("current_4"),
    rotation("rotation_1"),
    rotation("rotation_2"),
    rotation("rotation_3"),
    rotation("rotation_4"),
    state("head_down")
        .says("Brush head lowered")
        .missing(UNTOLD)
        .from("channel `head_down`, held for a minute"),
    state("vacuum_on")
        .says("Vacuum on")
        .missing(UNTOLD)
        .from("channel `vacuum_on`, held for a minute"),
    Column::new("solution_flow", Kind::Whole, Unit::Percent)
        .range("0 to 100")
        .says("Setting of the solution flow")
        .missing(UNTOLD)
        .from("channel `solution_flow`, held for a minute"),
    Column::new("pressure_setting", Kind::Whole, Unit::Percent)
        .range("0 to 100")
        .says("Setting of the down pressure")
        .missing(UNTOLD)
        .from("channel `pressure_setting`, held for a minute"),
    sensor("battery_voltage", Unit::Volts)
        .says("Voltage of the battery")
        .missing(UNTOLD)
        .from("channel `battery_voltage`, held for a minute"),
    sensor("battery_current", Unit::Amperes)
        .says("Current of the battery, drawn positive")
        .missing(UNTOLD)
        .from("channel `battery_current`, held for a minute"),
    Column::new("brush_meter", Kind::Whole, Unit::Seconds)
        .range("0 or more")
        .says("The machine's own hour meter of the brushes")
        .missing(UNTOLD)
        .from("channel `brush_on_meter`, held for a minute"),
    state("brush_turning")
        .says("Whether any brush turns: by rotation, else by current, else by the switch")
        .missing("none of these was observed")
        .from("machine file `[limits]` (from 20 r/min or 2 A if not said)"),
    SECTION,
    PHASE,
    STEP,
    GRIT,
    Column::new("band_low", Kind::Double, Unit::Speed)
        .range("0 or more")
        .says("Slowest speed of the phase")
        .missing("no phase is known")
        .from("site file `[bands]`"),
    Column::new("band_high", Kind::Double, Unit::Speed)
        .range("0 or more")
        .says("Fastest speed of the phase")
        .missing("no phase is known")
        .from("site file `[bands]`"),
];

/// Writes all steps of the night, work before and after the shift's hours included; counts the
/// gaps and gives what could not be read.
pub(crate) fn write_steps(
    inputs: Inputs<'_>,
    judged: &Judged<'_>,
    assumed: &[AssumedMark],
    pen: &mut Pen<'_>,
) -> (Gaps, Vec<Loss>) {
    let shift = &judged.findings.shift;
    let next = shift.date.checked_add_days(Days::new(1));
    let next = next.and_then(|date| shift_of(judged.site, date).ok());
    let Some(next) = next else { return (Gaps::default(), Vec::new()) };
    let span = Span { from: shift.span.from, to: next.span.from };
    let mut gaps = Gaps::longer_than(judged.machine.longest_gap_ms());
    let problems = told_steps(inputs, span, assumed, &mut |step| {
        gaps.step(step);
        if !pen.failed() {
            write_step(judged, step, pen);
        }
    });
    gaps.end();
    let losses = problems.into_iter().map(|problem| Loss::of(&judged.machine.id, problem));
    (gaps, losses.collect())
}

fn write_step(judged: &Judged<'_>, step: &ToldStep<'_>, pen: &mut Pen<'_>) {
    let interval = step.interval;
    let states = &interval.states;
    let to = step.clock.utc(interval.to).0;
    let shift = judged.findings.shift.span;
    let in_shift = to > shift.from.timestamp_millis() && to <= shift.to.timestamp_millis();
    let percent = |setting: Option<u8>| Cell::of(setting, |v| Cell::Whole(i64::from(v)));
    for cell in [
        Cell::Text(&judged.machine.id),
        Cell::Date(judged.findings.shift.date),
        Cell::Whole(i64::from(step.boot)),
        Cell::Time(step.clock.utc(interval.from).0),
        Cell::Time(to),
        Cell::Whole(interval.ms() as i64),
        Cell::Flag(in_shift),
        Cell::of(interval.speed_m_s, Cell::Float),
        Cell::of(interval.turn_rad_s, Cell::Float),
        Cell::of(interval.command_on, Cell::Flag),
    ] {
        pen.put(cell);
    }
    let motor = |place: usize| interval.motors.get(place);
    for place in 0..MAX_MOTORS {
        pen.put(Cell::of(motor(place).and_then(|motor| motor.current_a), Cell::Float));
    }
    for place in 0..MAX_MOTORS {
        pen.put(Cell::of(motor(place).and_then(|motor| motor.rotation_rpm), Cell::Float));
    }
    let (phase, number) = phase_cells(step.place.phase);
    for cell in [
        Cell::of(states.head_down, Cell::Flag),
        Cell::of(states.vacuum_on, Cell::Flag),
        percent(states.solution_flow),
        percent(states.pressure_setting),
        Cell::of(states.battery_v, Cell::Float),
        Cell::of(states.battery_a, Cell::Float),
        Cell::of(states.brush_meter_s, |meter| Cell::Whole(i64::from(meter))),
        Cell::of(step.turning, Cell::Flag),
        section_cell(judged.site, step.place.section),
        phase,
        number,
        grit_cell(judged.site, step.place.phase),
        Cell::of(step.band, |band| Cell::Double(band.low.0)),
        Cell::of(step.band, |band| Cell::Double(band.high.0)),
    ] {
        pen.put(cell);
    }
}
