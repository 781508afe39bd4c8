//! The order of the pages.
//!
//! Page 1 answers everything at a glance, page 2 has events and sections and whatever is
//! wrong, page 3 programme, blades and checks by hand. What only backs these up comes
//! last, and only where it is wanted. Of several machines, page 1 tells of all, then each
//! has its own pages 1 and 2.

use super::{
    Source, actions, answers, building, care, charts, consumables, coverage, data, driving,
    empty_shift, events, heading, loads, nothing_recorded, orders, programme, remarks, sections,
    segments, standing, technician, wrong,
};
use crate::sheet::document::{Block, Signal};
use crate::sheet::{SheetInput, SheetOptions};
use underbrush_protocol::settings::Machine;

/// All blocks of the sheet.
pub(super) fn blocks(input: &SheetInput, sources: &[Source], options: SheetOptions) -> Vec<Block> {
    let several = sources.len() > 1;
    let mut blocks = if several { building::blocks(sources) } else { Vec::new() };
    let part = |source: &Source, blocks: &mut Vec<Block>| {
        if several {
            blocks.push(Block::Heading(source.machine_name()));
        }
    };
    for source in sources {
        if several {
            blocks.push(Block::OwnPage);
        }
        part(source, &mut blocks);
        if nothing_recorded(source.findings) {
            blocks.extend(empty_shift(source));
        } else {
            blocks.extend(night(source, options.details));
        }
    }
    let worked: Vec<&Source> =
        sources.iter().filter(|source| !nothing_recorded(source.findings)).collect();
    let programme = told(input, sources);
    if !worked.is_empty() || !programme.is_empty() {
        blocks.push(Block::NewPage);
    }
    blocks.extend(programme);
    for source in &worked {
        part(source, &mut blocks);
        blocks.push(heading(source, "heading-segments"));
        blocks.extend(segments::blocks(source));
        blocks.extend(consumables::blocks(source));
    }
    // One machine's segments say it themselves.
    if several {
        blocks.extend(orders::blocks(&worked));
    }
    blocks.extend(sources.first().map(standing::checks).into_iter().flatten());
    for (i, source) in sources.iter().enumerate().filter(|_| options.technician) {
        if !nothing_recorded(source.findings) {
            blocks.extend(technician::blocks(source, input.closeups.get(i)));
        }
    }
    for source in worked.iter().filter(|_| options.details) {
        blocks.push(Block::NewPage);
        part(source, &mut blocks);
        blocks.extend(backing(source));
    }
    blocks
}

/// The programme of the building.
fn told(input: &SheetInput, sources: &[Source]) -> Vec<Block> {
    let (Some(programme), Some(first)) = (input.programme, sources.first()) else {
        return Vec::new();
    };
    let machines: Vec<&Machine> = input.nights.iter().map(|(machine, _)| *machine).collect();
    programme::blocks(&programme::Told {
        programme,
        site: input.site,
        machines: &machines,
        figures: &first.figures,
        clean: &first.clean,
    })
}

/// Pages 1 and 2 of a machine.
fn night(source: &Source, details: bool) -> Vec<Block> {
    let events = events::all(source);
    let mut blocks = glance(source, &events);
    blocks.push(Block::NewPage);
    blocks.push(heading(source, "heading-events"));
    blocks.extend(events::blocks(source, &events));
    if !details {
        blocks.extend(wrong::cautions(source));
    }
    blocks.push(heading(source, "heading-sections"));
    blocks.extend(sections::blocks(source));
    blocks.extend(care::blocks(source));
    if !details {
        blocks.extend(wrong::data(source));
    }
    blocks.extend(remarks(source));
    blocks
}

/// The first page.
fn glance(source: &Source, events: &[events::Event]) -> Vec<Block> {
    let left = actions::blocks(source);
    let right = vec![heading(source, "heading-bars"), Block::Bars(Box::new(charts::bars(source)))];
    let below = vec![Block::Signal(Signal::Warning, standing::before_hands(source))];
    vec![
        heading(source, "heading-glance"),
        Block::Answers(answers::all(source, events)),
        Block::Beside { left, right, below },
        heading(source, "heading-ribbon"),
        Block::Ribbon(Box::new(charts::ribbon(source, events))),
    ]
}

/// What backs the first pages up.
fn backing(source: &Source) -> Vec<Block> {
    let mut blocks = coverage::blocks(source);
    if !source.findings.speed.by_phase.is_empty() {
        blocks.push(heading(source, "heading-speeds"));
        blocks.push(Block::Speeds(Box::new(charts::speeds(source))));
    }
    blocks.extend(driving::blocks(source));
    blocks.push(heading(source, "heading-motors"));
    blocks.extend(loads::motors(source));
    blocks.push(heading(source, "heading-data"));
    blocks.extend(data::blocks(source));
    blocks
}
