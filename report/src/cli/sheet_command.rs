//! `underbrush sheet`.

use super::args::SheetArgs;
use super::loaded::Loaded;
use super::{CliError, Outcome, say};
use crate::findings::{Findings, Judge};
use crate::sheet::{Sheet, SheetOptions};
use crate::timeline::shift_of;
use std::path::{Path, PathBuf};
use underbrush_protocol::settings::Machine;

pub(super) fn run(args: &SheetArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    let options = SheetOptions {
        units: args.units.unwrap_or(loaded.site.units),
        paper: args.paper.unwrap_or(loaded.site.paper),
    };
    let several = args.first != args.last;
    let mut outcome = Outcome::Whole;
    let mut judge = Judge::new(loaded.inputs());
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
