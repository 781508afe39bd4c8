//! Where the figures about data and sensors come from.

use super::{Doubt, Offset, Sensor, SensorDoubt};
use crate::findings::care::CareRule;
use crate::findings::figure::{Amount, Case, Figure, Known};
use crate::findings::observed::{ENOUGH, Observed};
use underbrush_protocol::si::{Amperes, MetresPerSecond, Volts};

/// Names of the sensors for `underbrush why`.
fn name(sensor: Sensor) -> String {
    match sensor {
        Sensor::Speed => "speed".to_owned(),
        Sensor::TurnRate => "turn_rate".to_owned(),
        Sensor::Battery => "battery_voltage".to_owned(),
        Sensor::Current(m) => format!("brush_current_{}", m + 1),
        Sensor::Rotation(m) => format!("brush_rotation_{}", m + 1),
    }
}

fn doubts(known: &Known<'_>, doubt: Doubt) -> Vec<Case> {
    let list = known.findings.quality.doubts.iter().filter(|d| d.doubt == doubt);
    let value = |d: &SensorDoubt| match d.sensor {
        Sensor::Speed => Amount::Speed(MetresPerSecond(d.value)),
        Sensor::Current(_) => Amount::Current(Amperes(d.value)),
        Sensor::Battery => Amount::Voltage(Volts(d.value)),
        Sensor::TurnRate | Sensor::Rotation(_) => Amount::Number(d.value),
    };
    list.map(|d| {
        Case::event(name(d.sensor), d.span)
            .with([("value", value(d)), ("time", Amount::Time(d.time))])
    })
    .collect()
}

const ALL_LIVE: &[&str] =
    &["speed", "turn_rate", "brush_current_1", "brush_rotation_1", "battery_voltage"];
const SOURCE: &str = "Common practice, no published source.";

/// Where the figures about the data come from.
pub(in super::super) const FIGURES: &[Figure] = &[
    Figure {
        id: "data.observed",
        says: "time in which speed and brushes were known, of the time recorded",
        channels: &["speed", "brush_current_1", "brush_rotation_1", "brush_command"],
        settings: &["machine:limits.longest_gap"],
        formula: "time with a speed and with a brush state / time recorded",
        source: "Plain sums; what is too little to judge by is our own choice.",
        assumed: &["A reading speaks for the time since the one before, up to limits.longest_gap."],
        worked: |known| {
            let data = &known.findings.data;
            let observed = Observed { seen: data.observed, of: data.recorded };
            let why = "nothing was recorded";
            Case::one([
                ("recorded", Amount::Time(data.recorded)),
                ("gaps", Amount::Count(data.gaps.len() as u64)),
                ("frames lost", Amount::Count(u64::from(data.link.lost))),
                ("speed and brushes known", Amount::Time(data.observed)),
                ("enough to judge from", Amount::Share(ENOUGH)),
                ("share", Amount::or_unknown(observed.share(), Amount::Share, why)),
            ])
        },
    },
    Figure {
        id: "data.care",
        says: "time in which each care rule could be judged, of the time that brushes turned",
        channels: &["vacuum_on", "solution_flow", "pressure_setting", "head_down"],
        settings: &[],
        formula: "time with the switch and the brushes known / time not known to be without brushes",
        source: "Plain sums.",
        assumed: &["A switch is known from its last reading on, for at most 60 s."],
        worked: |known| {
            let why = "no brush turned";
            let of = |rule| known.findings.care.observed(rule).share();
            let share = |rule| Amount::or_unknown(of(rule), Amount::Share, why);
            Case::one([
                ("vacuum", share(CareRule::Vacuum)),
                ("water", share(CareRule::Water)),
                ("pressure", share(CareRule::Pressure)),
                ("head", share(CareRule::Head)),
                ("place known: forbidden floor", share(CareRule::Forbidden)),
            ])
        },
    },
    Figure {
        id: "data.stuck",
        says: "a sensor that always said the same while the machine worked",
        channels: ALL_LIVE,
        settings: &["machine:sensors.stuck_time"],
        formula: "time with the same raw value; a speed of 0 only if the machine turned meanwhile",
        source: SOURCE,
        assumed: &["A live sensor has noise of at least one of its steps."],
        worked: |known| doubts(known, Doubt::Stuck),
    },
    Figure {
        id: "data.impossible",
        says: "values that no machine can have; taken as not observed",
        channels: ALL_LIVE,
        settings: &[
            "machine:sensors.max_speed",
            "machine:sensors.max_current",
            "machine:motor.resistance",
        ],
        formula: "time with a value beyond its limit",
        source: SOURCE,
        assumed: &[
            "A motor held still draws nominal voltage / resistance, 1.5 times that at most.",
        ],
        worked: |known| doubts(known, Doubt::Impossible),
    },
    Figure {
        id: "data.offset",
        says: "what a motor's current sensor shows with the brushes off",
        channels: &["brush_current_1", "brush_command", "brush_rotation_1"],
        settings: &["machine:sensors.offset_limit", "machine:motor.no_load_current"],
        formula: "median of the medians of each stay with brushes off; load share = offset / (mean \
                  current - offset - no-load current)",
        source: "Theil-Sen line with the interval of Sen 1968 for the drift; limit: common practice.",
        assumed: &["Three seconds after switching off no current flows."],
        worked: |known| {
            let offsets = known.findings.quality.offsets.iter().enumerate();
            let case = |(motor, offset): (usize, &Option<Offset>)| {
                let offset = offset.as_ref()?;
                let (few, no_load) = ("fewer than four stays", "no load was recorded");
                let title = format!("motor {}", motor + 1);
                Some(Case { title, ..Case::default() }.with([
                    ("stays with brushes off", Amount::Count(offset.stays as u64)),
                    ("drift, at least", Amount::or_unknown(offset.drift, Amount::Current, few)),
                    ("load share", Amount::or_unknown(offset.load_share, Amount::Share, no_load)),
                    ("offset", Amount::Current(offset.offset)),
                ]))
            };
            offsets.filter_map(case).collect()
        },
    },
];
