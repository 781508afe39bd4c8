//! The checks that come round: what is due has a square to tick, the rest is listed.

use super::Source;
use crate::consumables::{CheckItem, CheckState};
use crate::sheet::document::Block;

/// The checks of one machine; nothing where the site has none.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let list = &source.findings.checks;
    if list.items.is_empty() {
        return Vec::new();
    }
    let mut blocks = vec![super::heading(source, "heading-consumables")];
    let open: Vec<String> = list.open().map(|item| sentence(source, item)).collect();
    if !open.is_empty() {
        blocks.push(Block::Ticks(open));
    }
    let answered =
        |item: &&CheckItem| matches!(item.state, CheckState::Done | CheckState::Later { .. });
    let rest: Vec<String> =
        list.items.iter().filter(answered).map(|item| sentence(source, item)).collect();
    if !rest.is_empty() {
        blocks.push(Block::Text(vec![rest.join(" ")]));
    }
    blocks
}

fn sentence(source: &Source, item: &CheckItem) -> String {
    let (id, day) = match item.state {
        CheckState::Done => ("consumables-done", None),
        CheckState::Later { next } => ("consumables-later", Some(next)),
        CheckState::Bad { since } => ("consumables-bad", Some(since)),
        CheckState::Due { last: Some(last) } => ("consumables-due", Some(last)),
        CheckState::Due { last: None } => ("consumables-never", None),
    };
    let mut values = vec![("name", source.clean.name(&item.name).into())];
    values.extend(day.map(|day| ("date", source.figures.date(day).into())));
    source.with(id, &values)
}
