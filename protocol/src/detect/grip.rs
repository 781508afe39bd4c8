//! Hints that a wheel slipped: its speed and the machine's turning disagree.
//!
//! A rubber wheel on a wet floor holds a machine up to an acceleration of about
//! mu x g, to the side (speed x turn rate) as well as along (change of speed).
//! What the wheel or the gyro says beyond that did not happen as said. A machine
//! whose wheel stands while it turns was pushed, or its wheel slides. These are
//! hints, not events: without a second speed sensor slip cannot be measured.

use super::{Hold, Interval, Limits, Run};

/// What made a slip likely.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum SlipKind {
    /// The wheel's speed changed faster than its grip can change the machine's.
    Spin,
    /// Speed x turn rate is more than the grip can hold to the side.
    Sideways,
    /// The machine turned while its wheel stood.
    Dragged,
}

/// One hint.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SlipHint {
    /// When.
    pub run: Run,
    /// Why.
    pub kind: SlipKind,
}

/// Turning on the spot slower than this is the gyro's own drift, in rad/s.
const TURNING_RAD_S: f32 = 0.15;
/// The wheel must stand and the machine turn for this long, in ms.
const DRAGGED_MS: u64 = 1_000;
/// Sideways for longer than one reading, in ms.
const SIDEWAYS_MS: u64 = 250;

/// Noise of a speed signal between two readings, in m/s.
const LEAP_M_S: f32 = 0.05;

/// Finds hints in a stream of intervals.
#[derive(Clone, Copy, Debug)]
pub struct Slip {
    grip_m_s2: f32,
    standing_m_s: f32,
    last_m_s: Option<f32>,
    sideways: Hold,
    dragged: Hold,
}

impl Slip {
    /// A detector with these limits.
    pub fn new(limits: Limits) -> Self {
        Self {
            grip_m_s2: limits.grip_m_s2,
            standing_m_s: limits.standing_m_s,
            last_m_s: None,
            sideways: Hold::new(SIDEWAYS_MS),
            dragged: Hold::new(DRAGGED_MS),
        }
    }

    /// Takes the next interval; returns the hint that ended with or before it.
    pub fn step(&mut self, interval: &Interval) -> Option<SlipHint> {
        let (from, to) = (interval.from, interval.to);
        let spin = self.spins(interval);
        let both = interval.speed_m_s.zip(interval.turn_rad_s);
        let beyond = both.map(|(speed, turn)| (speed * turn).abs() > self.grip_m_s2);
        let pushed =
            both.map(|(speed, turn)| speed.abs() < self.standing_m_s && turn.abs() > TURNING_RAD_S);
        let sideways = self.sideways.step(from, to, beyond);
        let dragged = self.dragged.step(from, to, pushed);
        let spun = spin.then_some(Run { from, to, cut_short: false });
        [(spun, SlipKind::Spin), (sideways, SlipKind::Sideways), (dragged, SlipKind::Dragged)]
            .into_iter()
            .find_map(|(run, kind)| Some(SlipHint { run: run?, kind }))
    }

    /// Whether the wheel's speed leaps. Readings are means over an interval, so the
    /// change between two of them takes as long as one.
    fn spins(&mut self, interval: &Interval) -> bool {
        let last = core::mem::replace(&mut self.last_m_s, interval.speed_m_s);
        let seconds = interval.ms() as f32 / 1000.0;
        last.zip(interval.speed_m_s)
            .is_some_and(|(last, now)| (now - last).abs() > self.grip_m_s2 * seconds + LEAP_M_S)
    }

    /// Ends the data.
    pub fn finish(&mut self) -> Option<SlipHint> {
        self.last_m_s = None;
        let sideways = self.sideways.finish().map(|run| SlipHint { run, kind: SlipKind::Sideways });
        let dragged = self.dragged.finish().map(|run| SlipHint { run, kind: SlipKind::Dragged });
        sideways.or(dragged)
    }
}
