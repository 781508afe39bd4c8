//! Where the figures of wear come from.

use super::{BrushWear, DayRange, RateEstimate, WearFinding};
use crate::findings::figure::{Amount, Case, Figure, Known};
use underbrush_protocol::si::{Joules, Metres, Seconds};

const CURRENTS: &[&str] = &[
    "brush_current_1",
    "brush_current_2",
    "brush_current_3",
    "brush_current_4",
    "brush_rotation_1",
    "brush_rotation_2",
    "brush_rotation_3",
    "brush_rotation_4",
    "battery_voltage",
];
const ARCHARD: &str = "Archard 1953 and Reye: worn volume is proportional to friction work; Preston 1927: depth per time to pressure and speed";
const NOT_JUDGED: &str = "nothing is said: see the sentences under Segments";
const ALIKE: &str = "The wear rate stays the same while this tool is fitted.";
const USE: &str = "The days ahead are like those covered by the logs, drawn independently.";

/// What is known of one brush, or of the machine's shortest segments.
fn lanes(known: &Known<'_>) -> Vec<(String, BrushWear)> {
    let wear = &known.findings.wear;
    if wear.brushes.is_empty() {
        let WearFinding { measured, rate, left, reorder_day, end_day, .. } = wear.clone();
        let shortest = BrushWear {
            measured,
            energy_fitted: wear.energy_fitted.unwrap_or_default(),
            energy_since: wear.energy_since.unwrap_or_default(),
            daily: wear.daily.unwrap_or_default(),
            rate,
            left,
            reorder_day,
            end_day,
        };
        return vec![(String::new(), shortest)];
    }
    let named = |(i, brush): (usize, &BrushWear)| (format!("brush {}", i + 1), brush.clone());
    wear.brushes.iter().enumerate().map(named).collect()
}

fn cases(
    known: &Known<'_>,
    numbers: fn(&Known<'_>, &BrushWear) -> Vec<(&'static str, Amount)>,
) -> Vec<Case> {
    let case = |(title, brush): (String, BrushWear)| Case {
        title,
        span: None,
        numbers: numbers(known, &brush)
            .into_iter()
            .map(|(name, amount)| (name.to_owned(), amount))
            .collect(),
    };
    lanes(known).into_iter().map(case).collect()
}

fn energy(known: &Known<'_>) -> Vec<Case> {
    cases(known, |known, brush| {
        let wear = &known.findings.wear;
        vec![
            (
                "fitted on",
                Amount::or_unknown(wear.fitted, Amount::Day, "no tool in the shift book"),
            ),
            ("counted from", Amount::or_unknown(wear.counted_from, Amount::Day, NOT_JUDGED)),
            ("since the last measurement", Amount::Energy(brush.energy_since)),
            ("mean of a calendar day", Amount::Energy(brush.daily.mean)),
            ("deviation from day to day", Amount::Energy(brush.daily.deviation)),
            ("days", Amount::Count(brush.daily.days.into())),
            (
                "share of the nights observed",
                Amount::or_unknown(wear.observed.share(), Amount::Share, "no night is in the logs"),
            ),
            ("since fitted", Amount::Energy(brush.energy_fitted)),
        ]
    })
}

fn rate(known: &Known<'_>) -> Vec<Case> {
    cases(known, |known, brush| {
        let blade = &known.machine.blade;
        let of =
            |pick: fn(RateEstimate) -> Amount| brush.rate.map_or(Amount::Unknown(NOT_JUDGED), pick);
        vec![
            ("rate of the machine file", Amount::WearRate(blade.wear_rate)),
            ("its uncertainty", Amount::Share(blade.wear_rate_uncertainty)),
            ("measuring error", Amount::Length(blade.measuring_error)),
            ("measurements used", of(|rate| Amount::Count(rate.measurements.into()))),
            ("low end", of(|rate| Amount::WearRate(rate.low))),
            ("high end", of(|rate| Amount::WearRate(rate.high))),
            ("wear rate", of(|rate| Amount::WearRate(rate.best))),
        ]
    })
}

fn left(known: &Known<'_>) -> Vec<Case> {
    cases(known, |_, brush| {
        let length =
            |length: Option<Metres>| Amount::or_unknown(length, Amount::Length, NOT_JUDGED);
        let rate = brush.rate.map(|rate| rate.best);
        let measured = brush.measured.map(|(_, length)| length);
        let lost = rate.map(|rate| Metres(rate.0 * brush.energy_since.0));
        vec![
            (
                "last measured on",
                Amount::or_unknown(
                    brush.measured.map(|(date, _)| date),
                    Amount::Day,
                    "never measured",
                ),
            ),
            ("last measured", Amount::or_unknown(measured, Amount::Length, "never measured")),
            ("friction energy since", Amount::Energy(brush.energy_since)),
            ("wear rate", Amount::or_unknown(rate, Amount::WearRate, NOT_JUDGED)),
            ("lost since then", length(lost)),
            ("low end", length(brush.left.map(|left| left.low))),
            ("high end", length(brush.left.map(|left| left.high))),
            ("left", length(brush.left.map(|left| left.best))),
        ]
    })
}

fn days(
    known: &Known<'_>,
    brush: &BrushWear,
    limit: Metres,
    range: Option<DayRange>,
) -> Vec<(&'static str, Amount)> {
    let day = |pick: fn(DayRange) -> Amount| range.map_or(Amount::Unknown(NOT_JUDGED), pick);
    let rate = brush.rate.map(|rate| rate.best);
    let plain = brush.left.zip(rate).and_then(|(left, rate)| {
        let days = (left.best - limit).0 / (rate.0 * brush.daily.mean.0);
        days.is_finite().then(|| days.max(0.0))
    });
    vec![
        ("end of the shift's day", Amount::Day(known.findings.shift.date)),
        ("left", Amount::or_unknown(brush.left.map(|left| left.best), Amount::Length, NOT_JUDGED)),
        ("limit", Amount::Length(limit)),
        ("wear rate", Amount::or_unknown(rate, Amount::WearRate, NOT_JUDGED)),
        ("friction energy of a day", Amount::Energy(brush.daily.mean)),
        ("days by the best values alone", Amount::or_unknown(plain, Amount::Number, NOT_JUDGED)),
        ("early end", day(|range| Amount::Day(range.early))),
        ("late end", day(|range| Amount::or_unknown(range.late, Amount::Day, "beyond two years"))),
        ("day", day(|range| Amount::Day(range.best))),
    ]
}

fn reorder(known: &Known<'_>) -> Vec<Case> {
    cases(known, |known, brush| {
        days(known, brush, known.machine.blade.reorder_length, brush.reorder_day)
    })
}

fn end(known: &Known<'_>) -> Vec<Case> {
    cases(known, |known, brush| days(known, brush, known.machine.blade.end(), brush.end_day))
}

fn order_by(known: &Known<'_>) -> Vec<Case> {
    let wear = &known.findings.wear;
    let early = wear.reorder_day.map(|day| day.early);
    Case::one([
        ("early end of the reorder day", Amount::or_unknown(early, Amount::Day, NOT_JUDGED)),
        ("time of delivery", Amount::Time(Seconds(known.machine.blade.lead_time.0))),
        ("day of the shift", Amount::Day(known.findings.shift.date)),
        ("order by", Amount::or_unknown(wear.order_by, Amount::Day, NOT_JUDGED)),
    ])
}

fn shift_energy(known: &Known<'_>) -> Vec<Case> {
    let energy = known.findings.wear.energy_shift;
    let why = "no brush motor current was read";
    Case::one([("mean of all brushes", Amount::or_unknown::<Joules>(energy, Amount::Energy, why))])
}

const BLADE: &[&str] = &[
    "machine:blade.wear_rate",
    "machine:blade.wear_rate_uncertainty",
    "machine:blade.measuring_error",
    "machine:blade.new_length",
    "machine:blade.new_length_tolerance",
    "machine:motor",
    "book:tool",
    "book:measured",
];

pub(in crate::findings) const FIGURES: &[Figure] = &[
    Figure {
        id: "wear.shift_energy",
        says: "Friction energy of one brush in the shift",
        channels: CURRENTS,
        settings: &[
            "machine:motor",
            "machine:battery.nominal_voltage",
            "machine:limits.longest_gap",
        ],
        formula: "sum of torque x speed x time; torque = k (I - I0), speed from the rotation or (V - I R) / k; mean of all brushes",
        source: "permanent-magnet DC motor, any textbook on electric machines",
        assumed: &[
            "All that the motor turns beyond its no-load current becomes friction at the brush.",
        ],
        worked: shift_energy,
    },
    Figure {
        id: "wear.energy",
        says: "Friction energy of each brush since its tool was fitted",
        channels: CURRENTS,
        settings: &["machine:motor", "machine:battery.nominal_voltage", "book:tool"],
        formula: "sum over all nights since fitting, as far back as the logs reach",
        source: ARCHARD,
        assumed: &["A night without a log is a night without work."],
        worked: energy,
    },
    Figure {
        id: "wear.rate",
        says: "Length lost per friction energy",
        channels: CURRENTS,
        settings: BLADE,
        formula: "length = first length - rate x energy, least squares with each length over its error and the machine file's rate as one row more (Bayesian regression)",
        source: ARCHARD,
        assumed: &[
            ALIKE,
            "Measured lengths are off by the measuring error, independently; where they scatter clearly more, Student's t takes its place.",
        ],
        worked: rate,
    },
    Figure {
        id: "wear.left",
        says: "Bonded abrasive left at the end of the shift",
        channels: CURRENTS,
        settings: BLADE,
        formula: "regression line at the energy of now; ends of the interval are its 10 % and 90 % points. All measurements count, so it differs a little from last measured - lost",
        source: ARCHARD,
        assumed: &[ALIKE],
        worked: left,
    },
    Figure {
        id: "wear.reorder",
        says: "Day on which the reorder length is reached",
        channels: CURRENTS,
        settings: &["machine:blade.reorder_length", "machine:blade.wear_rate", "book:measured"],
        formula: "day before which the length falls below the limit with a chance of 10, 50 and 90 %, from rate, length and daily use with their uncertainties",
        source: "order at 1/4 in: common practice, no published source",
        assumed: &[ALIKE, USE],
        worked: reorder,
    },
    Figure {
        id: "wear.end",
        says: "Day on which the bonded abrasive is used up",
        channels: CURRENTS,
        settings: &["machine:blade.end_length", "machine:blade.wear_rate", "book:measured"],
        formula: "as the reorder day, at the end length",
        source: "used up at 1/16 in: common practice, no published source; the tool's data sheet holds",
        assumed: &[ALIKE, USE],
        worked: end,
    },
    Figure {
        id: "wear.order_by",
        says: "Last day to order",
        channels: CURRENTS,
        settings: &["machine:blade.lead_time", "machine:blade.reorder_length"],
        formula: "early end of the reorder day - time of delivery, at the earliest the day of the shift",
        source: "our own rule: in 9 of 10 cases the new segments are there when the reorder length is reached",
        assumed: &["The supplier keeps the time of delivery."],
        worked: order_by,
    },
];
