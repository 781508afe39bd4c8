//! Brush time against the speed band: a row of numbers and a bar for each kind of work.
//!
//! The parts of a bar differ by pattern, which survives any printer: lying lines
//! for too slow, solid for in the band, standing lines for too fast.

use super::grid::{BASE, HALF, LINE};
use super::shapes::{Area, Item, Tint};
use super::{CELL, Flow, LABEL, blocks, table};
use crate::sheet::document::{Fill, SpeedBars};

/// Height of a bar and of the samples of its patterns.
const BAR: f64 = 5.0;
const SAMPLE: f64 = 14.0;

/// Sets the bars over the column's width.
pub(super) fn set(flow: &mut Flow, chart: &SpeedBars) {
    if chart.table.rows.is_empty() {
        blocks::paragraph(flow, CELL, &chart.nothing);
        return;
    }
    let places = table::places(&chart.table, flow.left, flow.right);
    let rows = chart.table.rows.len() as f64;
    flow.begin(table::head_height(&places) + (1.5 * rows + 1.0) * LINE + HALF);
    table::draw_head(flow, &places);
    for (row, parts) in chart.table.rows.iter().zip(&chart.parts) {
        let lines = table::cells(&places, row);
        flow.begin(table::row_height(&lines) + HALF);
        table::draw_row(flow, &places, &lines);
        bar(flow, parts);
        flow.y += HALF;
    }
    legend(flow, chart);
    for note in &chart.table.notes {
        blocks::paragraph(flow, CELL, note);
    }
}

fn bar(flow: &mut Flow, parts: &[(Fill, f64)]) {
    let (mut x, width) = (flow.left, flow.width());
    for (fill, share) in parts {
        let right = (x + share.clamp(0.0, 1.0) * width).min(flow.right);
        if right > x {
            let area = Area { left: x, right, top: flow.y, bottom: flow.y + BAR };
            draw(&mut flow.page.items, *fill, area);
        }
        x = right;
    }
}

fn draw(items: &mut Vec<Item>, fill: Fill, area: Area) {
    match fill {
        Fill::Below => items.push(area.ruled(1.7)),
        Fill::Within => items.push(Item::Tinted(Tint::Good, Box::new(area.filled(0.3)))),
        Fill::Above => items.push(area.barred(2.0)),
        Fill::NoBand => {}
    }
    items.push(area.outlined(0.5));
}

fn legend(flow: &mut Flow, chart: &SpeedBars) {
    flow.y += HALF;
    let mut x = flow.left;
    for (fill, text) in &chart.legend {
        let width = SAMPLE + 4.0 + LABEL.width(text) + 10.0;
        if x > flow.left && x + width > flow.right + 10.0 {
            x = flow.left;
            flow.y += LINE;
        }
        let area =
            Area { left: x, right: x + SAMPLE, top: flow.y + 3.5, bottom: flow.y + 3.5 + BAR };
        draw(&mut flow.page.items, *fill, area);
        flow.push(LABEL.left((x + SAMPLE + 4.0, flow.y + BASE), text.clone()));
        x += width;
    }
    flow.y += LINE;
}
