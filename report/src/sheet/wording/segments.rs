//! How far the segments are worn, and where the estimate comes from.

use super::{Source, answers, wear_remarks};
use crate::findings::{BrushWear, DayRange, Estimate, RateEstimate};
use crate::sheet::document::{Block, Column, Signal, Table};
use crate::units::{METRES_PER_INCH, Units};
use chrono::NaiveDate;
use underbrush_protocol::si::{Metres, MetresPerJoule, Seconds};

/// The part "Segments".
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let wear = &source.findings.wear;
    let mut blocks = vec![Block::Facts(facts(source))];
    if !wear.brushes.is_empty() {
        blocks.push(Block::Table(brushes(source, &wear.brushes)));
    }
    let sentence = |r| wear_remarks::sentence(source, r);
    let mut text: Vec<String> = wear.remarks.iter().map(sentence).collect();
    if wear.left.is_some() {
        text.push(method(source));
    }
    if !text.is_empty() {
        blocks.push(Block::Text(text));
    }
    if answers::order_due(source) {
        blocks.push(Block::Signal(Signal::Notice, source.say("segments-order-notice")));
    }
    blocks
}

fn facts(source: &Source) -> Vec<(String, String)> {
    let (wear, figures) = (&source.findings.wear, &source.figures);
    let or_not = |text: Option<String>| text.unwrap_or_else(|| figures.not_known());
    let grit = wear.grit.as_ref().map(|grit| {
        let grit = source.clean.name(grit);
        match wear.fitted {
            None => grit,
            Some(day) => on(source, "segments-grit-on", grit, day),
        }
    });
    let since = wear.energy_since.map(|e| {
        let shifts = source.count("count-shifts", wear.shifts_since as usize);
        let values = [("energy", figures.energy(e).into()), ("shifts", shifts.into())];
        source.with("segments-energy-and-shifts", &values)
    });
    let mut facts = vec![
        ("segments-grit", or_not(grit)),
        ("segments-measured", or_not(wear.measured.map(|(day, l)| on_day(source, l, day)))),
        ("segments-left", or_not(wear.left.map(|e| estimate(source, e)))),
        ("segments-order-length", figures.length_and_unit(wear.reorder_length)),
        ("segments-order-reached", or_not(wear.reorder_day.map(|range| days(source, range)))),
        ("segments-order-by", or_not(wear.order_by.map(|day| figures.date(day)))),
    ];
    if let Some(end) = wear.end_day {
        facts.push(("segments-used-up", days(source, end)));
    }
    if let Some(rate) = wear.rate {
        facts.push(("segments-rate", rate_words(source, rate)));
    }
    facts.push(("segments-energy", or_not(wear.energy_shift.map(|e| figures.energy(e)))));
    facts.push(("segments-energy-measured", or_not(since)));
    if let Some(all) = wear.energy_fitted.filter(|_| wear.fitted.is_some()) {
        let whole = wear.counted_from == wear.fitted;
        let reach = if whole { "segments-energy-fitted" } else { "segments-energy-reach" };
        facts.push((reach, figures.energy(all)));
    }
    facts.into_iter().map(|(id, value)| (source.say(id), value)).collect()
}

/// What a message says of a value and a day.
fn on(source: &Source, id: &str, value: String, day: NaiveDate) -> String {
    let date = source.figures.date(day);
    source.with(id, &[("value", value.into()), ("date", date.into())])
}

fn on_day(source: &Source, l: Metres, day: NaiveDate) -> String {
    on(source, "segments-length-on", source.figures.length_and_unit(l), day)
}

fn estimate(source: &Source, e: Estimate) -> String {
    let figures = &source.figures;
    source.with(
        "segments-interval",
        &[
            ("best", figures.length_and_unit(e.best).into()),
            ("low", figures.length(e.low).into()),
            ("high", figures.length_and_unit(e.high).into()),
        ],
    )
}

fn days(source: &Source, range: DayRange) -> String {
    let figures = &source.figures;
    let late = range.late.map_or_else(|| source.say("segments-beyond"), |day| figures.date(day));
    source.with(
        "segments-interval",
        &[
            ("best", figures.date(range.best).into()),
            ("low", figures.date(range.early).into()),
            ("high", late.into()),
        ],
    )
}

/// Number of a wear rate; its unit is [`rate_unit`].
pub(super) fn rate_number(source: &Source, rate: MetresPerJoule) -> String {
    let mm_per_mj = 1000.0 * rate.0 * 1e6;
    source.figures.significant(
        match source.units {
            Units::Us => mm_per_mj / METRES_PER_INCH,
            Units::Si => mm_per_mj,
        },
        2,
    )
}

pub(super) fn rate_unit(source: &Source) -> String {
    source.say(match source.units {
        Units::Us => "segments-rate-unit-us",
        Units::Si => "segments-rate-unit-si",
    })
}

fn rate_words(source: &Source, rate: RateEstimate) -> String {
    let from = match rate.measurements {
        0 => source.say("segments-rate-from-file"),
        n => {
            let measurements = source.count("count-measurements", n as usize);
            source.with("segments-rate-measured", &[("measurements", measurements.into())])
        }
    };
    let best = format!("{} {}", rate_number(source, rate.best), rate_unit(source));
    let interval = source.with(
        "segments-interval",
        &[
            ("best", best.into()),
            ("low", rate_number(source, rate.low).into()),
            ("high", rate_number(source, rate.high).into()),
        ],
    );
    format!("{interval}; {from}")
}

/// Each brush, where they were measured apart.
fn brushes(source: &Source, brushes: &[BrushWear]) -> Table {
    let figures = &source.figures;
    let columns = vec![
        Column::words(source.say("segments-column-brush"), 0.12),
        Column::words(source.say("segments-column-measured"), 0.24),
        Column::words(source.say("segments-column-left"), 0.28),
        Column::words(source.say("segments-column-order"), 0.2),
        Column::words(source.say("segments-column-energy"), 0.16),
    ];
    let row = |(i, brush): (usize, &BrushWear)| {
        let or_not = |text: Option<String>| text.unwrap_or_else(|| figures.not_known());
        let left = brush.left.map(|e| {
            source.with(
                "segments-left-range",
                &[
                    ("best", figures.length(e.best).into()),
                    ("low", figures.length(e.low).into()),
                    ("high", figures.length_and_unit(e.high).into()),
                ],
            )
        });
        vec![
            source.motor(i),
            or_not(brush.measured.map(|(day, l)| on_day(source, l, day))),
            or_not(left),
            or_not(brush.reorder_day.map(|day| figures.date(day.best))),
            figures.energy(brush.energy_fitted),
        ]
    };
    Table::new(source.words(), columns, brushes.iter().enumerate().map(row).collect(), Vec::new())
}

/// Model and interval, as `findings/wear` has them.
fn method(source: &Source) -> String {
    let blade = &source.machine.blade;
    let id = match source.findings.wear.rate.map_or(0, |rate| rate.measurements) {
        0 => "segments-method-by-file",
        _ => "segments-method-fitted",
    };
    source.with(
        "segments-method",
        &[
            ("rate", source.say(id).into()),
            ("error", fine(source, blade.measuring_error).into()),
            ("days", source.count("count-days", days_of(blade.lead_time)).into()),
        ],
    )
}

fn days_of(time: Seconds) -> usize {
    (time.0 / 86_400.0).ceil().max(0.0) as usize
}

/// A length too small for two decimals.
pub(super) fn fine(source: &Source, l: Metres) -> String {
    let figures = &source.figures;
    format!("{} {}", figures.significant(source.units.length(l), 2), figures.length_unit())
}
