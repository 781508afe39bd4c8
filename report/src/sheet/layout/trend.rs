//! A quantity per night: a bar or a dot each, slanted lines where there are no data.

use super::axis::frame;
use super::grid::LINE;
use super::shapes::{Area, BLACK, Item, rule};
use super::{Flow, LABEL};
use crate::sheet::document::{Trend, TrendPoint, TrendShape};

const HEIGHT: f64 = 4.0 * LINE;

/// Sets the chart over the column's width.
pub(super) fn set(flow: &mut Flow, chart: &Trend) {
    let area = frame(flow, &chart.axis, HEIGHT);
    draw(&mut flow.page.items, chart, area);
}

fn draw(items: &mut Vec<Item>, chart: &Trend, area: Area) {
    for (value, text) in &chart.axis.ticks {
        let y = area.bottom - value / chart.axis.top * area.height();
        items.push(rule((area.left, y), (area.right, y), 0.25, 0.7));
        items.push(LABEL.right((area.left - 4.0, y + 3.0), text.clone()));
    }
    let count = chart.points.len().max(1) as f64;
    let step = area.width() / count;
    let height = |value: f64| (value / chart.axis.top).clamp(0.0, 1.0) * area.height();
    let mut line = Vec::new();
    for (i, point) in chart.points.iter().enumerate() {
        let left = area.left + i as f64 * step;
        let cell = Area { left, right: left + step, ..area };
        match point {
            TrendPoint::Gap => items.push(cell.hatched(3.0)),
            TrendPoint::Blank => {}
            TrendPoint::Known(value) => {
                let top = area.bottom - height(*value);
                match chart.shape {
                    TrendShape::Bars => {
                        let (left, right) = (left + 0.15 * step, left + 0.85 * step);
                        // A night with data and nothing to show still has a foot.
                        let top = top.min(area.bottom - 0.8);
                        items.push(Area { left, top, right, ..area }.filled(0.25));
                    }
                    TrendShape::Dots => line.push((left + step / 2.0, top)),
                }
            }
        }
    }
    for (x, y) in &line {
        let dot = Area { left: x - 1.8, right: x + 1.8, top: y - 1.8, bottom: y + 1.8 };
        items.push(dot.filled(BLACK));
    }
    if line.len() > 1 {
        items.push(Item::Strokes { lines: vec![line], width: 0.8, grey: BLACK, dashed: false });
    }
    items.push(rule((area.left, area.bottom), (area.right, area.bottom), 0.6, BLACK));
    dates(items, chart, area, step);
}

/// Dates below, as many as there is room for.
fn dates(items: &mut Vec<Item>, chart: &Trend, area: Area, step: f64) {
    let mut free = f64::NEG_INFINITY;
    for (i, text) in &chart.dates {
        let left = area.left + *i as f64 * step;
        items.push(rule((left, area.bottom), (left, area.bottom + 2.5), 0.4, BLACK));
        if left >= free && left + LABEL.width(text) <= area.right + 1.0 {
            items.push(LABEL.left((left, area.bottom + 11.0), text.clone()));
            free = left + LABEL.width(text) + 6.0;
        }
    }
}
