//! Time at each speed as bars.

use super::grid::LINE;
use super::shapes::{Area, BLACK, Item, rule};
use super::{CELL, Flow, LABEL, blocks};
use crate::sheet::document::{Axis, SpeedsChart};
use crate::sheet::words::Words;

const GUTTER: f64 = 22.0;
const BARS: f64 = 4.0 * LINE;
/// Above the bars: the bands.
const BANDS: f64 = 2.0 * LINE;
/// Below the bars: edges, then name of the axis and legend.
const BELOW: f64 = 2.5 * LINE;

/// Sets the chart over the column's width.
pub(super) fn set(flow: &mut Flow, chart: &SpeedsChart) {
    if chart.minutes.iter().all(|m| *m <= 0.0) {
        let text = flow.words.say("layout-nothing-to-draw");
        blocks::paragraph(flow, CELL, &text);
        return;
    }
    flow.begin(BANDS + BARS + BELOW);
    let area = Area {
        left: flow.left + GUTTER,
        right: flow.right,
        top: flow.y + BANDS,
        bottom: flow.y + BANDS + BARS,
    };
    draw(&mut flow.page.items, chart, area, &flow.words);
    flow.y += BANDS + BARS + BELOW;
}

fn draw(items: &mut Vec<Item>, chart: &SpeedsChart, area: Area, words: &Words) {
    minutes_axis(items, &chart.minutes_axis, area);
    let highest = chart.edges.last().map_or(1.0, |e| e.0);
    let x = |speed: f64| area.left + (speed / highest).clamp(0.0, 1.0) * area.width();
    let mut free = f64::NEG_INFINITY;
    for ((pair, minutes), caption) in
        chart.edges.windows(2).zip(&chart.minutes).zip(&chart.captions)
    {
        let [(from, _), (to, _)] = pair else { continue };
        let share = (minutes / chart.minutes_axis.top).clamp(0.0, 1.0);
        let bar = Area {
            left: x(*from),
            right: x(*to),
            top: area.bottom - share * area.height(),
            bottom: area.bottom,
        };
        if share > 0.0 {
            fill(items, chart, bar, (*from, *to), &x);
        }
        let half = LABEL.width(caption) / 2.0;
        let middle = f64::midpoint(bar.left, bar.right);
        if !caption.is_empty() && middle - half >= free {
            items.push(LABEL.centred((middle, bar.top - 2.5), caption.clone()));
            free = middle + half + 1.0;
        }
    }
    items.push(rule((area.left, area.bottom), (area.right, area.bottom), 0.6, BLACK));
    speed_axis(items, chart, area, &x, words);
    brackets(items, chart, area, &x, words);
}

/// Light all over, dark where a band covers the bar.
fn fill(
    items: &mut Vec<Item>,
    chart: &SpeedsChart,
    bar: Area,
    (from, to): (f64, f64),
    x: &impl Fn(f64) -> f64,
) {
    items.push(bar.filled(0.85));
    for (low, high, _) in &chart.bands {
        let (low, high) = (low.max(from), high.min(to));
        if high > low + 1e-9 {
            items.push(Area { left: x(low), right: x(high), ..bar }.filled(0.35));
        }
    }
    items.push(bar.outlined(0.5));
}

fn minutes_axis(items: &mut Vec<Item>, axis: &Axis, area: Area) {
    items.push(LABEL.left((area.left - GUTTER, area.top - 11.0), axis.label.clone()));
    for (value, text) in &axis.ticks {
        let y = area.bottom - value / axis.top * area.height();
        items.push(rule((area.left, y), (area.right, y), 0.25, 0.7));
        items.push(LABEL.right((area.left - 4.0, y + 2.8), text.clone()));
    }
}

fn speed_axis(
    items: &mut Vec<Item>,
    chart: &SpeedsChart,
    area: Area,
    x: &impl Fn(f64) -> f64,
    words: &Words,
) {
    let last = chart.edges.len().saturating_sub(1);
    for (i, (speed, text)) in chart.edges.iter().enumerate() {
        let at = x(*speed);
        items.push(rule((at, area.bottom), (at, area.bottom + 2.5), 0.4, BLACK));
        if let Some(text) = text {
            items.push(if i == last && chart.open_end {
                LABEL.right((at, area.bottom + 11.0), words.say("layout-faster"))
            } else {
                LABEL.centred((at, area.bottom + 11.0), text.clone())
            });
        }
    }
    let text = format!("{}. {}", chart.label, chart.legend);
    items.push(LABEL.left((area.left, area.bottom + 22.5), text));
}

/// The bands above the bars; a label without room is left to the table of phases.
fn brackets(
    items: &mut Vec<Item>,
    chart: &SpeedsChart,
    area: Area,
    x: &impl Fn(f64) -> f64,
    words: &Words,
) {
    let y = area.top - 13.0;
    // The name of the axis stands left on the same height.
    let mut free = area.left - GUTTER + LABEL.width(&chart.minutes_axis.label) + 4.0;
    for (low, high, label) in &chart.bands {
        let (left, right) = (x(*low), x(*high));
        if right <= left {
            continue;
        }
        items.push(Item::Strokes {
            lines: vec![vec![(left, y + 4.0), (left, y), (right, y), (right, y + 4.0)]],
            width: 0.8,
            grey: BLACK,
            dashed: false,
        });
        let text = words.with("layout-band", &[("band", label.as_str().into())]);
        let half = LABEL.width(&text) / 2.0;
        let middle = f64::midpoint(left, right).min(area.right - half);
        if middle - half >= free {
            items.push(LABEL.centred((middle, y - 2.5), text));
            free = middle + half + 4.0;
        }
    }
}
