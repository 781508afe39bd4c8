//! `underbrush trace`.

use super::args::{TraceArgs, TraceForm};
use super::asked_event::{AskedEvent, with_event};
use super::loaded::Loaded;
use super::press::write_whole;
use super::terminal::width_of_output;
use super::{CliError, Outcome, say};
use crate::events::cause::InTheAir;
use crate::events::trace_json;
use crate::findings::trace;
use crate::settings::Site;
use crate::sheet::{EventInput, Sheet};
use chrono::Duration;
use std::path::Path;

pub(super) fn run(args: &TraceArgs) -> Result<Outcome, CliError> {
    let loaded = Loaded::open(&args.files)?;
    with_event(&args.event, &loaded, |asked| draw(args, &loaded.site, asked))
}

fn draw(args: &TraceArgs, site: &Site, asked: &AskedEvent<'_>) -> Result<Outcome, CliError> {
    let AskedEvent { event, number, date, machine, findings, building, context } = *asked;
    let around = Duration::seconds(args.around_s.into());
    let around = trace(machine, Some(findings), event.span, around);
    let air = InTheAir::matters(event.kind).then(|| InTheAir::read(building, number, date));
    let input = EventInput {
        site,
        machine: machine.machine,
        book: machine.book,
        findings,
        event,
        trace: Some(&around),
        air: air.as_ref(),
    };
    let options = args.look.options(site);
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
            say(&trace_json(&input, context))?;
        }
        TraceForm::Pdf(path) => file(path, &Sheet::of_event(&input, &options).to_pdf()?)?,
        TraceForm::Png(path) => file(path, &Sheet::event_png(&input, &options)?)?,
        TraceForm::Svg(path) => file(path, Sheet::event_svg(&input, &options).as_bytes())?,
    }
    Ok(Outcome::Whole)
}
