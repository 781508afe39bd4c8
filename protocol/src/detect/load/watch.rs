//! All load events of a deck in one pass.

use super::dry::Dry;
use super::light::light;
use super::near_stall::NearStall;
use super::over_pressure::{heavy, over_pressure};
use super::rise::Rise;
use super::spell::{Sample, Spell};
use super::stall::stalled;
use super::trip::Trip;
use super::uneven::Uneven;
use super::work::Work;
use super::{Expected, LoadEvent, LoadKind};
use crate::detect::{Interval, Limits, MotorState, Run, ThermalReplica, ThermalSettings};
use crate::frame::MAX_MOTORS;

/// A heat event ends this far below its warning, so that it is not split.
const HOT_ENDS: f64 = 0.97;

#[derive(Clone, Copy, Debug)]
struct Motor<T> {
    rise: Rise,
    stall: Spell<T>,
    near_stall: NearStall<T>,
    trip: Trip<T>,
    over_pressure: Spell<T>,
    heavy: Spell<T>,
    /// The last over-pressure event: heavy load that holds one is no event of its own.
    last_over: Option<Run>,
    light: Spell<T>,
    hot: Spell<T>,
    thermal: ThermalReplica,
}

/// Finds the load events of all motors in a stream of intervals. `T` is remembered from
/// the begin of each event.
#[derive(Clone, Copy, Debug)]
pub struct LoadWatch<T = ()> {
    limits: Limits,
    work: Work,
    motors: [Motor<T>; MAX_MOTORS],
    uneven: Uneven<T>,
    dry: Dry<T>,
}

impl<T: Copy + Default> LoadWatch<T> {
    /// A watch that has seen nothing yet.
    pub fn new(limits: Limits, thermal: ThermalSettings) -> Self {
        let load = &limits.load;
        let motor = Motor {
            rise: Rise::default(),
            stall: Spell::new(LoadKind::Stall, limits.stall_ms, 0),
            near_stall: NearStall::new(&limits),
            trip: Trip::new(&limits),
            over_pressure: Spell::new(LoadKind::OverPressure, limits.over_pressure_ms, 0),
            heavy: Spell::new(LoadKind::Heavy, load.heavy_ms, load.bridge_ms),
            last_over: None,
            light: Spell::new(LoadKind::Light, load.light_ms, load.bridge_ms),
            hot: Spell::new(LoadKind::Hot, 0, 0),
            thermal: ThermalReplica::new(thermal),
        };
        Self {
            limits,
            work: Work::new(limits),
            motors: [motor; MAX_MOTORS],
            uneven: Uneven::new(load),
            dry: Dry::new(load),
        }
    }

    /// Takes the next interval and gives the events that ended before it.
    pub fn step(
        &mut self,
        interval: &Interval,
        expected: &Expected,
        tag: T,
        mut found: impl FnMut(LoadEvent<T>),
    ) {
        self.work.step(interval);
        let Self { limits, work, motors, .. } = self;
        let (mut all_grind, mut all_normal) = (Some(true), true);
        for (number, motor) in motors.iter_mut().enumerate() {
            let state = interval.motors.get(number).copied();
            if state.is_none() && !motor.is_open() {
                motor.thermal.step(interval.ms(), None);
                motor.rise = Rise::default();
                continue;
            }
            let grinds = work.grinds(number, interval);
            if state.is_some() {
                all_grind = match (all_grind, grinds) {
                    (Some(false), _) | (_, Some(false)) => Some(false),
                    (Some(true), Some(true)) => Some(true),
                    _ => None,
                };
                all_normal &= work.normal(number, interval);
            }
            let seen = Seen {
                interval,
                state: state.unwrap_or_default(),
                expected_a: expected.current_a[number],
                grinds,
                started: work.started(number),
                work,
                tag,
            };
            motor.step(limits, number, &seen, &mut found);
        }
        let sample =
            || Sample { tag, pressure: interval.states.pressure_setting, ..Sample::default() };
        // A named cause says more than a ratio.
        let explained = self.motors.iter().any(|m| m.light.is_open() || m.over_pressure.is_open());
        let several = interval.motors.len() > 1 && !explained;
        let works = if several { all_grind } else { Some(false) };
        if let Some(event) = self.uneven.step(interval, &limits.load, works, sample) {
            found(event);
        }
        let normal = all_normal && !interval.motors.is_empty();
        if let Some(event) = self.dry.step(interval, &limits.load, (expected, normal), sample) {
            found(event);
        }
    }

    /// Ends the data: the power goes, or the record does.
    pub fn finish(&mut self, mut found: impl FnMut(LoadEvent<T>)) {
        for (number, motor) in self.motors.iter_mut().enumerate() {
            motor.finish(number, &mut found);
        }
        self.uneven.finish().into_iter().chain(self.dry.finish()).for_each(found);
        self.work = Work::new(self.limits);
    }

    /// No current for this long before the next interval; `None`: nobody knows how long.
    pub fn rests(&mut self, seconds: Option<f64>) {
        self.motors.iter_mut().for_each(|motor| motor.thermal.rests(seconds));
    }

    /// How the motors run.
    pub fn work(&self) -> &Work {
        &self.work
    }

    /// Heat of a motor as a share of its limit.
    pub fn heat(&self, motor: usize) -> Option<f64> {
        self.motors.get(motor).map(|m| m.thermal.share())
    }

    /// Whether an event of this kind is going on at this motor: for the live alarm. Uneven load
    /// and dry running are of the whole deck.
    pub fn is_active(&self, kind: LoadKind, motor: usize) -> bool {
        let Some(m) = self.motors.get(motor) else { return false };
        match kind {
            LoadKind::Stall => m.stall.is_active(),
            // Told from a stall only when it is over.
            LoadKind::NearStall => false,
            LoadKind::Trip => m.trip.is_active(),
            LoadKind::OverPressure => m.over_pressure.is_active(),
            LoadKind::Heavy => m.heavy.is_active(),
            LoadKind::Light => m.light.is_active(),
            LoadKind::Uneven => self.uneven.is_active(),
            LoadKind::Dry => self.dry.is_active(),
            LoadKind::Hot => m.hot.is_active(),
        }
    }
}

impl<T: Copy + Default> LoadWatch<T> {
    /// Whether a run of this kind is going on at this motor, event or not yet.
    pub fn is_open(&self, kind: LoadKind, motor: usize) -> bool {
        let Some(m) = self.motors.get(motor) else { return false };
        match kind {
            LoadKind::Stall => m.stall.is_open(),
            LoadKind::NearStall => m.near_stall.is_open(),
            LoadKind::Trip => m.trip.is_open(),
            LoadKind::OverPressure => m.over_pressure.is_open(),
            LoadKind::Heavy => m.heavy.is_open(),
            LoadKind::Light => m.light.is_open(),
            LoadKind::Uneven => self.uneven.is_open(),
            LoadKind::Dry => self.dry.is_open(),
            LoadKind::Hot => m.hot.is_open(),
        }
    }

    /// The run that is going on, event or not yet; `None` also of kinds that are told only when
    /// they are over or are of the whole deck.
    pub fn open(&self, kind: LoadKind, motor: usize) -> Option<Run> {
        let m = self.motors.get(motor)?;
        match kind {
            LoadKind::Stall => m.stall.open(),
            LoadKind::Trip => m.trip.open(),
            LoadKind::OverPressure => m.over_pressure.open(),
            LoadKind::Heavy => m.heavy.open(),
            LoadKind::Light => m.light.open(),
            LoadKind::Hot => m.hot.open(),
            LoadKind::NearStall | LoadKind::Uneven | LoadKind::Dry => None,
        }
    }
}

/// What is known of one motor in an interval.
struct Seen<'a, T> {
    interval: &'a Interval,
    state: MotorState,
    expected_a: Option<f32>,
    grinds: Option<bool>,
    started: bool,
    work: &'a Work,
    tag: T,
}

/// Whether no rule can hold at this current: what most readings are, told at once.
fn quiet(current_a: f32, expected_a: Option<f32>, limits: &Limits) -> bool {
    let load = &limits.load;
    let usual = |e: f32| current_a >= load.light_share * e && current_a <= load.heavy_share * e;
    current_a >= limits.turning.current_a
        && current_a <= limits.over_pressure_a
        && current_a < load.near_stall_a.min(limits.stall_a)
        && expected_a.is_none_or(usual)
}

impl<T: Copy + Default> Motor<T> {
    fn is_open(&self) -> bool {
        let spells = [&self.stall, &self.over_pressure, &self.heavy, &self.light, &self.hot];
        spells.iter().any(|s| s.is_open()) || self.near_stall.is_open() || self.trip.is_open()
    }

    fn step(
        &mut self,
        limits: &Limits,
        number: usize,
        seen: &Seen<'_, T>,
        found: &mut impl FnMut(LoadEvent<T>),
    ) {
        let Seen { interval, state, .. } = *seen;
        // What is no number would stay in the means and in the heat for ever.
        let current_a = state.current_a.filter(|a| a.is_finite());
        if current_a.is_some_and(|a| quiet(a, seen.expected_a, limits)) && !self.is_open() {
            self.rise.step((interval.from, interval.to), current_a.filter(|_| seen.started));
            self.step_heat(number, seen, found);
            return;
        }
        let rise_ms = self.rise.ms(interval.to);
        let sample = || Sample {
            current_a: current_a.unwrap_or(0.0),
            ratio: current_a.zip(seen.expected_a).map(|(a, expected)| a / expected),
            rise_ms,
            pressure: interval.states.pressure_setting,
            tag: seen.tag,
        };
        // Without rotation a start looks the same as a held rotor, for a moment.
        let told = state.rotation_rpm.is_some() || seen.started;
        let stall = stalled(&state, limits).map(|held| held && told);
        let near = current_a.map(|a| a >= limits.load.near_stall_a && seen.started);
        let near_and_stall = (near, stall == Some(true));
        let over = over_pressure(&state, limits, self.over_pressure.is_open());
        let ended = [
            self.stall.step(interval, stall, number, sample),
            self.near_stall.step(interval, limits, near_and_stall, number, sample),
            self.trip.step(
                interval,
                limits,
                (current_a, seen.work.others_run(number, interval)),
                number,
                sample,
            ),
            self.over_pressure.step(interval, over, number, sample),
        ];
        for event in ended.into_iter().flatten() {
            self.keep(event);
            found(event);
        }
        self.step_expected(limits, number, seen, sample, found);
        self.rise.step((interval.from, interval.to), current_a.filter(|_| seen.started));
        self.step_heat(number, seen, found);
    }

    /// What is judged against the expected current.
    fn step_expected(
        &mut self,
        limits: &Limits,
        number: usize,
        seen: &Seen<'_, T>,
        sample: impl Fn() -> Sample<T>,
        found: &mut impl FnMut(LoadEvent<T>),
    ) {
        let known = seen.state.current_a.zip(seen.expected_a);
        let is_heavy =
            known.map(|(a, e)| heavy(a, e, limits, self.heavy.is_open()) && seen.started);
        if let Some(event) = self.heavy.step(seen.interval, is_heavy, number, &sample)
            && !self.holds_over_pressure(event.run)
        {
            found(event);
        }
        let is_light = match seen.grinds {
            Some(true) => known.map(|(a, e)| light(a, e, &limits.load, self.light.is_open())),
            other => other,
        };
        if let Some(event) = self.light.step(seen.interval, is_light, number, &sample) {
            found(event);
        }
    }

    fn step_heat(
        &mut self,
        number: usize,
        seen: &Seen<'_, T>,
        found: &mut impl FnMut(LoadEvent<T>),
    ) {
        self.thermal.step(seen.interval.ms(), seen.state.current_a.filter(|a| a.is_finite()));
        let share = self.thermal.share();
        let warning = self.thermal.settings().warning;
        let limit = if self.hot.is_open() { HOT_ENDS * warning } else { warning };
        let sample = || Sample {
            current_a: seen.state.current_a.unwrap_or(0.0),
            ratio: Some(share as f32),
            tag: seen.tag,
            ..Sample::default()
        };
        if let Some(event) = self.hot.step(seen.interval, Some(share > limit), number, sample) {
            found(event);
        }
    }

    fn keep(&mut self, event: LoadEvent<T>) {
        if matches!(event.kind, LoadKind::OverPressure | LoadKind::Stall) {
            self.last_over = Some(event.run);
        }
    }

    fn holds_over_pressure(&self, run: Run) -> bool {
        self.last_over.is_some_and(|over| over.from <= run.to && over.to >= run.from)
    }

    fn finish(&mut self, number: usize, found: &mut impl FnMut(LoadEvent<T>)) {
        let ended = [
            self.stall.finish(number),
            self.near_stall.finish(number),
            self.trip.finish(number),
            self.over_pressure.finish(number),
        ];
        for event in ended.into_iter().flatten() {
            self.keep(event);
            found(event);
        }
        if let Some(event) = self.heavy.finish(number)
            && !self.holds_over_pressure(event.run)
        {
            found(event);
        }
        self.light.finish(number).into_iter().chain(self.hot.finish(number)).for_each(found);
        self.last_over = None;
        self.rise = Rise::default();
    }
}
