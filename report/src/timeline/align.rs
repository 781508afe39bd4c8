//! Columns of different rhythm, brought to common steps.
//!
//! The step borders are the times of all rate channels together. In a step a
//! rate channel has the value of its first reading at or after the step's end.

use super::STATE_HOLDS_MS;
use crate::logset::Chunk;
use heapless::Vec as SmallVec;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::{Interval, MotorState, States};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::time::BootMs;

/// Readings of one channel that are not used up yet.
#[derive(Debug, Default)]
struct Queue {
    at: Vec<u64>,
    raw: Vec<i32>,
    next: usize,
    /// Time of the reading before `next`.
    before: Option<u64>,
}

impl Queue {
    fn append(&mut self, base: BootMs, at: &[i32], raw: &[i32]) {
        self.at.drain(..self.next);
        self.raw.drain(..self.next);
        self.next = 0;
        let last = self.at.last().copied().or(self.before).unwrap_or(0);
        for (at, raw) in at.iter().zip(raw) {
            // A block never runs behind the one before it; a damaged log could.
            self.at.push((base.0 + *at as u64).max(last));
            self.raw.push(*raw);
        }
    }

    fn peek(&self) -> Option<(u64, i32)> {
        Some((*self.at.get(self.next)?, *self.raw.get(self.next)?))
    }

    /// Uses up the readings at `t` or earlier; the last of equal times counts.
    fn pass(&mut self, t: u64) {
        while let Some((at, _)) = self.peek() {
            if at > t {
                break;
            }
            self.before = Some(at);
            self.next += 1;
        }
    }
}

const SPEED: usize = 0;
const TURN: usize = 1;
const COMMAND: usize = 2;
const CURRENT_0: usize = 3;
const ROTATION_0: usize = CURRENT_0 + MAX_MOTORS;
const RATES: usize = ROTATION_0 + MAX_MOTORS;

/// Makes steps from chunks.
#[derive(Debug)]
pub(super) struct Aligner {
    rates: [Queue; RATES],
    states: Vec<(u64, Channel, i32)>,
    next_state: usize,
    held: [Option<(u64, i32)>; STATES.len()],
    longest_gap_ms: u64,
    wheel_factor: f64,
    at: Option<u64>,
}

impl Aligner {
    pub(super) fn new(longest_gap_ms: u64, wheel_factor: f64) -> Self {
        Self {
            rates: std::array::from_fn(|_| Queue::default()),
            states: Vec::new(),
            next_state: 0,
            held: [None; STATES.len()],
            longest_gap_ms,
            wheel_factor,
            at: None,
        }
    }

    /// Takes the next chunk of the same boot.
    pub(super) fn append(&mut self, chunk: &Chunk) {
        self.states.drain(..self.next_state);
        self.next_state = 0;
        for column in &chunk.block.columns {
            if let Some(rate) = rate_index(column.channel) {
                self.rates[rate].append(chunk.base, &column.at, &column.raw);
            } else if state_index(column.channel).is_some() {
                let at = column.at.iter().map(|at| chunk.base.0 + *at as u64);
                self.states.extend(at.zip(&column.raw).map(|(at, raw)| (at, column.channel, *raw)));
            }
        }
        self.states.sort_by_key(|(at, ..)| *at);
    }

    /// The next step; `None` when more chunks are needed. With `last_chunk` it goes to the end.
    pub(super) fn step(&mut self, last_chunk: bool) -> Option<Interval> {
        loop {
            let to = self.rates.iter().filter_map(|q| q.peek().map(|(at, _)| at)).min()?;
            if !last_chunk && self.rates.iter().any(|q| self.may_still_cover(q, to)) {
                return None;
            }
            let from = self.at.replace(to);
            let step = from.filter(|from| *from < to).map(|from| self.make(from, to));
            for queue in &mut self.rates {
                queue.pass(to);
            }
            if step.is_some() {
                return step;
            }
        }
    }

    /// Whether a channel whose readings are used up could have one in the next chunk that covers `to`.
    fn may_still_cover(&self, queue: &Queue, to: u64) -> bool {
        let before = queue.before.is_some_and(|t| to.saturating_sub(t) <= self.longest_gap_ms);
        queue.peek().is_none() && before
    }

    fn make(&mut self, from: u64, to: u64) -> Interval {
        while let Some(&(at, channel, raw)) = self.states.get(self.next_state) {
            if at > to {
                break;
            }
            if let Some(place) = state_index(channel) {
                self.held[place] = Some((at, raw));
            }
            self.next_state += 1;
        }
        let gap = self.longest_gap_ms;
        let rate = |i: usize| -> Option<i32> {
            let queue = &self.rates[i];
            let (at, raw) = queue.peek()?;
            let since = at - queue.before?.min(at);
            (since <= gap).then_some(raw)
        };
        let scaled = |i: usize, unit: f64| rate(i).map(|raw| (f64::from(raw) * unit) as f32);
        let current_unit = Channel::BATTERY_CURRENT.resolution();
        let rotation_unit = underbrush_protocol::wire_units::RotationRaw::RESOLUTION_RPM;
        let mut motors = SmallVec::new();
        for motor in 0..MAX_MOTORS {
            let state = MotorState {
                current_a: scaled(CURRENT_0 + motor, current_unit),
                rotation_rpm: scaled(ROTATION_0 + motor, rotation_unit),
            };
            if state == MotorState::default() {
                break;
            }
            // The capacity is MAX_MOTORS, as is the loop.
            let _ = motors.push(state);
        }
        Interval {
            from: BootMs(from),
            to: BootMs(to),
            speed_m_s: scaled(SPEED, Channel::SPEED.resolution() * self.wheel_factor),
            command_on: rate(COMMAND).map(|raw| raw != 0),
            motors,
            turn_rad_s: scaled(TURN, Channel::TURN_RATE.resolution()),
            states: self.states_at(to),
        }
    }

    fn states_at(&self, t: u64) -> States {
        let held = |channel: Channel| {
            let (at, raw) = self.held[state_index(channel)?]?;
            (t.saturating_sub(at) <= STATE_HOLDS_MS).then_some(raw)
        };
        States {
            head_down: held(Channel::HEAD_DOWN).map(|raw| raw != 0),
            vacuum_on: held(Channel::VACUUM_ON).map(|raw| raw != 0),
            solution_flow: held(Channel::SOLUTION_FLOW).and_then(|raw| u8::try_from(raw).ok()),
            pressure_setting: held(Channel::PRESSURE_SETTING)
                .and_then(|raw| u8::try_from(raw).ok()),
            battery_v: held(Channel::BATTERY_VOLTAGE)
                .map(|raw| (f64::from(raw) * Channel::BATTERY_VOLTAGE.resolution()) as f32),
            battery_a: held(Channel::BATTERY_CURRENT)
                .map(|raw| (f64::from(raw) * Channel::BATTERY_CURRENT.resolution()) as f32),
            brush_meter_s: held(Channel::BRUSH_ON_METER).and_then(|raw| u32::try_from(raw).ok()),
        }
    }
}

fn rate_index(channel: Channel) -> Option<usize> {
    match channel {
        Channel::SPEED => Some(SPEED),
        Channel::TURN_RATE => Some(TURN),
        Channel::BRUSH_COMMAND => Some(COMMAND),
        _ => (0..MAX_MOTORS).find_map(|motor| {
            if Channel::brush_current(motor) == Some(channel) {
                Some(CURRENT_0 + motor)
            } else if Channel::brush_rotation(motor) == Some(channel) {
                Some(ROTATION_0 + motor)
            } else {
                None
            }
        }),
    }
}

const STATES: [Channel; 7] = [
    Channel::HEAD_DOWN,
    Channel::VACUUM_ON,
    Channel::SOLUTION_FLOW,
    Channel::PRESSURE_SETTING,
    Channel::BATTERY_VOLTAGE,
    Channel::BATTERY_CURRENT,
    Channel::BRUSH_ON_METER,
];

fn state_index(channel: Channel) -> Option<usize> {
    STATES.iter().position(|c| *c == channel)
}
