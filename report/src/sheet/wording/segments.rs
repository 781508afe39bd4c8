//! How far the segments are worn, and where the estimate comes from.

use super::{Source, answers};
use crate::findings::{BrushWear, DayRange, Estimate, LengthDoubt, RateEstimate, WearRemark};
use crate::sheet::document::{Block, Column, Signal, Table};
use crate::sheet::figures::{NOT_KNOWN, count, date, energy, length, percent, significant};
use crate::units::{METRES_PER_INCH, Units};
use underbrush_protocol::si::{Metres, MetresPerJoule, Seconds};

/// The part "Segments".
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let wear = &source.findings.wear;
    let mut blocks = vec![Block::Facts(
        facts(source).into_iter().map(|(name, v)| (name.to_owned(), v)).collect(),
    )];
    if !wear.brushes.is_empty() {
        blocks.push(Block::Table(brushes(source, &wear.brushes)));
    }
    let mut text: Vec<String> = wear.remarks.iter().map(|r| sentence(source, r)).collect();
    if wear.left.is_some() {
        text.push(method(source));
    }
    if !text.is_empty() {
        blocks.push(Block::Text(text));
    }
    if answers::order_due(source) {
        let notice = "Order new segments (estimate); measure them before you decide.".to_owned();
        blocks.push(Block::Signal(Signal::Notice, notice));
    }
    blocks
}

fn facts(source: &Source) -> Vec<(&'static str, String)> {
    let wear = &source.findings.wear;
    let or_not = |text: Option<String>| text.unwrap_or_else(|| NOT_KNOWN.to_owned());
    let grit = wear.grit.as_ref().map(|grit| {
        let grit = source.clean.name(grit);
        wear.fitted.map_or_else(|| grit.clone(), |day| format!("{grit}, on {}", date(day)))
    });
    let since = wear.energy_since.map(|e| {
        let shifts = count(wear.shifts_since as usize, "shift", "shifts");
        format!("{}, {shifts} with brush work", energy(e))
    });
    let mut facts = vec![
        ("Fitted grit", or_not(grit)),
        ("Last measured, shortest", or_not(wear.measured.map(|(day, l)| on_day(source, l, day)))),
        ("Left at end of shift, estimate", or_not(wear.left.map(|e| estimate(source, e)))),
        ("Order length", with_unit(source, wear.reorder_length)),
        ("Order length reached, estimate", or_not(wear.reorder_day.map(days))),
        ("Last day to order, estimate", or_not(wear.order_by.map(date))),
    ];
    if let Some(end) = wear.end_day {
        facts.push(("Used up, estimate", days(end)));
    }
    if let Some(rate) = wear.rate {
        facts.push(("Wear rate", rate_words(source, rate)));
    }
    facts.push(("Friction energy per brush, shift", or_not(wear.energy_shift.map(energy))));
    facts.push(("Same, since measured", or_not(since)));
    if let Some(all) = wear.energy_fitted.filter(|_| wear.fitted.is_some()) {
        let whole = wear.counted_from == wear.fitted;
        let reach = if whole { "Same, since fitted" } else { "Same, as far as logs reach" };
        facts.push((reach, energy(all)));
    }
    facts
}

fn with_unit(source: &Source, l: Metres) -> String {
    format!("{} {}", length(source.units, l), source.units.length_unit())
}

fn on_day(source: &Source, l: Metres, day: chrono::NaiveDate) -> String {
    format!("{} on {}", with_unit(source, l), date(day))
}

fn estimate(source: &Source, e: Estimate) -> String {
    format!(
        "{}, 80 % interval {} to {}",
        with_unit(source, e.best),
        length(source.units, e.low),
        with_unit(source, e.high)
    )
}

fn days(range: DayRange) -> String {
    let late = range.late.map_or_else(|| "beyond two years".to_owned(), date);
    format!("{}, 80 % interval {} to {late}", date(range.best), date(range.early))
}

/// Number of a wear rate, and its unit.
fn rate_number(units: Units, rate: MetresPerJoule) -> (String, &'static str) {
    let metres_per_megajoule = rate.0 * 1e6;
    match units {
        Units::Us => (
            significant(1000.0 * metres_per_megajoule / METRES_PER_INCH, 2),
            "thousandths of an inch per MJ",
        ),
        Units::Si => (significant(1000.0 * metres_per_megajoule, 2), "mm per MJ"),
    }
}

fn rate_words(source: &Source, rate: RateEstimate) -> String {
    let number = |rate| rate_number(source.units, rate).0;
    let (best, unit) = rate_number(source.units, rate.best);
    let from = match rate.measurements {
        0 => "the machine file's, nothing measured since the logs begin".to_owned(),
        n => format!("from {}", count(n as usize, "measurement", "measurements")),
    };
    format!("{best} {unit}, 80 % interval {} to {}; {from}", number(rate.low), number(rate.high))
}

/// Each brush, where they were measured apart.
fn brushes(source: &Source, brushes: &[BrushWear]) -> Table {
    let columns = vec![
        Column::words("Brush", 0.12),
        Column::words("Last measured", 0.24),
        Column::words("Left, 80 % interval", 0.28),
        Column::words("Order length reached", 0.2),
        Column::words("Energy since fitted", 0.16),
    ];
    let row = |(i, brush): (usize, &BrushWear)| {
        let or_not = |text: Option<String>| text.unwrap_or_else(|| NOT_KNOWN.to_owned());
        let left = brush.left.map(|e| {
            let (low, high) = (length(source.units, e.low), with_unit(source, e.high));
            format!("{}, {low} to {high}", length(source.units, e.best))
        });
        vec![
            source.motor(i),
            or_not(brush.measured.map(|(day, l)| on_day(source, l, day))),
            or_not(left),
            or_not(brush.reorder_day.map(|day| date(day.best))),
            energy(brush.energy_fitted),
        ]
    };
    Table::new(source.words(), columns, brushes.iter().enumerate().map(row).collect(), Vec::new())
}

/// Model and interval, as `findings/wear` has them.
fn method(source: &Source) -> String {
    let blade = &source.machine.blade;
    let from = match source.findings.wear.rate.map_or(0, |rate| rate.measurements) {
        0 => "is the machine file's until lengths are measured in the time of the logs",
        _ => "begins with the machine file's and is fitted to your measurements",
    };
    format!(
        "Method: length lost = wear rate x friction energy of the brush (from motor current). The \
         rate {from} (reading error {}). Days ahead are taken to be like the days in the logs. 80 % \
         interval: 1 chance in 10 to be below it, 1 in 10 above; it holds the uncertainty of rate, \
         lengths and daily use. Last day to order: the early end of the interval less {} for \
         delivery. An estimate: what you measure always wins.",
        fine(source, blade.measuring_error),
        count(days_of(blade.lead_time), "day", "days")
    )
}

fn days_of(time: Seconds) -> usize {
    (time.0 / 86_400.0).ceil().max(0.0) as usize
}

/// A length too small for two decimals.
fn fine(source: &Source, l: Metres) -> String {
    format!("{} {}", significant(source.units.length(l), 2), source.units.length_unit())
}

/// `brush 1 (left)`, or `the shortest segment`.
fn whose(source: &Source, brush: Option<usize>) -> String {
    brush.map_or_else(
        || "the shortest segment".to_owned(),
        |brush| format!("brush {}", source.motor(brush)),
    )
}

/// One remark as a whole sentence that says what to do.
pub(super) fn sentence(source: &Source, remark: &WearRemark) -> String {
    match remark {
        WearRemark::Doubtful { brush, date, length, doubt } => {
            let what = doubtful(source, *brush, *date, *length, *doubt);
            format!("{what} No day is given until that is cleared up: measure again.")
        }
        WearRemark::LeftOut { brush, date, length, doubt } => {
            let what = doubtful(source, *brush, *date, *length, *doubt);
            format!("{what} It was left out.")
        }
        WearRemark::Uneven { .. } => uneven(source, remark),
        WearRemark::RateDiffers { brush, measured, file } => {
            let (found, unit) = rate_number(source.units, *measured);
            let (given, _) = rate_number(source.units, *file);
            let whose = whose(source, *brush);
            format!(
                "The wear rate measured on {whose}, {found} {unit}, is far from the machine file's \
                 {given}: if grit and floor are the usual ones, write the measured rate into \
                 blade.wear_rate."
            )
        }
        WearRemark::Scatter { brush, deviation, file } => format!(
            "The lengths measured on {} scatter by {}, more than the machine file's measuring \
             error of {}, and the intervals are wider for it: measure the same segments the same \
             way each time.",
            whose(source, *brush),
            fine(source, *deviation),
            fine(source, *file)
        ),
        other => plain(source, other),
    }
}

fn doubtful(
    source: &Source,
    brush: Option<usize>,
    day: chrono::NaiveDate,
    l: Metres,
    doubt: LengthDoubt,
) -> String {
    let whose = whose(source, brush);
    let begin =
        format!("The length of {whose} measured on {}, {},", date(day), with_unit(source, l));
    match doubt {
        LengthDoubt::LongerThanNew => format!(
            "{begin} is longer than a new segment: correct it in the shift book, or \
             blade.new_length in the machine file."
        ),
        LengthDoubt::Grew { since, from } => format!(
            "{begin} is longer than the {} of {}, though no tool was fitted between: note the new \
             tool in the shift book, or correct the number.",
            with_unit(source, from),
            date(since)
        ),
        LengthDoubt::TooShort { expected } => format!(
            "{begin} is far shorter than the {} that the friction energy explains: was another \
             brush or another grit measured, does the brush sit right, are segments broken?",
            with_unit(source, expected)
        ),
        LengthDoubt::TooLong { expected } => format!(
            "{begin} is far longer than the {} that the friction energy explains: was another brush \
             measured, or a tool fitted that is not in the shift book?",
            with_unit(source, expected)
        ),
    }
}

fn uneven(source: &Source, remark: &WearRemark) -> String {
    let WearRemark::Uneven { date: day, short, long, energy_ratio } = remark else {
        return String::new();
    };
    let cause = match energy_ratio {
        Some(ratio) if *ratio > 1.1 => format!(
            "Its motor also did {} more friction work: check that the deck is level and presses \
             both sides alike.",
            percent(ratio - 1.0, 1.0)
        ),
        Some(_) => "The motors do not explain it: check that all segments are of one kind and sit \
                    firmly, and that the same spots are measured."
            .to_owned(),
        None => "Check that the deck is level and that all segments are of one kind.".to_owned(),
    };
    format!(
        "Uneven wear, measured on {}: brush {} has {}, brush {} has {}. {cause} Follow the machine's \
         manual.",
        date(*day),
        source.motor(short.0),
        with_unit(source, short.1),
        source.motor(long.0),
        with_unit(source, long.1)
    )
}

/// Remarks that name no quantity of their own.
fn plain(source: &Source, remark: &WearRemark) -> String {
    match remark {
        WearRemark::NothingNoted => "No tool and no length is noted: give a shift book (--book) \
                                     with the day the tool was fitted and the lengths measured."
            .to_owned(),
        WearRemark::NotLogged { since, logged } => {
            let begin = logged.map_or_else(
                || "There are no logs since the last known length".to_owned(),
                |day| {
                    format!("The logs begin on {}, too long after the last known length", date(day))
                },
            );
            format!(
                "{begin} of {}: measure the segments and note it in the shift book.",
                date(*since)
            )
        }
        WearRemark::FilledUp { since, logged } => format!(
            "The logs begin on {}, the last length before is of {}: for the days between, the mean \
             day was assumed. Measure the segments to be sure.",
            date(*logged),
            date(*since)
        ),
        WearRemark::NoWork { since } => {
            format!("No brush work was seen since {}: no day can be told.", date(*since))
        }
        WearRemark::FarAway => "More than two years to the order length at this use.".to_owned(),
        WearRemark::UsedUp => {
            "The bonded abrasive is used up by this estimate: measure before the \
                               next run, and fit new segments as the machine's manual says."
                .to_owned()
        }
        WearRemark::NeverMeasured { brush: None, fitted } => format!(
            "Never measured since it was fitted on {}: the length of that day is assumed.",
            date(*fitted)
        ),
        WearRemark::NeverMeasured { brush: Some(brush), fitted } => format!(
            "Brush {} was never measured since it was fitted on {}: measure each brush.",
            source.motor(*brush),
            date(*fitted)
        ),
        WearRemark::MeasureDue { last } => {
            format!("Last measured on {}: measure the segments today.", date(*last))
        }
        other => of_the_records(source, other),
    }
}

/// Remarks on logs and shift book.
fn of_the_records(source: &Source, remark: &WearRemark) -> String {
    match remark {
        WearRemark::Damaged { places } => format!(
            "Logs since the tool was fitted are damaged in {} (underbrush verify lists them): less \
             may be left than shown.",
            count(*places as usize, "place", "places")
        ),
        WearRemark::LittleSeen { share } => format!(
            "Only {} of the recorded time since the tool was fitted was observed, too little to \
             judge well: less may be left than shown. Check the cable of the bridge.",
            percent(*share, 1.0)
        ),
        WearRemark::Future { entries, first } => format!(
            "{} of the shift book lie after the last log, the first on {}, and were left out: check \
             their dates.",
            count(*entries as usize, "entry", "entries"),
            date(*first)
        ),
        WearRemark::WhichBrush { date: day, brush } => format!(
            "The length measured on {} does not say which brush: taken as brush {}'s, which has \
             worked most. Note the length of each brush.",
            date(*day),
            source.motor(*brush)
        ),
        WearRemark::NoSuchBrush { date: day, brushes } => format!(
            "The lengths measured on {} are of more brushes than the {brushes} of the machine file: \
             correct one of the two.",
            date(*day)
        ),
        WearRemark::NotApart => {
            "The brush motors are not recorded apart: each brush is taken to do \
                                 the same work."
                .to_owned()
        }
        WearRemark::SeveralTools { date: day } => format!(
            "More than one tool was fitted on {}: the whole night counts for the last one.",
            date(*day)
        ),
        _ => String::new(),
    }
}
