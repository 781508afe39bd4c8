//! Intervals reading by reading, as they come, in bounded memory.
//!
//! They are those that the report makes of the whole log (see `step`), and they
//! come as early as that allows: an interval is given once a reading behind its
//! end has come, so that nothing more can come for its end, and each rate
//! channel that is not silent has told its value for it. With all channels at
//! one rate that is one period after its end. A channel that falls silent keeps
//! the others waiting for the longest gap, once.
//!
//! ```text
//! readings -> ends of intervals, each with the values told for it so far -> intervals
//! ```

use super::step::{STATE_CHANNELS, STATE_HOLDS_MS, interval, rates, states};
use super::{Interval, States};
use crate::channel::Channel;
use crate::reading::Reading;
use crate::time::BootMs;
use heapless::Deque;

/// Ends of intervals that may wait; more are given with what is known of them.
const WAITING: usize = 512;

/// An interval's end that waits for readings.
#[derive(Clone, Copy, Debug)]
struct End {
    at: u64,
    raw: [i32; rates::RATES],
    /// Bit by place: the channel's value is in `raw`.
    known: u16,
    /// Bit by place: whether the channel is known is decided.
    settled: u16,
    /// The states at this end, once a later reading has come.
    states: Option<States>,
}

/// Makes intervals of the readings of one boot.
#[derive(Clone, Debug)]
pub struct LiveSteps {
    longest_gap_ms: u64,
    wheel_factor: f64,
    /// End of the interval given last.
    from: Option<u64>,
    /// Nothing earlier comes any more.
    reached: u64,
    /// Time of the last reading of each rate.
    last: [Option<u64>; rates::RATES],
    /// Last reading of each state.
    held: [Option<(u64, i32)>; STATE_CHANNELS.len()],
    waiting: Deque<End, WAITING>,
    forced: u64,
}

impl LiveSteps {
    /// Nothing was read yet. Gap and factor are those of the machine file.
    pub fn new(longest_gap_ms: u64, wheel_factor: f64) -> Self {
        Self {
            longest_gap_ms,
            wheel_factor,
            from: None,
            reached: 0,
            last: [None; rates::RATES],
            held: [None; STATE_CHANNELS.len()],
            waiting: Deque::new(),
            forced: 0,
        }
    }

    /// Takes the next reading and gives the intervals that it completes. One that runs
    /// back is taken as of the newest time.
    pub fn take(&mut self, reading: Reading, mut give: impl FnMut(&Interval)) {
        self.passes(reading.at, &mut give);
        let at = self.reached;
        if let Some(place) = STATE_CHANNELS.iter().position(|c| *c == reading.channel) {
            self.held[place] = Some((at, reading.raw));
        } else if let Some(rate) = rates::place(reading.channel) {
            self.rate(rate, at, reading.raw, &mut give);
        }
    }

    /// Time goes on: nothing before `at` comes any more.
    pub fn passes(&mut self, at: BootMs, mut give: impl FnMut(&Interval)) {
        if at.0 <= self.reached {
            return;
        }
        self.close_newest();
        self.reached = at.0;
        while self.waiting.front().is_some_and(|end| self.is_complete(end)) {
            self.give_oldest(&mut give);
        }
    }

    /// Ends the data: gives all intervals that wait, with what is known of them.
    pub fn finish(&mut self, mut give: impl FnMut(&Interval)) {
        self.close_newest();
        while !self.waiting.is_empty() {
            self.give_oldest(&mut give);
        }
        *self = Self { forced: self.forced, ..Self::new(self.longest_gap_ms, self.wheel_factor) };
    }

    /// Begin of the first interval that was not given, and the time up to which all readings
    /// have come; `None` as long as there was no rate.
    pub fn open(&self) -> Option<(BootMs, BootMs)> {
        self.from.map(|from| (BootMs(from), BootMs(self.reached)))
    }

    /// The interval up to the newest reading, if each rate that is not silent has told its
    /// value for it. It is given as soon as a later reading has come; until then a state may
    /// still change at its end.
    pub fn ahead(&self) -> Option<Interval> {
        let end =
            self.waiting.front().filter(|end| self.waiting.len() == 1 && self.is_told(end))?;
        let states = end.states.unwrap_or_else(|| self.states_at(end.at));
        self.from.map(|from| self.interval_to(end, from, states))
    }

    /// Whether nothing was observed from the newest rate reading up to `reached`, whatever
    /// comes: the interval that is open will be empty.
    pub fn is_silent(&self) -> bool {
        let newest = self.last.iter().flatten().max();
        newest.is_some_and(|at| self.reached > at + self.longest_gap_ms)
    }

    /// Intervals given before all was known of them, since too many waited.
    pub fn forced(&self) -> u64 {
        self.forced
    }

    fn rate(&mut self, rate: usize, at: u64, raw: i32, give: &mut impl FnMut(&Interval)) {
        if self.last[rate] == Some(at) {
            // The first of two readings at one time speaks.
            return;
        }
        if self.waiting.back().is_none_or(|end| end.at != at) {
            if self.waiting.is_full() {
                self.forced += 1;
                self.give_oldest(give);
            }
            let end = End { at, raw: [0; rates::RATES], known: 0, settled: 0, states: None };
            // There is room: the oldest was given if not.
            let _ = self.waiting.push_back(end);
        }
        let before = self.last[rate].replace(at);
        let bit = 1 << rate;
        for end in self.waiting.iter_mut().rev() {
            if before.is_some_and(|before| end.at <= before) || end.settled & bit != 0 {
                break;
            }
            end.settled |= bit;
            if before.is_some_and(|before| at - before <= self.longest_gap_ms) {
                end.known |= bit;
                end.raw[rate] = raw;
            }
        }
    }

    /// The newest end has all its states: a later time has come.
    fn close_newest(&mut self) {
        let Some(at) = self.waiting.back().filter(|end| end.states.is_none()).map(|end| end.at)
        else {
            return;
        };
        let states = self.states_at(at);
        if let Some(end) = self.waiting.back_mut() {
            end.states = Some(states);
        }
    }

    fn states_at(&self, at: u64) -> States {
        states(|channel: Channel| {
            let place = STATE_CHANNELS.iter().position(|c| *c == channel)?;
            let (since, raw) = self.held[place]?;
            (at.saturating_sub(since) <= STATE_HOLDS_MS).then_some(raw)
        })
    }

    /// Whether nothing that may come changes what is known of this end.
    fn is_complete(&self, end: &End) -> bool {
        end.states.is_some() && self.is_told(end)
    }

    /// Whether each rate has told its value for this end, or is silent.
    fn is_told(&self, end: &End) -> bool {
        let may_speak = |last: &u64| self.reached <= last.saturating_add(self.longest_gap_ms);
        self.last.iter().enumerate().all(|(rate, last)| {
            end.settled & (1 << rate) != 0 || !last.as_ref().is_some_and(may_speak)
        })
    }

    fn give_oldest(&mut self, give: &mut impl FnMut(&Interval)) {
        let Some(end) = self.waiting.pop_front() else { return };
        let Some(from) = self.from.replace(end.at) else { return };
        give(&self.interval_to(&end, from, end.states.unwrap_or_default()));
    }

    fn interval_to(&self, end: &End, from: u64, states: States) -> Interval {
        let known = |rate: usize| (end.known & (1 << rate) != 0).then_some(end.raw[rate]);
        interval((BootMs(from), BootMs(end.at)), known, states, self.wheel_factor)
    }
}
