//! The numbers of a range for other programs: CSV of the nights, JSON of all.

use super::{RangeFinding, Sums};
use crate::settings::Site;
use serde_json::{Value, json};
use std::fmt::Write;
use underbrush_protocol::settings::Machine;

/// Heads of the numbers, SI units at their ends.
const HEADS: [&str; 11] = [
    "recorded_s",
    "seen_s",
    "brush_time_s",
    "in_band_s",
    "below_band_s",
    "above_band_s",
    "swept_area_m2",
    "stationary_events",
    "stationary_s",
    "forbidden_s",
    "unread_places",
];

fn numbers(sums: &Sums) -> [f64; 11] {
    [
        sums.recorded.0,
        sums.seen.0,
        sums.brush_time.0,
        sums.bands.within.0,
        sums.bands.below.0,
        sums.bands.above.0,
        sums.swept_area.0,
        f64::from(sums.stationary_events),
        sums.stationary_time.0,
        sums.forbidden.0,
        f64::from(sums.unread),
    ]
}

/// Three decimals, without zeros at the end.
fn number(v: f64) -> String {
    let text = format!("{v:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A cell of text. One that a spreadsheet would take for a formula gets an apostrophe.
fn cell(text: &str) -> String {
    let guard = if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { "'" } else { "" };
    format!("\"{guard}{}\"", text.replace('"', "\"\""))
}

/// One line for each night of each machine; a night without data has empty cells.
pub fn csv(finding: &RangeFinding, machines: &[&Machine]) -> String {
    let mut text = format!("date,machine,data,{}\n", HEADS.join(","));
    for range in &finding.machines {
        let id = machines.get(range.machine).map_or("", |m| m.id.as_str());
        for (date, night) in &range.nights {
            let cells = match night {
                Some(sums) => numbers(sums).map(number).join(","),
                None => [""; HEADS.len()].join(","),
            };
            let data = if night.is_some() { "yes" } else { "no" };
            // Writing into text cannot fail.
            let _ = writeln!(text, "{date},{},{data},{cells}", cell(id));
        }
    }
    text
}

fn sums(sums: &Sums) -> Value {
    let mut object = serde_json::Map::new();
    object.insert("nights".to_owned(), sums.nights.into());
    for (head, value) in HEADS.iter().zip(numbers(sums)) {
        object.insert((*head).to_owned(), value.into());
    }
    object.insert("in_band_share".to_owned(), sums.in_band().into());
    Value::Object(object)
}

/// Everything, in SI units; `null` is a night without data or what is not known.
pub fn json(finding: &RangeFinding, site: &Site, machines: &[&Machine]) -> Value {
    let of_machine = |range: &super::MachineRange| {
        let nights = range.nights.iter().map(
            |(date, night)| json!({ "date": date.to_string(), "data": night.as_ref().map(sums) }),
        );
        let measured = range.measured.iter();
        let measured = measured
            .map(|(date, length)| json!({ "date": date.to_string(), "length_m": length.0 }));
        let left = range.wear.left.map(
            |left| json!({ "best_m": left.best.0, "low_m": left.low.0, "high_m": left.high.0 }),
        );
        json!({
            "machine": machines.get(range.machine).map(|m| m.id.as_str()),
            "sums": sums(&range.sums),
            "nights": nights.collect::<Vec<_>>(),
            "measured": measured.collect::<Vec<_>>(),
            "length_left_at_end": left,
        })
    };
    let weeks = finding.weeks.iter().map(|week| {
        let (from, to) = week.dates;
        json!({ "from": from.to_string(), "to": to.to_string(), "sums": sums(&week.sums) })
    });
    let finished = finding.finished.iter().map(|entry| {
        json!({
            "date": entry.on.to_string(),
            "section": site.sections.get(entry.section).map(|s| s.id.as_str()),
            "step": entry.step,
            "by_hand": entry.by_hand,
        })
    });
    let operators = finding.operators.iter();
    let operators = operators.map(|o| json!({ "name": o.name, "sums": sums(&o.sums) }));
    let areas = |areas: &crate::programme::Areas| {
        json!({
            "polish_m2": areas.polish.0,
            "restored_m2": areas.restored.0,
            "in_work_m2": areas.in_work.0,
            "waiting_m2": areas.waiting.0,
        })
    };
    json!({
        "from": finding.from.to_string(),
        "to": finding.to.to_string(),
        "shift_hours_s": finding.shift_hours.0,
        "together": sums(&finding.together),
        "machines": finding.machines.iter().map(of_machine).collect::<Vec<_>>(),
        "weeks": weeks.collect::<Vec<_>>(),
        "steps_finished": finished.collect::<Vec<_>>(),
        "floor_before": areas(&finding.areas.0),
        "floor_at_end": areas(&finding.areas.1),
        "operators": operators.collect::<Vec<_>>(),
    })
}
