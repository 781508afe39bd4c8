//! The data of the two charts, in people's units.

use super::Source;
use super::events::Event;
use crate::findings::{PhaseSpeed, RibbonCell};
use crate::settings::Band;
use crate::sheet::document::{
    Axis, BandStretch, ChartCell, Column, Fill, Level, Mark, RibbonChart, SpeedBars, SpeedsChart,
    Table, Unseen,
};
use crate::sheet::figures::Figures;
use crate::sheet::figures::{DASH, clock};
use crate::units::Units;
use chrono::{DateTime, Duration, Timelike, Utc};
use underbrush_protocol::si::{MetresPerSecond, Seconds};

/// Highest values an axis is made for; what is above is drawn at the top.
const HIGHEST_SPEED_M_S: f64 = 3.0;
const HIGHEST_CURRENT_A: f64 = 400.0;
/// The mean is drawn over this long: turns and short stops on a small section
/// would make a finer curve a block.
const MEAN_S: f64 = 120.0;
/// Brushes off for less than this do not interrupt the band that is drawn.
const PAUSE_S: f64 = 600.0;
/// Most bars in the histogram.
const MOST_BARS: usize = 24;

/// Steps of an axis: the smallest nice one that needs at most `most` steps.
pub(super) fn axis(figures: &Figures, label: String, highest: f64, most: usize) -> Axis {
    let highest = if highest.is_finite() && highest > 0.0 { highest } else { 1.0 };
    let raw = highest / most as f64;
    let ten = 10_f64.powf(raw.log10().floor());
    let step =
        [1.0, 2.0, 2.5, 5.0, 10.0].map(|m| m * ten).into_iter().find(|s| *s >= raw * 0.999_999);
    let step = step.unwrap_or(10.0 * ten);
    let steps = (highest / step * 0.999_999).ceil().max(1.0);
    let ticks = (0..=steps as usize)
        .map(|i| {
            let v = i as f64 * step;
            (v, if v < 1000.0 { figures.limit(v) } else { figures.grouped(v as u64) })
        })
        .collect();
    Axis { label, top: steps * step, ticks }
}

/// The shift over time.
pub(super) fn ribbon(source: &Source, events: &[Event]) -> RibbonChart {
    let units = source.units;
    let cells = &source.findings.ribbon.cells;
    let speed = |v: MetresPerSecond| if v.0.is_finite() { units.speed(v).abs() } else { 0.0 };
    let fastest = cells.iter().filter_map(|c| c.speed).map(|(_, high)| speed(high));
    let band_top = cells.iter().filter_map(|c| c.band).map(|b| speed(b.high));
    let default_top = speed(source.site.bands.maintenance.high);
    let fastest = fastest.chain(band_top).fold(default_top, f64::max);
    let fastest = fastest.min(speed(MetresPerSecond(HIGHEST_SPEED_M_S)));
    let strongest = cells.iter().filter_map(|c| c.current).map(|(_, high)| high.0);
    let strongest = strongest.filter(|a| a.is_finite()).fold(10.0, f64::max);
    let chart_cell = |c: &RibbonCell| ChartCell {
        speed: c.speed.map(|(low, high)| (speed(low), speed(high))),
        current: c.current.map(|(low, high)| (low.0, high.0)),
        brush_on: c.brush_on.map(|share| f64::from(share).clamp(0.0, 1.0)),
    };
    let marks = events
        .iter()
        .enumerate()
        .map(|(i, e)| Mark { at: place(source, e.span().from), kind: e.kind(), number: i + 1 })
        .collect();
    RibbonChart {
        times: times(source),
        speed_axis: axis(&source.figures, speed_label(source), fastest, 4),
        current_axis: axis(
            &source.figures,
            source.say("chart-current"),
            strongest.min(HIGHEST_CURRENT_A),
            3,
        ),
        cells: cells.iter().map(chart_cell).collect(),
        speed_means: means(source, |c| c.speed_mean.map(speed)),
        current_means: means(source, |c| c.current_mean.map(|a| a.0).filter(|a| a.is_finite())),
        bands: bands(source),
        unseen_speed: unseen(source, |c| c.speed.is_none()),
        unseen_current: unseen(source, |c| c.current.is_none()),
        marks,
        legend: vec![source.with(
            "chart-ribbon-legend",
            &[("time", source.figures.duration(Seconds(MEAN_S)).into())],
        )],
    }
}

/// Share of the shift at which a moment lies.
fn place(source: &Source, at: DateTime<Utc>) -> f64 {
    let span = source.findings.shift.span;
    let length = span.length().0;
    if length <= 0.0 {
        return 0.0;
    }
    ((at - span.from).num_milliseconds() as f64 / 1000.0 / length).clamp(0.0, 1.0)
}

/// Full local hours; every second or third one in a long shift.
fn times(source: &Source) -> Vec<(f64, String)> {
    let shift = &source.findings.shift;
    let hours = shift.span.length().0 / 3600.0;
    if !(hours > 0.0 && hours <= 96.0) {
        return Vec::new();
    }
    let every = if hours <= 12.0 {
        1
    } else if hours <= 26.0 {
        2
    } else {
        6
    };
    let begin = shift.span.from.with_timezone(&shift.zone);
    let minutes = i64::from((60 - begin.minute()) % 60);
    let seconds = minutes * 60 - i64::from(begin.second());
    let mut at = shift.span.from + Duration::seconds(seconds);
    let mut out = Vec::new();
    while at <= shift.span.to {
        if at.with_timezone(&shift.zone).hour().is_multiple_of(every) {
            out.push((place(source, at), clock(shift.zone, at)));
        }
        at += Duration::hours(1);
    }
    out
}

/// The bands, where brushes turned: none is in force while the machine only stands by.
fn bands(source: &Source) -> Vec<BandStretch> {
    let cells = &source.findings.ribbon.cells;
    let units = source.units;
    let count = cells.len() as f64;
    let pause = PAUSE_S / source.findings.shift.span.length().0.max(1.0);
    let mut out: Vec<BandStretch> = Vec::new();
    let mut last: Option<Band> = None;
    for (i, cell) in cells.iter().enumerate() {
        let (from, to) = (i as f64 / count, (i + 1) as f64 / count);
        let Some(band) = cell.band.filter(|_| cell.brush_on.is_some_and(|share| share > 0.0))
        else {
            continue;
        };
        match out.last_mut() {
            Some(open) if last == Some(band) && from - open.to < pause => open.to = to,
            _ => out.push(BandStretch {
                from,
                to,
                low: units.speed(band.low),
                high: units.speed(band.high),
                label: band_text(source, band),
            }),
        }
        last = Some(band);
    }
    out
}

/// Means over [`MEAN_S`] or one cell, whichever is longer. A stretch without
/// readings or another band ends a mean early. Cells weigh the same.
fn means(source: &Source, value: impl Fn(&RibbonCell) -> Option<f64>) -> Vec<Level> {
    let cells = &source.findings.ribbon.cells;
    let count = cells.len() as f64;
    let cell_s = source.findings.shift.span.length().0 / count.max(1.0);
    let most = (MEAN_S / cell_s).round().clamp(1.0, count.max(1.0)) as usize;
    let mut out = Vec::new();
    let mut begin = 0;
    let mut held: Vec<f64> = Vec::new();
    let mut flush = |begin: usize, held: &mut Vec<f64>| {
        if !held.is_empty() {
            let (from, to) = (begin as f64 / count, (begin + held.len()) as f64 / count);
            out.push(Level { from, to, value: held.iter().sum::<f64>() / held.len() as f64 });
            held.clear();
        }
    };
    let mut band = None;
    for (i, cell) in cells.iter().enumerate() {
        if held.len() == most || cell.band != band {
            flush(begin, &mut held);
        }
        band = cell.band;
        match value(cell) {
            Some(v) => {
                if held.is_empty() {
                    begin = i;
                }
                held.push(v);
            }
            None => flush(begin, &mut held),
        }
    }
    flush(begin, &mut held);
    out
}

fn band_text(source: &Source, band: Band) -> String {
    let limit = |v| source.figures.limit(source.units.speed(v));
    format!("{}–{}", limit(band.low), limit(band.high))
}

fn speed_label(source: &Source) -> String {
    source.with("chart-speed", &[("unit", source.figures.speed_unit().into())])
}

fn unseen(source: &Source, missing: impl Fn(&RibbonCell) -> bool) -> Vec<Unseen> {
    let cells = &source.findings.ribbon.cells;
    let count = cells.len() as f64;
    let mut out: Vec<Unseen> = Vec::new();
    for (i, cell) in cells.iter().enumerate().filter(|(_, c)| missing(c)) {
        let (from, to) = (i as f64 / count, (i + 1) as f64 / count);
        let nothing = cell.speed.is_none() && cell.current.is_none() && cell.brush_on.is_none();
        let middle = f64::midpoint(from, to);
        let label = if nothing && !in_gap(source, middle) {
            source.say("chart-not-recorded")
        } else {
            source.say("chart-no-readings")
        };
        match out.last_mut() {
            Some(open) if (open.to - from).abs() < 1e-9 && open.label == label => open.to = to,
            _ => out.push(Unseen { from, to, label }),
        }
    }
    if cells.is_empty() {
        out.push(Unseen { from: 0.0, to: 1.0, label: source.say("chart-not-recorded") });
    }
    out
}

fn in_gap(source: &Source, at: f64) -> bool {
    let gaps = &source.findings.data.gaps;
    gaps.iter().any(|g| place(source, g.from) <= at && at <= place(source, g.to))
}

/// Time at each speed.
pub(super) fn speeds(source: &Source) -> SpeedsChart {
    let units = source.units;
    let step = match units {
        Units::Us => 0.25,
        Units::Si => 0.1,
    };
    let histogram = &source.findings.speed.histogram;
    let mut bands: Vec<(f64, f64, String)> = Vec::new();
    for band in source.findings.speed.by_phase.iter().filter_map(|p| p.band) {
        let entry = (units.speed(band.low), units.speed(band.high), band_text(source, band));
        if !bands.iter().any(|b| b.2 == entry.2) {
            bands.push(entry);
        }
    }
    bands.sort_by(|a, b| a.0.total_cmp(&b.0));
    let fast = histogram.quantile(0.999).map_or(0.0, |v| units.speed(v));
    let highest = bands.iter().map(|b| b.1 + step).fold(fast, f64::max).max(4.0 * step);
    let bars = ((highest / step * 0.999_999).ceil() as usize).clamp(1, MOST_BARS);
    let si = |v: f64| MetresPerSecond(v / units.speed(MetresPerSecond(1.0)));
    let mut minutes: Vec<f64> = (0..bars)
        .map(|i| histogram.between(si(i as f64 * step), si((i + 1) as f64 * step)).0 / 60.0)
        .collect();
    let beyond = histogram.total().0 / 60.0 - minutes.iter().sum::<f64>();
    let open_end = beyond > 0.0;
    if let Some(last) = minutes.last_mut() {
        *last += beyond.max(0.0);
    }
    let label_every = if bars > 14 { 4 } else { 2 };
    let edges = (0..=bars)
        .map(|i| {
            (i as f64 * step, (i % label_every == 0).then(|| source.figures.limit(i as f64 * step)))
        })
        .collect();
    let captions = minutes
        .iter()
        .map(|m| match *m {
            m if m <= 0.0 => String::new(),
            m if m < 0.5 => "<1".to_owned(),
            m => source.figures.grouped(m.round() as u64),
        })
        .collect();
    let longest = minutes.iter().copied().fold(0.0, f64::max);
    SpeedsChart {
        label: speed_label(source),
        edges,
        minutes,
        captions,
        minutes_axis: axis(&source.figures, source.say("chart-minutes"), longest, 4),
        bands,
        open_end,
        legend: source.say("chart-shades"),
    }
}

/// Brush time against the band, phase by phase.
pub(super) fn bars(source: &Source) -> SpeedBars {
    let phases = &source.findings.speed.by_phase;
    let time = |t: Seconds| if t.0.is_finite() { t.0.max(0.0) } else { 0.0 };
    let longest = phases.iter().map(|p| time(p.total())).fold(0.0, f64::max);
    let share = |t: Seconds| if longest > 0.0 { time(t) / longest } else { 0.0 };
    let parts = |p: &PhaseSpeed| match p.band {
        None => vec![(Fill::NoBand, share(p.total()))],
        Some(_) => vec![
            (Fill::Below, share(p.below)),
            (Fill::Within, share(p.within)),
            (Fill::Above, share(p.above)),
        ],
    };
    let parts: Vec<Vec<(Fill, f64)>> = phases.iter().map(parts).collect();
    let drawn = |fill: Fill| parts.iter().flatten().any(|(f, share)| *f == fill && *share > 0.0);
    let legend = [
        (Fill::Below, "chart-too-slow"),
        (Fill::Within, "chart-in-band"),
        (Fill::Above, "chart-too-fast"),
        (Fill::NoBand, "chart-no-band"),
    ];
    let legend = legend.into_iter().filter(|(fill, _)| drawn(*fill));
    let legend = legend.map(|(fill, id)| (fill, source.say(id))).collect();
    let nothing = source.say("layout-nothing-to-draw");
    SpeedBars { table: phase_table(source), parts, legend, nothing }
}

fn phase_table(source: &Source) -> Table {
    let row = |p: &PhaseSpeed| {
        let name = source.phase_short(p.phase);
        let Some(band) = p.band else {
            let dash = || DASH.to_owned();
            return vec![
                name,
                dash(),
                dash(),
                dash(),
                dash(),
                source.figures.hours_minutes(p.total()),
            ];
        };
        vec![
            name,
            band_text(source, band),
            source.figures.hours_minutes(p.below),
            source.figures.hours_minutes(p.within),
            source.figures.hours_minutes(p.above),
            source.figures.hours_minutes(p.total()),
        ]
    };
    let rows = source.findings.speed.by_phase.iter().map(row).collect();
    let unit = source.figures.speed_unit();
    let time = |id, share| Column::decimal(source.say(id), "h:mm", share);
    let columns = vec![
        Column::words(source.say("column-work"), 0.27),
        Column { unit, ..Column::words(source.say("chart-band"), 0.15) },
        time("chart-slow", 0.15),
        time("chart-in", 0.17),
        time("chart-fast", 0.14),
        time("chart-all", 0.15),
    ];
    Table::new(source.words(), columns, rows, Vec::new())
}
