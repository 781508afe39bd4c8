//! Brush time by speed and stationary brushes over any span, a year in seconds.
//!
//! The numbers that single steps give (`tests/tests/totals.rs`), without what
//! needs marks or settings of the site. Readings that no machine can give are
//! not taken out, as the findings of a shift do (`quality`): where a sensor is
//! broken the two differ by that. Steps in which nothing can change for the
//! detector are joined before it sees them (`Class`); times by speed are summed
//! by raw value and become a histogram at the end.

use super::histogram::SpeedHistogram;
use super::moment::wall_span;
use super::types::{Problem, Span};
use crate::logset::{BootLog, ClockMap, LogSet};
use crate::timeline::{Piece, PieceReader, TurningRaw, Walk, first_where, scan};
use std::ops::Range;
use underbrush_protocol::detect::{Interval, Limits, Run, Stationary, brush_turning};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::si::MetresPerSecond;
use underbrush_protocol::time::BootMs;

/// What a span comes to.
#[derive(Clone, Debug, Default)]
pub struct Totals {
    /// Time by speed with a brush turning.
    pub histogram: SpeedHistogram,
    /// Stationary-brush events in order.
    pub stationary: Vec<Standstill>,
    /// Steps looked at.
    pub steps: u64,
    /// What could not be read.
    pub problems: Vec<Problem>,
}

/// A brush turned while the machine stood.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Standstill {
    /// When.
    pub span: Span,
    /// The same by the clock of its power-on.
    pub run: Run,
    /// Number of the power-on.
    pub boot: u32,
}

impl Totals {
    /// Goes through all logs of the span.
    pub fn of(logs: &LogSet, how: Walk, limits: Limits) -> Self {
        let (readers, problems) = scan(logs, how, limits.turning, || Summing::new(how, limits));
        let mut totals = Self { problems, ..Self::default() };
        for reader in readers {
            totals.steps += reader.steps;
            totals.stationary.extend(reader.found);
            let recorded = (0_i32..).zip(reader.ms_by_raw).filter(|(_, ms)| *ms > 0);
            for (raw, ms) in recorded {
                totals.histogram.add(MetresPerSecond(f64::from(how.speed_m_s(raw))), ms);
            }
        }
        totals.stationary.sort_by_key(|s| (s.span.from, s.run.from));
        totals
    }
}

/// Raw speeds without sign that the wire can hold.
const RAWS: usize = 32_769;

/// Steps of one class leave the detector in the same state however many they are.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Class {
    /// Well above standing, brushes switched on.
    Working,
    /// Well above standing, brushes off and seen not to turn.
    Moving,
    /// Standing, brushes off and seen not to turn.
    Parked,
}

struct Summing {
    limits: Limits,
    turning: TurningRaw,
    /// First raw speeds, without sign, that are clear of standing and not below it.
    clear_from: u32,
    standing_below: u32,
    detector: Stationary,
    /// Steps of one class: as the first of them, but longer.
    joined: Option<(Class, Interval)>,
    ms_by_raw: Vec<u64>,
    open: Vec<Run>,
    found: Vec<Standstill>,
    steps: u64,
}

impl Summing {
    fn new(how: Walk, limits: Limits) -> Self {
        let detector = Stationary::new(limits);
        let from = |limit: f32| first_where(|raw| how.speed_m_s(raw) >= limit).max(0) as u32;
        Self {
            limits,
            turning: TurningRaw::new(limits.turning),
            clear_from: from(detector.clear_m_s()),
            standing_below: from(limits.standing_m_s.min(limits.moving_m_s)),
            detector,
            joined: None,
            ms_by_raw: vec![0; RAWS],
            open: Vec::new(),
            found: Vec::new(),
            steps: 0,
        }
    }

    fn add(&mut self, raw_speed: u32, ms: u64) {
        // Faster than the wire can say is only in a forged log: as the fastest.
        if let Some(sum) = self.ms_by_raw.get_mut((raw_speed as usize).min(RAWS - 1)) {
            *sum += ms;
        }
    }

    fn flush(&mut self) {
        if let Some((_, interval)) = self.joined.take() {
            self.open.extend(self.detector.step(&interval).map(|event| event.run));
        }
    }

    /// Takes a step of no class.
    fn step(&mut self, piece: &Piece<'_>, index: usize) {
        self.flush();
        if let Some(interval) = piece.step(index) {
            self.open.extend(self.detector.step(&interval).map(|event| event.run));
        }
    }

    /// Takes a piece in which something is not known.
    fn unclear(&mut self, piece: &Piece<'_>, range: Range<usize>) {
        for index in range {
            let speed = piece.raw_speed().and_then(|raw| raw.get(index));
            if let Some((raw, interval)) = speed.zip(piece.step(index))
                && brush_turning(&interval, self.limits.turning) == Some(true)
            {
                self.add(raw.unsigned_abs(), interval.ms());
            }
            self.step(piece, index);
        }
    }
}

impl PieceReader for Summing {
    fn piece(&mut self, piece: &Piece<'_>, range: Range<usize>) {
        self.steps += range.len() as u64;
        let motors = Motors::of(piece, self.turning);
        let known = piece.raw_speed().zip(piece.raw_command()).zip(motors);
        let Some(((speed, command), motors)) = known else { return self.unclear(piece, range) };
        let before = range.start.checked_sub(1).and_then(|i| piece.ends().get(i).copied());
        let mut from = before.unwrap_or(piece.from());
        let rows = speed.iter().zip(command).zip(piece.ends()).enumerate();
        for (index, ((speed, command), to)) in rows.take(range.end).skip(range.start) {
            let (speed, on, turning) = (speed.unsigned_abs(), *command != 0, motors.turn(index));
            if turning {
                self.add(speed, to - from);
            }
            from = *to;
            let idle = !on && !turning;
            let class = if speed >= self.clear_from && on {
                Class::Working
            } else if speed >= self.clear_from && idle {
                Class::Moving
            } else if speed < self.standing_below && idle {
                Class::Parked
            } else {
                self.step(piece, index);
                continue;
            };
            match &mut self.joined {
                Some((joined, interval)) if *joined == class => interval.to = BootMs(*to),
                _ => {
                    self.flush();
                    self.joined = piece.step(index).map(|interval| (class, interval));
                }
            }
        }
    }

    fn boot_ends(&mut self, boot: &BootLog, clock: &ClockMap) {
        self.flush();
        self.open.extend(self.detector.finish().map(|event| event.run));
        self.detector = Stationary::new(self.limits);
        let standstill = |run| Standstill { span: wall_span(clock, run), run, boot: boot.boot };
        self.found.extend(self.open.drain(..).map(standstill));
    }
}

/// What tells of each motor whether its brush turns: its rotation, or else its current.
struct Motors<'a> {
    tests: heapless::Vec<(&'a [i32], i32), MAX_MOTORS>,
}

impl<'a> Motors<'a> {
    /// `None` where nothing of a motor is known.
    fn of(piece: &'a Piece<'_>, turning: TurningRaw) -> Option<Self> {
        let mut tests = heapless::Vec::new();
        for motor in 0..MAX_MOTORS {
            let test = match piece.raw_motor(motor) {
                (_, Some(rotation)) => (rotation, turning.rotation_from),
                (Some(current), None) => (current, turning.current_from),
                (None, None) => break,
            };
            // The capacity is MAX_MOTORS, as is the loop.
            let _ = tests.push(test);
        }
        (!tests.is_empty()).then_some(Self { tests })
    }

    /// Whether any brush turns in the step.
    fn turn(&self, index: usize) -> bool {
        self.tests.iter().any(|(raw, from)| raw.get(index).is_some_and(|raw| raw >= from))
    }
}
