//! What is remarked on the wear of the segments, each as a whole sentence that says what to do.

use super::Source;
use super::segments::{fine, rate_number, rate_unit};
use crate::findings::{LengthDoubt, WearRemark};
use crate::sheet::words::Value;
use chrono::NaiveDate;
use underbrush_protocol::si::Metres;

/// One remark.
pub(super) fn sentence(source: &Source, remark: &WearRemark) -> String {
    match remark {
        WearRemark::Doubtful { brush, date, length, doubt } => {
            let what = doubtful(source, *brush, *date, *length, *doubt);
            format!("{what} {}", source.say("wear-no-day"))
        }
        WearRemark::LeftOut { brush, date, length, doubt } => {
            let what = doubtful(source, *brush, *date, *length, *doubt);
            format!("{what} {}", source.say("wear-left-out"))
        }
        WearRemark::Uneven { .. } => uneven(source, remark),
        WearRemark::RateDiffers { brush, measured, file } => source.with(
            "wear-rate-differs",
            &[
                ("whose", whose(source, *brush)),
                ("found", rate_number(source, *measured).into()),
                ("unit", rate_unit(source).into()),
                ("given", rate_number(source, *file).into()),
            ],
        ),
        WearRemark::Scatter { brush, deviation, file } => source.with(
            "wear-scatter",
            &[
                ("whose", whose(source, *brush)),
                ("deviation", fine(source, *deviation).into()),
                ("error", fine(source, *file).into()),
            ],
        ),
        WearRemark::Quadrants { date, brush, short, long } => {
            source.with("wear-quadrants", &spread(source, (*date, *brush), *short, *long))
        }
        WearRemark::SeatingUneven { date, brush, fitted, short, long } => {
            let mut values = spread(source, (*date, *brush), *short, *long);
            values.push(("fitted", self::date(source, *fitted)));
            source.with("wear-seating-uneven", &values)
        }
        WearRemark::Seating { date, brush, fitted, length, expected } => source.with(
            "wear-seating",
            &[
                ("whose", whose(source, *brush)),
                ("date", self::date(source, *date)),
                ("fitted", self::date(source, *fitted)),
                ("length", source.figures.length_and_unit(*length).into()),
                ("expected", source.figures.length_and_unit(*expected).into()),
            ],
        ),
        other => plain(source, other),
    }
}

/// Shortest and longest of the four lengths of a brush.
fn spread(
    source: &Source,
    (day, brush): (NaiveDate, usize),
    short: Metres,
    long: Metres,
) -> Vec<(&'static str, Value)> {
    let unit = |l| source.figures.length_and_unit(l).into();
    vec![
        ("date", date(source, day)),
        ("brush", source.motor(brush).into()),
        ("short", unit(short)),
        ("long", unit(long)),
    ]
}

/// `brush 1 (left)`, or `the shortest segment`.
fn whose(source: &Source, brush: Option<usize>) -> Value {
    match brush {
        None => source.say("wear-of-shortest").into(),
        Some(brush) => {
            source.with("wear-of-brush", &[("brush", source.motor(brush).into())]).into()
        }
    }
}

fn date(source: &Source, day: NaiveDate) -> Value {
    source.figures.date(day).into()
}

fn doubtful(
    source: &Source,
    brush: Option<usize>,
    day: NaiveDate,
    l: Metres,
    doubt: LengthDoubt,
) -> String {
    let unit = |l| -> Value { source.figures.length_and_unit(l).into() };
    let mut values =
        vec![("whose", whose(source, brush)), ("date", date(source, day)), ("length", unit(l))];
    let id = match doubt {
        LengthDoubt::LongerThanNew => "wear-longer-than-new",
        LengthDoubt::Grew { since, from } => {
            values.extend([("from", unit(from)), ("since", date(source, since))]);
            "wear-grew"
        }
        LengthDoubt::TooShort { expected } => {
            values.push(("expected", unit(expected)));
            "wear-too-short"
        }
        LengthDoubt::TooLong { expected } => {
            values.push(("expected", unit(expected)));
            "wear-too-long"
        }
    };
    source.with(id, &values)
}

fn uneven(source: &Source, remark: &WearRemark) -> String {
    let WearRemark::Uneven { date: day, short, long, energy_ratio } = remark else {
        return String::new();
    };
    let figures = &source.figures;
    let cause = match energy_ratio {
        Some(ratio) if *ratio > 1.1 => {
            let more = figures.percent(ratio - 1.0, 1.0);
            source.with("wear-uneven-by-motor", &[("more", more.into())])
        }
        Some(_) => source.say("wear-uneven-not-by-motor"),
        None => source.say("wear-uneven-cause"),
    };
    source.with(
        "wear-uneven",
        &[
            ("date", date(source, *day)),
            ("first", source.motor(short.0).into()),
            ("short", figures.length_and_unit(short.1).into()),
            ("second", source.motor(long.0).into()),
            ("long", figures.length_and_unit(long.1).into()),
            ("cause", cause.into()),
        ],
    )
}

/// Remarks that name no quantity of their own.
fn plain(source: &Source, remark: &WearRemark) -> String {
    match remark {
        WearRemark::NothingNoted => source.say("wear-nothing-noted"),
        WearRemark::NotLogged { since, logged: None } => {
            source.with("wear-not-logged", &[("since", date(source, *since))])
        }
        WearRemark::NotLogged { since, logged: Some(day) } => source.with(
            "wear-logged-late",
            &[("since", date(source, *since)), ("date", date(source, *day))],
        ),
        WearRemark::FilledUp { since, logged } => source.with(
            "wear-filled-up",
            &[("since", date(source, *since)), ("date", date(source, *logged))],
        ),
        WearRemark::NoWork { since } => {
            source.with("wear-no-work", &[("since", date(source, *since))])
        }
        WearRemark::FarAway => source.say("wear-far-away"),
        WearRemark::UsedUp => source.say("wear-used-up"),
        WearRemark::NeverMeasured { brush: None, fitted } => {
            source.with("wear-never-measured", &[("date", date(source, *fitted))])
        }
        WearRemark::NeverMeasured { brush: Some(brush), fitted } => source.with(
            "wear-brush-never-measured",
            &[("brush", source.motor(*brush).into()), ("date", date(source, *fitted))],
        ),
        WearRemark::MeasureDue { last } => {
            source.with("wear-measure-due", &[("date", date(source, *last))])
        }
        other => of_the_records(source, other),
    }
}

/// Remarks on logs and shift book.
fn of_the_records(source: &Source, remark: &WearRemark) -> String {
    match remark {
        WearRemark::Damaged { places } => {
            let places = source.count("count-places", *places as usize);
            source.with("wear-damaged", &[("places", places.into())])
        }
        WearRemark::LittleSeen { share } => {
            let share = source.figures.percent(*share, 1.0);
            source.with("wear-little-seen", &[("share", share.into())])
        }
        WearRemark::Future { entries, first } => source.with(
            "wear-future",
            &[("count", (*entries as usize).into()), ("date", date(source, *first))],
        ),
        WearRemark::WhichBrush { date: day, brush } => source.with(
            "wear-which-brush",
            &[("date", date(source, *day)), ("brush", source.motor(*brush).into())],
        ),
        WearRemark::NoSuchBrush { date: day, brushes } => source.with(
            "wear-no-such-brush",
            &[("date", date(source, *day)), ("brushes", (*brushes).into())],
        ),
        WearRemark::NotApart => source.say("wear-not-apart"),
        WearRemark::SeveralTools { date: day } => {
            source.with("wear-several-tools", &[("date", date(source, *day))])
        }
        _ => String::new(),
    }
}
