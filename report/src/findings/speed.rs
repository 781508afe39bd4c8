//! Time at speed with brushes turning, against the band of the phase in force.
//!
//! Band ends belong to the band. Standing counts as below it.

use super::histogram::SpeedHistogram;
use super::moment::Moment;
use super::types::{PhaseSpeed, SpeedFinding};
use underbrush_protocol::si::Seconds;

#[derive(Default)]
pub(super) struct Speeds {
    histogram: SpeedHistogram,
    by_phase: Vec<PhaseSpeed>,
}

impl Speeds {
    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        let Some(speed) = moment.brush_speed() else { return };
        self.histogram.add(speed, moment.ms());
        let phase = moment.place.phase;
        let place = self.by_phase.iter().position(|p| p.phase == phase).unwrap_or_else(|| {
            let none = Seconds(0.0);
            let new =
                PhaseSpeed { phase, band: moment.band, below: none, within: none, above: none };
            self.by_phase.push(new);
            self.by_phase.len() - 1
        });
        let sums = &mut self.by_phase[place];
        match moment.band {
            Some(band) if speed < band.low => sums.below += moment.length(),
            Some(band) if speed > band.high => sums.above += moment.length(),
            // Without a band all time is in one sum; `band` says that it was not judged.
            _ => sums.within += moment.length(),
        }
    }

    pub(super) fn finish(mut self) -> SpeedFinding {
        self.by_phase.sort_by_key(|p| (p.phase.is_none(), p.phase));
        SpeedFinding { histogram: self.histogram, by_phase: self.by_phase }
    }
}
