//! The gauges as a table and as JSON.

use super::bounds::{Bounds, bounds};
use super::gauges::{Gauge, Gauges, Verdict};
use crate::direct::Link;
use serde::Serialize;
use std::fmt::Write as _;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::settings::Machine;

/// Everything at one moment.
#[derive(Debug, Serialize)]
pub(super) struct Picture {
    machine: String,
    source: String,
    state: String,
    listened_s: f64,
    frames: u64,
    frames_damaged: u64,
    frames_missing: u64,
    channels: Vec<Row>,
    remarks: Vec<String>,
}

#[derive(Debug, Serialize)]
struct Row {
    channel: &'static str,
    unit: &'static str,
    value: Option<f64>,
    lowest: Option<f64>,
    highest: Option<f64>,
    readings: u64,
    rate_per_s: Option<f64>,
    age_s: Option<f64>,
    verdict: Verdict,
    impossible: u64,
    least_possible: Option<f64>,
    most_possible: Option<f64>,
    limits_from: &'static str,
}

impl Picture {
    pub(super) fn of(
        gauges: &Gauges,
        machine: &Machine,
        source: &str,
        within_ms: Option<u64>,
    ) -> Self {
        let row = |channel: Channel| {
            let gauge = gauges.of.get(&channel);
            let bounds = bounds(channel, machine);
            Row {
                channel: channel.name(),
                unit: channel.unit().unwrap_or("raw"),
                value: gauge.map(|gauge| gauge.value),
                lowest: gauge.map(|gauge| gauge.least),
                highest: gauge.map(|gauge| gauge.most),
                readings: gauge.map_or(0, |gauge| gauge.readings),
                rate_per_s: gauge.and_then(Gauge::rate_per_s),
                age_s: gauge.map(|gauge| gauges.age_ms(gauge) as f64 / 1e3),
                verdict: gauges.verdict(channel, within_ms),
                impossible: gauge.map_or(0, |gauge| gauge.impossible),
                least_possible: bounds.as_ref().map(|bounds| bounds.least),
                most_possible: bounds.as_ref().map(|bounds| bounds.most),
                limits_from: bounds.map_or("anything is possible", |Bounds { from, .. }| from),
            }
        };
        let channels: Vec<Row> = gauges.channels().into_iter().map(row).collect();
        let Link { state, frames, damaged, missing } = gauges.link;
        Self {
            machine: machine.id.clone(),
            source: source.to_owned(),
            state: state.to_string(),
            listened_s: gauges.now.0 as f64 / 1e3,
            frames,
            frames_damaged: damaged,
            frames_missing: missing,
            remarks: remarks(&channels, gauges, machine),
            channels,
        }
    }

    /// Whether every channel is plausible.
    pub(super) fn all_plausible(&self) -> bool {
        self.channels.iter().all(|row| row.verdict == Verdict::Plausible)
    }

    /// One line of JSON.
    pub(super) fn json(&self) -> String {
        // Numbers, texts and plain enums always have a JSON form.
        serde_json::to_string(self).unwrap_or_default() + "\n"
    }

    pub(super) fn text(&self) -> String {
        let Self { machine, source, state, listened_s, frames, .. } = self;
        let mut text = format!(
            "machine {}, source {} {state}: {frames} frames, {} damaged, {} missing, in {listened_s:.1} s\n",
            machine.escape_debug(),
            source.escape_debug(),
            self.frames_damaged,
            self.frames_missing,
        );
        text.push_str(
            "channel                value unit      lowest   highest   rate/s   age s verdict    limits\n",
        );
        for row in &self.channels {
            row.write(&mut text);
        }
        for remark in &self.remarks {
            let _ = writeln!(text, "{remark}");
        }
        text
    }
}

impl Row {
    fn write(&self, text: &mut String) {
        // Switches, percentages and meters are whole numbers.
        let digits = match self.unit {
            "m/s" | "rad/s" => 3,
            "V" => 2,
            "A" | "r/min" => 1,
            _ => 0,
        };
        let number = |value: Option<f64>, width: usize, digits: usize| match value {
            Some(value) => format!("{value:>width$.digits$}"),
            None => format!("{:>width$}", "-"),
        };
        let verdict = match self.verdict {
            Verdict::Plausible => "plausible",
            Verdict::Impossible => "IMPOSSIBLE",
            Verdict::Stuck => "STUCK",
            Verdict::Missing => "MISSING",
        };
        let limits = match (self.least_possible, self.most_possible) {
            (Some(least), Some(most)) => {
                format!("{least:.4} to {most:.4}: {}", self.limits_from).replace(".0000", "")
            }
            _ => self.limits_from.to_owned(),
        };
        let _ = writeln!(
            text,
            "{:<17} {} {:<6} {} {} {} {} {verdict:<10} {limits}",
            self.channel,
            number(self.value, 10, digits),
            self.unit,
            number(self.lowest, 9, digits),
            number(self.highest, 9, digits),
            number(self.rate_per_s, 8, 1),
            number(self.age_s, 7, 2),
        );
    }
}

/// What to look at, for a person.
fn remarks(rows: &[Row], gauges: &Gauges, machine: &Machine) -> Vec<String> {
    let mut said = Vec::new();
    let Link { frames, damaged, .. } = gauges.link;
    if frames == 0 {
        said.push(match damaged {
            0 => "nothing came: is the machine on, the cable in, and is it this port or interface?",
            _ => "only damaged frames came: is `baud` right, and is a bridge at the other end?",
        }
        .to_owned());
    }
    let brushes = machine.deck.brushes;
    if let Some(motors) = gauges.hello.as_ref().map(|hello| hello.brush_motors)
        && motors != brushes
    {
        said.push(format!(
            "the bridge measures {motors} brush motors, deck.brushes of the machine file is {brushes}"
        ));
    }
    for row in rows.iter().filter(|row| row.impossible > 0) {
        said.push(format!(
            "{}: {} of {} readings were impossible; such readings are left out of every sum. Is its \
             scale or its limit wrong, or the sensor?",
            row.channel, row.impossible, row.readings
        ));
    }
    let stuck_s = gauges.stuck_ms() as f64 / 1e3;
    for row in rows.iter().filter(|row| row.verdict == Verdict::Stuck) {
        said.push(format!("{}: the same to its last digit for {stuck_s} s and more", row.channel));
    }
    if gauges.now.0 < gauges.stuck_ms() {
        said.push(format!("a stuck sensor takes longer than {stuck_s} s to tell: --for"));
    }
    said
}
