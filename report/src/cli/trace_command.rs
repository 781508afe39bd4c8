//! `underbrush trace`.

use super::args::{TraceArgs, TraceForm};
use super::loaded::Loaded;
use super::press::write_whole;
use super::terminal::width_of_output;
use super::{CliError, Outcome, say};
use crate::events::{Context, Reference, night, of_findings, trace_json};
use crate::findings::trace;
use crate::ledger::Building;
use crate::sheet::{EventInput, Sheet};
use chrono::Duration;
use std::path::Path;
use underbrush_protocol::settings::Machine;

pub(super) fn run(args: &TraceArgs) -> Result<Outcome, CliError> {
    let asked = Reference::parse(&args.event)?;
    let loaded = Loaded::open(&args.files)?;
    let inputs = loaded.inputs();
    let machines: Vec<&Machine> = inputs.iter().map(|inputs| inputs.machine).collect();
    let number = asked.machine(&machines)?;
    let date = asked.night.map_or_else(|| loaded.last_night(), Ok)?;
    let building = Building { site: &loaded.site, book: &loaded.book, machines: &inputs };
    let machine = inputs.get(number).ok_or(CliError::WhichMachine(inputs.len()))?;
    let findings = night(&building, number, date)?.ok_or(CliError::WhichMachine(inputs.len()))?;
    let night = of_findings(&machines, number, &findings);
    let event = asked.find(date, &night.events)?;
    let around = trace(machine, event.span, Duration::seconds(args.around_s.into()));
    let input = EventInput {
        site: &loaded.site,
        machine: machine.machine,
        book: machine.book,
        findings: &findings,
        event,
        trace: Some(&around),
    };
    let options = args.look.options(&loaded.site);
    let file = |path: &Path, bytes: &[u8]| {
        write_whole(path, bytes)?;
        say(&format!("{}\n", path.display()))
    };
    match &args.form {
        TraceForm::Text(width) => {
            let width = width.unwrap_or_else(width_of_output);
            say(&Sheet::of_event(&input, &options).to_text(width))?;
        }
        TraceForm::Json => {
            say(&trace_json(&input, Context { site: &loaded.site, machines: &machines }))?;
        }
        TraceForm::Pdf(path) => file(path, &Sheet::of_event(&input, &options).to_pdf()?)?,
        TraceForm::Png(path) => file(path, &Sheet::event_png(&input, &options)?)?,
        TraceForm::Svg(path) => file(path, Sheet::event_svg(&input, &options).as_bytes())?,
    }
    Ok(Outcome::Whole)
}
