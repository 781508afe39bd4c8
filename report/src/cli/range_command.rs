//! `underbrush sheet --from DATE --to DATE`: a week or a month on one sheet.

use super::args::RangeArgs;
use super::loaded::Loaded;
use super::press::write_whole;
use super::{CliError, Outcome, say};
use crate::ledger::Ledger;
use crate::range::{RangeFinding, table};
use crate::sheet::{RangeInput, Sheet};
use std::path::{Path, PathBuf};
use underbrush_protocol::settings::Machine;

pub(super) fn run(args: &RangeArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    let (site, inputs) = (&loaded.site, loaded.inputs());
    let building = loaded.building(&inputs);
    let (from, to) = (*args.dates.start(), *args.dates.end());
    let ledger = Ledger::read(&building, to);
    let finding = RangeFinding::judge(&building, &ledger, args.dates.clone());
    let machines: Vec<&Machine> = inputs.iter().map(|inputs| inputs.machine).collect();
    let csv = || table::csv(&finding, &machines);
    let json = || format!("{:#}\n", table::json(&finding, site, &machines));
    let csv_printed = write(args.csv.as_deref(), csv)?;
    let json_printed = write(args.json.as_deref(), json)?;
    let input = RangeInput { site, machines: &machines, finding: &finding };
    let sheet = Sheet::of_range(&input, &args.look.options(site));
    if csv_printed || json_printed {
        // Standard output is that table's alone.
    } else if args.text {
        say(&sheet.to_text(100))?;
    } else {
        let name = format!("summary-{from}-{to}.pdf");
        let path = match &args.out {
            Some(out) if out.is_dir() => out.join(name),
            Some(out) => out.clone(),
            None => PathBuf::from(name),
        };
        write_whole(&path, &sheet.to_pdf()?)?;
        say(&format!("{}\n", path.display()))?;
    }
    let unread = finding.together.unread;
    if unread > 0 {
        eprintln!("underbrush: {from} to {to}: logs could not be read in {unread} places");
    }
    if finding.together.nights == 0 {
        eprintln!("underbrush: {from} to {to}: no log covers any of these nights");
    }
    let whole = unread == 0 && finding.together.nights > 0;
    Ok(if whole { Outcome::Whole } else { Outcome::WithLoss })
}

/// Writes a table where it is wanted; `true` if that is standard output.
fn write(path: Option<&Path>, text: impl Fn() -> String) -> Result<bool, CliError> {
    match path {
        None => Ok(false),
        Some(path) if path == Path::new("-") => say(&text()).map(|()| true),
        Some(path) => write_whole(path, text().as_bytes()).map(|()| false),
    }
}
