//! All machines of a building at a glance: one line for each answer, and what to do.

use super::{Source, actions, answers, events, nothing_recorded, standing};
use crate::sheet::document::{Answer, Block, Signal};

/// Names of the machines in one line.
pub(super) fn names(sources: &[Source]) -> String {
    sources.iter().map(Source::machine_name).collect::<Vec<_>>().join(", ")
}

/// The first page where there are several machines.
pub(super) fn blocks(sources: &[Source]) -> Vec<Block> {
    let mut blocks: Vec<Block> = sources.iter().flat_map(verdicts).collect();
    let mut worked = sources.iter().filter(|source| !nothing_recorded(source.findings));
    let mut any = false;
    while let Some(left) = worked.next() {
        any = true;
        blocks.push(match worked.next() {
            Some(right) => {
                Block::Beside { left: tasks(left), right: tasks(right), below: Vec::new() }
            }
            None => Block::Beside { left: tasks(left), right: Vec::new(), below: Vec::new() },
        });
    }
    if let Some(source) = sources.first().filter(|_| any) {
        blocks.push(Block::Signal(Signal::Warning, standing::before_hands(source)));
    }
    blocks
}

/// The answers about one machine without what backs them.
fn verdicts(source: &Source) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(source.machine_name())];
    if nothing_recorded(source.findings) {
        blocks.push(Block::Text(vec![source.say("nothing-recorded")]));
        return blocks;
    }
    let short = |answer: Answer| Answer { detail: String::new(), ..answer };
    let events = events::all(source);
    blocks.push(Block::Answers(answers::all(source, &events).into_iter().map(short).collect()));
    blocks
}

/// What to do about one machine, under its name.
fn tasks(source: &Source) -> Vec<Block> {
    let mut blocks = actions::blocks(source);
    if let Some(Block::Heading(text)) = blocks.first_mut() {
        *text = format!("{text}: {}", source.clean.name(&source.machine.id));
    }
    blocks
}
