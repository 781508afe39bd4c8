//! States in force: the last reading of each, as long as it holds.

use super::STATE_HOLDS_MS;
use crate::logset::Chunk;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::detect::States;
use underbrush_protocol::detect::step::{STATE_CHANNELS, states};

/// Readings of one state in order of time.
#[derive(Debug, Default)]
struct Queue {
    readings: Vec<(u64, i32)>,
    next: usize,
    held: Option<(u64, i32)>,
}

impl Queue {
    fn peek(&self) -> Option<(u64, i32)> {
        self.readings.get(self.next).copied()
    }

    fn pass(&mut self, t: u64) {
        while let Some(reading) = self.peek().filter(|(at, _)| *at <= t) {
            self.held = Some(reading);
            self.next += 1;
        }
    }
}

/// All states at a time that only goes forward.
#[derive(Debug, Default)]
pub(super) struct Held {
    queues: [Queue; STATE_CHANNELS.len()],
    states: States,
    /// The last instant at which `states` is right.
    until: Option<u64>,
}

impl Held {
    /// Takes the states of the next chunk.
    pub(super) fn append(&mut self, chunk: &Chunk) {
        for column in &chunk.block.columns {
            let place = STATE_CHANNELS.iter().position(|channel| *channel == column.channel);
            let Some(queue) = place.and_then(|place| self.queues.get_mut(place)) else { continue };
            queue.readings.drain(..queue.next);
            queue.next = 0;
            let absolute = |at: &i32| chunk.base.0.saturating_add_signed(i64::from(*at));
            let readings = column.at.iter().map(absolute).zip(column.raw.iter().copied());
            queue.readings.extend(readings);
            // A damaged log could run back.
            queue.readings.sort_by_key(|(at, _)| *at);
        }
        self.until = None;
    }

    /// The states at `t`, and until when they stay as they are.
    pub(super) fn at(&mut self, t: u64) -> (States, u64) {
        match self.until {
            Some(until) if t <= until => (self.states, until),
            _ => {
                for queue in &mut self.queues {
                    queue.pass(t);
                }
                self.states = self.read(t);
                let changes = self.queues.iter().filter_map(|q| Some(q.peek()?.0 - 1));
                let held = self.queues.iter().filter_map(|q| q.held);
                let lapses = held.map(|(at, _)| at.saturating_add(STATE_HOLDS_MS));
                let until = changes.chain(lapses.filter(|lapse| *lapse >= t)).min();
                let until = until.unwrap_or(u64::MAX);
                self.until = Some(until);
                (self.states, until)
            }
        }
    }

    fn read(&self, t: u64) -> States {
        let held = |channel: Channel| {
            let place = STATE_CHANNELS.iter().position(|c| *c == channel)?;
            let (at, raw) = self.queues.get(place)?.held?;
            (t.saturating_sub(at) <= STATE_HOLDS_MS).then_some(raw)
        };
        states(held)
    }
}
