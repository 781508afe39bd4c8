//! `underbrush sheet`.

use super::args::SheetArgs;
use super::{CliError, Outcome, say};
use crate::findings::{Findings, Inputs, Judge};
use crate::logset::{LogSet, OpenSettings};
use crate::settings::{Book, Site};
use crate::sheet::{Sheet, SheetOptions};
use crate::timeline::{shift_of, utc_of};
use std::path::{Path, PathBuf};
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::UtcMs;

/// The files of one run.
struct Loaded {
    machine: Machine,
    site: Site,
    book: Book,
    logs: LogSet,
}

pub(super) fn run(args: &SheetArgs) -> Result<Outcome, CliError> {
    let loaded = load(args)?;
    let options = SheetOptions {
        units: args.units.unwrap_or(loaded.site.units),
        paper: args.paper.unwrap_or(loaded.site.paper),
    };
    let several = args.first != args.last;
    let mut outcome = Outcome::Whole;
    let mut judge = Judge::new(Inputs {
        logs: &loaded.logs,
        machine: &loaded.machine,
        site: &loaded.site,
        book: &loaded.book,
    });
    for date in args.first.iter_days().take_while(|date| *date <= args.last) {
        let shift = shift_of(&loaded.site, date)?;
        let findings = judge.shift(&shift);
        let sheet = Sheet::build(&findings, &loaded.site, &loaded.machine, &options);
        if args.text {
            say(&sheet.to_text(100))?;
        } else {
            let path = out_path(args, &loaded.machine, &findings, several);
            write_whole(&path, &sheet.to_pdf()?)?;
            say(&format!("{}\n", path.display()))?;
        }
        if tell_losses(&findings) {
            outcome = Outcome::WithLoss;
        }
    }
    Ok(outcome)
}

fn load(args: &SheetArgs) -> Result<Loaded, CliError> {
    let name = |path: &Path| path.display().to_string();
    let machine = Machine::parse(&name(&args.machine), &read(&args.machine)?)?;
    let site = Site::parse(&name(&args.site), &read(&args.site)?)?;
    let book = match &args.book {
        Some(path) => Book::parse(&name(path), &read(path)?)?,
        None => Book::default(),
    };
    let boot_starts = args
        .boots
        .iter()
        .filter_map(|(boot, local)| {
            Some((*boot, UtcMs(utc_of(site.zone, *local, false)?.timestamp_millis())))
        })
        .collect();
    let settings = OpenSettings { machine: machine.id.clone(), boot_starts };
    let logs = LogSet::open(&args.log, &settings)?;
    Ok(Loaded { machine, site, book, logs })
}

fn read(path: &Path) -> Result<String, CliError> {
    std::fs::read_to_string(path)
        .map_err(|source| CliError::File { path: path.display().to_string(), source })
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
