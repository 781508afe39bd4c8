//! `underbrush programme`.

use super::args::{Form, ProgrammeArgs};
use super::loaded::Loaded;
use super::press::write_whole;
use super::terminal::width_of_output;
use super::{CliError, Outcome, say};
use crate::ledger::Ledger;
use crate::programme::table::{Told, to_csv, to_json};
use crate::programme::{Programme, ProgrammeCase};
use crate::sheet::{ProgrammeInput, Sheet};
use underbrush_protocol::settings::Machine;

pub(super) fn run(args: &ProgrammeArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    let date = args.date.map_or_else(|| loaded.last_night(), Ok)?;
    let inputs = loaded.inputs();
    let building = loaded.building(&inputs);
    let ledger = Ledger::read(&building, date);
    let machines: Vec<&Machine> = loaded.machines.iter().map(|m| &m.machine).collect();
    let nights = ledger.recorded(date.succ_opt().unwrap_or(date), &[]);
    let site = &loaded.site;
    let programme = Programme::judge(&ProgrammeCase {
        site,
        book: &loaded.book,
        machines: &machines,
        records: &ledger.records,
        nights: &nights,
        date,
    });
    let told = Told { programme: &programme, site, machines: &machines };
    let options = args.look.options(site);
    let input = ProgrammeInput { programme: &programme, site, machines: &machines };
    let sheet = || Sheet::programme(&input, &options);
    match &args.form {
        Form::Csv => say(&to_csv(told))?,
        Form::Json => say(&to_json(told))?,
        Form::Text(width) => say(&sheet().to_text(width.unwrap_or_else(width_of_output)))?,
        Form::Pdf(path) => {
            write_whole(path, &sheet().to_pdf()?)?;
            say(&format!("{}\n", path.display()))?;
        }
    }
    let unread: u32 = (0..machines.len()).flat_map(|m| ledger.nights(m)).map(|n| n.unread).sum();
    if unread > 0 {
        eprintln!("underbrush: {unread} places of the logs could not be read: work may be missing");
        return Ok(Outcome::WithLoss);
    }
    Ok(Outcome::Whole)
}
