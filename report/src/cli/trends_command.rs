//! `underbrush trends`.

use super::args::{TrendsArgs, TrendsForm};
use super::loaded::Loaded;
use super::press::write_whole;
use super::terminal::width_of_output;
use super::{CliError, Outcome, say};
use crate::ledger::Ledger;
use crate::sheet::{Sheet, TrendsInput};
use crate::trends::{read, to_csv, to_json, to_text};
use chrono::Days;
use underbrush_protocol::settings::Machine;

/// Looked back so far where nobody says.
const USUAL_DAYS: u64 = 90;

pub(super) fn run(args: &TrendsArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    let to = args.to.map_or_else(|| loaded.last_night(), Ok)?;
    let from =
        args.from.unwrap_or_else(|| to.checked_sub_days(Days::new(USUAL_DAYS)).unwrap_or(to));
    let inputs = loaded.inputs();
    let building = loaded.building(&inputs);
    let ledger = Ledger::read(&building, to);
    let machines: Vec<&Machine> = loaded.machines.iter().map(|m| &m.machine).collect();
    let of = |number| read(&building, &ledger, number, (from, to));
    let trends: Vec<_> = (0..inputs.len()).filter_map(of).collect();
    match &args.form {
        TrendsForm::Csv => say(&to_csv(&trends, &machines))?,
        TrendsForm::Json => say(&to_json(&trends, &machines))?,
        TrendsForm::Pdf(path) => {
            let input = TrendsInput { site: &loaded.site, machines: &machines, trends: &trends };
            let sheet = Sheet::of_trends(&input, &args.look.options(&loaded.site));
            write_whole(path, &sheet.to_pdf()?)?;
            say(&format!("{}\n", path.display()))?;
        }
        TrendsForm::Text(width) => {
            let width = width.unwrap_or_else(width_of_output);
            say(&to_text(&trends, &machines, &args.look.options(&loaded.site), width))?;
        }
    }
    let within = |date| (from..=to).contains(&date);
    let nights = (0..machines.len()).flat_map(|m| ledger.nights(m)).filter(|n| within(n.date));
    let unread: u32 = nights.map(|night| night.unread).sum();
    if unread > 0 {
        eprintln!(
            "underbrush: {unread} places of the logs could not be read: values may be missing"
        );
        return Ok(Outcome::WithLoss);
    }
    if trends.iter().all(|of| of.nights == 0) {
        eprintln!("underbrush: no log covers any night from {from} to {to}");
        return Ok(Outcome::WithLoss);
    }
    Ok(Outcome::Whole)
}
