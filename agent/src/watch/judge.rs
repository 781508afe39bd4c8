//! The detectors on the stream of log entries. Pure: the times are those of the entries.

use super::kind::{Alarm, AlarmKind, Stage};
use super::settings::AlarmSettings;
use underbrush_protocol::detect::{
    CareRule, CareWatch, Expected, Interval, LiveSteps, LoadKind, LoadWatch, Run, SensorLimits,
    Stationary, possible,
};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::log::Entry;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

/// Judges what a machine does while it does it.
#[derive(Debug)]
pub struct Watch {
    steps: LiveSteps,
    judge: Judge,
}

/// Judges intervals.
#[derive(Debug)]
struct Judge {
    sensors: SensorLimits,
    stationary: Stationary,
    loads: LoadWatch,
    cares: CareWatch,
    slots: Vec<Slot>,
    /// End of the interval judged last.
    at: BootMs,
}

/// One alarm that can be on.
#[derive(Debug)]
struct Slot {
    kind: AlarmKind,
    motor: usize,
    warn_ms: Option<u64>,
    /// Begin of the run, while on.
    warned: Option<BootMs>,
    told: Option<BootMs>,
}

impl Watch {
    /// With the alarms that are usual.
    pub fn new(machine: &Machine) -> Self {
        Self::telling(machine, &AlarmSettings::default())
    }

    /// With these alarms.
    pub fn telling(machine: &Machine, settings: &AlarmSettings) -> Self {
        let limits = machine.limits();
        let of_kind = |kind: AlarmKind| {
            let motors = if kind.has_motor() { MAX_MOTORS } else { 1 };
            let warn_ms = settings.warns_after_ms(kind);
            (0..motors).map(move |motor| Slot { kind, motor, warn_ms, warned: None, told: None })
        };
        let told = AlarmKind::ALL.into_iter().filter(|kind| settings.tells(*kind));
        Self {
            steps: LiveSteps::new(machine.longest_gap_ms(), machine.speed.wheel_factor),
            judge: Judge {
                sensors: machine.sensor_limits(),
                stationary: Stationary::new(limits),
                loads: LoadWatch::new(limits, machine.thermal_settings()),
                cares: CareWatch::new(limits, machine.care_limits()),
                slots: told.flat_map(of_kind).collect(),
                at: BootMs(0),
            },
        }
    }

    /// Takes the next entries of the log and appends the alarms that begin and end.
    pub fn take(&mut self, entries: &[Entry], alarms: &mut Vec<Alarm>) {
        let Self { steps, judge } = self;
        for entry in entries {
            match entry {
                Entry::Reading(reading) => steps.take(*reading, |step| judge.step(step, alarms)),
                Entry::Note(at, _) => steps.passes(*at, |step| judge.step(step, alarms)),
            }
        }
        self.end_silent(alarms);
        if let Some(interval) = self.steps.ahead() {
            self.judge.ahead(&interval, alarms);
        }
    }

    /// Time goes on: no entry before `at` comes any more.
    pub fn passes(&mut self, at: BootMs, alarms: &mut Vec<Alarm>) {
        let Self { steps, judge } = self;
        steps.passes(at, |step| judge.step(step, alarms));
        self.end_silent(alarms);
    }

    /// Ends the data, and with them every alarm.
    pub fn finish(&mut self, alarms: &mut Vec<Alarm>) {
        let Self { steps, judge } = self;
        steps.finish(|step| judge.step(step, alarms));
        judge.stationary.finish();
        judge.loads.finish(|_| {});
        judge.cares.finish();
        judge.end_all(judge.at, alarms);
    }

    /// Intervals judged before all was known of them: see [`LiveSteps::forced`].
    pub fn forced(&self) -> u64 {
        self.steps.forced()
    }

    /// What was not seen is never part of an event: with all channels silent for the longest
    /// gap, every run has ended with the interval judged last.
    fn end_silent(&mut self, alarms: &mut Vec<Alarm>) {
        if self.steps.is_silent() {
            self.judge.end_all(self.judge.at, alarms);
        }
    }
}

impl Judge {
    fn step(&mut self, interval: &Interval, alarms: &mut Vec<Alarm>) {
        let cleaned = possible(interval, &self.sensors);
        let interval = cleaned.as_ref().unwrap_or(interval);
        self.stationary.step(interval);
        // Of the kinds that are told none depends on the expected current.
        self.loads.step(interval, &Expected::default(), (), |_| {});
        self.cares.step(interval, None);
        self.at = interval.to;
        let Self { stationary, loads, cares, slots, at, .. } = self;
        for slot in slots {
            let (run, active) = going_on(slot, stationary, loads, cares);
            let began = |on: bool| run.filter(|_| on).map(|run| run.from);
            let early = |run: &Run| slot.warn_ms.is_some_and(|ms| run.to.since(run.from) >= ms);
            let warned = began(run.as_ref().is_some_and(early));
            slot.turn(Stage::Warning, warned, *at, alarms);
            slot.turn(Stage::Event, began(active), *at, alarms);
        }
    }

    /// Warns of a standing machine by an interval that the detectors get with the next reading,
    /// which comes late when the line is dead. It judges nothing else: an event is told when all
    /// of it is sure.
    fn ahead(&mut self, interval: &Interval, alarms: &mut Vec<Alarm>) {
        let cleaned = possible(interval, &self.sensors);
        let interval = cleaned.as_ref().unwrap_or(interval);
        let mut stationary = self.stationary;
        stationary.step(interval);
        let Some(run) = stationary.open() else { return };
        for slot in self.slots.iter_mut().filter(|slot| slot.kind == AlarmKind::Stationary) {
            if slot.warn_ms.is_some_and(|ms| run.ms() >= ms) {
                slot.turn(Stage::Warning, Some(run.from), interval.to, alarms);
            }
        }
    }

    fn end_all(&mut self, at: BootMs, alarms: &mut Vec<Alarm>) {
        for slot in &mut self.slots {
            slot.turn(Stage::Warning, None, at, alarms);
            slot.turn(Stage::Event, None, at, alarms);
        }
    }
}

/// The run that is going on, and whether it is an event already.
fn going_on(
    slot: &Slot,
    stationary: &Stationary,
    loads: &LoadWatch,
    cares: &CareWatch,
) -> (Option<Run>, bool) {
    let load = |kind| (loads.open(kind, slot.motor), loads.is_active(kind, slot.motor));
    let care = |rule: CareRule| {
        let place = CareRule::ALL.iter().position(|other| *other == rule).unwrap_or(0);
        (cares.open()[place], cares.active()[place])
    };
    match slot.kind {
        AlarmKind::Stationary => (stationary.open(), stationary.is_active()),
        AlarmKind::Stall => load(LoadKind::Stall),
        AlarmKind::OverPressure => load(LoadKind::OverPressure),
        AlarmKind::Trip => load(LoadKind::Trip),
        AlarmKind::Vacuum => care(CareRule::Vacuum),
        AlarmKind::Water => care(CareRule::Water),
        AlarmKind::Pressure => care(CareRule::Pressure),
        AlarmKind::Head => care(CareRule::Head),
    }
}

impl Slot {
    /// Goes to this state; a run that follows another at once ends the one and begins the other.
    fn turn(&mut self, stage: Stage, began: Option<BootMs>, at: BootMs, alarms: &mut Vec<Alarm>) {
        let state = match stage {
            Stage::Warning => &mut self.warned,
            Stage::Event => &mut self.told,
        };
        if *state == began {
            return;
        }
        let motor = self.kind.has_motor().then_some(self.motor as u8);
        let alarm = |began, on| Alarm { at, kind: self.kind, stage, motor, began, on };
        alarms.extend(state.take().map(|began| alarm(began, false)));
        alarms.extend(began.map(|began| alarm(began, true)));
        *state = began;
    }
}
