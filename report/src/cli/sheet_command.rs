//! `underbrush sheet`.

use super::args::SheetArgs;
use super::loaded::Loaded;
use super::press::{Press, file_name, write_whole};
use super::{CliError, Outcome, say};
use crate::duration;
use crate::findings::{Inputs, Span, Totals};
use crate::timeline::{Walk, shift_of};
use crate::units::Units;
use chrono::NaiveDate;
use std::path::{Path, PathBuf};
use underbrush_protocol::si::Seconds;

pub(super) fn run(args: &SheetArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    let options = args.look.options(&loaded.site);
    let (first, last) = match args.shifts {
        Some(shifts) => shifts,
        None => loaded.last_night().map(|night| (night, night))?,
    };
    let several = first != last;
    let mut outcome = Outcome::Whole;
    let mut press = Press::new(&loaded, last, options);
    for date in first.iter_days().take_while(|date| *date <= last) {
        let made = press.sheet(date)?;
        if let Some(path) = &args.json {
            write_json(path, &made.json, date, several)?;
        }
        let printed = args.json.as_deref().is_some_and(|path| path == Path::new("-"));
        if printed {
            // Standard output is the JSON's alone.
        } else if args.text {
            say(&made.sheet.to_text(100))?;
        } else {
            let name = file_name(&loaded, date);
            let path = match &args.out {
                Some(out) if several || out.is_dir() => out.join(name),
                Some(out) => out.clone(),
                None => PathBuf::from(name),
            };
            write_whole(&path, &made.sheet.to_pdf()?)?;
            say(&format!("{}\n", path.display()))?;
        }
        for loss in &made.losses {
            eprintln!("underbrush: {loss}");
        }
        if made.data_lost {
            outcome = Outcome::WithLoss;
        }
    }
    if several {
        for inputs in loaded.inputs() {
            let words = totals(inputs, (first, last), options.units)?;
            match loaded.machines.len() {
                1 => eprintln!("underbrush: {words}"),
                _ => eprintln!("underbrush: {}, {words}", inputs.machine.id),
            }
        }
    }
    Ok(outcome)
}

/// Writes the findings; of several shifts, each into a file of its own.
fn write_json(
    path: &Path,
    json: &serde_json::Value,
    date: NaiveDate,
    several: bool,
) -> Result<(), CliError> {
    let text = format!("{json:#}\n");
    if path == Path::new("-") {
        return say(&text);
    }
    let path = if several || path.is_dir() {
        path.join(format!("shift-{date}.json"))
    } else {
        path.to_path_buf()
    };
    write_whole(&path, text.as_bytes())
}

/// What the whole time from the first shift to the last comes to, work between shifts included.
fn totals(
    inputs: Inputs<'_>,
    (first, last): (NaiveDate, NaiveDate),
    units: Units,
) -> Result<String, CliError> {
    let Inputs { machine, site, logs, .. } = inputs;
    let span = Span { from: shift_of(site, first)?.span.from, to: shift_of(site, last)?.span.to };
    let totals = Totals::of(logs, Walk::of(machine, span), machine.limits());
    let standing = totals.stationary.iter().fold(Seconds(0.0), |sum, s| sum + s.span.length());
    let median = totals.histogram.quantile(0.5).map_or(String::new(), |speed| {
        format!(", half of it not faster than {:.1} {}", units.speed(speed), units.speed_unit())
    });
    let words = |time: Seconds| duration::in_words((time.0 * 1000.0) as u64);
    let on_the_spot = match totals.stationary.len() {
        0 => "no brush turned on the spot".to_owned(),
        1 => format!("a brush turned on the spot once, {}", words(standing)),
        times => format!("brushes turned on the spot {times} times, {} in all", words(standing)),
    };
    let hours = totals.histogram.total().0 / 3600.0;
    Ok(format!("{first} to {last}: {hours:.1} h of brush time{median}; {on_the_spot}"))
}
