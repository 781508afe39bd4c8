//! Readings around an event: lanes one below the other over the same time, the event grey.

use super::grid::{self, HALF, LINE};
use super::shapes::{Area, BLACK, Item, Point, dashes, rule};
use super::{Flow, LABEL, blocks};
use crate::sheet::document::{TraceChart, TraceLane, TraceShape};

/// Columns left of the lanes, for names and ticks of the axes.
const GUTTER: f64 = 2.0;
/// Of them for ticks, in pt.
const TICKS: f64 = 24.0;
/// Smallest and largest height of a curve: the limits in force have room below.
const CURVE: [f64; 2] = [2.0 * LINE, 4.0 * LINE];
const LEVEL: f64 = 1.5 * LINE;
const SWITCH: f64 = 9.0;
/// Between lanes: below one with an axis room for the ticks of both.
const BETWEEN: [f64; 2] = [LINE, HALF];
/// Numbers of ticks are at least so far from each other.
const APART: f64 = 11.0;
/// White between a lane's frame and the ends of its scale: a line drawn at either end would
/// be lost in the frame.
const WITHIN: f64 = 2.5;
/// From a lane down to the line that the names of its limits stand on.
const NAMES: f64 = 9.0;
/// Grey of the event: light enough to read through.
const EVENT: f64 = 0.88;

/// Sets the chart over the full width.
pub(super) fn set(flow: &mut Flow, chart: &TraceChart) {
    let heights: Vec<(Option<f64>, f64)> = chart.lanes.iter().map(height_below).collect();
    let curves = heights.iter().filter(|(high, _)| high.is_none()).count() as f64;
    let rest: f64 = heights.iter().map(|(high, white)| high.unwrap_or(0.0) + white).sum();
    let legend = LABEL.wrap(&chart.legend, flow.width()).len() as f64;
    let fixed = rest + (legend + 4.0) * LINE;
    flow.begin(fixed + curves * CURVE[0]);
    let room = (flow.bottom() - flow.y - fixed) / curves.max(1.0);
    let height = ((room / HALF).floor() * HALF).clamp(CURVE[0], CURVE[1]);
    let gutter = grid::columns(flow.page.size.0, GUTTER);
    let (start, left, right) = (flow.left, flow.left + gutter, flow.right);
    let top = flow.y + HALF;
    let mut y = top;
    let mut areas = Vec::with_capacity(chart.lanes.len());
    for (high, white) in heights {
        let high = high.unwrap_or(height);
        areas.push(Area { left, top: y, right, bottom: y + high });
        y += high + white;
    }
    let below = chart.lanes.last().filter(|lane| has_names(lane)).map_or(0.0, |_| LINE);
    let bottom = areas.last().map_or(y, |area| area.bottom) + below;
    let items = &mut flow.page.items;
    let all = Area { left, top, right, bottom };
    let event = part(all, chart.event);
    items.push(event.filled(EVENT));
    times(items, chart, all);
    for (lane, area) in chart.lanes.iter().zip(areas) {
        draw(items, lane, area, start);
    }
    for x in [event.left, event.right] {
        items.push(rule((x, top), (x, bottom), 0.8, BLACK));
    }
    flow.y += grid::whole(bottom - flow.y + LINE);
    blocks::paragraph(flow, LABEL, &chart.time_label);
    blocks::paragraph(flow, LABEL, &chart.legend);
    flow.y += HALF;
}

/// The height of a lane, `None` for a curve, and the white below it.
fn height_below(lane: &TraceLane) -> (Option<f64>, f64) {
    match lane.shape {
        TraceShape::Curve { .. } => (None, BETWEEN[0]),
        TraceShape::Level => (Some(LEVEL), BETWEEN[0]),
        TraceShape::Switch => (Some(SWITCH), BETWEEN[1]),
    }
}

/// From one share of the lane to another.
fn part(lane: Area, (from, to): (f64, f64)) -> Area {
    let x = |share: f64| lane.left + share.clamp(0.0, 1.0) * lane.width();
    Area { left: x(from), right: x(to), ..lane }
}

fn draw(items: &mut Vec<Item>, lane: &TraceLane, area: Area, left: f64) {
    let room = area.left - left - TICKS;
    let middle = f64::midpoint(area.top, area.bottom);
    match &lane.shape {
        TraceShape::Curve { base, axis, limits } => {
            for (i, text) in LABEL.wrap(&lane.name, room).into_iter().take(2).enumerate() {
                items.push(LABEL.left((left, area.top + 7.0 + i as f64 * LINE), text));
            }
            let height = |value: f64| height_of(area, (*base, axis.top), value);
            ticks(items, &axis.ticks, area, height);
            unseen(items, lane, area);
            curve(items, lane, area, &height);
            self::limits(items, limits, area, height);
        }
        TraceShape::Level => {
            let text = LABEL.wrap(&lane.name, room).into_iter().next();
            items.push(LABEL.left((left, middle + 3.2), text.unwrap_or_default()));
            let height = |value: f64| height_of(area, (0.0, 100.0), value);
            let ends = [0.0, 100.0].map(|value| (value, format!("{value:.0}")));
            ticks(items, &ends, area, height);
            unseen(items, lane, area);
            curve(items, lane, area, &height);
        }
        TraceShape::Switch => {
            let text = LABEL.wrap(&lane.name, area.left - left - 4.0).into_iter().next();
            items.push(LABEL.left((left, middle + 3.2), text.unwrap_or_default()));
            unseen(items, lane, area);
            switch(items, lane, area);
        }
    }
    items.push(area.outlined(0.5));
}

/// Lines at full values; their numbers where they do not touch each other.
fn ticks(items: &mut Vec<Item>, ticks: &[(f64, String)], area: Area, height: impl Fn(f64) -> f64) {
    let last = ticks.last().map_or(area.top, |(value, _)| height(*value));
    let mut before: Option<f64> = None;
    for (i, (value, text)) in ticks.iter().enumerate() {
        let y = height(*value);
        items.push(rule((area.left, y), (area.right, y), 0.25, 0.7));
        let free = |other: f64| (other - y).abs() >= APART;
        if before.is_none_or(free) && (i + 1 == ticks.len() || free(last)) {
            items.push(LABEL.right((area.left - 4.0, y + 2.8), text.clone()));
            before = Some(y);
        }
    }
}

/// Where a value of this scale stands; what is beyond it stands at its end.
fn height_of(area: Area, (base, top): (f64, f64), value: f64) -> f64 {
    let length = top - base;
    let share = if length > 0.0 { (value - base) / length } else { 0.0 };
    let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
    area.bottom - WITHIN - share * (area.height() - 2.0 * WITHIN)
}

fn unseen(items: &mut Vec<Item>, lane: &TraceLane, area: Area) {
    for stretch in &lane.unseen {
        let hole = part(area, *stretch);
        items.push(hole.filled(1.0));
        items.push(hole.hatched(3.0));
    }
}

/// One line that goes through the smallest and the largest value of each part; it ends
/// where readings end.
fn curve(items: &mut Vec<Item>, lane: &TraceLane, area: Area, height: &impl Fn(f64) -> f64) {
    let step = area.width() / lane.cells.len().max(1) as f64;
    let mut lines: Vec<Vec<Point>> = Vec::new();
    let mut open: Vec<Point> = Vec::new();
    for (i, cell) in lane.cells.iter().enumerate() {
        let Some((low, high)) = *cell else {
            lines.extend((!open.is_empty()).then(|| std::mem::take(&mut open)));
            continue;
        };
        let (from, to) = (area.left + i as f64 * step, area.left + (i + 1) as f64 * step);
        let (low, high) = (height(low), height(high));
        let before = open.last().map_or(low, |p| p.1);
        // The end that is nearer to the value before comes first.
        let (first, second) =
            if (before - low).abs() <= (before - high).abs() { (low, high) } else { (high, low) };
        let same = |a: f64, b: f64| (a - b).abs() < 0.01;
        // Parts of the same value are one straight line.
        let flat = same(first, second) && open.len() > 1 && same(before, first);
        if flat && open.iter().rev().take(2).all(|p| same(p.1, first)) {
            open.pop();
        } else {
            open.push((from, first));
        }
        if !same(first, second) {
            open.push((from, second));
        }
        open.push((to, second));
    }
    lines.extend((!open.is_empty()).then_some(open));
    if !lines.is_empty() {
        items.push(Item::Strokes { lines, width: 0.8, grey: BLACK, dashed: false });
    }
}

/// Dashed lines; their names stand below the lane, where they hide no reading.
fn limits(
    items: &mut Vec<Item>,
    limits: &[(f64, String)],
    area: Area,
    height: impl Fn(f64) -> f64,
) {
    let mut rising: Vec<&(f64, String)> = limits.iter().collect();
    rising.sort_by(|a, b| a.0.total_cmp(&b.0));
    for (value, _) in &rising {
        let y = height(*value);
        items.push(dashes((area.left, y), (area.right, y), 0.7));
    }
    let names: Vec<&str> = rising.iter().map(|(_, name)| name.as_str()).collect();
    if !names.is_empty() {
        items.push(LABEL.right((area.right, area.bottom + NAMES), names.join(", ")));
    }
}

/// The names of a lane's limits stand below it.
fn has_names(lane: &TraceLane) -> bool {
    matches!(&lane.shape, TraceShape::Curve { limits, .. } if !limits.is_empty())
}

/// A bar from where the switch goes on to where it goes off; a low one while it is half on.
fn switch(items: &mut Vec<Item>, lane: &TraceLane, area: Area) {
    let count = lane.cells.len().max(1) as f64;
    let level = |cell: &Option<(f64, f64)>| match cell {
        Some((_, high)) if *high >= 1.0 => 2,
        Some((_, high)) if *high > 0.0 => 1,
        _ => 0,
    };
    let mut open: Option<(usize, u8)> = None;
    for i in 0..=lane.cells.len() {
        let here = lane.cells.get(i).map_or(0, level);
        if open.is_some_and(|(_, level)| level == here) {
            continue;
        }
        if let Some((from, level)) = open.filter(|(_, level)| *level > 0) {
            let bar = part(area, (from as f64 / count, i as f64 / count));
            let top = if level == 2 { area.top + 2.0 } else { area.bottom - 4.0 };
            items.push(Area { top, bottom: area.bottom - 2.0, ..bar }.filled(0.2));
        }
        open = Some((i, here));
    }
}

fn times(items: &mut Vec<Item>, chart: &TraceChart, all: Area) {
    for (share, text) in &chart.times {
        let x = part(all, (*share, *share)).left;
        items.push(rule((x, all.top), (x, all.bottom + 3.0), 0.25, 0.6));
        let half = LABEL.width(text) / 2.0;
        let middle = x.clamp(all.left, (all.right - half).max(all.left));
        items.push(LABEL.centred((middle, all.bottom + 11.0), text.clone()));
    }
}
