//! Blocks of words: answers, lists to tick, facts, paragraphs, signatures.

use super::lines::Style;
use super::shapes::{Area, BLACK, Item, rule};
use super::{BODY, BODY_BOLD, CELL, Flow, HEADING, LABEL, LEFT, STRONG, histogram, ribbon, table};
use crate::sheet::document::{Answer, Block, Signal};

/// Column of the questions.
const QUESTIONS: f64 = 152.0;
/// Column of the names of facts.
const FACTS: f64 = 168.0;

/// Sets one block.
pub(super) fn block(flow: &mut Flow, block: &Block) {
    match block {
        Block::Heading(text) => {
            // Two headings in a row: the first stands alone.
            flow.begin(0.0);
            flow.waiting = Some(text.clone());
        }
        Block::Answers(list) => answers(flow, list),
        Block::Ticks(list) => ticks(flow, list),
        Block::Ribbon(chart) => ribbon::set(flow, chart),
        Block::Speeds(chart, phases) => histogram::set(flow, chart, phases),
        Block::Table(table) => table::set(flow, table),
        Block::Facts(list) => facts(flow, list),
        Block::Text(list) => paragraphs(flow, list),
        Block::Signal(signal, text) => signal_line(flow, *signal, text),
        Block::Signatures(names) => signatures(flow, names),
        Block::NewPage => {
            if flow.y > super::TOP {
                flow.turn_page();
            }
        }
    }
}

fn answers(flow: &mut Flow, list: &[Answer]) {
    let room = flow.width() - QUESTIONS;
    let x = LEFT + QUESTIONS;
    for (i, answer) in list.iter().enumerate() {
        let lines = STRONG.wrap(&answer.answer, room);
        let detail =
            if answer.detail.is_empty() { Vec::new() } else { CELL.wrap(&answer.detail, room) };
        let height = lines.len() as f64 * STRONG.lead + detail.len() as f64 * CELL.lead + 4.0;
        flow.begin(height);
        if i == 0 && list.iter().any(|a| a.act) {
            legend(flow);
        }
        if answer.act {
            flow.push(pointer(LEFT - 11.0, flow.y + 7.0));
        }
        let baseline = flow.y + STRONG.size;
        for (n, line) in BODY.wrap(answer.question, QUESTIONS - 10.0).iter().enumerate() {
            flow.push(BODY.left((LEFT, baseline + n as f64 * BODY.lead), line.clone()));
        }
        flow.set_lines(STRONG, x, &lines);
        flow.set_lines(CELL, x, &detail);
        flow.y += 4.0;
    }
}

fn legend(flow: &mut Flow) {
    let text = "something to do";
    let (right, y) = (flow.right(), flow.y - HEADING.lead - 4.0 + 12.0);
    let x = right - LABEL.width(text);
    flow.push(LABEL.left((x, y), text));
    flow.push(pointer(x - 10.0, y - 3.0));
}

/// A small triangle that points to the right.
fn pointer(x: f64, middle: f64) -> Item {
    Item::Filled {
        outline: vec![(x, middle - 3.6), (x + 6.4, middle), (x, middle + 3.6)],
        grey: BLACK,
    }
}

fn ticks(flow: &mut Flow, list: &[String]) {
    let x = LEFT + 16.0;
    let room = flow.width() - 16.0;
    for text in list {
        let lines = BODY.wrap(text, room);
        flow.begin(lines.len() as f64 * BODY.lead + 2.5);
        let square =
            Area { left: LEFT, top: flow.y + 1.6, right: LEFT + 8.0, bottom: flow.y + 9.6 };
        flow.push(square.outlined(0.8));
        flow.set_lines(BODY, x, &lines);
        flow.y += 2.5;
    }
}

fn facts(flow: &mut Flow, list: &[(&'static str, String)]) {
    let room = flow.width() - FACTS;
    for (name, value) in list {
        let lines = BODY.wrap(value, room);
        flow.begin(lines.len() as f64 * BODY.lead);
        flow.push(BODY.left((LEFT, flow.y + BODY.size), *name));
        flow.set_lines(BODY, LEFT + FACTS, &lines);
    }
    flow.y += 3.0;
}

fn paragraphs(flow: &mut Flow, list: &[String]) {
    for text in list {
        paragraph(flow, BODY, text);
    }
}

/// A paragraph; one that is longer than the page goes on over the next.
pub(super) fn paragraph(flow: &mut Flow, style: Style, text: &str) {
    let lines = style.wrap(text, flow.width());
    let height = lines.len() as f64 * style.lead + 2.0;
    flow.begin(height.min(6.0 * style.lead));
    for line in lines {
        flow.begin(style.lead);
        flow.set_lines(style, LEFT, &[line]);
    }
    flow.y += 2.0;
}

fn signal_line(flow: &mut Flow, signal: Signal, text: &str) {
    let word = signal.word();
    let indent = STRONG.width(word) + 8.0;
    let lines = BODY_BOLD.wrap(text, flow.width() - indent);
    flow.begin(lines.len() as f64 * BODY.lead + 4.0);
    flow.y += 2.0;
    flow.push(STRONG.left((LEFT, flow.y + BODY.size), word));
    flow.set_lines(BODY_BOLD, LEFT + indent, &lines);
    flow.y += 2.0;
}

fn signatures(flow: &mut Flow, names: &[&'static str]) {
    flow.begin(52.0);
    let each = flow.width() / names.len().max(1) as f64;
    let y = flow.y + 36.0;
    for (i, name) in names.iter().enumerate() {
        let x = LEFT + i as f64 * each;
        flow.push(rule((x, y), (x + each - 14.0, y), 0.6, BLACK));
        flow.push(CELL.left((x, y + 11.0), *name));
    }
    flow.y += 52.0;
}
