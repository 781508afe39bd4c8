//! A sign over the nights: dots, the line or step that they were judged by with its
//! interval, and dashed lines where it is told.

use super::axis::frame;
use super::grid::{BASE, LINE};
use super::shapes::{Area, BLACK, Item, dashes, rule};
use super::{Flow, LABEL};
use crate::sheet::document::ChangeChart;

const HEIGHT: f64 = 6.0 * LINE;
/// Half of a dot.
const DOT: f64 = 1.5;

/// Sets the chart over the column's width.
pub(super) fn set(flow: &mut Flow, chart: &ChangeChart) {
    let area = frame(flow, &chart.axis, HEIGHT);
    draw(&mut flow.page.items, chart, area);
}

fn draw(items: &mut Vec<Item>, chart: &ChangeChart, area: Area) {
    let range = (chart.axis.top - chart.base).max(f64::MIN_POSITIVE);
    let y =
        |value: f64| area.bottom - ((value - chart.base) / range).clamp(0.0, 1.0) * area.height();
    // Dots at the edges stay inside.
    let x = |place: f64| area.left + 4.0 + place.clamp(0.0, 1.0) * (area.width() - 10.0);
    for (value, text) in &chart.axis.ticks {
        items.push(rule((area.left, y(*value)), (area.right, y(*value)), 0.25, 0.7));
        items.push(LABEL.right((area.left - 4.0, y(*value) + 3.0), text.clone()));
    }
    for (place, value) in &chart.points {
        let (x, y) = (x(*place), y(*value));
        let dot = Area { left: x - DOT, right: x + DOT, top: y - DOT, bottom: y + DOT };
        items.push(dot.filled(0.35));
    }
    for ((from, first), (to, last)) in &chart.lines {
        items.push(rule((x(*from), y(*first)), (x(*to), y(*last)), 1.2, BLACK));
    }
    if let Some((place, low, high)) = chart.interval {
        let at = x(place);
        items.push(rule((at, y(low)), (at, y(high)), 0.8, BLACK));
        for end in [low, high] {
            items.push(rule((at - 3.0, y(end)), (at + 3.0, y(end)), 0.8, BLACK));
        }
    }
    limits(items, chart, area, &y);
    if let Some((place, text)) = &chart.step {
        let at = x(*place);
        items.push(dashes((at, area.top), (at, area.bottom), 0.6));
        let width = LABEL.width(text);
        let left = (at + 3.0).min(area.right - width);
        boxed(items, (left, area.bottom - 4.0), text);
    }
    items.push(rule((area.left, area.bottom), (area.right, area.bottom), 0.6, BLACK));
    dates(items, chart, area, &x);
}

/// Dashed, each with its name on the side where there is more room.
fn limits(items: &mut Vec<Item>, chart: &ChangeChart, area: Area, y: &impl Fn(f64) -> f64) {
    for (value, text) in &chart.limits {
        let height = y(*value);
        items.push(dashes((area.left, height), (area.right, height), 0.8));
        let above = height - area.top > LINE;
        let baseline = if above { height - 2.5 } else { height + BASE };
        boxed(items, (area.left + 4.0, baseline), text);
    }
}

/// A label that hides what is drawn behind it.
fn boxed(items: &mut Vec<Item>, (left, baseline): (f64, f64), text: &str) {
    let right = left + LABEL.width(text);
    let back =
        Area { left: left - 1.0, right: right + 1.0, top: baseline - 7.5, bottom: baseline + 1.5 };
    items.push(back.filled(1.0));
    items.push(LABEL.left((left, baseline), text.to_owned()));
}

/// Dates below, as many as there is room for.
fn dates(items: &mut Vec<Item>, chart: &ChangeChart, area: Area, x: &impl Fn(f64) -> f64) {
    let mut free = f64::NEG_INFINITY;
    for (place, text) in &chart.dates {
        let at = x(*place);
        items.push(rule((at, area.bottom), (at, area.bottom + 2.5), 0.4, BLACK));
        let width = LABEL.width(text);
        let left = (at - width / 2.0).min(area.right - width).max(area.left);
        if left >= free {
            items.push(LABEL.left((left, area.bottom + 11.0), text.clone()));
            free = left + width + 6.0;
        }
    }
}
