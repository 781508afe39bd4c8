//! What each channel said. Pure: the times are those of the entries.
//!
//! | verdict | means |
//! |---|---|
//! | plausible | it speaks, and says what a machine can do |
//! | impossible | it said what no machine can do: see `bounds` |
//! | stuck | not 0, and the same to its last digit for longer than `sensors.stuck_time`; the report, which knows what the machine does meanwhile, also judges zeros |
//! | missing | it should speak and does not, or not any more: a rate for the longest gap, a state for as long as it holds |
//!
//! What should speak: of a bridge the speed, the switch of the brushes, one current for each
//! brush, and what its Hello says that it can send; of a CAN bus each `[[signal]]`.

use super::bounds::{is_live, is_possible, is_rate};
use crate::direct::{Link, Listener};
use std::collections::{BTreeMap, VecDeque};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::SensorLimits;
use underbrush_protocol::detect::step::STATE_HOLDS_MS;
use underbrush_protocol::frame::{Capabilities, Hello};
use underbrush_protocol::log::Entry;
use underbrush_protocol::note::Note;
use underbrush_protocol::reading::Reading;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

/// The rate is that of the last so many ms.
const RATE_MS: u64 = 5_000;
/// Times kept for the rate: 5 s at 1 kHz.
const MOST_TIMES: usize = 5_000;

/// What is thought of a channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum Verdict {
    Plausible,
    Impossible,
    Stuck,
    Missing,
}

/// What one channel said.
#[derive(Clone, Debug)]
pub(super) struct Gauge {
    pub(super) value: f64,
    pub(super) least: f64,
    pub(super) most: f64,
    pub(super) at: BootMs,
    pub(super) readings: u64,
    /// Readings beyond what is possible.
    pub(super) impossible: u64,
    last_impossible: Option<BootMs>,
    raw: i32,
    same_since: BootMs,
    longest_same_ms: u64,
    times: VecDeque<u64>,
}

/// What all channels said, and what should speak.
#[derive(Clone, Debug)]
pub(super) struct Gauges {
    limits: SensorLimits,
    wheel_factor: f64,
    longest_gap_ms: u64,
    expected: Vec<Channel>,
    pub(super) of: BTreeMap<Channel, Gauge>,
    pub(super) hello: Option<Hello>,
    pub(super) now: BootMs,
    pub(super) link: Link,
}

impl Gauges {
    /// For this machine; `mapped`: the source is a CAN bus read by the machine file's signals.
    pub(super) fn new(machine: &Machine, mapped: bool) -> Self {
        let expected = if mapped {
            machine.signals.iter().filter_map(|map| Channel::by_name(&map.channel)).collect()
        } else {
            let currents =
                (0..usize::from(machine.deck.brushes)).filter_map(Channel::brush_current);
            [Channel::SPEED, Channel::BRUSH_COMMAND].into_iter().chain(currents).collect()
        };
        Self {
            limits: machine.sensor_limits(),
            wheel_factor: machine.speed.wheel_factor,
            longest_gap_ms: machine.longest_gap_ms(),
            expected,
            of: BTreeMap::new(),
            hello: None,
            now: BootMs(0),
            link: Link::default(),
        }
    }

    /// All channels that spoke or should.
    pub(super) fn channels(&self) -> Vec<Channel> {
        let mut all: Vec<Channel> = self.of.keys().copied().chain(self.expected.clone()).collect();
        all.sort_unstable();
        all.dedup();
        all
    }

    /// What is thought of a channel; with `within_ms` of its last so many ms only.
    pub(super) fn verdict(&self, channel: Channel, within_ms: Option<u64>) -> Verdict {
        let Some(gauge) = self.of.get(&channel) else { return Verdict::Missing };
        let holds_ms = if is_rate(channel) { self.longest_gap_ms } else { STATE_HOLDS_MS };
        let recent = |at: BootMs| within_ms.is_none_or(|within_ms| self.now.since(at) <= within_ms);
        let same_ms = match within_ms {
            None => gauge.longest_same_ms,
            Some(_) => gauge.at.since(gauge.same_since),
        };
        if self.now.since(gauge.at) > holds_ms {
            Verdict::Missing
        } else if gauge.last_impossible.is_some_and(recent) {
            Verdict::Impossible
        } else if is_live(channel) && same_ms > self.limits.stuck_ms {
            Verdict::Stuck
        } else {
            Verdict::Plausible
        }
    }

    /// Age of the last reading in ms.
    pub(super) fn age_ms(&self, gauge: &Gauge) -> u64 {
        self.now.since(gauge.at)
    }

    /// How long a value must stay the same to be stuck, in ms.
    pub(super) fn stuck_ms(&self) -> u64 {
        self.limits.stuck_ms
    }

    fn reading(&mut self, reading: Reading) {
        let Reading { at, channel, raw } = reading;
        if channel.is_fine() {
            // The normal channel speaks for both.
            return;
        }
        let wheel = if channel == Channel::SPEED { self.wheel_factor } else { 1.0 };
        let value = f64::from(raw) * channel.resolution() * wheel;
        let gauge = self.of.entry(channel).or_insert_with(|| Gauge {
            value,
            least: value,
            most: value,
            at,
            readings: 0,
            impossible: 0,
            last_impossible: None,
            raw,
            same_since: at,
            longest_same_ms: 0,
            times: VecDeque::new(),
        });
        gauge.take(at, raw, value);
        if !is_possible(channel, value, &self.limits) {
            gauge.impossible += 1;
            gauge.last_impossible = Some(at);
        }
    }

    fn hello(&mut self, hello: Hello) {
        let can = |capability| hello.capabilities.has(capability);
        let mut more = Vec::new();
        if can(Capabilities::TURN_RATE) {
            more.push(Channel::TURN_RATE);
        }
        if can(Capabilities::PRESSURE_SETTING) {
            more.push(Channel::PRESSURE_SETTING);
        }
        if can(Capabilities::BATTERY_CURRENT) {
            more.push(Channel::BATTERY_CURRENT);
        }
        if can(Capabilities::ROTATION) {
            let motors = usize::from(hello.brush_motors);
            more.extend((0..motors).filter_map(Channel::brush_rotation));
        }
        self.expected.extend(more);
        self.expected.sort_unstable();
        self.expected.dedup();
        self.hello = Some(hello);
    }
}

impl Gauge {
    fn take(&mut self, at: BootMs, raw: i32, value: f64) {
        if raw != self.raw || at.since(self.at) > RATE_MS {
            self.same_since = at;
        }
        if raw != 0 {
            self.longest_same_ms = self.longest_same_ms.max(at.since(self.same_since));
        }
        self.value = value;
        self.raw = raw;
        self.at = self.at.max(at);
        self.least = self.least.min(value);
        self.most = self.most.max(value);
        self.readings += 1;
        self.times.push_back(at.0);
        while self.times.len() > MOST_TIMES
            || self.times.front().is_some_and(|first| at.0.saturating_sub(*first) > RATE_MS)
        {
            self.times.pop_front();
        }
    }

    /// Readings a second lately; `None`: fewer than two.
    pub(super) fn rate_per_s(&self) -> Option<f64> {
        let (first, last) = (self.times.front()?, self.times.back()?);
        (last > first).then(|| (self.times.len() - 1) as f64 * 1e3 / (last - first) as f64)
    }
}

impl Listener for Gauges {
    fn take(&mut self, entries: &[Entry]) {
        for entry in entries {
            match entry {
                Entry::Reading(reading) => self.reading(*reading),
                Entry::Note(_, Note::Hello(hello)) => self.hello(hello.clone()),
                Entry::Note(..) => {}
            }
        }
    }

    fn passes(&mut self, now: BootMs, link: Link) -> bool {
        self.now = self.now.max(now);
        self.link = link;
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MACHINE: &str = include_str!("../../tests/data/machine.toml");

    fn machine() -> Machine {
        Machine::parse("machine.toml", MACHINE).unwrap()
    }

    fn gauges(readings: impl IntoIterator<Item = (u64, Channel, i32)>, now: u64) -> Gauges {
        let mut gauges = Gauges::new(&machine(), false);
        let entry = |(at, channel, raw)| Entry::Reading(Reading { at: BootMs(at), channel, raw });
        let entries: Vec<Entry> = readings.into_iter().map(entry).collect();
        gauges.take(&entries);
        assert!(gauges.passes(BootMs(now), Link::default()));
        gauges
    }

    fn current(motor: usize) -> Channel {
        Channel::brush_current(motor).unwrap()
    }

    #[test]
    fn each_verdict() {
        let of = |at: u64| {
            let wobbles = (at / 100 % 2) as i32;
            [
                (at, Channel::SPEED, 600 + wobbles),
                (at, Channel::BRUSH_COMMAND, 1),
                (at, current(0), 180),
                // 24 V x 1.5 / 0.12 ohm = 300 A is the most.
                (at, current(1), if at == 3_000 { 3_001 } else { 3_000 - wobbles }),
            ]
        };
        let all = gauges((0..700).flat_map(|i| of(i * 100)), 69_950);
        let verdict = |channel| all.verdict(channel, None);
        assert_eq!(verdict(Channel::SPEED), Verdict::Plausible);
        // The same for 69.9 s; a switch may be.
        assert_eq!(verdict(current(0)), Verdict::Stuck);
        assert_eq!(verdict(Channel::BRUSH_COMMAND), Verdict::Plausible);
        assert_eq!(verdict(current(1)), Verdict::Impossible);
        assert_eq!(all.verdict(current(1), Some(5_000)), Verdict::Plausible, "long ago");
        assert_eq!(verdict(Channel::TURN_RATE), Verdict::Missing);
        assert_eq!(all.of[&current(1)].impossible, 1);
        assert_eq!(all.of[&Channel::SPEED].rate_per_s(), Some(10.0));
        assert_eq!(all.age_ms(&all.of[&Channel::SPEED]), 50);
        // Silent for more than the longest gap of 1 s.
        let later = gauges((0..700).flat_map(|i| of(i * 100)), 71_000);
        assert_eq!(later.verdict(Channel::SPEED, None), Verdict::Missing);
    }

    #[test]
    fn what_is_no_stuck_sensor_and_what_else_is_impossible() {
        let spoke = |times: Vec<u64>, channel: Channel, raw: i32| {
            let now = times.last().copied().unwrap_or_default();
            gauges(times.into_iter().map(|at| (at, channel, raw)), now).verdict(channel, None)
        };
        let each_second = |from: u64, to: u64| (from..to).map(|s| s * 1_000).collect::<Vec<_>>();
        assert_eq!(spoke(each_second(0, 70), current(0), 180), Verdict::Stuck);
        // A machine that is off says 0 all night.
        assert_eq!(spoke(each_second(0, 70), current(0), 0), Verdict::Plausible);
        // What nobody heard for a while was not seen to be the same.
        let with_hole = [each_second(0, 40), each_second(46, 90)].concat();
        assert_eq!(spoke(with_hole, current(0), 180), Verdict::Plausible);
        // 1.5 x 24 V is the most.
        let volts = |raw| spoke(vec![0], Channel::BATTERY_VOLTAGE, raw);
        assert_eq!([volts(3_600), volts(3_601)], [Verdict::Plausible, Verdict::Impossible]);
    }

    #[test]
    fn what_should_speak() {
        let named = |gauges: &Gauges| -> Vec<&str> {
            gauges.channels().into_iter().map(Channel::name).collect()
        };
        let mut all = gauges([(0, Channel::VACUUM_ON, 1)], 0);
        let bridge = ["speed", "brush_command", "brush_current_1", "brush_current_2", "vacuum_on"];
        assert_eq!(named(&all), bridge);
        let capabilities = Capabilities::ROTATION.with(Capabilities::TURN_RATE);
        let hello = Hello {
            bridge_id: 1,
            firmware: (1, 0, 0),
            capabilities,
            brush_motors: 1,
            period_ms: 100,
        };
        all.take(&[Entry::Note(BootMs(5), Note::Hello(hello))]);
        let rotation = Channel::brush_rotation(0).unwrap();
        let missing: Vec<Channel> = all
            .channels()
            .into_iter()
            .filter(|channel| all.verdict(*channel, None) == Verdict::Missing)
            .collect();
        let expected = [
            Channel::SPEED,
            Channel::TURN_RATE,
            Channel::BRUSH_COMMAND,
            current(0),
            current(1),
            rotation,
        ];
        assert_eq!(missing, expected);
        let can = Gauges::new(&machine(), true);
        let signals = ["speed", "brush_command", "brush_current_1", "brush_current_2"];
        assert_eq!(named(&can), [&signals[..], &["battery_voltage"]].concat());
    }

    #[test]
    fn speed_is_shown_and_judged_as_ground_speed() {
        let text = MACHINE.replace("[battery]", "[speed]\nwheel_factor = 2.0\n\n[battery]");
        let machine = Machine::parse("machine.toml", &text).unwrap();
        let mut all = Gauges::new(&machine, false);
        let at = BootMs(0);
        all.take(&[Entry::Reading(Reading { at, channel: Channel::SPEED, raw: 2_001 })]);
        assert!((all.of[&Channel::SPEED].value - 4.002).abs() < 1e-9);
        // The usual limit is 4 m/s.
        assert_eq!(all.verdict(Channel::SPEED, None), Verdict::Impossible);
    }
}
