//! Brush motors in words: each load event, what to check first, the table of motors.
//!
//! Advice is common practice in our own words; the machine's manual comes first.

use super::events::sentence;
use super::{Source, kind_id};
use crate::findings::{
    AgainstNormal, LightCause, LoadFindingEvent, LoadKind, MotorLoad, Normal, Onset,
    Source as Learned,
};
use crate::sheet::document::{Block, Column, Signal, Table};
use crate::sheet::figures::clock;
use underbrush_protocol::si::{Amperes, Seconds};

/// What happened, in two or three words.
pub(super) fn what(source: &Source, event: &LoadFindingEvent) -> String {
    source.say(kind_id(event.kind.into()))
}

/// How bad it was.
pub(super) fn bad(source: &Source, event: &LoadFindingEvent) -> String {
    let figures = &source.figures;
    let motor = || ("motor", source.motor(event.motor).into());
    let of_normal = || match event.ratio {
        Some(r) => source.with("load-of-normal", &[("ratio", figures.significant(r, 2).into())]),
        None => source.with("load-mean", &[("current", figures.current(event.mean).into())]),
    };
    let peak = || ("current", figures.current(event.peak).into());
    match event.kind {
        LoadKind::Light | LoadKind::Heavy => {
            source.with("load-bad", &[motor(), ("load", of_normal().into())])
        }
        LoadKind::Dry => of_normal(),
        LoadKind::Uneven => match event.ratio {
            None => source.with("load-bad-uneven", &[motor()]),
            Some(r) => {
                let ratio = figures.significant(r, 2).into();
                source.with("load-bad-uneven-by", &[motor(), ("ratio", ratio)])
            }
        },
        LoadKind::Hot => {
            let percent = |r| format!("{} %", figures.limit(100.0 * r));
            let share = event.ratio.map_or_else(|| figures.not_known(), percent);
            source.with("load-bad-hot", &[motor(), ("share", share.into())])
        }
        LoadKind::Trip => source.with("load-bad-trip", &[motor(), peak()]),
        LoadKind::Stall | LoadKind::NearStall | LoadKind::OverPressure => {
            let id = match event.onset {
                Some(Onset::Obstacle) => "load-bad-sudden",
                Some(Onset::Drag) => "load-bad-slow",
                None => "load-bad-peak",
            };
            source.with(id, &[motor(), peak()])
        }
    }
}

/// What to check first.
fn advice(source: &Source, event: &LoadFindingEvent) -> String {
    source.say(match (event.kind, event.cause, event.onset) {
        (LoadKind::Stall, ..) => "advice-stall",
        (LoadKind::NearStall, _, Some(Onset::Drag)) => "advice-near-stall-drag",
        (LoadKind::NearStall, ..) => "advice-near-stall",
        (LoadKind::Trip, ..) => "advice-trip",
        (LoadKind::OverPressure | LoadKind::Heavy, ..) => "advice-pressure",
        (LoadKind::Light, Some(LightCause::Pressure { .. }), _) => "advice-light-pressure",
        (LoadKind::Light, Some(LightCause::HardlyTouching), _) => "advice-light-head",
        (LoadKind::Light, Some(LightCause::AllBrushes), _) => "advice-light-all",
        (LoadKind::Light, ..) => "advice-light",
        (LoadKind::Uneven, ..) => "advice-uneven",
        (LoadKind::Dry, ..) => "advice-dry",
        (LoadKind::Hot, ..) => "advice-hot",
    })
}

/// Load of each motor, with the limits in force.
pub(super) fn motors(source: &Source) -> Vec<Block> {
    let load = &source.findings.load;
    if load.motors.is_empty() {
        return vec![Block::Text(vec![source.say("motors-unknown")])];
    }
    let normal = load.motors.iter().any(|m| m.normal.is_some());
    let warning = source.machine.thermal.warning;
    let hot = load.motors.iter().any(|m| m.heat.is_some_and(|h| h.share > warning));
    let rows =
        load.motors.iter().enumerate().map(|(i, m)| row(source, i, m, normal, hot)).collect();
    let mut notes = vec![limits_note(source)];
    notes.extend(normal.then(|| normal_note(source)).flatten());
    if hot {
        let time = source.figures.duration(source.machine.thermal.time_constant);
        notes.push(source.with("motors-note-heat", &[("time", time.into())]));
    }
    if let Some(dry) = load.dry.filter(|d| d.more > 0.0) {
        let (share, time) =
            (source.figures.significant(100.0 * dry.more, 2), source.figures.duration(dry.time));
        let values = [("share", share.into()), ("time", time.into())];
        notes.push(source.with("motors-note-dry", &values));
    }
    if !load.observed.enough() {
        notes.push(source.say("motors-note-few"));
    }
    let mut blocks =
        vec![Block::Table(Table::new(source.words(), columns(source, normal, hot), rows, notes))];
    if load.all().next().is_some() {
        blocks.push(Block::Signal(Signal::Notice, source.say("motors-notice")));
    }
    if load.of(LoadKind::Trip).next().is_some() {
        blocks.push(Block::Signal(Signal::Warning, source.say("motors-warning-trip")));
    }
    blocks
}

fn columns(source: &Source, normal: bool, hot: bool) -> Vec<Column> {
    let number = |id: &str, unit: &str, share| Column::decimal(source.say(id), unit, share);
    let times = source.say("motors-times");
    let mut columns = vec![Column::words(source.say("motors-motor"), 0.16)];
    if normal {
        columns.push(number("motors-normal", "A", 0.11));
        columns.push(number("motors-at-work", "A", 0.11));
    } else {
        columns.push(number("motors-mean", "A", 0.12));
    }
    columns.extend([
        number("motors-median", "A", 0.12),
        number("motors-p95", "A", 0.15),
        number("motors-largest", "A", 0.13),
        number("load-over-pressure", &times, 0.18),
        number("motors-stalled", &times, 0.14),
    ]);
    if hot {
        columns.push(number("motors-heat", "%", 0.1));
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
    let current = |a| source.figures.current(a);
    let mut cells = vec![source.motor(number)];
    if normal {
        let known = |value: fn(&AgainstNormal) -> Amperes| {
            m.normal.as_ref().map_or_else(|| source.figures.not_known(), |n| current(value(n)))
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
        let share = m.heat.map(|h| source.figures.limit((100.0 * h.share).round()));
        cells.push(share.unwrap_or_else(|| source.figures.not_known()));
    }
    cells
}

fn limits_note(source: &Source) -> String {
    let (limits, figures) = (source.machine.limits(), &source.figures);
    let milliseconds = |ms| figures.duration(Seconds::from_ms(ms));
    source.with(
        "motors-note-limits",
        &[
            ("pressure", figures.limit(f64::from(limits.over_pressure_a)).into()),
            ("pressing", milliseconds(limits.over_pressure_ms).into()),
            ("stall", figures.limit(f64::from(limits.stall_a)).into()),
            ("stalling", milliseconds(limits.stall_ms).into()),
        ],
    )
}

/// What a motor draws in normal work, on the whole of the night, and who says so.
pub(super) fn normal_of(source: &Source, motor: usize) -> Option<(Amperes, String)> {
    let normal = source.findings.load.motors.get(motor)?.normal?.normal;
    Some((normal.current, learned_from(source, normal)))
}

fn learned_from(source: &Source, normal: Normal) -> String {
    let nights = |id| {
        let nights = source.count("count-past-nights", normal.nights as usize);
        source.with(id, &[("nights", nights.into())])
    };
    match normal.source {
        Learned::Place => nights("motors-normal-place"),
        Learned::Phase => nights("motors-normal-phase"),
        Learned::Machine => nights("motors-normal-machine"),
        Learned::MachineFile => source.say("motors-normal-file"),
        Learned::Tonight => source.say("motors-normal-tonight"),
    }
}

/// What normal means, from the motor whose normal is known least.
fn normal_note(source: &Source) -> Option<String> {
    let motors = source.findings.load.motors.iter().filter_map(|m| m.normal);
    let least = motors.max_by_key(|m| (m.normal.source, u32::MAX - m.normal.nights))?.normal;
    let from = learned_from(source, least);
    Some(match least.error() {
        None => source.with("motors-note-normal", &[("from", from.into())]),
        Some(error) => {
            let error = source.figures.significant(error.0, 1);
            let values = [("from", from.into()), ("error", error.into())];
            source.with("motors-note-normal-error", &values)
        }
    })
}

/// What to do in the morning: one line for each kind, of its first event.
pub(super) fn to_do(source: &Source) -> Vec<String> {
    let kinds = [
        (LoadKind::Trip, "did-trip"),
        (LoadKind::Stall, "did-stall"),
        (LoadKind::Hot, "did-hot"),
        (LoadKind::OverPressure, "did-over-pressure"),
        (LoadKind::Light, "did-light"),
        (LoadKind::Uneven, "did-uneven"),
        (LoadKind::Dry, "did-dry"),
        (LoadKind::Heavy, "did-heavy"),
        (LoadKind::NearStall, "did-near-stall"),
    ];
    let zone = source.findings.shift.zone;
    let line = |(kind, did): (LoadKind, &str)| {
        let mut found = source.findings.load.of(kind);
        let first = found.next()?;
        let did = source.with(
            did,
            &[
                ("motor", source.motor(first.motor).into()),
                ("section", source.section(first.place).into()),
                ("at", clock(zone, first.span.from).into()),
            ],
        );
        let more = match found.count() {
            0 => String::new(),
            more => format!(" {}", source.count("did-more", more)),
        };
        Some(format!("{did}{more}: {}.", advice(source, first)))
    };
    kinds.into_iter().filter_map(line).collect()
}

/// The advice as a sentence of its own.
pub(super) fn advice_sentence(source: &Source, event: &LoadFindingEvent) -> String {
    sentence(&advice(source, event))
}
