//! `underbrush why`.

use super::args::WhyArgs;
use super::loaded::Loaded;
use super::press::Press;
use super::{CliError, Outcome, say};
use crate::findings::Known;
use crate::sheet::SheetOptions;
use crate::why::{Source, explain, list};

pub(super) fn run(args: &WhyArgs) -> Result<Outcome, CliError> {
    let Some(asked) = &args.asked else {
        say(&list())?;
        return Ok(Outcome::Whole);
    };
    let loaded = Loaded::open(&asked.files)?;
    let [machine] = loaded.machines.as_slice() else {
        return Err(CliError::WhichMachine(loaded.machines.len()));
    };
    let date = asked.date.map_or_else(|| loaded.last_night(), Ok)?;
    let mut press = Press::new(&loaded, date, SheetOptions::of(&loaded.site));
    let (findings, _) = press.night(date)?;
    let [findings] = findings.as_slice() else {
        return Err(CliError::WhichMachine(findings.len()));
    };
    let inputs = loaded.inputs_of(machine);
    let known = Known { findings, machine: inputs.machine, site: inputs.site, book: inputs.book };
    let units = asked.units.unwrap_or(loaded.site.units);
    let source = Source { known, logs: &machine.logs, texts: loaded.texts(machine), units };
    say(&explain(&source, &asked.figure)?)?;
    Ok(Outcome::Whole)
}
