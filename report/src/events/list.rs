//! From the findings of nights to one list.

use super::id::{compose, machine_tags};
use super::{Event, EventKind, Family, Finding, Measure, Severity};
use crate::findings::{
    BatteryRun, CareEvent, Doubt, Findings, LoadFindingEvent, LoadKind, Place, Sensor, SensorDoubt,
    SlipFinding, Span, StationaryFinding,
};
use chrono::{DateTime, Duration, NaiveDate, Utc};
use underbrush_protocol::detect::SlipKind;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Seconds, Volts};

/// One night of one machine.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// Which machine, by its place among all.
    pub machine: usize,
    /// What was found.
    pub findings: &'a Findings,
}

/// All events of these nights, in order of night, machine and begin. `machines` are all
/// machines of the building, in the order of their files.
pub fn list<'a>(machines: &[&Machine], nights: impl IntoIterator<Item = Told<'a>>) -> Vec<Event> {
    let tags = machine_tags(machines);
    let mut all = Vec::new();
    for told in nights {
        let Some(machine) = machines.get(told.machine) else { continue };
        let tag = tags.get(told.machine).filter(|_| machines.len() > 1);
        all.extend(of_night(machine, tag.map(String::as_str), told));
    }
    all.sort_by_key(|event| (event.night, event.machine, event.span.from));
    all
}

fn of_night(machine: &Machine, tag: Option<&str>, told: Told<'_>) -> Vec<Event> {
    let findings = told.findings;
    let night = Night { machine, findings, date: findings.shift.date, number: told.machine };
    let mut events = night.brush();
    events.extend(findings.care.events.iter().map(|e| night.care(e)));
    events.extend(night.battery());
    events.extend(findings.speed.slips.iter().map(|e| night.slip(e)));
    events.extend(findings.quality.doubts.iter().map(|e| night.sensor(e)));
    events.extend(findings.data.gaps.iter().map(|span| night.gap(*span)));
    // Within one begin the order of the findings stays, as on the sheet.
    events.sort_by_key(|event| event.span.from);
    let mut numbers = [0; Family::ALL.len()];
    for event in &mut events {
        let family = event.kind.family();
        let place = Family::ALL.iter().position(|other| *other == family).unwrap_or(0);
        if let Some(number) = numbers.get_mut(place) {
            *number += 1;
            event.id = compose(night.date, tag, family, *number);
        }
    }
    events
}

struct Night<'a> {
    machine: &'a Machine,
    findings: &'a Findings,
    date: NaiveDate,
    number: usize,
}

fn amperes(value: f64) -> Measure {
    Measure { of: "current", value, unit: "A" }
}

fn seconds(of: &'static str, time: Seconds) -> Measure {
    Measure { of, value: time.0, unit: "s" }
}

impl Night<'_> {
    fn event(&self, kind: EventKind, span: Span, figure: Measure, finding: Finding) -> Event {
        Event {
            id: String::new(),
            night: self.date,
            machine: self.number,
            kind,
            severity: Severity::of(kind, span.length(), None),
            span,
            cut_short: false,
            place: Place::default(),
            motor: None,
            peak: None,
            figure,
            limit: None,
            longer_than: None,
            finding,
        }
    }

    /// In the order in which the sheet has those of one begin.
    fn brush(&self) -> Vec<Event> {
        let load = &self.findings.load;
        let standing = self.findings.stationary.iter().map(|e| self.stationary(e));
        let loads = load.stalls.iter().chain(&load.over_pressure).chain(&load.others);
        standing.chain(loads.map(|e| self.load(e))).collect()
    }

    fn stationary(&self, e: &StationaryFinding) -> Event {
        let limits = self.machine.limits();
        let limit = Seconds::from_ms(limits.standing_ms);
        let figure = seconds("time standing", e.span.length());
        Event {
            severity: e.severity.into(),
            cut_short: e.cut_short,
            place: e.place,
            peak: Some(Measure { of: "passes", value: e.equivalent_passes, unit: "" }),
            limit: Some(limit.0),
            longer_than: Some(limit),
            ..self.event(EventKind::Stationary, e.span, figure, Finding::Stationary(*e))
        }
    }

    fn load(&self, e: &LoadFindingEvent) -> Event {
        let limits = self.machine.limits();
        let ratio = |of| Measure { of, value: e.ratio.unwrap_or(f64::NAN), unit: "x" };
        let current = amperes(e.peak.0);
        let (figure, limit, ms) = match e.kind {
            LoadKind::Stall => (current, limits.stall_a, limits.stall_ms),
            LoadKind::NearStall => (current, limits.load.near_stall_a, limits.load.near_stall_ms),
            LoadKind::OverPressure => (current, limits.over_pressure_a, limits.over_pressure_ms),
            LoadKind::Trip => (current, limits.over_pressure_a, limits.load.trip_dead_ms),
            LoadKind::Heavy => {
                (ratio("current of normal"), limits.load.heavy_share, limits.load.heavy_ms)
            }
            LoadKind::Light => {
                (ratio("current of normal"), limits.load.light_share, limits.load.light_ms)
            }
            LoadKind::Dry => {
                (ratio("current of normal"), limits.load.dry_ratio, limits.load.dry_ms)
            }
            LoadKind::Uneven => {
                (ratio("motor to motor"), limits.load.uneven_ratio, limits.load.uneven_ms)
            }
            LoadKind::Hot => {
                let percent = 100.0 * e.ratio.unwrap_or(f64::NAN);
                let warning = (100.0 * self.machine.thermal.warning) as f32;
                (Measure { of: "heat", value: percent, unit: "%" }, warning, 0)
            }
        };
        let kind = EventKind::from(e.kind);
        // One of the whole deck is of no motor.
        let motor = (e.kind != LoadKind::Dry).then_some(e.motor);
        let peak = match e.kind {
            LoadKind::Light => Measure { of: "mean current", ..amperes(e.mean.0) },
            _ => current,
        };
        Event {
            severity: Severity::of(kind, e.span.length(), e.ratio),
            cut_short: e.cut_short,
            place: e.place,
            motor,
            peak: Some(peak),
            limit: Some(f64::from(limit)),
            longer_than: (ms > 0).then_some(Seconds::from_ms(ms)),
            ..self.event(kind, e.span, figure, Finding::Load(*e))
        }
    }

    fn care(&self, e: &CareEvent) -> Event {
        let limit = Seconds::from_ms(e.rule.longer_than_ms(&self.machine.care_limits()));
        Event {
            cut_short: e.cut_short,
            place: e.place,
            limit: Some(limit.0),
            longer_than: Some(limit),
            ..self.event(e.rule.into(), e.span, seconds("time", e.held()), Finding::Care(e.clone()))
        }
    }

    fn battery(&self) -> Vec<Event> {
        let run: &BatteryRun = &self.findings.battery.run;
        let limits = self.machine.battery.limits();
        let at_rest = run.lowest.is_some();
        let lowest = run.lowest.or(run.lowest_loaded).map(|trough| trough.voltage);
        let one = |kind, at: DateTime<Utc>, limit: Volts| {
            let volts = |of| Measure { of, value: lowest.map_or(f64::NAN, |v| v.0), unit: "V" };
            let figure = volts(if at_rest { "voltage at rest" } else { "voltage under load" });
            // Voltages are means of a minute.
            let span = Span { from: at, to: at + Duration::minutes(1) };
            Event {
                place: self.place_at(at),
                peak: Some(volts("lowest voltage")),
                limit: Some(limit.0),
                ..self.event(kind, span, figure, Finding::Battery)
            }
        };
        let (low, deep) = (EventKind::BatteryLow, EventKind::BatteryDeep);
        match (run.below, at_rest) {
            // Under load there is one limit only.
            ([_, Some(at)], false) => vec![one(deep, at, limits.under_load)],
            ([low_at, deep_at], true) => {
                let low_at = low_at.map(|at| one(low, at, limits.low));
                low_at.into_iter().chain(deep_at.map(|at| one(deep, at, limits.deep))).collect()
            }
            _ => Vec::new(),
        }
    }

    fn slip(&self, e: &SlipFinding) -> Event {
        let of = match e.kind {
            SlipKind::Spin => "time, wheel faster than grip",
            SlipKind::Sideways => "time, turned faster than grip",
            SlipKind::Dragged => "time, turned with still wheels",
        };
        let figure = seconds(of, e.span.length());
        Event { place: e.place, ..self.event(EventKind::Slip, e.span, figure, Finding::Slip(*e)) }
    }

    fn sensor(&self, e: &SensorDoubt) -> Event {
        let stuck = Seconds::from_ms(self.machine.sensor_limits().stuck_ms);
        let (of, unit) = match e.sensor {
            Sensor::Speed => ("speed", "m/s"),
            Sensor::TurnRate => ("turn rate", "rad/s"),
            Sensor::Current(_) => ("current", "A"),
            Sensor::Rotation(_) => ("rotation", "r/min"),
            Sensor::Battery => ("voltage", "V"),
        };
        let motor = match e.sensor {
            Sensor::Current(motor) | Sensor::Rotation(motor) => Some(motor),
            _ => None,
        };
        let figure = Measure { of, value: e.value, unit };
        Event {
            place: self.place_at(e.span.from),
            motor,
            longer_than: (e.doubt == Doubt::Stuck).then_some(stuck),
            ..self.event(EventKind::Sensor, e.span, figure, Finding::Sensor(*e))
        }
    }

    fn gap(&self, span: Span) -> Event {
        let figure = seconds("time without readings", span.length());
        let longest = Seconds::from_ms(self.machine.longest_gap_ms());
        Event {
            place: self.place_at(span.from),
            limit: Some(longest.0),
            longer_than: Some(longest),
            ..self.event(EventKind::Gap, span, figure, Finding::Gap)
        }
    }

    /// Where the work was at that time, if any was.
    fn place_at(&self, at: DateTime<Utc>) -> Place {
        let holds = |span: &Span| span.from <= at && at <= span.to;
        let mut there = self.findings.sections.iter().filter(|work| holds(&work.span));
        there.next_back().map(|work| work.place).unwrap_or_default()
    }
}

#[cfg(test)]
pub(super) mod tests {
    pub(crate) const MACHINE: &str = r#"
id = "scrubber-1"
name = "Scrubber"
[deck]
brushes = 2
path_width = "28 in"
contact_length = "13 in"
[motor]
torque_constant = "0.08 N.m/A"
resistance = "0.05 ohm"
no_load_current = "4 A"
gear_ratio = 12
rated_current = "30 A"
[battery]
nominal_voltage = "36 V"
"#;
}
