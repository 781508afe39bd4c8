//! Stationary-brush events: how long, where, and how bad.
//!
//! The detector is the agent's (`protocol::detect`). The harm is said in
//! passes: a brush that stands for `dwell` grinds its spot as long as
//! `dwell / (contact length / speed)` passes at the middle of the band. The
//! severity compares that with the passes of one whole step over the section
//! (minutes x mid-band speed x path width / area). Its limits, a quarter of a
//! step and a whole step, are our own choice; no source is known.

use super::moment::{Moment, wall_span};
use super::types::{Place, Severity, StationaryFinding};
use crate::logset::ClockMap;
use crate::settings::{Phase, Site};
use underbrush_protocol::detect::{Limits, Stationary, StationaryEvent};
use underbrush_protocol::settings::machine::Deck;
use underbrush_protocol::si::{Joules, Seconds, SquareMetres};

/// Area of a section where no mark told which: 575 sq ft, the middle of common practice.
const USUAL_AREA: SquareMetres = SquareMetres(575.0 * 0.092_903_04);
/// Minutes of a step where the site file has none (common practice, no published source).
const USUAL_MINUTES: f64 = 30.0;

pub(super) struct StationaryEvents<'a> {
    site: &'a Site,
    deck: &'a Deck,
    detector: Stationary,
    place: Place,
    energy_j: Option<f64>,
    found: Vec<StationaryFinding>,
}

impl<'a> StationaryEvents<'a> {
    pub(super) fn new(site: &'a Site, deck: &'a Deck, limits: Limits) -> Self {
        let detector = Stationary::new(limits);
        Self { site, deck, detector, place: Place::default(), energy_j: None, found: Vec::new() }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        let ended = self.detector.step(moment.interval);
        self.take(ended, moment.clock);
        let Some(open) = self.detector.open() else { return };
        let energy = moment.friction_j.map(|j| j.iter().sum::<f64>());
        if open.from == moment.interval.from {
            self.place = moment.place;
            self.energy_j = energy;
        } else {
            self.energy_j = self.energy_j.zip(energy).map(|(sum, more)| sum + more);
        }
    }

    pub(super) fn boot_ends(&mut self, clock: &ClockMap) {
        let ended = self.detector.finish();
        self.take(ended, clock);
    }

    pub(super) fn finish(self) -> Vec<StationaryFinding> {
        self.found
    }

    fn take(&mut self, event: Option<StationaryEvent>, clock: &ClockMap) {
        let Some(StationaryEvent { run }) = event else { return };
        let dwell = Seconds::from_ms(run.ms());
        let band = self.site.band(self.place.phase.unwrap_or(Phase::Maintenance));
        let one_pass = Seconds(self.deck.contact_length.0 / band.middle().0);
        let equivalent_passes = dwell / one_pass;
        self.found.push(StationaryFinding {
            span: wall_span(clock, run),
            cut_short: run.cut_short,
            place: self.place,
            equivalent_passes,
            friction_energy: self.energy_j.map(Joules),
            severity: self.severity(equivalent_passes),
        });
    }

    fn severity(&self, passes: f64) -> Severity {
        let step = match self.place.phase {
            Some(Phase::Step(n)) => self.site.step(n),
            _ => self.site.steps.last(),
        };
        let minutes = step.map_or(USUAL_MINUTES, |s| s.minutes);
        let area = self.place.section.map_or(USUAL_AREA, |i| self.site.sections[i].area);
        let band = self.site.bands.restoration;
        let step_passes = minutes * 60.0 * band.middle().0 * self.deck.path_width.0 / area.0;
        if passes > step_passes {
            Severity::Severe
        } else if passes > step_passes / 4.0 {
            Severity::Inspect
        } else {
            Severity::Slight
        }
    }
}
