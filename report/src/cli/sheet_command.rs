//! `underbrush sheet`.

use super::args::SheetArgs;
use super::loaded::Loaded;
use super::{CliError, Outcome, say};
use crate::duration;
use crate::findings::{Findings, Inputs, Judge, Span, Totals};
use crate::sheet::{Sheet, SheetInput, SheetOptions};
use crate::timeline::{Walk, shift_of};
use crate::units::Units;
use chrono::NaiveDate;
use std::path::{Path, PathBuf};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::Seconds;

pub(super) fn run(args: &SheetArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    let usual = SheetOptions::of(&loaded.site);
    let options = SheetOptions {
        units: args.units.unwrap_or(usual.units),
        paper: args.paper.unwrap_or(usual.paper),
        language: args.language.unwrap_or(usual.language),
        colour: args.colour || usual.colour,
        technician: args.technician,
        details: args.details,
    };
    let (first, last) = match args.shifts {
        Some(shifts) => shifts,
        None => loaded.last_night().map(|night| (night, night))?,
    };
    let several = first != last || loaded.machines.len() > 1;
    let mut outcome = Outcome::Whole;
    for inputs in loaded.inputs() {
        let mut judge = Judge::new(inputs);
        for date in first.iter_days().take_while(|date| *date <= last) {
            let shift = shift_of(inputs.site, date)?;
            let findings = judge.shift(&shift);
            let nights = [(inputs.machine, &findings)];
            let sheet = Sheet::build(&SheetInput { site: inputs.site, nights: &nights }, &options);
            if args.text {
                say(&sheet.to_text(100))?;
            } else {
                let path = out_path(args, inputs.machine, &findings, several);
                write_whole(&path, &sheet.to_pdf()?)?;
                say(&format!("{}\n", path.display()))?;
            }
            if tell_losses(&findings) {
                outcome = Outcome::WithLoss;
            }
        }
        if first != last {
            eprintln!("underbrush: {}", totals(inputs, (first, last), options.units)?);
        }
    }
    Ok(outcome)
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

/// Says on stderr what the sheet says of missing data; `true` if any is missing.
fn tell_losses(findings: &Findings) -> bool {
    let date = findings.shift.date;
    for problem in &findings.data.problems {
        eprintln!("underbrush: shift {date}: {}", problem.message);
    }
    if findings.data.boots == 0 {
        eprintln!("underbrush: shift {date}: nothing was recorded; the sheet says what to check");
        return true;
    }
    let link = &findings.data.link;
    let gaps = findings.data.gaps.len();
    if link.lost + link.damaged > 0 || gaps > 0 {
        eprintln!(
            "underbrush: shift {date}: {} frames lost, {} damaged, {gaps} gaps",
            link.lost, link.damaged
        );
    }
    findings.data.problems.iter().any(|p| p.data_lost) || link.lost + link.damaged > 0 || gaps > 0
}

fn out_path(args: &SheetArgs, machine: &Machine, findings: &Findings, several: bool) -> PathBuf {
    let safe: String =
        machine.id.chars().map(|c| if c.is_alphanumeric() || c == '-' { c } else { '_' }).collect();
    let name = format!("shift-{safe}-{}.pdf", findings.shift.date);
    match &args.out {
        Some(out) if several || out.is_dir() => out.join(name),
        Some(out) => out.clone(),
        None => PathBuf::from(name),
    }
}

/// Writes beside the target and renames, so that nobody prints half a sheet.
fn write_whole(path: &Path, bytes: &[u8]) -> Result<(), CliError> {
    let fail = |source| CliError::File { path: path.display().to_string(), source };
    if let Some(parent) = path.parent().filter(|p| !p.as_os_str().is_empty()) {
        std::fs::create_dir_all(parent).map_err(fail)?;
    }
    let mut name = path.file_name().unwrap_or_default().to_os_string();
    name.push(".part");
    let part = path.with_file_name(name);
    std::fs::write(&part, bytes).map_err(fail)?;
    std::fs::rename(&part, path).map_err(fail)
}
