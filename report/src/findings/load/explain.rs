//! Where the figures of the brush motors come from.

use super::{LoadFindingEvent, LoadKind, Source};
use crate::findings::figure::{Amount, Case, Figure, Known};
use underbrush_protocol::si::Amperes;

const CURRENTS: &[&str] = &["brush_current_1", "brush_current_2"];
const CONTACT: &[&str] = &[
    "brush_current_1",
    "brush_current_2",
    "brush_command",
    "speed",
    "head_down",
    "pressure_setting",
    "solution_flow",
];
const ROTOR: &[&str] = &[
    "brush_current_1",
    "brush_current_2",
    "brush_rotation_1",
    "brush_rotation_2",
    "brush_command",
];

const OWN: &str = "our own choice after common practice, no published source; torque = k (I - I0) of a permanent-magnet DC motor";
const AS_REPORTED: &str =
    "What is not reported is as it should be: head down, pressure full, water on.";

fn motors(known: &Known<'_>) -> Vec<Case> {
    let load = &known.findings.load;
    let case = |(i, m): (usize, &super::MotorLoad)| {
        let mut case = Case { title: format!("motor {}", i + 1), ..Case::default() };
        if let Some(against) = m.normal {
            let source = match against.normal.source {
                Source::Place => "past nights at the same section and step",
                Source::Phase => "past nights at the same step",
                Source::MachineFile => "the machine file",
                Source::Tonight => "the median of this shift",
                Source::Machine => "past nights, all work",
            };
            let error = Amount::or_unknown(
                against.normal.error(),
                Amount::Current,
                "not learned from nights",
            );
            case = case.with([
                ("least certain source", Amount::Words(source.to_owned())),
                ("nights", Amount::Count(against.normal.nights.into())),
                ("standard deviation", Amount::Current(against.normal.spread)),
                ("standard error", error),
                ("normal", Amount::Current(against.normal.current)),
                ("normal work compared", Amount::Time(against.time)),
                ("this shift in it", Amount::Current(against.tonight)),
            ]);
        }
        case.with([
            ("brush time", Amount::Time(load.observed.of)),
            ("with currents read", Amount::Time(load.observed.seen)),
            ("95 % under", Amount::Current(m.p95)),
            ("largest", Amount::Current(m.max)),
            ("mean", Amount::Current(m.mean)),
            ("median", Amount::Current(m.median)),
        ])
    };
    load.motors.iter().enumerate().map(case).collect()
}

fn heat(known: &Known<'_>) -> Vec<Case> {
    let thermal = known.machine.thermal_settings();
    let case = |(i, m): (usize, &super::MotorLoad)| {
        let heat = m.heat?;
        let never = "at that current it is never reached";
        Some(Case { title: format!("motor {}", i + 1), ..Case::default() }.with([
            ("k x rated current", Amount::Current(Amperes(thermal.limit_a))),
            ("time constant", Amount::Time(known.machine.thermal.time_constant)),
            ("highest at", Amount::Instant(heat.at)),
            ("current then", Amount::Current(heat.current)),
            (
                "time to the limit at that current",
                Amount::or_unknown(heat.to_limit, Amount::Time, never),
            ),
            ("headroom then", Amount::Share(heat.headroom())),
            ("highest share of the limit", Amount::Share(heat.share)),
        ]))
    };
    known.findings.load.motors.iter().enumerate().filter_map(case).collect()
}

fn dry(known: &Known<'_>) -> Vec<Case> {
    let mut cases = events(known, LoadKind::Dry);
    if let Some(dry) = known.findings.load.dry {
        cases.push(Case { title: "flow reported as 0".to_owned(), ..Case::default() }.with([
            ("time on the floor, moving", Amount::Time(dry.time)),
            ("more than normal", Amount::Share(dry.more)),
        ]));
    }
    cases
}

fn events(known: &Known<'_>, kind: LoadKind) -> Vec<Case> {
    known.findings.load.of(kind).map(case).collect()
}

fn case(event: &LoadFindingEvent) -> Case {
    let mut case = Case::event(format!("motor {}", event.motor + 1), event.span)
        .with([("peak", Amount::Current(event.peak)), ("mean", Amount::Current(event.mean))]);
    if let Some(ratio) = event.ratio {
        case = case.with([("mean ratio", Amount::Number(ratio))]);
    }
    if let Some(rise) = event.rise.filter(|_| event.onset.is_some()) {
        case = case.with([("rise from normal to limit", Amount::Time(rise))]);
    }
    case.with([("lasted", Amount::Time(event.span.length()))])
}

/// A figure that is a list of events of one kind.
const fn of_events(
    (id, says): (&'static str, &'static str),
    channels: &'static [&'static str],
    settings: &'static [&'static str],
    formula: &'static str,
    worked: fn(&Known<'_>) -> Vec<Case>,
) -> Figure {
    Figure { id, says, channels, settings, formula, source: OWN, assumed: &[AS_REPORTED], worked }
}

pub(in crate::findings) const FIGURES: &[Figure] = &[
    Figure {
        id: "load.motor",
        says: "Current of each brush motor, and what is normal",
        channels: CONTACT,
        settings: &[
            "machine:load.learn_nights",
            "machine:load.learn_time",
            "machine:load.expected_current",
            "machine:load.full_pressure",
            "machine:load.start_time",
            "machine:limits.turning_current",
            "book:tool",
        ],
        formula: "median of each night's time-weighted median in normal work; standard deviation = 1.4826 x MAD of the nights; standard error = sqrt(pi/2) x that / sqrt(nights)",
        source: "robust statistics as in scipy.stats.median_abs_deviation; standard error of a median: any text on order statistics",
        assumed: &[
            AS_REPORTED,
            "The tool is the one that the shift book says; its wear changes the current little.",
            "Where nights are too few, the shift's own median is used: what was wrong all night does not show.",
        ],
        worked: motors,
    },
    of_events(
        ("load.stall", "Stalls"),
        ROTOR,
        &[
            "machine:limits.stall_current",
            "machine:limits.stall_time",
            "machine:load.obstacle_time",
        ],
        "current from the stall limit on and the brush hardly turning, longer than the limit; sudden = from 1.2 x its mean of 5 s to the limit within the obstacle time",
        |known| events(known, LoadKind::Stall),
    ),
    of_events(
        ("load.near_stall", "Near-stalls"),
        ROTOR,
        &[
            "machine:load.near_stall_share",
            "machine:load.near_stall_time",
            "machine:load.start_time",
            "machine:limits.stall_current",
        ],
        "current from share x stall limit on, at least the limit long, no stall in it, motor started",
        |known| events(known, LoadKind::NearStall),
    ),
    of_events(
        ("load.trip", "Motors that lost their power at high load"),
        ROTOR,
        &[
            "machine:load.trip_time",
            "machine:load.trip_dead_time",
            "machine:limits.over_pressure_current",
            "machine:limits.turning_current",
        ],
        "from above over-pressure to below the turning current within the trip time, brushes switched on, another motor running, for at least the dead time",
        |known| events(known, LoadKind::Trip),
    ),
    of_events(
        ("load.over_pressure", "Over-pressure"),
        ROTOR,
        &[
            "machine:limits.over_pressure_current",
            "machine:limits.over_pressure_time",
            "machine:motor.rated_current",
        ],
        "current above the limit (1.25 x rated where not given), not stalled, longer than the limit; ends below 0.95 x the limit",
        |known| events(known, LoadKind::OverPressure),
    ),
    of_events(
        ("load.heavy", "Heavy load"),
        CONTACT,
        &["machine:load.heavy_share", "machine:load.heavy_time", "machine:load.bridge_time"],
        "current above share x normal, longer than the limit, no over-pressure in it",
        |known| events(known, LoadKind::Heavy),
    ),
    of_events(
        ("load.light", "Light contact"),
        CONTACT,
        &[
            "machine:load.light_share",
            "machine:load.light_time",
            "machine:load.bridge_time",
            "machine:load.full_pressure",
            "machine:motor.no_load_current",
        ],
        "current below share x normal, turning, moving, head not up, longer than the limit; hardly touching = (I - I0) / (normal - I0) below 0.15",
        |known| events(known, LoadKind::Light),
    ),
    of_events(
        ("load.uneven", "Uneven load"),
        CONTACT,
        &["machine:load.uneven_ratio", "machine:load.uneven_time", "machine:load.bridge_time"],
        "largest / smallest motor current above the ratio, all turning, moving, head not up, longer than the limit; neither light contact nor over-pressure says why",
        |known| events(known, LoadKind::Uneven),
    ),
    of_events(
        ("load.dry", "Dry running by its load"),
        CONTACT,
        &["machine:load.dry_ratio", "machine:load.dry_time"],
        "flow not reported: mean over 20 s of current / normal above the ratio and above 1 + 3 standard deviations of the nights, longer than the limit; flow 0: mean of current / normal less 1",
        dry,
    ),
    Figure {
        id: "load.thermal",
        says: "Heat of each brush motor",
        channels: CURRENTS,
        settings: &[
            "machine:thermal.time_constant",
            "machine:thermal.factor",
            "machine:thermal.warning",
            "machine:motor.rated_current",
        ],
        formula: "share' = h + (share - h) e^(-dt/tau), h = (I / (k IB))²; time to limit = tau ln((h - share) / (h - 1))",
        source: "thermal replica of IEC 60255-149 (earlier 60255-8); time constant and k are our own choice until the maker's data are entered",
        assumed: &[
            "Cold where the shift's record begins; cools over each power-off by its length.",
            "A current that was not read goes on as before for a minute; then the motor neither heats nor cools.",
        ],
        worked: heat,
    },
    of_events(
        ("load.hot", "Motors above the heat warning"),
        CURRENTS,
        &["machine:thermal.warning", "machine:thermal.time_constant", "machine:thermal.factor"],
        "share of the limit above the warning; ends below 0.97 x the warning",
        |known| events(known, LoadKind::Hot),
    ),
];
