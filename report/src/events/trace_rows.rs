//! One event with the readings around it and its causes, as JSON.
//!
//! All in SI units, named beside each line; switches are 0 or 1, a detector 0.5 while its
//! condition holds and 1 during its event. `null` was not observed. `report/JSON.md` names
//! the fields.

use super::cause::{Case, Cause, Evidence, Number, judge};
use super::rows::{Context, Row};
use crate::findings::{Findings, MotorLoad, Source};
use crate::sheet::EventInput;
use crate::window::Quantity;
use serde_json::{Value, json};

/// The event as JSON.
pub fn trace_json(input: &EventInput<'_>, context: Context<'_>) -> String {
    let EventInput { site, machine, book, findings, event, trace, air } = *input;
    let judged = judge(event, trace, &Case { machine, site, book, findings, air });
    let limits = machine.limits();
    let readings = trace.map(|trace| {
        let line = |line: &crate::findings::TraceLine| {
            let (name, unit, motor) = name(line.quantity);
            let ranges: Vec<Value> = line
                .cells
                .iter()
                .map(|cell| json!(cell.range.map(|(low, high)| [low, high])))
                .collect();
            let seen: Vec<f64> = line.cells.iter().map(|cell| cell.seen.0).collect();
            json!({ "quantity": name, "unit": unit, "motor": motor.map(|m| m + 1),
                    "ranges": ranges, "seen_s": seen })
        };
        json!({
            "from": trace.span.from, "to": trace.span.to, "cell_s": trace.cell().0,
            "lines": trace.lines.iter().map(line).collect::<Vec<_>>(),
        })
    });
    let value = json!({
        "format": "underbrush trace",
        "version": 1,
        "event": Row::of(event, context),
        "limits": {
            "standing_m_s": limits.standing_m_s,
            "over_pressure_a": limits.over_pressure_a,
            "stall_a": limits.stall_a,
            "heat_warning_share": machine.thermal.warning,
            "battery_empty_v": machine.battery.limits().under_load.0,
        },
        "normal_currents": normal_currents(findings),
        "readings": readings,
        "causes": judged.causes.iter().map(cause).collect::<Vec<_>>(),
        "safety": crate::sheet::SAFETY,
        "checks": judged.checks,
    });
    format!("{value:#}\n")
}

/// What each motor draws in normal work, on the whole of the night, and who says so.
fn normal_currents(findings: &Findings) -> Vec<Value> {
    let of = |(motor, load): (usize, &MotorLoad)| {
        let normal = load.normal?.normal;
        let source = match normal.source {
            Source::Place => "place",
            Source::Phase => "step",
            Source::Machine => "all work",
            Source::MachineFile => "machine file",
            Source::Tonight => "this shift",
        };
        let current = normal.current.0;
        Some(json!({ "motor": motor + 1, "current_a": current, "from": source,
                     "nights": normal.nights }))
    };
    findings.load.motors.iter().enumerate().filter_map(of).collect()
}

fn cause(cause: &Cause) -> Value {
    let all = |list: &[Evidence]| list.iter().map(evidence).collect::<Vec<_>>();
    json!({
        "cause": cause.id, "likelihood": cause.likelihood.word(), "score": cause.score,
        "for": all(&cause.evidence_for), "against": all(&cause.evidence_against),
    })
}

fn evidence(evidence: &Evidence) -> Value {
    let values = evidence.values.iter().map(|(name, number)| {
        let (name, value) = match *number {
            Number::Amperes(v) => (format!("{name}_a"), json!(v)),
            Number::Seconds(v) => (format!("{name}_s"), json!(v)),
            Number::Speed(v) => (format!("{name}_m_s"), json!(v)),
            Number::Volts(v) => (format!("{name}_v"), json!(v)),
            Number::Percent(v) => (format!("{name}_percent"), json!(v)),
            Number::Ratio(v) => ((*name).to_owned(), json!(v)),
            Number::Count(n) => ((*name).to_owned(), json!(n)),
            Number::Motor(motor) => ((*name).to_owned(), json!(motor + 1)),
        };
        (name, value)
    });
    let values: serde_json::Map<String, Value> = values.collect();
    json!({ "evidence": evidence.id, "weight": evidence.weight, "values": values })
}

/// Name, unit and motor of a line.
fn name(quantity: Quantity) -> (String, &'static str, Option<usize>) {
    let plain = |name: &str, unit| (name.to_owned(), unit, None);
    match quantity {
        Quantity::Speed => plain("speed", "m_s"),
        Quantity::Current(motor) => ("current".to_owned(), "a", Some(motor)),
        Quantity::FineCurrent(motor) => ("fine_current".to_owned(), "a", Some(motor)),
        Quantity::Rotation(motor) => ("rotation".to_owned(), "rpm", Some(motor)),
        Quantity::Heat(motor) => ("heat".to_owned(), "share", Some(motor)),
        Quantity::Command => plain("brush_switch", "switch"),
        Quantity::HeadDown => plain("head_down", "switch"),
        Quantity::Vacuum => plain("vacuum", "switch"),
        Quantity::Water => plain("water", "percent"),
        Quantity::Pressure => plain("pressure", "percent"),
        Quantity::Battery => plain("battery", "v"),
        Quantity::BatteryCurrent => plain("battery_current", "a"),
        Quantity::Detector(kind) => (format!("detector {kind:?}"), "state", None),
    }
}
