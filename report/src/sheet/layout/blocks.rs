//! Blocks of words: answers, lists to tick, facts, paragraphs, signatures.

use super::grid::{self, BASE, GUTTER, HALF, LINE};
use super::lines::Style;
use super::shapes::{Area, BLACK, Item, Tint, rule};
use super::{
    BODY, BODY_BOLD, CELL, Flow, LABEL, STRONG, bars, change, floor_map, histogram, ribbon, table,
    trace, trend,
};
use crate::sheet::document::{Answer, Block, Signal};

/// Columns of the questions, of the names of facts and of the names of lines to sign.
const QUESTIONS: f64 = 3.5;
const FACTS: f64 = 3.5;
/// Room that a heading needs which is followed by another.
const UNDER_TWO_HEADINGS: f64 = 9.0 * LINE;

/// Sets one block.
pub(super) fn block(flow: &mut Flow, block: &Block) {
    match block {
        Block::Heading(text) => {
            // Two headings in a row: the first stays with the second and what it heads.
            flow.begin(if flow.waiting.is_some() { UNDER_TWO_HEADINGS } else { 0.0 });
            flow.waiting = Some(text.clone());
        }
        Block::Answers(list) => answers(flow, list),
        Block::Ticks(list) => ticks(flow, list),
        Block::Ribbon(chart) => ribbon::set(flow, chart),
        Block::Bars(chart) => bars::set(flow, chart),
        Block::Speeds(chart) => histogram::set(flow, chart),
        Block::Trend(chart) => trend::set(flow, chart),
        Block::Change(chart) => change::set(flow, chart),
        Block::Trace(chart) => trace::set(flow, chart),
        Block::Maps(maps) => floor_map::set(flow, maps),
        Block::Table(table) => table::set(flow, table),
        Block::Facts(list) => facts(flow, list),
        Block::Text(list) => paragraphs(flow, list),
        Block::Signal(signal, text) => signal_line(flow, *signal, text),
        Block::Signatures(names) => signatures(flow, names),
        Block::Beside { left, right, below } => beside(flow, left, right, below),
        Block::NewPage => flow.new_page(),
        Block::OwnPage => flow.own_page(),
    }
}

/// Sets two columns; if they do not fit on what is left of the page, on the next.
fn beside(flow: &mut Flow, left: &[Block], right: &[Block], below: &[Block]) {
    let whole = (flow.left, flow.right);
    let middle = f64::midpoint(flow.left, flow.right);
    let columns = [(left, whole.0, middle - GUTTER / 2.0), (right, middle + GUTTER / 2.0, whole.1)];
    let needed = columns.map(|(blocks, left, right)| height(flow, blocks, left, right));
    let under = height(flow, below, whole.0, whole.1);
    flow.begin(needed.into_iter().fold(0.0, f64::max) + under);
    let top = flow.y;
    let mut bottom = top;
    for (blocks, left, right) in columns {
        (flow.left, flow.right, flow.y) = (left, right, top);
        for b in blocks {
            block(flow, b);
        }
        bottom = bottom.max(flow.y);
    }
    (flow.left, flow.right, flow.y) = (whole.0, whole.1, bottom);
    for b in below {
        block(flow, b);
    }
}

/// How high blocks get in a column, tried on a page without end.
fn height(flow: &Flow, blocks: &[Block], left: f64, right: f64) -> f64 {
    let mut trial = flow.trial(left, right);
    let top = trial.y;
    for b in blocks {
        block(&mut trial, b);
    }
    trial.y - top
}

fn answers(flow: &mut Flow, list: &[Answer]) {
    let indent = grid::columns(flow.page.size.0, QUESTIONS);
    let (room, x) = (flow.width() - indent, flow.left + indent);
    for (i, answer) in list.iter().enumerate() {
        let lines = STRONG.wrap(&answer.line, room);
        let detail =
            if answer.detail.is_empty() { Vec::new() } else { CELL.wrap(&answer.detail, room) };
        flow.begin((lines.len() + detail.len()) as f64 * LINE + HALF);
        if i == 0 && list.iter().any(|a| a.act) {
            legend(flow);
        }
        if answer.act {
            flow.push(pointer(flow.left - 11.0, flow.y + BASE - 3.4));
        }
        for (n, line) in BODY.wrap(&answer.question, indent - GUTTER).iter().enumerate() {
            let baseline = flow.y + BASE + n as f64 * LINE;
            flow.push(BODY.left((flow.left, baseline), line.clone()));
        }
        flow.set_lines(STRONG, x, &lines);
        flow.set_lines(CELL, x, &detail);
        flow.y += HALF;
    }
}

fn legend(flow: &mut Flow) {
    let text = flow.words.say("layout-something-to-do");
    let (right, y) = (flow.right, flow.y - LINE - HALF + BASE);
    let x = right - LABEL.width(&text);
    flow.push(LABEL.left((x, y), text));
    flow.push(pointer(x - 10.0, y - 3.2));
}

/// A small triangle that points to the right.
fn pointer(x: f64, middle: f64) -> Item {
    let outline = vec![(x, middle - 3.6), (x + 6.4, middle), (x, middle + 3.6)];
    Item::Tinted(Tint::Wrong, Box::new(Item::Filled { outline, grey: BLACK }))
}

fn ticks(flow: &mut Flow, list: &[String]) {
    let x = flow.left + 16.0;
    let room = flow.width() - 16.0;
    for text in list {
        let lines = BODY.wrap(text, room);
        flow.begin(lines.len() as f64 * LINE);
        let square = Area {
            left: flow.left,
            top: flow.y + 1.4,
            right: flow.left + 8.6,
            bottom: flow.y + 10.0,
        };
        flow.push(square.outlined(0.8));
        flow.set_lines(BODY, x, &lines);
    }
}

fn facts(flow: &mut Flow, list: &[(String, String)]) {
    let indent = grid::columns(flow.page.size.0, FACTS);
    let room = flow.width() - indent;
    let lines = list.iter().map(|(_, value)| BODY.wrap(value, room).len()).sum::<usize>();
    flow.begin(lines as f64 * LINE);
    for (name, value) in list {
        let lines = BODY.wrap(value, room);
        flow.begin(lines.len() as f64 * LINE);
        flow.push(BODY.left((flow.left, flow.y + BASE), name.clone()));
        flow.set_lines(BODY, flow.left + indent, &lines);
    }
    flow.y += HALF;
}

fn paragraphs(flow: &mut Flow, list: &[String]) {
    for text in list {
        paragraph(flow, BODY, text);
    }
}

/// A paragraph; one that is longer than the page goes on over the next.
pub(super) fn paragraph(flow: &mut Flow, style: Style, text: &str) {
    let lines = style.wrap(text, flow.width());
    flow.begin((lines.len() as f64 * LINE).min(6.0 * LINE));
    for line in lines {
        flow.begin(LINE);
        flow.set_lines(style, flow.left, &[line]);
    }
}

fn signal_line(flow: &mut Flow, signal: Signal, text: &str) {
    let word = signal.word(&flow.words);
    let indent = STRONG.width(&word) + 8.0;
    let lines = BODY_BOLD.wrap(text, flow.width() - indent);
    flow.begin(lines.len() as f64 * LINE + LINE);
    flow.y += HALF;
    flow.push(STRONG.left((flow.left, flow.y + BASE), word));
    flow.set_lines(BODY_BOLD, flow.left + indent, &lines);
}

fn signatures(flow: &mut Flow, names: &[String]) {
    flow.begin(4.0 * LINE);
    let each = flow.width() / names.len().max(1) as f64;
    let y = flow.y + 3.0 * LINE;
    for (i, name) in names.iter().enumerate() {
        let x = flow.left + i as f64 * each;
        flow.push(rule((x, y - 2.0), (x + each - GUTTER, y - 2.0), 0.6, BLACK));
        flow.push(CELL.left((x, y + BASE), name.clone()));
    }
    flow.y = y + LINE;
}
