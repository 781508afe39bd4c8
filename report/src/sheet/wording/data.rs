//! How good the data are, and everything that is wrong with them.

use super::{Source, answers};
use crate::findings::{Doubt, Sensor, SensorDoubt, Span};
use crate::sheet::document::{Block, Column, Table};
use crate::sheet::figures::{
    NOT_KNOWN, clock, clocks, count, current, date, duration, grouped, limit, percent, seconds,
    speed,
};
use underbrush_protocol::note::LinkLoss;
use underbrush_protocol::si::{Amperes, MetresPerSecond, Seconds};

/// Gaps listed one by one; of more, the longest.
const MOST_GAPS: usize = 20;

/// Everything about the data.
pub(super) fn blocks(source: &Source) -> Vec<Block> {
    let mut blocks = vec![Block::Facts(
        facts(source).into_iter().map(|(name, v)| (name.to_owned(), v)).collect(),
    )];
    blocks.extend(gaps(source));
    let sensors = sensors(source);
    let sound = sensors.is_none();
    blocks.extend(sensors);
    if !source.findings.data.problems.is_empty() {
        blocks.push(problems(source));
    } else if sound {
        blocks.push(Block::Text(vec!["No problem was found with logs, marks or settings.".into()]));
    }
    blocks.push(Block::Text(vec![method(source)]));
    blocks
}

fn facts(source: &Source) -> Vec<(&'static str, String)> {
    let data = &source.findings.data;
    let link = &data.link;
    let shift = source.findings.shift.span.length();
    let bad = bad_frames(link);
    let bad = if bad.is_empty() { "nothing lost".to_owned() } else { bad.join(", ") };
    let clock = data.clock_uncertainty.map_or_else(
        || format!("{NOT_KNOWN}: no log was placed in time"),
        |half| format!("right within {}", duration(half)),
    );
    let mut facts = vec![
        (
            "Recorded",
            format!(
                "{} ({} of the shift's {})",
                duration(data.recorded),
                percent(data.recorded.0, shift.0),
                duration(shift)
            ),
        ),
        (
            "Speed and brush observed",
            format!(
                "{} ({} of recorded)",
                duration(data.observed),
                percent(data.observed.0, data.recorded.0)
            ),
        ),
        ("Power-ons (key turned on)", grouped(u64::from(data.boots))),
        ("Readings used", grouped(data.readings)),
        ("Frames from the bridge", format!("{} received; {bad}", grouped(u64::from(link.frames)))),
        ("Clock", clock),
    ];
    if let Some(meter) = source.findings.area.brush_meter {
        facts.push((
            "Machine's own brush hour meter",
            format!(
                "{} (brush time here: {})",
                duration(meter),
                duration(source.findings.area.brush_time)
            ),
        ));
    }
    facts
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
    let rows = shown.iter().map(|g| vec![clocks(zone, **g), seconds(g.length())]).collect();
    let columns =
        vec![Column::words("Gaps while recording", 0.35), Column::decimal("Lasted", "s", 0.15)];
    let mut notes =
        vec!["No readings of speed or brush then; nothing is assumed of these times.".to_owned()];
    if hidden > 0 {
        notes.push(format!(
            "The {MOST_GAPS} longest are listed; {} more, {} in all.",
            grouped(hidden as u64),
            duration(rest)
        ));
    }
    vec![Block::Table(Table::new(source.words(), columns, rows, notes))]
}

/// Kinds of frames that did not come as they were sent, with how many.
fn bad_frames(link: &LinkLoss) -> Vec<String> {
    [
        (link.lost, "lost", "lost"),
        (link.damaged, "damaged", "damaged"),
        (link.not_understood, "not understood", "not understood"),
        (link.doubled, "twice or late", "twice or late"),
        (link.restarts, "bridge restart", "bridge restarts"),
        (link.disconnects, "port loss", "port losses"),
    ]
    .into_iter()
    .filter(|(n, ..)| *n > 0)
    .map(|(n, one, many)| count(n as usize, one, many))
    .collect()
}

/// Name of a sensor in a sentence.
fn sensor(source: &Source, sensor: Sensor) -> String {
    match sensor {
        Sensor::Speed => "speed sensor".to_owned(),
        Sensor::TurnRate => "turn-rate sensor".to_owned(),
        Sensor::Battery => "battery voltage".to_owned(),
        Sensor::Current(m) => format!("current sensor of motor {}", source.motor(m)),
        Sensor::Rotation(m) => format!("rotation sensor of brush {}", source.motor(m)),
    }
}

fn value(source: &Source, doubt: &SensorDoubt) -> String {
    let v = doubt.value;
    match doubt.sensor {
        Sensor::Speed => {
            let units = source.units;
            format!("{} {}", speed(units, MetresPerSecond(v)), units.speed_unit())
        }
        Sensor::TurnRate => format!("{} degrees/s", limit(v.to_degrees().round())),
        Sensor::Battery => format!("{v:.1} V"),
        Sensor::Current(_) => format!("{} A", current(Amperes(v))),
        Sensor::Rotation(_) => format!("{} r/min", limit(v.round())),
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
            list.push(format!("Check the {name} and its cable: see Data."));
        }
    }
    for (motor, offset) in quality.drifting() {
        list.push(format!(
            "Check the current sensor of motor {}: with brushes off it shows {} A.",
            source.motor(motor),
            current(offset.offset)
        ));
    }
    list
}

/// What is doubted about each sensor.
pub(super) fn sensors(source: &Source) -> Option<Block> {
    let (quality, zone) = (&source.findings.quality, source.findings.shift.zone);
    let doubts = quality.doubts.iter().take(MOST_GAPS).map(|doubt| {
        let (name, value) = (sensor(source, doubt.sensor), value(source, doubt));
        let at = clocks(zone, doubt.span);
        match doubt.doubt {
            Doubt::Stuck => format!(
                "The {name} said {value} without any change for {} ({at}): it may be stuck, and what \
                 rests on it then is not to be trusted.",
                duration(doubt.time)
            ),
            Doubt::Impossible => format!(
                "The {name} said what this machine cannot do, for {} ({at}), at most {value}: taken as \
                 not observed.",
                duration(doubt.time)
            ),
        }
    });
    let offsets = quality.drifting().map(|(motor, offset)| {
        let drift = match offset.drift.map(|d| d.0) {
            Some(d) if d != 0.0 => format!(", drifting by {} A or more", current(Amperes(d))),
            _ => String::new(),
        };
        let effect = offset.load_share.map_or_else(String::new, |share| {
            let word = if share > 0.0 { "high" } else { "low" };
            let share = percent(share.abs(), 1.0);
            format!(" Its load, friction energy and wear are about {share} too {word}.")
        });
        format!(
            "The current sensor of motor {} shows {} A with brushes off{drift} ({}); take that off \
             its readings.{effect}",
            source.motor(motor),
            current(offset.offset),
            count(offset.stays, "stay", "stays")
        )
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
            let lost = if p.data_lost { "lost" } else { "none lost" };
            vec![(i + 1).to_string(), lost.to_owned(), source.clean.message(&p.message)]
        })
        .collect();
    let columns = vec![
        Column::decimal("No.", "", 0.06),
        Column::words("Data", 0.10),
        Column::words("Problem", 0.84),
    ];
    Block::Table(Table::new(source.words(), columns, rows, Vec::new()))
}

fn method(source: &Source) -> String {
    let shift = &source.findings.shift;
    format!(
        "Worked out from the machine's own readings between {} {} and {}. Brush time is observed time \
         with a brush turning; below the band counts standing too. {} Section and step are those of the last mark.",
        date(shift.date),
        clock(shift.zone, shift.span.from),
        clock(shift.zone, shift.span.to),
        answers::speed_words(source)
    )
}
