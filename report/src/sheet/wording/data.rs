//! How good the data are, and everything that is wrong with them.

use super::{Source, answers};
use crate::findings::{Doubt, Sensor, SensorDoubt, Span};
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::{clock, clocks};
use crate::sheet::words::Value;
use underbrush_protocol::note::LinkLoss;
use underbrush_protocol::si::{Amperes, MetresPerSecond, Seconds};

/// Gaps listed one by one; of more, the longest.
const MOST_GAPS: usize = 20;

/// Everything about the data.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let mut blocks = vec![Block::Facts(facts(source))];
    blocks.extend(gaps(source));
    let sensors = sensors(source);
    let sound = sensors.is_none();
    blocks.extend(sensors);
    if !source.findings.data.problems.is_empty() {
        blocks.push(problems(source));
    } else if sound {
        blocks.push(Block::Text(vec![source.say("data-no-problem")]));
    }
    blocks.push(Block::Text(vec![method(source)]));
    blocks
}

fn facts(source: &Source) -> Vec<(String, String)> {
    let (data, figures) = (&source.findings.data, &source.figures);
    let link = &data.link;
    let shift = source.findings.shift.span.length();
    let bad = bad_frames(source, link);
    let bad = if bad.is_empty() { source.say("data-nothing-lost") } else { bad.join(", ") };
    let clock = match data.clock_uncertainty {
        None => source.say("data-clock-unknown"),
        Some(half) => source.with("data-clock-right", &[("time", figures.duration(half).into())]),
    };
    let time = |t| Value::from(figures.duration(t));
    let share = |part: Seconds, of: Seconds| figures.percent(part.0, of.0).into();
    let recorded = [
        ("time", time(data.recorded)),
        ("share", share(data.recorded, shift)),
        ("shift", time(shift)),
    ];
    let observed = [("time", time(data.observed)), ("share", share(data.observed, data.recorded))];
    let frames = [("frames", u64::from(link.frames).into()), ("bad", bad.into())];
    let mut facts = vec![
        ("data-recorded", source.with("data-recorded-of", &recorded)),
        ("data-observed", source.with("data-observed-of", &observed)),
        ("data-power-ons", figures.grouped(u64::from(data.boots))),
        ("data-readings", figures.grouped(data.readings)),
        ("data-frames", source.with("data-frames-received", &frames)),
        ("data-clock", clock),
    ];
    if let Some(meter) = source.findings.area.brush_meter {
        let values = [("meter", time(meter)), ("time", time(source.findings.area.brush_time))];
        facts.push(("data-meter", source.with("data-meter-and-brush", &values)));
    }
    facts.into_iter().map(|(id, value)| (source.say(id), value)).collect()
}

pub(super) fn gaps(source: &Source) -> Vec<Block> {
    let gaps = &source.findings.data.gaps;
    if gaps.is_empty() {
        return Vec::new();
    }
    let mut shown: Vec<&Span> = gaps.iter().collect();
    shown.sort_by(|a, b| b.length().0.total_cmp(&a.length().0));
    let rest: Seconds = shown.iter().skip(MOST_GAPS).map(|g| g.length()).sum();
    let hidden = shown.len().saturating_sub(MOST_GAPS);
    shown.truncate(MOST_GAPS);
    shown.sort_by_key(|g| g.from);
    let zone = source.findings.shift.zone;
    let rows =
        shown.iter().map(|g| vec![clocks(zone, **g), source.figures.seconds(g.length())]).collect();
    let columns = vec![
        Column::words(source.say("data-gaps"), 0.35),
        Column::decimal(source.say("column-lasted"), "s", 0.15),
    ];
    let mut notes = vec![source.say("data-note-gaps")];
    if hidden > 0 {
        notes.push(source.longest_listed(MOST_GAPS, hidden, rest));
    }
    vec![Block::Table(Table::new(source.words(), columns, rows, notes))]
}

/// Kinds of frames that did not come as they were sent, with how many.
fn bad_frames(source: &Source, link: &LinkLoss) -> Vec<String> {
    [
        (link.lost, "count-lost"),
        (link.damaged, "count-damaged"),
        (link.not_understood, "count-not-understood"),
        (link.doubled, "count-doubled"),
        (link.restarts, "count-restarts"),
        (link.disconnects, "count-disconnects"),
    ]
    .into_iter()
    .filter(|(n, _)| *n > 0)
    .map(|(n, id)| source.count(id, n as usize))
    .collect()
}

/// Name of a sensor in a sentence.
fn sensor(source: &Source, sensor: Sensor) -> String {
    let of = |id, m| source.with(id, &[("motor", source.motor(m).into())]);
    match sensor {
        Sensor::Speed => source.say("sensor-speed"),
        Sensor::TurnRate => source.say("sensor-turn-rate"),
        Sensor::Battery => source.say("sensor-battery"),
        Sensor::Current(m) => of("sensor-current", m),
        Sensor::Rotation(m) => of("sensor-rotation", m),
    }
}

fn value(source: &Source, doubt: &SensorDoubt) -> String {
    let (v, figures) = (doubt.value, &source.figures);
    let number = |text: String| ("number", text.into());
    match doubt.sensor {
        Sensor::Speed => {
            format!("{} {}", figures.speed(MetresPerSecond(v)), figures.speed_unit())
        }
        Sensor::TurnRate => {
            source.with("sensor-degrees", &[number(figures.limit(v.to_degrees().round()))])
        }
        Sensor::Battery => format!("{} V", figures.fixed(v, 1)),
        Sensor::Current(_) => format!("{} A", figures.current(Amperes(v))),
        Sensor::Rotation(_) => source.with("sensor-turns", &[number(figures.limit(v.round()))]),
    }
}

/// Sensors that should be looked at, one line each.
pub(super) fn sensor_tasks(source: &Source) -> Vec<String> {
    let quality = &source.findings.quality;
    let mut named = Vec::new();
    let mut list = Vec::new();
    for doubt in &quality.doubts {
        if !named.contains(&doubt.sensor) {
            named.push(doubt.sensor);
            let name = sensor(source, doubt.sensor);
            list.push(source.with("data-task-sensor", &[("sensor", name.into())]));
        }
    }
    for (motor, offset) in quality.drifting() {
        let shown = source.figures.current(offset.offset);
        let values = [("motor", source.motor(motor).into()), ("current", shown.into())];
        list.push(source.with("data-task-offset", &values));
    }
    list
}

/// What is doubted about each sensor.
pub(super) fn sensors(source: &Source) -> Option<Block> {
    let (quality, zone) = (&source.findings.quality, source.findings.shift.zone);
    let figures = &source.figures;
    let doubts = quality.doubts.iter().take(MOST_GAPS).map(|doubt| {
        let id = match doubt.doubt {
            Doubt::Stuck => "data-stuck",
            Doubt::Impossible => "data-impossible",
        };
        source.with(
            id,
            &[
                ("sensor", sensor(source, doubt.sensor).into()),
                ("value", value(source, doubt).into()),
                ("time", figures.duration(doubt.time).into()),
                ("at", clocks(zone, doubt.span).into()),
            ],
        )
    });
    let offsets = quality.drifting().map(|(motor, offset)| {
        let mut values = vec![
            ("motor", source.motor(motor).into()),
            ("current", figures.current(offset.offset).into()),
            ("stays", source.count("count-stays", offset.stays).into()),
        ];
        let id = match offset.drift.map(|d| d.0) {
            Some(d) if d != 0.0 => {
                values.push(("drift", figures.current(Amperes(d)).into()));
                "data-offset-drifting"
            }
            _ => "data-offset",
        };
        let line = source.with(id, &values);
        let Some(share) = offset.load_share else { return line };
        let id = if share > 0.0 { "data-offset-high" } else { "data-offset-low" };
        let share = figures.percent(share.abs(), 1.0);
        format!("{line} {}", source.with(id, &[("share", share.into())]))
    });
    let lines: Vec<String> = doubts.chain(offsets).collect();
    (!lines.is_empty()).then_some(Block::Text(lines))
}

/// Every problem, those that lost data first.
pub(super) fn problems(source: &Source) -> Block {
    let mut list: Vec<_> = source.findings.data.problems.iter().collect();
    list.sort_by_key(|p| !p.data_lost);
    let rows = list
        .iter()
        .enumerate()
        .map(|(i, p)| {
            let lost = if p.data_lost { "data-lost" } else { "data-none-lost" };
            vec![(i + 1).to_string(), source.say(lost), source.clean.message(&p.message)]
        })
        .collect();
    let columns = vec![
        Column::decimal(source.say("column-number"), "", 0.06),
        Column::words(source.say("heading-data"), 0.10),
        Column::words(source.say("data-problem"), 0.84),
    ];
    Block::Table(Table::new(source.words(), columns, rows, Vec::new()))
}

fn method(source: &Source) -> String {
    let shift = &source.findings.shift;
    source.with(
        "data-method",
        &[
            ("date", source.figures.date(shift.date).into()),
            ("begin", clock(shift.zone, shift.span.from).into()),
            ("end", clock(shift.zone, shift.span.to).into()),
            ("speed", answers::speed_words(source).into()),
        ],
    )
}
