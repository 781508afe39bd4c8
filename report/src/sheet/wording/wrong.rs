//! What is wrong, where the pages that back it up are left out.
//!
//! Lost data, sensors to doubt and cautions are on every sheet.

use super::{Source, data, loads};
use crate::sheet::document::Block;

/// Cautions that belong to what the motors did.
pub(super) fn cautions(source: &Source) -> Vec<Block> {
    let signal = |block: &Block| matches!(block, Block::Signal(..));
    loads::motors(source).into_iter().filter(signal).collect()
}

/// Doubted sensors, gaps and problems; nothing where all is well.
pub(super) fn data(source: &Source) -> Vec<Block> {
    let mut blocks = vec![Block::Heading(source.say("heading-wrong"))];
    blocks.extend(data::gaps(source));
    blocks.extend(data::sensors(source));
    if !source.findings.data.problems.is_empty() {
        blocks.push(data::problems(source));
    }
    if blocks.len() > 1 { blocks } else { Vec::new() }
}
