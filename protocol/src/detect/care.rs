//! Care of machine and floor: a brush turns while a switch is in the wrong place.
//!
//! Words: a brush is *on the floor* unless the head is known to be up. Vacuum,
//! water and pressure are judged only while a brush turns on the floor. Each
//! condition that is known not to hold answers for all: with the vacuum on, it
//! does not matter whether the brush was seen. An event lasts longer than its
//! limit, and goes on over pauses of up to the join time (see [`Hold`]), in
//! which a switch bounced or a current flickered. A brush that coasts in the air
//! after its power went is no event of the head.
//!
//! Switches come as states, when they change and every few seconds: a begin or
//! an end is as exact as the interval that first has the changed state.

use super::{Hold, Interval, Limits, Run, RunDown, brush_turning};

/// Limits of care events. The defaults stand in the machine file's `[care]`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CareLimits {
    /// Lowest good setting of the solution flow in percent.
    pub water_percent: f32,
    /// Lowest good setting of the down pressure in percent.
    pub pressure_percent: f32,
    /// Vacuum off longer than this is an event, in ms.
    pub vacuum_ms: u64,
    /// Too little water longer than this is an event, in ms.
    pub water_ms: u64,
    /// Too little pressure longer than this is an event, in ms.
    pub pressure_ms: u64,
    /// Turning in the air longer than this is an event, in ms.
    pub head_ms: u64,
    /// Turning on a forbidden floor longer than this is an event, in ms.
    pub forbidden_ms: u64,
    /// A pause up to this long does not end an event, in ms.
    pub join_ms: u64,
}

/// What is not as it should be.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub enum CareRule {
    /// Brushes turn on the floor with the vacuum off.
    Vacuum,
    /// Brushes turn on the floor with no or too little water.
    Water,
    /// Brushes turn on the floor with less than full pressure.
    Pressure,
    /// Brushes turn with the head up.
    Head,
    /// Brushes turn on a floor that must never be polished.
    Forbidden,
}

impl CareRule {
    /// All of them.
    pub const ALL: [Self; 5] =
        [Self::Vacuum, Self::Water, Self::Pressure, Self::Head, Self::Forbidden];

    /// Whether a switch is in the wrong place, or the floor the wrong one, where that matters:
    /// nothing is wrong with brushes in the air, but for the head itself.
    fn wrong(
        self,
        interval: &Interval,
        limits: &CareLimits,
        forbidden: Option<bool>,
    ) -> Option<bool> {
        let states = &interval.states;
        if self != Self::Head && states.head_down == Some(false) {
            return Some(false);
        }
        let below = |percent: Option<u8>, level: f32| percent.map(|p| f32::from(p) < level);
        match self {
            Self::Vacuum => states.vacuum_on.map(|on| !on),
            Self::Water => below(states.solution_flow, limits.water_percent),
            Self::Pressure => below(states.pressure_setting, limits.pressure_percent),
            Self::Head => states.head_down.map(|down| !down),
            Self::Forbidden => forbidden,
        }
    }

    /// How long it must hold to be an event, in ms.
    pub fn longer_than_ms(self, limits: &CareLimits) -> u64 {
        match self {
            Self::Vacuum => limits.vacuum_ms,
            Self::Water => limits.water_ms,
            Self::Pressure => limits.pressure_ms,
            Self::Head => limits.head_ms,
            Self::Forbidden => limits.forbidden_ms,
        }
    }
}

/// One answer for each rule, in the order of [`CareRule::ALL`].
pub type PerRule<T> = [T; CareRule::ALL.len()];

/// Finds care events of all rules in a stream of intervals.
#[derive(Clone, Copy, Debug)]
pub struct CareWatch {
    limits: Limits,
    care: CareLimits,
    run_down: RunDown,
    judged: PerRule<Option<bool>>,
    holds: PerRule<Hold>,
    /// Whether any of `holds` is open.
    busy: bool,
}

impl CareWatch {
    /// A watch with these limits.
    pub fn new(limits: Limits, care: CareLimits) -> Self {
        let hold = |rule: CareRule| Hold::bridging(rule.longer_than_ms(&care), care.join_ms);
        let holds = CareRule::ALL.map(hold);
        Self { limits, care, run_down: RunDown::default(), judged: [None; 5], holds, busy: false }
    }

    /// Takes the next interval; returns the events that ended before it. `forbidden` says whether
    /// the floor here must never be polished; `None`: the place is not known.
    pub fn step(&mut self, interval: &Interval, forbidden: Option<bool>) -> PerRule<Option<Run>> {
        let coasting = self.run_down.step(interval, &self.limits);
        let turning = brush_turning(interval, self.limits.turning);
        self.judged = CareRule::ALL.map(|rule| {
            if turning == Some(false) || (coasting && rule == CareRule::Head) {
                return Some(false);
            }
            match rule.wrong(interval, &self.care, forbidden) {
                Some(true) => turning,
                other => other,
            }
        });
        let mut ended = [None; 5];
        // Nearly always nothing is wrong and nothing goes on.
        self.busy = self.busy || self.judged.contains(&Some(true));
        if !self.busy {
            return ended;
        }
        for ((hold, holds), ended) in self.holds.iter_mut().zip(self.judged).zip(&mut ended) {
            *ended = hold.step(interval.from, interval.to, holds);
        }
        self.busy = self.holds.iter().any(|hold| hold.open().is_some());
        ended
    }

    /// Whether any run goes on or pauses.
    pub fn is_busy(&self) -> bool {
        self.busy
    }

    /// What held in the interval taken last; `None`: it was not observed.
    pub fn judged(&self) -> PerRule<Option<bool>> {
        self.judged
    }

    /// The runs that go on or pause, events or not yet.
    pub fn open(&self) -> PerRule<Option<Run>> {
        self.holds.map(|hold| hold.open())
    }

    /// Which events are going on: for the live alarm.
    pub fn active(&self) -> PerRule<bool> {
        self.holds.map(|hold| hold.is_active())
    }

    /// Ends the data.
    pub fn finish(&mut self) -> PerRule<Option<Run>> {
        self.run_down = RunDown::default();
        self.busy = false;
        let mut ended = [None; 5];
        for (hold, ended) in self.holds.iter_mut().zip(&mut ended) {
            *ended = hold.finish();
        }
        ended
    }
}
