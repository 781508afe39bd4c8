//! Where everything stands on paper.
//!
//! Blocks flow from top to bottom on one grid; a table may be split between rows
//! and repeats its head, everything else stays whole. No text is smaller than 9 pt.

mod axis;
mod bars;
mod blocks;
mod change;
mod floor_map;
mod grid;
mod histogram;
mod lines;
mod ribbon;
pub(super) mod shapes;
mod table;
mod trace;
mod trend;

use super::document::{Document, Header};
use super::typeface::Weight;
use super::words::Words;
use crate::settings::site::Paper;
use grid::{BASE, BOTTOM, HALF, LEFT, LINE, RIGHT, TOP};
use lines::Style;
use shapes::{BLACK, Item, Page, rule};

const TITLE: Style = Style::new(17.0, Weight::Bold);
const HEADING: Style = Style::new(11.0, Weight::Bold);
const STRONG: Style = Style::new(10.5, Weight::Bold);
const BODY: Style = Style::new(9.5, Weight::Regular);
const BODY_BOLD: Style = Style::new(9.5, Weight::Bold);
const CELL: Style = Style::new(9.0, Weight::Regular);
const CELL_BOLD: Style = Style::new(9.0, Weight::Bold);
/// Labels of axes and the foot of the page.
const LABEL: Style = Style::new(9.0, Weight::Regular);

/// Up to this share of a page is little.
const SHARED: f64 = 0.45;

/// The pages so far, and the place where the next block begins.
struct Flow {
    pages: Vec<Page>,
    page: Page,
    /// Sides of the column in use.
    left: f64,
    right: f64,
    /// Next free height.
    y: f64,
    /// The heading in force, for tables that go on.
    heading: String,
    /// Whether this page begins with what had no room on the one before.
    overflowed: bool,
    /// Nothing turns the page.
    endless: bool,
    /// A heading that waits for its block, so that both stay together.
    waiting: Option<String>,
    words: Words,
}

impl Flow {
    fn new(paper: Paper, words: &Words) -> Self {
        let size = match paper {
            // ISO 216 A4 is 210 mm x 297 mm; 1 pt is 25.4 mm / 72.
            Paper::A4 => (595.2756, 841.8898),
            Paper::Letter => (612.0, 792.0),
        };
        let page = Page { size, ..Page::default() };
        Self {
            pages: Vec::new(),
            page,
            left: LEFT,
            right: size.0 - RIGHT,
            y: TOP,
            heading: String::new(),
            overflowed: false,
            endless: false,
            waiting: None,
            words: words.clone(),
        }
    }

    fn width(&self) -> f64 {
        self.right - self.left
    }

    /// A page without end, to try how high something gets.
    fn trial(&self, left: f64, right: f64) -> Self {
        let page = Page { size: (self.page.size.0, f64::MAX), ..Page::default() };
        // Not at the top of the page, where a heading has no white above it.
        let (pages, y) = (Vec::new(), self.page.size.1);
        Self {
            pages,
            page,
            left,
            right,
            y,
            heading: String::new(),
            overflowed: false,
            endless: false,
            waiting: None,
            words: self.words.clone(),
        }
    }

    fn bottom(&self) -> f64 {
        self.page.size.1 - BOTTOM
    }

    fn push(&mut self, item: Item) {
        self.page.items.push(item);
    }

    fn turn_page(&mut self) {
        let next = Page { size: self.page.size, ..Page::default() };
        self.pages.push(std::mem::replace(&mut self.page, next));
        self.y = TOP;
        self.overflowed = true;
    }

    /// A page for a new part. One that holds only a little of the part before is shared.
    fn new_page(&mut self) {
        let little = TOP + SHARED * (self.bottom() - TOP);
        if !(self.overflowed && self.y < little) {
            self.own_page();
        }
    }

    /// A page for a new part in any case.
    fn own_page(&mut self) {
        if self.y > TOP {
            self.turn_page();
        }
        self.overflowed = false;
    }

    /// Makes room for a block of this height, and sets a heading that waits above it.
    fn begin(&mut self, height: f64) {
        let head = if self.waiting.is_some() { 2.0 * LINE + HALF } else { 0.0 };
        // Heights are sums of parts of lines: a hair beyond the foot is rounding.
        if !self.endless && self.y + head + height > self.bottom() + 0.01 && self.y > TOP {
            self.turn_page();
        }
        if let Some(text) = self.waiting.take() {
            self.set_heading(&text);
            self.heading = text;
        }
    }

    fn set_heading(&mut self, text: &str) {
        if self.y > TOP {
            self.y += LINE;
        }
        let (left, right, y) = (self.left, self.right, self.y - 3.5);
        self.page.bookmarks.push((text.to_owned(), y));
        self.push(rule((left, y), (right, y), 0.8, BLACK));
        self.set_lines(HEADING, left, &[text.to_owned()]);
        self.y += HALF;
    }

    /// Sets lines of text one below the other.
    fn set_lines(&mut self, style: Style, x: f64, lines: &[String]) {
        for line in lines {
            self.push(style.left((x, self.y + BASE), line.clone()));
            self.y += LINE;
        }
    }
}

/// Lays the whole sheet out.
pub(super) fn pages(document: &Document) -> Vec<Page> {
    let mut flow = Flow::new(document.paper, &document.words);
    header(&mut flow, &document.header);
    for block in &document.blocks {
        blocks::block(&mut flow, block);
    }
    // A heading without a block still belongs on the page.
    flow.begin(0.0);
    flow.turn_page();
    let mut pages = flow.pages;
    footers(&mut pages, document);
    pages
}

/// The first page alone, as high as what stands on it, without a foot.
pub(super) fn picture(document: &Document) -> Page {
    let mut flow = Flow::new(document.paper, &document.words);
    header(&mut flow, &document.header);
    // Nothing turns a page that has no end; a chart is as high as on paper.
    flow.endless = true;
    for block in &document.blocks {
        blocks::block(&mut flow, block);
    }
    flow.begin(0.0);
    flow.page.size.1 = flow.y + BOTTOM;
    flow.page
}

fn header(flow: &mut Flow, header: &Header) {
    let (left, right) = (flow.left, flow.right);
    let baseline = flow.y + HALF + BASE;
    flow.push(TITLE.left((left, baseline), header.heading.clone()));
    flow.push(LABEL.right((right, baseline), "Underbrush"));
    flow.y += 2.0 * LINE;
    for text in &header.facts {
        let lines = BODY_BOLD.wrap(text, flow.width());
        flow.set_lines(BODY_BOLD, left, &lines);
    }
}

fn footers(pages: &mut [Page], document: &Document) {
    let count = pages.len();
    for (i, page) in pages.iter_mut().enumerate() {
        let (right, y) = (page.size.0 - RIGHT, page.size.1 - 24.0);
        page.items.push(rule((LEFT, y - 11.0), (right, y - 11.0), 0.4, BLACK));
        let number = document
            .words
            .with("layout-page", &[("number", (i + 1).into()), ("count", count.into())]);
        let room = right - LEFT - LABEL.width(&number) - 12.0;
        let first = LABEL.wrap(&document.footer, room).into_iter().next().unwrap_or_default();
        page.items.push(LABEL.left((LEFT, y), first));
        page.items.push(LABEL.right((right, y), number));
    }
}
