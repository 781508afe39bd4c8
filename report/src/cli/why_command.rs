//! `underbrush why`.

use super::args::WhyArgs;
use super::loaded::Loaded;
use super::{CliError, Outcome, say};
use crate::findings::{Known, judge};
use crate::timeline::shift_of;
use crate::why::{Source, explain, list};

pub(super) fn run(args: &WhyArgs) -> Result<Outcome, CliError> {
    let Some(asked) = &args.asked else {
        say(&list())?;
        return Ok(Outcome::Whole);
    };
    let loaded = Loaded::open(&asked.files)?;
    let shift = shift_of(&loaded.site, asked.date)?;
    let findings = judge(loaded.inputs(), &shift);
    let known = Known {
        findings: &findings,
        machine: &loaded.machine,
        site: &loaded.site,
        book: &loaded.book,
    };
    let units = asked.units.unwrap_or(loaded.site.units);
    let source = Source { known, logs: &loaded.logs, texts: loaded.texts(), units };
    say(&explain(&source, &asked.figure)?)?;
    Ok(Outcome::Whole)
}
