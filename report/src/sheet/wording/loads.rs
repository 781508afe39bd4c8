//! Brush motors in words: each load event, what to check first, the table of motors.
//!
//! Advice is common practice in our own words; the machine's manual comes first.

use super::Source;
use super::events::sentence;
use crate::findings::{
    AgainstNormal, LightCause, LoadFindingEvent, LoadKind, MotorLoad, Onset, Source as Learned,
};
use crate::sheet::document::{Block, Column, Signal, Table};
use crate::sheet::figures::{NOT_KNOWN, clock, count, current, duration, limit, significant};
use underbrush_protocol::si::Amperes;

/// What happened, in two or three words.
pub(super) fn what(event: &LoadFindingEvent) -> &'static str {
    match event.kind {
        LoadKind::Stall => "Motor stalled",
        LoadKind::NearStall => "Motor nearly stalled",
        LoadKind::Trip => "Motor lost its power",
        LoadKind::OverPressure => "Over pressure",
        LoadKind::Heavy => "Heavy load",
        LoadKind::Light => "Light contact",
        LoadKind::Uneven => "Uneven load",
        LoadKind::Dry => "Dry running suspected",
        LoadKind::Hot => "Motor hot",
    }
}

/// How bad it was.
pub(super) fn bad(source: &Source, event: &LoadFindingEvent) -> String {
    let motor = source.motor(event.motor);
    let of_normal = event.ratio.map(|r| format!("{} x normal", significant(r, 2)));
    let or_mean =
        |text: Option<String>| text.unwrap_or_else(|| format!("mean {} A", current(event.mean)));
    match event.kind {
        LoadKind::Light | LoadKind::Heavy => {
            format!("motor {motor}, {}", or_mean(of_normal))
        }
        LoadKind::Dry => or_mean(of_normal),
        LoadKind::Uneven => {
            let ratio = event.ratio.map(|r| format!(": {} to 1", significant(r, 2)));
            format!("motor {motor} draws most{}", ratio.unwrap_or_default())
        }
        LoadKind::Hot => {
            let share =
                event.ratio.map_or(NOT_KNOWN.to_owned(), |r| format!("{} %", limit(100.0 * r)));
            format!("motor {motor}, {share} of its limit")
        }
        LoadKind::Trip => format!("motor {motor}, {} A before", current(event.peak)),
        LoadKind::Stall | LoadKind::NearStall | LoadKind::OverPressure => {
            let came = match event.onset {
                Some(Onset::Obstacle) => ", sudden",
                Some(Onset::Drag) => ", rose slowly",
                None => "",
            };
            format!("motor {motor}, peak {} A{came}", current(event.peak))
        }
    }
}

/// What to check first.
pub(super) fn advice(event: &LoadFindingEvent) -> &'static str {
    match (event.kind, event.cause, event.onset) {
        (LoadKind::Stall, ..) => "find what held the brush",
        (LoadKind::NearStall, _, Some(Onset::Drag)) => "look for a rough or dry spot",
        (LoadKind::NearStall, ..) => "look for a joint, bolt or edge there",
        (LoadKind::Trip, ..) => "find why before the breaker is reset",
        (LoadKind::OverPressure | LoadKind::Heavy, ..) => "check head pressure",
        (LoadKind::Light, Some(LightCause::Pressure { .. }), _) => "set down pressure to full",
        (LoadKind::Light, Some(LightCause::HardlyTouching), _) => "check brush is on and head down",
        (LoadKind::Light, Some(LightCause::AllBrushes), _) => "check that the head presses",
        (LoadKind::Light, ..) => "check this brush: worn, glazed, seated",
        (LoadKind::Uneven, ..) => "check deck level and segments",
        (LoadKind::Dry, ..) => "check that water reaches the brushes",
        (LoadKind::Hot, ..) => "let it cool; check for drag",
    }
}

/// Load of each motor, with the limits in force.
pub(super) fn motors(source: &Source) -> Vec<Block> {
    let load = &source.findings.load;
    if load.motors.is_empty() {
        let why = "Not known: no current of a brush motor was recorded.";
        return vec![Block::Text(vec![why.to_owned()])];
    }
    let normal = load.motors.iter().any(|m| m.normal.is_some());
    let warning = source.machine.thermal.warning;
    let hot = load.motors.iter().any(|m| m.heat.is_some_and(|h| h.share > warning));
    let rows =
        load.motors.iter().enumerate().map(|(i, m)| row(source, i, m, normal, hot)).collect();
    let mut notes = vec![limits_note(source)];
    notes.extend(normal.then(|| normal_note(source)).flatten());
    if hot {
        notes.push(format!(
            "Heat: highest share of what the motor stands for long, by its current alone (thermal \
             replica, time constant {}); over 100 % is too hot.",
            duration(source.machine.thermal.time_constant)
        ));
    }
    if let Some(dry) = load.dry.filter(|d| d.more > 0.0) {
        notes.push(format!(
            "Without water the motors drew {} % more than is normal with it ({}).",
            significant(100.0 * dry.more, 2),
            duration(dry.time)
        ));
    }
    if !load.observed.enough() {
        notes.push("Currents were read in less than four fifths of the brush time.".to_owned());
    }
    let mut blocks =
        vec![Block::Table(Table::new(source.words(), columns(normal, hot), rows, notes))];
    if load.all().next().is_some() {
        let notice = "High current wears motors and segments: check them by the machine's manual.";
        blocks.push(Block::Signal(Signal::Notice, notice.to_owned()));
    }
    if load.of(LoadKind::Trip).next().is_some() {
        let warning = "A breaker that tripped has a cause. Disconnect the battery before you touch \
                       brushes or wires; reset it only as the machine's manual says.";
        blocks.push(Block::Signal(Signal::Warning, warning.to_owned()));
    }
    blocks
}

fn columns(normal: bool, hot: bool) -> Vec<Column> {
    let mut columns = vec![
        Column::words("Motor", 0.16),
        Column::decimal("Mean", "A", 0.12),
        Column::decimal("Median", "A", 0.12),
        Column::decimal("95 % under", "A", 0.15),
        Column::decimal("Largest", "A", 0.13),
        Column::decimal("Over pressure", "times", 0.18),
        Column::decimal("Stalled", "times", 0.14),
    ];
    if normal {
        columns.insert(1, Column::decimal("Normal", "A", 0.11));
        columns.insert(2, Column::decimal("At work", "A", 0.11));
        columns.retain(|c| c.head != "Mean");
    }
    if hot {
        columns.push(Column::decimal("Heat", "%", 0.1));
    }
    let sum: f64 = columns.iter().map(|c| c.share).sum();
    for column in &mut columns {
        column.share /= sum;
    }
    columns
}

fn row(source: &Source, number: usize, m: &MotorLoad, normal: bool, hot: bool) -> Vec<String> {
    let load = &source.findings.load;
    let of_motor =
        |list: &[LoadFindingEvent]| list.iter().filter(|e| e.motor == number).count().to_string();
    let mut cells = vec![source.motor(number)];
    if normal {
        let known = |value: fn(&AgainstNormal) -> Amperes| {
            m.normal.as_ref().map_or_else(|| NOT_KNOWN.to_owned(), |n| current(value(n)))
        };
        cells.extend([known(|n| n.normal.current), known(|n| n.tonight)]);
    } else {
        cells.push(current(m.mean));
    }
    cells.extend([
        current(m.median),
        current(m.p95),
        current(m.max),
        of_motor(&load.over_pressure),
        of_motor(&load.stalls),
    ]);
    if hot {
        let share = m.heat.map(|h| limit((100.0 * h.share).round()));
        cells.push(share.unwrap_or_else(|| NOT_KNOWN.to_owned()));
    }
    cells
}

fn limits_note(source: &Source) -> String {
    let limits = source.machine.limits();
    format!(
        "While brushes turn. Over pressure: above {} A for longer than {}. Stall: {} A or more for \
         longer than {}, the brush hardly turning where its rotation is measured.",
        limit(f64::from(limits.over_pressure_a)),
        milliseconds(limits.over_pressure_ms),
        limit(f64::from(limits.stall_a)),
        milliseconds(limits.stall_ms),
    )
}

/// What normal means, from the motor whose normal is known least.
fn normal_note(source: &Source) -> Option<String> {
    let motors = source.findings.load.motors.iter().filter_map(|m| m.normal);
    let least = motors.max_by_key(|m| (m.normal.source, u32::MAX - m.normal.nights))?.normal;
    let nights = || count(least.nights as usize, "past night", "past nights");
    let from = match least.source {
        Learned::Place => format!("learned from {} with this tool at the same place", nights()),
        Learned::Phase => {
            format!("learned from {} with this tool in the same kind of work", nights())
        }
        Learned::Machine => format!("learned from {} of all kinds of work", nights()),
        Learned::MachineFile => "as the machine file says".to_owned(),
        Learned::Tonight => {
            "the median of this shift itself, as past nights are too few; what was \
                             wrong all night does not show"
                .to_owned()
        }
    };
    let error = least
        .error()
        .map_or_else(String::new, |e| format!(", standard error {} A", significant(e.0, 1)));
    Some(format!(
        "At work: mean while moving at full pressure with water. Normal for the same work: {from}{error}."
    ))
}

/// What to do in the morning: one line for each kind, of its first event.
pub(super) fn to_do(source: &Source) -> Vec<String> {
    let kinds = [
        (LoadKind::Trip, "lost its power"),
        (LoadKind::Stall, "stalled"),
        (LoadKind::Hot, "ran hot"),
        (LoadKind::OverPressure, "ran over pressure"),
        (LoadKind::Light, "had light contact"),
        (LoadKind::Uneven, "drew more than the other"),
        (LoadKind::Dry, "may have run dry"),
        (LoadKind::Heavy, "ran heavy"),
        (LoadKind::NearStall, "nearly stalled"),
    ];
    let zone = source.findings.shift.zone;
    let line = |(kind, did): (LoadKind, &str)| {
        let mut found = source.findings.load.of(kind);
        let first = found.next()?;
        let times = match found.count() {
            0 => String::new(),
            more => format!(" and {} more", count(more, "time", "times")),
        };
        Some(format!(
            "Motor {} {did} in {} at {}{times}: {}.",
            source.motor(first.motor),
            source.section(first.place),
            clock(zone, first.span.from),
            advice(first)
        ))
    };
    kinds.into_iter().filter_map(line).collect()
}

/// The advice as a sentence of its own.
pub(super) fn advice_sentence(event: &LoadFindingEvent) -> String {
    sentence(advice(event))
}

fn milliseconds(ms: u64) -> String {
    duration(underbrush_protocol::si::Seconds::from_ms(ms))
}
