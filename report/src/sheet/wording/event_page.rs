//! The page of one event, as a document of its own.

use super::{Source, building, header, technician};
use crate::sheet::clean::Cleaner;
use crate::sheet::document::{Block, Document, Header};
use crate::sheet::figures::Figures;
use crate::sheet::{EventInput, SheetOptions};

/// The page.
pub(in crate::sheet) fn document(input: &EventInput<'_>, options: SheetOptions) -> Document {
    let figures = Figures::new(options.units, options.language);
    let source = Source {
        findings: input.findings,
        site: input.site,
        machine: input.machine,
        plans: &[],
        place: 0,
        units: options.units,
        figures,
        clean: Cleaner::default(),
    };
    let title = source.with("technician-title", &[("id", input.event.id.as_str().into())]);
    let date = source.figures.date(source.findings.shift.date);
    let heading = source.with("event-heading", &[("date", date.into())]);
    let header = Header { heading, ..header(&source, std::slice::from_ref(&source)) };
    let blocks = technician::page(&source, &title, input);
    let name = building::names(std::slice::from_ref(&source));
    let footer = format!("{title}; {name}");
    Document {
        title: footer.clone(),
        subject: source.with("sheet-subject", &[("site", source.site_name().into())]),
        dated: source.findings.shift.span.to,
        words: source.words().clone(),
        paper: options.paper,
        colour: options.colour,
        header,
        footer,
        blocks,
    }
}

/// Only what is seen of it: the readings around the event.
pub(in crate::sheet) fn picture(input: &EventInput<'_>, options: SheetOptions) -> Document {
    let mut document = document(input, options);
    let before = document.blocks.iter().position(|block| matches!(block, Block::Trace(_)));
    document.blocks.truncate(before.map_or(document.blocks.len(), |at| at + 1));
    document
}
