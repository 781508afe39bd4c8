//! What a brush motor should draw: learned from past nights.
//!
//! Model: the friction of a brush at full pressure depends on the tool and the
//! floor. For each night the median current in normal work (`protocol::detect`)
//! is kept per motor, for each section and phase, for each phase, and for all
//! work. The *normal* current is the median of those medians over the nights
//! since the tool in the shift book was fitted; its spread from night to night
//! is 1.4826 x MAD of them, and the standard error of the median of n nights
//! sqrt(pi / 2) x spread / sqrt(n) (for normal scatter; any text on order
//! statistics). A night counts only with enough minutes, a place only with
//! enough nights (`[load]` in the machine file).
//!
//! Looked for in this order: section and phase, phase, `load.expected_current`,
//! the median of the shift itself in this phase, all past work. The shift's own
//! median cannot show what was wrong all night, and the sheet says so.

use super::currents::{Currents, SD_OF_MAD};
use crate::findings::robust::spread;
use crate::findings::types::Place;
use crate::settings::Phase;
use std::collections::BTreeMap;
use underbrush_protocol::detect::{Expected, Interval, Work};
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::settings::machine::LoadSettings;
use underbrush_protocol::si::{Amperes, Seconds};

/// Spread taken where nights do not tell it, as a share: our own choice.
const USUAL_SPREAD: f64 = 0.05;
/// Half of the wire's resolution: no spread is known better.
const LEAST_SPREAD_A: f64 = 0.05;

/// Which work a current is of.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub enum Scope {
    /// One section, by its index in the site file, in one phase.
    Place(Option<usize>, Option<Phase>),
    /// One phase, anywhere.
    Phase(Option<Phase>),
    /// All work.
    Machine,
}

/// Current of one motor in one night's normal work.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct NightLoad {
    /// Which work.
    pub scope: Scope,
    /// Motor, from 0.
    pub motor: usize,
    /// Normal work in it.
    pub time: Seconds,
    /// Time-weighted median.
    pub median: Amperes,
    /// Time-weighted median distance from it.
    pub mad: Amperes,
}

type Key = (Option<usize>, Option<Phase>);

/// Collects currents in normal work by place. One entry for each section and phase of the site.
#[derive(Debug, Default)]
pub(crate) struct Table {
    places: Vec<(Key, [Currents; MAX_MOTORS])>,
    last: usize,
}

impl Table {
    /// Takes an interval that `work` has seen.
    pub(crate) fn step(&mut self, interval: &Interval, work: &Work, place: Place) {
        let ms = interval.ms();
        for (number, motor) in interval.motors.iter().enumerate() {
            if let Some(current_a) = motor.current_a.filter(|_| work.normal(number, interval)) {
                self.at((place.section, place.phase))[number].add(current_a, ms);
            }
        }
    }

    fn at(&mut self, key: Key) -> &mut [Currents; MAX_MOTORS] {
        if self.places.get(self.last).is_none_or(|(k, _)| *k != key) {
            self.last = self.places.iter().position(|(k, _)| *k == key).unwrap_or_else(|| {
                self.places.push((key, std::array::from_fn(|_| Currents::default())));
                self.places.len() - 1
            });
        }
        &mut self.places[self.last].1
    }

    /// Each scope's medians.
    pub(crate) fn finish(&self) -> Vec<NightLoad> {
        let mut scopes: BTreeMap<Scope, [Currents; MAX_MOTORS]> = BTreeMap::new();
        for ((section, phase), motors) in &self.places {
            let of_place = [Scope::Place(*section, *phase), Scope::Phase(*phase), Scope::Machine];
            for scope in of_place {
                let sums = scopes.entry(scope).or_default();
                sums.iter_mut().zip(motors).for_each(|(sum, currents)| sum.merge(currents));
            }
        }
        let mut loads = Vec::new();
        for (scope, motors) in &scopes {
            for (motor, currents) in motors.iter().enumerate() {
                let time = currents.time();
                if time.0 > 0.0 {
                    let (median, mad) = (currents.median(), currents.mad());
                    loads.push(NightLoad { scope: *scope, motor, time, median, mad });
                }
            }
        }
        loads
    }
}

/// Where a normal current comes from.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub enum Source {
    /// Past nights at this section in this phase.
    Place,
    /// Past nights in this phase.
    Phase,
    /// `load.expected_current` of the machine file.
    MachineFile,
    /// The shift itself.
    Tonight,
    /// All past work of the machine.
    Machine,
}

/// The normal current of one motor.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Normal {
    /// Median of the nights.
    pub current: Amperes,
    /// One standard deviation from night to night; of the shift itself: of its readings.
    pub spread: Amperes,
    /// Nights that it is learned from; 0 where it is not learned.
    pub nights: u32,
    /// Where it comes from.
    pub source: Source,
}

impl Normal {
    /// Standard error of a learned current.
    pub fn error(&self) -> Option<Amperes> {
        let nights = f64::from(self.nights);
        (self.nights > 0)
            .then(|| self.spread * (std::f64::consts::FRAC_PI_2.sqrt() / nights.sqrt()))
    }
}

type Motors = [Option<Normal>; MAX_MOTORS];

/// The normal currents of one machine with one tool.
#[derive(Clone, Debug, Default)]
pub(super) struct Baseline {
    learned: BTreeMap<Scope, Motors>,
    file: Option<Amperes>,
    tonight: BTreeMap<Scope, Motors>,
}

impl Baseline {
    /// From nights with the same tool.
    pub(super) fn learn<'a>(
        nights: impl Iterator<Item = &'a [NightLoad]>,
        settings: &LoadSettings,
    ) -> Self {
        let mut medians: BTreeMap<(Scope, usize), Vec<f64>> = BTreeMap::new();
        for night in nights {
            for load in night.iter().filter(|l| l.time >= settings.learn_time) {
                medians.entry((load.scope, load.motor)).or_default().push(load.median.0);
            }
        }
        let mut learned: BTreeMap<Scope, Motors> = BTreeMap::new();
        for ((scope, motor), values) in medians {
            let nights = values.len() as u32;
            let Some((current, spread)) = spread(&values) else { continue };
            let spread = spread.max(LEAST_SPREAD_A);
            // A motor that never drew anything has no normal current to compare with.
            if nights >= settings.learn_nights.max(1) && current > 0.0 {
                let source = match scope {
                    Scope::Place(..) => Source::Place,
                    Scope::Phase(_) => Source::Phase,
                    Scope::Machine => Source::Machine,
                };
                let (current, spread) = (Amperes(current), Amperes(spread));
                let normal = Normal { current, spread, nights, source };
                learned.entry(scope).or_default()[motor] = Some(normal);
            }
        }
        Self { learned, file: settings.expected_current, tonight: BTreeMap::new() }
    }

    /// The same with what the shift itself says, for phases that nothing else is known of.
    pub(super) fn with_tonight(mut self, loads: &[NightLoad], settings: &LoadSettings) -> Self {
        let enough = |l: &&NightLoad| l.time >= settings.learn_time && l.median.0 > 0.0;
        for load in loads.iter().filter(enough) {
            let spread = Amperes((SD_OF_MAD * load.mad.0).max(LEAST_SPREAD_A));
            let normal =
                Normal { current: load.median, spread, nights: 0, source: Source::Tonight };
            self.tonight.entry(load.scope).or_default()[load.motor] = Some(normal);
        }
        self
    }

    /// Whether the shift itself tells anything.
    pub(super) fn knows_tonight(&self) -> bool {
        !self.tonight.is_empty()
    }

    /// The normal current of a motor here.
    pub(super) fn normal(&self, place: Place, motor: usize) -> Option<Normal> {
        let learned =
            |scope| self.learned.get(&scope).and_then(|m| m.get(motor).copied().flatten());
        let file = |current: Amperes| Normal {
            current,
            spread: current * USUAL_SPREAD,
            nights: 0,
            source: Source::MachineFile,
        };
        let phase = Scope::Phase(place.phase);
        learned(Scope::Place(place.section, place.phase))
            .or_else(|| learned(phase))
            .or_else(|| self.file.map(file))
            .or_else(|| self.tonight.get(&phase).and_then(|m| m.get(motor).copied().flatten()))
            .or_else(|| learned(Scope::Machine))
    }

    /// The same for all motors, as the detectors want it.
    pub(super) fn expected(&self, place: Place) -> (Expected, Motors) {
        let motors: Motors = std::array::from_fn(|motor| self.normal(place, motor));
        let current_a = motors.map(|m| m.map(|n| n.current.0 as f32));
        let spread = motors.iter().flatten().map(|n| (n.spread / n.current) as f32);
        (Expected { current_a, spread: spread.fold(0.0, f32::max) }, motors)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn load(scope: Scope, minutes: f64, median: f64) -> NightLoad {
        let (time, mad) = (Seconds(minutes * 60.0), Amperes(0.4));
        NightLoad { scope, motor: 1, time, median: Amperes(median), mad }
    }

    fn place(section: Option<usize>, phase: Option<Phase>) -> Place {
        Place { section, phase, ..Place::default() }
    }

    #[test]
    fn falls_back_from_the_section_to_the_phase_to_all_work() {
        let (here, phase) = (Some(2), Some(Phase::Step(1)));
        let night = |median: f64| {
            vec![
                load(Scope::Place(here, phase), 4.0, median),
                load(Scope::Phase(phase), 30.0, median),
                load(Scope::Machine, 60.0, median + 1.0),
            ]
        };
        // One night of a worn pad does not move the normal.
        let nights: Vec<_> = [20.0, 20.4, 12.0, 20.2].into_iter().map(night).collect();
        let learn =
            |settings: &LoadSettings| Baseline::learn(nights.iter().map(Vec::as_slice), settings);
        let settings = LoadSettings::default();
        let baseline = learn(&settings);
        // Four minutes at the section are too few.
        let normal = baseline.normal(place(here, phase), 1).unwrap();
        assert_eq!((normal.source, normal.nights), (Source::Phase, 4));
        assert!((normal.current.0 - 20.1).abs() < 1e-9, "{normal:?}");
        // MAD of 20.0, 20.4, 12.0, 20.2 about 20.1 is (0.1 + 0.3) / 2 = 0.2.
        assert!((normal.spread.0 - 0.2 * 1.4826).abs() < 1e-4, "{normal:?}");
        assert!((normal.error().unwrap().0 - 1.253_314 * 0.296_52 / 2.0).abs() < 1e-4);
        let other = baseline.normal(place(None, None), 1).unwrap();
        assert_eq!(other.source, Source::Machine);
        assert_eq!(baseline.normal(place(here, phase), 0), None, "no such motor was seen");
        let shorter = LoadSettings { learn_time: Seconds(60.0), ..settings.clone() };
        let of_section = learn(&shorter).normal(place(here, phase), 1).unwrap();
        assert_eq!(of_section.source, Source::Place);
        let more = LoadSettings { learn_nights: 5, ..settings.clone() };
        assert_eq!(learn(&more).normal(place(here, phase), 1), None);
        let tonight = learn(&more).with_tonight(&nights[1], &more);
        let own = tonight.normal(place(here, phase), 1).unwrap();
        assert_eq!((own.source, own.current, own.error()), (Source::Tonight, Amperes(20.4), None));
        let file = LoadSettings { expected_current: Some(Amperes(21.0)), ..more };
        let stated = learn(&file).with_tonight(&nights[1], &file);
        assert_eq!(stated.normal(place(here, phase), 1).unwrap().source, Source::MachineFile);
    }
}
