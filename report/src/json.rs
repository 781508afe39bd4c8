//! The findings of a shift as JSON: the numbers that the sheet rounds.
//!
//! All quantities are in SI units, and the unit ends the name of the field
//! (`mean_speed_m_s`, `swept_area_m2`); numbers without a unit are counts, shares or
//! ratios. `null` is not known. `report/JSON.md` names the fields.

use crate::findings::Findings;
use crate::settings::Site;
use serde_json::{Map, Value, json};
use underbrush_protocol::settings::Machine;

/// Endings that quantities bring along: see `underbrush_protocol::si`.
const UNITS: [&str; 13] =
    ["m", "m2", "m_s", "s", "a", "v", "ohm", "n_m", "n_m_per_a", "j", "w", "rad_s", "m_per_j"];

/// The findings of one shift of each machine.
pub fn of(site: &Site, nights: &[(&Machine, &Findings)]) -> Value {
    let section =
        |s: &crate::settings::Section| json!({ "id": s.id, "name": s.name, "area_m2": s.area.0 });
    let night = |(machine, findings): &(&Machine, &Findings)| {
        json!({
            "machine": { "id": machine.id, "name": machine.name },
            "findings": plain(findings),
        })
    };
    json!({
        "program": concat!("underbrush ", env!("CARGO_PKG_VERSION")),
        "site": { "name": site.name, "sections": site.sections.iter().map(section).collect::<Vec<_>>() },
        "nights": nights.iter().map(night).collect::<Vec<_>>(),
    })
}

/// A part of the findings, with units at the ends of names.
pub(crate) fn plain(part: &impl serde::Serialize) -> Value {
    // Maps of the findings have names as keys: nothing here can fail.
    let value = serde_json::to_value(part).unwrap_or(Value::Null);
    with_units(value)
}

/// `{"speed": {"m_s": 1.2}}` becomes `{"speed_m_s": 1.2}`, lists of quantities as well.
fn with_units(value: Value) -> Value {
    match value {
        Value::Array(list) => Value::Array(list.into_iter().map(with_units).collect()),
        Value::Object(map) => {
            let mut out = Map::new();
            for (name, value) in map {
                match quantities(&value) {
                    Some((unit, bare)) => out.insert(format!("{name}_{unit}"), bare),
                    None => out.insert(name, with_units(value)),
                };
            }
            Value::Object(out)
        }
        other => other,
    }
}

/// The unit and the bare number of a quantity, or of a list of quantities of one unit.
fn quantities(value: &Value) -> Option<(&'static str, Value)> {
    match value {
        Value::Object(map) if map.len() == 1 => {
            let (name, number) = map.iter().next()?;
            let unit = UNITS.iter().find(|unit| *unit == name)?;
            (number.is_number() || number.is_null()).then(|| (*unit, number.clone()))
        }
        Value::Array(list) => {
            let (unit, _) = quantities(list.iter().find(|value| !value.is_null())?)?;
            let bare = |value: &Value| match quantities(value) {
                Some((other, number)) => (other == unit).then_some(number),
                None => value.is_null().then_some(Value::Null),
            };
            Some((unit, Value::Array(list.iter().map(bare).collect::<Option<_>>()?)))
        }
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::si::{MetresPerSecond, Seconds};

    #[derive(serde::Serialize)]
    struct Part {
        mean: MetresPerSecond,
        range: Option<(MetresPerSecond, MetresPerSecond)>,
        lost: Option<Seconds>,
        times: Vec<Seconds>,
        passes: f64,
    }

    #[test]
    fn units_end_names() {
        let speed = MetresPerSecond;
        let part = Part {
            mean: speed(0.5),
            range: Some((speed(0.25), speed(0.75))),
            lost: None,
            times: vec![Seconds(2.0), Seconds(f64::NAN)],
            passes: 1.5,
        };
        let expected = json!({
            "mean_m_s": 0.5, "range_m_s": [0.25, 0.75], "lost": null,
            "times_s": [2.0, null], "passes": 1.5,
        });
        assert_eq!(plain(&part), expected);
    }
}
