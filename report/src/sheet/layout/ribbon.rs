//! The strip chart of the shift: events, speed with its band, brush, current.

use super::grid::{self, BASE, HALF, LINE};
use super::shapes::{Area, BLACK, Item, Point, Tint, dashes, rule};
use super::{Flow, LABEL, blocks};
use crate::sheet::document::{
    Axis, BandStretch, ChartCell, Level, Mark, MarkKind, RibbonChart, Unseen,
};
use crate::sheet::words::Words;

/// Columns left of the lanes, for names and ticks of the axes.
const GUTTER: f64 = 1.25;
const EVENTS: f64 = 2.0 * LINE;
/// Smallest and largest height of the lanes: they take what the page has left.
const SPEED: [f64; 2] = [3.0 * LINE, 9.0 * LINE];
const CURRENT: [f64; 2] = [2.0 * LINE, 4.0 * LINE];
const BRUSH: f64 = 9.0;
/// Between lanes; above and below the narrow one a line and a half in all.
const BETWEEN: f64 = (1.5 * LINE - BRUSH) / 2.0;
const TIMES: f64 = LINE;
/// More events than this get no line through the curve: the curve would be lost.
const MOST_STEMS: usize = 24;

/// Sets the chart over the full width.
pub(super) fn set(flow: &mut Flow, chart: &RibbonChart) {
    let legend: usize = chart.legend.iter().map(|t| LABEL.wrap(t, flow.width()).len()).sum();
    let fixed = EVENTS + BRUSH + 2.0 * BETWEEN + TIMES + HALF + (legend + 1) as f64 * LINE;
    flow.begin(fixed + SPEED[0] + CURRENT[0]);
    let room = ((flow.bottom() - flow.y - fixed) / HALF).floor() * HALF;
    let speed_height = grid::whole(room * 0.66).clamp(SPEED[0], SPEED[1]);
    let current_height = (room - speed_height).clamp(CURRENT[0], CURRENT[1]);
    let gutter = grid::columns(flow.page.size.0, GUTTER);
    let (left, right) = (flow.left + gutter, flow.right);
    let lane = |top: f64, height: f64| Area { left, top, right, bottom: top + height };
    let speed = lane(flow.y + EVENTS, speed_height);
    let brush = lane(speed.bottom + BETWEEN, BRUSH);
    let current = lane(brush.bottom + BETWEEN, current_height);
    let words = flow.words.clone();
    let items = &mut flow.page.items;
    times(items, chart, speed, current);
    levels(items, &chart.speed_axis, speed, flow.left);
    levels(items, &chart.current_axis, current, flow.left);
    envelope(items, chart, speed, &chart.speed_axis, |c| c.speed);
    envelope(items, chart, current, &chart.current_axis, |c| c.current);
    brush_lane(items, chart, brush, (flow.left, words.say("layout-brush-on")));
    band_edges(items, chart, speed);
    means(items, &chart.speed_means, &chart.speed_axis, speed);
    outside(items, chart, speed);
    means(items, &chart.current_means, &chart.current_axis, current);
    band_labels(items, chart, speed, &words);
    unseen(items, &chart.unseen_speed, speed);
    unseen(items, &chart.unseen_current, current);
    items.push(speed.outlined(0.6));
    items.push(current.outlined(0.6));
    marks(items, chart, speed, (flow.left, words.say("layout-events")));
    flow.y = current.bottom + TIMES + HALF;
    signs(flow, chart);
    for text in &chart.legend {
        blocks::paragraph(flow, LABEL, text);
    }
}

fn times(items: &mut Vec<Item>, chart: &RibbonChart, speed: Area, current: Area) {
    let mut free = f64::NEG_INFINITY;
    for (share, text) in &chart.times {
        let x = speed.left + share * speed.width();
        items.push(rule((x, speed.top), (x, speed.bottom), 0.25, 0.6));
        items.push(rule((x, current.top), (x, current.bottom + 3.0), 0.25, 0.6));
        let half = LABEL.width(text) / 2.0;
        let middle = x.clamp(speed.left + half - 8.0, (speed.right - half).max(speed.left));
        if middle - half >= free {
            items.push(LABEL.centred((middle, current.bottom + 11.0), text.clone()));
            free = middle + half + 4.0;
        }
    }
}

fn height_of(axis: &Axis, value: f64, lane: Area) -> f64 {
    let share = if axis.top > 0.0 { value / axis.top } else { 0.0 };
    let share = if share.is_finite() { share.clamp(0.0, 1.0) } else { 0.0 };
    lane.bottom - share * lane.height()
}

fn levels(items: &mut Vec<Item>, axis: &Axis, lane: Area, left: f64) {
    let name: Vec<&str> = axis.label.split(", ").collect();
    for (i, part) in name.iter().enumerate() {
        items.push(LABEL.left((left, lane.top + 7.0 + i as f64 * LINE), *part));
    }
    for (value, text) in &axis.ticks {
        let y = height_of(axis, *value, lane);
        items.push(rule((lane.left, y), (lane.right, y), 0.25, 0.7));
        items.push(LABEL.right((lane.left - 4.0, y + 2.8), text.clone()));
    }
}

fn band_area(chart: &RibbonChart, low: f64, high: f64, from: f64, to: f64, lane: Area) -> Area {
    Area {
        left: lane.left + from * lane.width(),
        right: lane.left + to * lane.width(),
        top: height_of(&chart.speed_axis, high, lane),
        bottom: height_of(&chart.speed_axis, low, lane),
    }
}

/// The limits of the band lie over the grey: the mean is judged by them.
fn band_edges(items: &mut Vec<Item>, chart: &RibbonChart, lane: Area) {
    for band in &chart.bands {
        let area = band_area(chart, band.low, band.high, band.from, band.to, lane);
        items.push(dashes((area.left, area.top), (area.right, area.top), 0.7));
        items.push(dashes((area.left, area.bottom), (area.right, area.bottom), 0.7));
    }
}

/// The band in numbers, at the begin of a stretch, above its upper limit.
fn band_labels(items: &mut Vec<Item>, chart: &RibbonChart, lane: Area, words: &Words) {
    let mut labelled: Option<(&str, f64)> = None;
    for band in &chart.bands {
        let area = band_area(chart, band.low, band.high, band.from, band.to, lane);
        let text = words.with("layout-band", &[("band", band.label.as_str().into())]);
        let room = LABEL.width(&text) + 6.0;
        let again = labelled.is_none_or(|(label, x)| label != band.label || area.left > x + 150.0);
        if again && area.width() >= room {
            let back = Area {
                left: area.left + 2.0,
                right: area.left + room,
                top: area.top - LABEL.size - 2.5,
                bottom: area.top - 1.2,
            };
            items.push(back.filled(1.0));
            items.push(LABEL.left((back.left + 2.0, area.top - 3.2), text));
            labelled = Some((&band.label, area.right));
        }
    }
}

/// Smallest to largest value as a light grey area.
fn envelope(
    items: &mut Vec<Item>,
    chart: &RibbonChart,
    lane: Area,
    axis: &Axis,
    value: impl Fn(&ChartCell) -> Option<(f64, f64)>,
) {
    let step = lane.width() / chart.cells.len().max(1) as f64;
    let mut upper: Vec<Point> = Vec::new();
    let mut lower: Vec<Point> = Vec::new();
    for (i, cell) in chart.cells.iter().enumerate() {
        let Some((low, high)) = value(cell) else {
            run(items, &mut upper, &mut lower);
            continue;
        };
        let (from, to) = (lane.left + i as f64 * step, lane.left + (i + 1) as f64 * step);
        let (top, bottom) = (height_of(axis, high, lane), height_of(axis, low, lane));
        // Neighbours of the same height share one line.
        if upper.last().is_some_and(|p| same(p.1, top)) {
            upper.pop();
        } else {
            upper.push((from, top));
        }
        upper.push((to, top));
        if lower.last().is_some_and(|p| same(p.1, bottom)) {
            lower.pop();
        } else {
            lower.push((from, bottom));
        }
        lower.push((to, bottom));
    }
    run(items, &mut upper, &mut lower);
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 0.05
}

fn run(items: &mut Vec<Item>, upper: &mut Vec<Point>, lower: &mut Vec<Point>) {
    if upper.is_empty() {
        return;
    }
    let mut outline = std::mem::take(upper);
    outline.extend(std::mem::take(lower).into_iter().rev());
    items.push(Item::Filled { outline: outline.clone(), grey: 0.85 });
    // A spike between two steps of the same height has no width; its edge shows it.
    items.push(Item::Strokes { lines: vec![outline], width: 0.25, grey: 0.6, dashed: false });
}

/// The means as a line of steps; it ends where readings end.
fn means(items: &mut Vec<Item>, levels: &[Level], axis: &Axis, lane: Area) {
    let mut lines: Vec<Vec<Point>> = Vec::new();
    let mut end = f64::NAN;
    for Level { from, to, value } in levels {
        let y = height_of(axis, *value, lane);
        let (left, right) = (lane.left + from * lane.width(), lane.left + to * lane.width());
        match lines.last_mut() {
            Some(line) if same(end, left) => line.extend([(left, y), (right, y)]),
            _ => lines.push(vec![(left, y), (right, y)]),
        }
        end = right;
    }
    if !lines.is_empty() {
        items.push(Item::Strokes { lines, width: 0.9, grey: BLACK, dashed: false });
    }
}

/// Means outside of the band in force are thick: where the speed was wrong shows at a glance.
fn outside(items: &mut Vec<Item>, chart: &RibbonChart, lane: Area) {
    let in_force = |at: f64| chart.bands.iter().find(|b| b.from <= at && at <= b.to);
    let wrong = |level: &&Level| {
        in_force(f64::midpoint(level.from, level.to))
            .is_some_and(|b: &BandStretch| level.value < b.low || level.value > b.high)
    };
    let lines: Vec<Vec<Point>> = chart
        .speed_means
        .iter()
        .filter(wrong)
        .map(|Level { from, to, value }| {
            let y = height_of(&chart.speed_axis, *value, lane);
            vec![(lane.left + from * lane.width(), y), (lane.left + to * lane.width(), y)]
        })
        .collect();
    if !lines.is_empty() {
        let thick = Item::Strokes { lines, width: 2.2, grey: BLACK, dashed: false };
        items.push(Item::Tinted(Tint::Wrong, Box::new(thick)));
    }
}

fn brush_lane(items: &mut Vec<Item>, chart: &RibbonChart, lane: Area, name: (f64, String)) {
    items.push(LABEL.left((name.0, lane.bottom - 1.0), name.1));
    items.push(rule((lane.left, lane.bottom), (lane.right, lane.bottom), 0.25, 0.5));
    let step = lane.width() / chart.cells.len().max(1) as f64;
    let mut open: Option<(Area, Option<f64>)> = None;
    let mut flush = |open: &mut Option<(Area, Option<f64>)>| {
        if let Some((area, share)) = open.take() {
            match share {
                None => items.push(area.hatched(3.0)),
                Some(share) if share > 0.0 => {
                    let top = area.bottom - share * area.height();
                    items.push(Area { top, ..area }.filled(0.15));
                }
                Some(_) => {}
            }
        }
    };
    for (i, cell) in chart.cells.iter().enumerate() {
        let left = lane.left + i as f64 * step;
        // A tenth of the lane is as fine as can be seen.
        let share = cell.brush_on.map(|s| (s * 10.0).ceil() / 10.0);
        match &mut open {
            Some((area, last)) if *last == share => area.right = left + step,
            _ => {
                flush(&mut open);
                open = Some((Area { left, right: left + step, ..lane }, share));
            }
        }
    }
    flush(&mut open);
}

fn unseen(items: &mut Vec<Item>, list: &[Unseen], lane: Area) {
    for stretch in list {
        let area = Area {
            left: lane.left + stretch.from * lane.width(),
            right: lane.left + stretch.to * lane.width(),
            ..lane
        };
        items.push(area.hatched(4.0));
        let half = LABEL.width(&stretch.label) / 2.0 + 2.0;
        if area.width() > 2.0 * half + 4.0 {
            let (x, y) =
                (f64::midpoint(area.left, area.right), f64::midpoint(area.top, area.bottom));
            let back = Area { left: x - half, right: x + half, top: y - 5.5, bottom: y + 5.0 };
            items.push(back.filled(1.0));
            items.push(LABEL.centred((x, y + 2.8), stretch.label.clone()));
        }
    }
}

fn marks(items: &mut Vec<Item>, chart: &RibbonChart, lane: Area, name: (f64, String)) {
    items.push(LABEL.left((name.0, lane.top - 4.0), name.1));
    let mut free = f64::NEG_INFINITY;
    for Mark { at, kind, number } in &chart.marks {
        let x = lane.left + at * lane.width();
        if chart.marks.len() <= MOST_STEMS {
            items.push(rule((x, lane.top), (x, lane.bottom), 0.3, 0.3));
        }
        sign(items, *kind, x, lane.top - 4.5);
        let text = number.to_string();
        let half = LABEL.width(&text) / 2.0;
        if x - half >= free {
            items.push(LABEL.centred((x, lane.top - 10.5), text));
            free = x + half + 3.0;
        }
    }
}

/// The sign of an event around a middle point.
fn sign(items: &mut Vec<Item>, kind: MarkKind, x: f64, y: f64) {
    let corners = match kind {
        MarkKind::Stationary => vec![(x - 3.6, y - 3.4), (x + 3.6, y - 3.4), (x, y + 3.6)],
        MarkKind::Stall => {
            vec![(x - 3.0, y - 3.0), (x + 3.0, y - 3.0), (x + 3.0, y + 3.0), (x - 3.0, y + 3.0)]
        }
        MarkKind::OverPressure => vec![(x, y - 3.8), (x + 3.6, y), (x, y + 3.8), (x - 3.6, y)],
        MarkKind::Other => {
            vec![(x - 1.0, y - 3.6), (x + 1.0, y - 3.6), (x + 1.0, y + 3.6), (x - 1.0, y + 3.6)]
        }
    };
    if kind == MarkKind::OverPressure {
        let mut line = corners.clone();
        line.extend(corners.first().copied());
        items.push(Item::Filled { outline: corners, grey: 1.0 });
        let outline = Item::Strokes { lines: vec![line], width: 0.8, grey: BLACK, dashed: false };
        items.push(Item::Tinted(Tint::Wrong, Box::new(outline)));
    } else {
        let filled = Item::Filled { outline: corners, grey: BLACK };
        items.push(Item::Tinted(Tint::Wrong, Box::new(filled)));
    }
}

/// What the signs of the events mean.
fn signs(flow: &mut Flow, chart: &RibbonChart) {
    let y = flow.y + BASE;
    let mut x = flow.left + 4.0;
    let other = chart.marks.iter().any(|m| m.kind == MarkKind::Other);
    for (kind, id) in [
        (MarkKind::Stationary, "layout-sign-standing"),
        (MarkKind::Stall, "layout-sign-stall"),
        (MarkKind::OverPressure, "layout-sign-pressure"),
        (MarkKind::Other, "layout-sign-other"),
    ] {
        if kind == MarkKind::Other && !other {
            continue;
        }
        sign(&mut flow.page.items, kind, x, y - 3.0);
        let text = flow.words.say(id);
        let width = LABEL.width(&text);
        flow.push(LABEL.left((x + 7.0, y), text));
        x += width + 24.0;
    }
    let id = if other { "layout-numbers" } else { "layout-numbers-and-current" };
    let which = flow.words.say(id);
    flow.push(LABEL.left((x - 6.0, y), which));
    flow.y += LINE;
}
