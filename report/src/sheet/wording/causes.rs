//! What is likely behind a serious event, what speaks for it, and what to check in order.
//!
//! The causes follow from kind and onset of the event alone and are common practice in
//! our own words, no published source; the machine's manual comes first.

use super::Source;
use super::events::Event;
use crate::findings::{LoadFindingEvent, LoadKind, Onset, Quantity, StationaryFinding, Trace};
use crate::sheet::document::Block;
use underbrush_protocol::si::{Amperes, MetresPerSecond, Seconds};

/// Cause, evidence and checks; nothing for events that are not serious.
pub(super) fn blocks(source: &Source, event: &Event, trace: Option<&Trace>) -> Vec<Block> {
    let (cause, mut evidence, checks) = match event {
        Event::Stationary(e) => ("cause-standing", standing(source, e), STANDING),
        Event::Stall(e) | Event::OverPressure(e) | Event::OtherLoad(e) => {
            let Some((cause, checks)) = behind(e) else { return Vec::new() };
            (cause, load(source, e), checks)
        }
    };
    evidence.extend(trace.map(|trace| around(source, trace)).unwrap_or_default());
    let evidence = source.with("technician-evidence", &[("evidence", evidence.join("; ").into())]);
    let ticks = checks.iter().enumerate();
    let ticks = ticks.map(|(i, id)| format!("{}. {}", i + 1, source.say(id))).collect();
    vec![
        Block::Heading(source.say("technician-cause")),
        Block::Text(vec![source.say(cause), evidence, source.say("technician-checks")]),
        Block::Ticks(ticks),
    ]
}

const STANDING: [&str; 3] =
    ["inspect-why-it-stood", "inspect-spot-in-low-light", "inspect-brush-switch"];
const STALL: [&str; 3] = ["inspect-floor-there", "inspect-brush-by-hand", "inspect-motor"];
const PRESSURE: [&str; 3] = ["inspect-down-pressure", "inspect-deck-level", "inspect-segments"];
const TRIP: [&str; 3] = ["inspect-before-reset", "inspect-brush-by-hand", "inspect-wiring"];
const HOT: [&str; 3] = ["inspect-air-and-heat", "inspect-brush-by-hand", "inspect-down-pressure"];

/// The likely cause of a load event, and its checks.
fn behind(event: &LoadFindingEvent) -> Option<(&'static str, [&'static str; 3])> {
    Some(match (event.kind, event.onset) {
        (LoadKind::Stall, Some(Onset::Obstacle)) => ("cause-stall-obstacle", STALL),
        (LoadKind::Stall, Some(Onset::Drag)) => ("cause-stall-drag", STALL),
        (LoadKind::Stall, None) => ("cause-stall", STALL),
        (LoadKind::OverPressure, Some(Onset::Obstacle)) => ("cause-pressure-sudden", PRESSURE),
        (LoadKind::OverPressure, _) => ("cause-pressure", PRESSURE),
        (LoadKind::Trip, _) => ("cause-trip", TRIP),
        (LoadKind::Hot, _) => ("cause-hot", HOT),
        _ => return None,
    })
}

fn standing(source: &Source, event: &StationaryFinding) -> Vec<String> {
    let figures = &source.figures;
    let (passes, step) =
        (figures.passes(event.equivalent_passes), figures.passes(event.step_passes));
    let mut out =
        vec![source.with("evidence-passes", &[("passes", passes.into()), ("step", step.into())])];
    for (motor, dwell) in event.brushes.iter().enumerate() {
        let Some(dwell) = dwell.filter(|dwell| dwell.turning.0 > 0.0) else { continue };
        let (motor, time) = (source.motor(motor), figures.seconds(dwell.turning));
        out.push(source.with("evidence-turned", &[("motor", motor.into()), ("time", time.into())]));
    }
    out
}

fn load(source: &Source, event: &LoadFindingEvent) -> Vec<String> {
    let (figures, limits) = (&source.figures, source.machine.limits());
    let peak = |limit: f32| {
        let limit = figures.limit(f64::from(limit));
        let values = [("current", figures.current(event.peak).into()), ("limit", limit.into())];
        source.with("evidence-peak", &values)
    };
    let mut out = Vec::new();
    match event.kind {
        LoadKind::Stall => out.push(peak(limits.stall_a)),
        LoadKind::OverPressure => out.push(peak(limits.over_pressure_a)),
        _ => {
            let current = figures.current(event.peak);
            out.push(source.with("evidence-largest", &[("current", current.into())]));
        }
    }
    let lasted = figures.seconds(event.span.length());
    out.push(source.with("evidence-lasted", &[("time", lasted.into())]));
    match (event.rise, event.onset) {
        (Some(rise), Some(_)) => {
            let rise = Seconds(rise.0.max(0.0));
            out.push(source.with("evidence-rise", &[("time", figures.seconds(rise).into())]));
        }
        _ if matches!(event.kind, LoadKind::Stall | LoadKind::OverPressure) => {
            out.push(source.say("evidence-no-rise"));
        }
        _ => {}
    }
    if let (LoadKind::OverPressure | LoadKind::Trip, Some(ratio)) = (event.kind, event.ratio) {
        let ratio = figures.significant(ratio, 2);
        out.push(source.with("load-of-normal", &[("ratio", ratio.into())]));
    }
    out
}

/// What the readings around say of the machine during the event.
fn around(source: &Source, trace: &Trace) -> Vec<String> {
    let figures = &source.figures;
    let mut out = Vec::new();
    if let Some((low, high)) = trace.during_event(Quantity::Speed) {
        let fastest = MetresPerSecond(f64::from(low.abs().max(high.abs())));
        let (speed, unit) = (figures.speed(fastest), figures.speed_unit());
        out.push(source.with("evidence-speed", &[("speed", speed.into()), ("unit", unit.into())]));
    }
    match trace.during_event(Quantity::Command) {
        Some((low, _)) if low > 0.0 => out.push(source.say("evidence-switch-on")),
        Some((_, high)) if high < 1.0 => out.push(source.say("evidence-switch-off")),
        _ => {}
    }
    match trace.during_event(Quantity::HeadDown) {
        Some((low, _)) if low > 0.0 => out.push(source.say("evidence-head-down")),
        Some((_, high)) if high < 1.0 => out.push(source.say("evidence-head-up")),
        _ => {}
    }
    if let Some((low, _)) = trace.during_event(Quantity::Battery) {
        // One decimal, as amperes have.
        let volts = figures.current(Amperes(f64::from(low)));
        out.push(source.with("evidence-battery", &[("voltage", volts.into())]));
    }
    out
}
