//! Heat and the detectors' own state, step by step.
//!
//! They depend on what came before, so whoever shows a span begins to read earlier:
//!
//! * heat: five time constants earlier, from cold. Of the heat that the motor had then
//!   e^-5 is left at most, 0.7 %. Over a power-off it cools by its length.
//! * detectors: ten minutes earlier than the longest time that any of them asks for.
//!
//! Heavy and light load and dry running are judged against what the caller expects, as
//! around an event the findings of its night do; else against `load.expected_current` of
//! the machine file alone: what past nights taught is not read for a window. Without
//! either, those three stay at 0, and so does a forbidden floor, whose marks are not read.

use super::{DetectorKind, Quantity};
use underbrush_protocol::detect::{
    CareRule, CareWatch, Expected, Interval, LoadKind, LoadWatch, Stationary,
};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

const DETECTORS_MS: i64 = 10 * 60_000;
const TIME_CONSTANTS: f64 = 5.0;

/// Time read before a span so that these quantities are right at its begin, in ms.
pub(super) fn run_up_ms(machine: &Machine, wanted: &[Quantity]) -> i64 {
    let heat_ms = (TIME_CONSTANTS * machine.thermal.time_constant.0 * 1000.0) as i64;
    let limits = machine.limits();
    let care = machine.care_limits();
    let times = [limits.standing_ms, limits.run_down_ms, limits.over_pressure_ms, limits.stall_ms];
    let load = [limits.load.light_ms, limits.load.heavy_ms, limits.load.uneven_ms];
    let longest = CareRule::ALL.iter().map(|rule| rule.longer_than_ms(&care));
    let longest = longest.chain(times).chain(load).chain([limits.load.dry_ms, care.join_ms]).max();
    let detectors_ms = DETECTORS_MS.saturating_add_unsigned(longest.unwrap_or(0));
    let needed = wanted.iter().map(|quantity| match quantity {
        Quantity::Heat(_) => heat_ms,
        Quantity::Detector(DetectorKind::Load(LoadKind::Hot)) => heat_ms.max(detectors_ms),
        Quantity::Detector(_) => detectors_ms,
        _ => 0,
    });
    needed.max().unwrap_or(0)
}

/// What the wanted quantities need to know of the steps before.
pub(super) struct State {
    stationary: Stationary,
    load: LoadWatch,
    care: CareWatch,
    expected: Expected,
    /// End of the last step, in ms of its boot.
    reached: Option<BootMs>,
    /// UTC at the end of the last step of the boot before, in ms.
    ended: Option<i64>,
}

impl State {
    /// What these quantities need; `None`: nothing.
    pub(super) fn of(
        machine: &Machine,
        wanted: &[Quantity],
        expected: Option<Expected>,
    ) -> Option<Self> {
        let needs = |q: &Quantity| matches!(q, Quantity::Heat(_) | Quantity::Detector(_));
        let limits = machine.limits();
        let by_file = || {
            let expected_a = machine.load.expected_current.map(|a| a.0 as f32);
            Expected { current_a: [expected_a; MAX_MOTORS], spread: 0.0 }
        };
        wanted.iter().any(needs).then(|| Self {
            stationary: Stationary::new(limits),
            load: LoadWatch::new(limits, machine.thermal_settings()),
            care: CareWatch::new(limits, machine.care_limits()),
            expected: expected.unwrap_or_else(by_file),
            reached: None,
            ended: None,
        })
    }

    /// Takes the next step, which begins at this UTC in ms and ends at that.
    pub(super) fn step(&mut self, interval: &Interval, (from, to): (i64, i64)) {
        if self.reached.is_none() {
            self.load.rests(self.ended.map(|ended| (from - ended).max(0) as f64 / 1000.0));
        }
        self.reached = Some(interval.to);
        self.ended = Some(to);
        self.stationary.step(interval);
        self.load.step(interval, &self.expected, (), |_| ());
        self.care.step(interval, None);
    }

    /// The record of a boot ends: so does what was going on.
    pub(super) fn boot_ends(&mut self) {
        self.reached = None;
        self.stationary.finish();
        self.load.finish(|_| ());
        self.care.finish();
    }

    /// Heat of a motor that was read in this step.
    pub(super) fn heat(&self, motor: usize, interval: &Interval) -> Option<f32> {
        interval.motors.get(motor)?;
        self.load.heat(motor).map(|share| share as f32)
    }

    /// State of a detector after the last step.
    pub(super) fn detector(&self, kind: DetectorKind) -> f32 {
        let (open, active) = match kind {
            DetectorKind::Stationary => {
                (self.stationary.open().is_some(), self.stationary.is_active())
            }
            DetectorKind::Load(kind) => (
                (0..MAX_MOTORS).any(|motor| self.load.is_open(kind, motor)),
                (0..MAX_MOTORS).any(|motor| self.load.is_active(kind, motor)),
            ),
            DetectorKind::Care(rule) => {
                let of = |(at, _): &(usize, CareRule)| *at;
                let place = CareRule::ALL.into_iter().enumerate().find(|(_, r)| *r == rule);
                let place = place.as_ref().map_or(0, of);
                let open = self.care.open().get(place).copied().flatten().is_some();
                (open, self.care.active().get(place) == Some(&true))
            }
        };
        match (open, active) {
            (_, true) => 1.0,
            (true, false) => 0.5,
            (false, false) => 0.0,
        }
    }
}
