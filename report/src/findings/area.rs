//! Way, swept area and passes.
//!
//! Swept area = path width x way driven while a brush turns on the floor: the
//! theoretical field capacity of ASABE EP496 (speed x width), summed over time.
//! Where no path is known, overlap of neighbouring runs counts twice. Passes =
//! swept area / section area. Forward and backward both count.

use super::moment::{Moment, wall};
use super::stationary::StationaryFinding;
use super::types::{AreaFinding, Place, SectionWork, Span, StepVerdict};
use crate::settings::{Phase, Site};
use underbrush_protocol::si::{Metres, MetresPerSecond, Seconds, SquareMetres};

/// Brushes that turn longer than this on a forbidden floor are reported: crossing a tag is not work.
const FORBIDDEN_AFTER: Seconds = Seconds(5.0);
/// Work shorter than this on a section is not listed, unless something happened there.
const LISTED_AFTER: Seconds = Seconds(5.0);

pub(super) struct Areas<'a> {
    site: &'a Site,
    path_width: Metres,
    found: AreaFinding,
    meter: Option<(u32, u32)>,
    sections: Vec<SectionWork>,
    way_in: Vec<Metres>,
    /// Where `place` is in `sections`.
    current: Option<(Place, usize)>,
}

impl<'a> Areas<'a> {
    pub(super) fn new(site: &'a Site, path_width: Metres) -> Self {
        Self {
            site,
            path_width,
            found: AreaFinding::default(),
            meter: None,
            sections: Vec::new(),
            way_in: Vec::new(),
            current: None,
        }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        if let Some(now) = moment.interval.states.brush_meter_s {
            // A meter that runs back was replaced or reset: count from there.
            let (first, last) = self.meter.unwrap_or((now, now));
            self.meter = Some(if now < last { (now, now) } else { (first, now) });
        }
        let Some(speed) = moment.speed() else { return };
        let way = speed * moment.length();
        self.found.distance += way;
        if moment.turning != Some(true) {
            return;
        }
        self.found.brush_time += moment.length();
        let on_floor = moment.interval.states.head_down != Some(false);
        let swept = if on_floor { way } else { Metres(0.0) };
        self.found.swept_distance += swept;

        let index = self.section_of(moment);
        let work = &mut self.sections[index];
        work.span.to = wall(moment.clock, moment.interval.to);
        work.brush_time += moment.length();
        work.swept_area += self.path_width * swept;
        self.way_in[index] += way;
        if let Some(band) = moment.band {
            let within = speed >= band.low && speed <= band.high;
            let so_far = work.in_band.unwrap_or(Seconds(0.0));
            work.in_band = Some(if within { so_far + moment.length() } else { so_far });
        }
    }

    fn section_of(&mut self, moment: &Moment<'_>) -> usize {
        if let Some((place, index)) = self.current.filter(|(place, _)| *place == moment.place) {
            debug_assert_eq!(place, moment.place);
            return index;
        }
        let same = |work: &SectionWork| {
            (work.place.section, work.place.phase) == (moment.place.section, moment.place.phase)
        };
        let index = self.sections.iter().position(same).unwrap_or_else(|| {
            let from = wall(moment.clock, moment.interval.from);
            self.way_in.push(Metres(0.0));
            self.sections.push(SectionWork {
                place: moment.place,
                span: Span { from, to: from },
                brush_time: Seconds(0.0),
                in_band: None,
                mean_speed: None,
                swept_area: SquareMetres(0.0),
                passes: None,
                stationary_events: 0,
                forbidden: false,
                verdict: StepVerdict::Unknown,
            });
            self.sections.len() - 1
        });
        self.current = Some((moment.place, index));
        index
    }

    pub(super) fn finish(
        mut self,
        stationary: &[StationaryFinding],
    ) -> (AreaFinding, Vec<SectionWork>) {
        let found = &mut self.found;
        found.swept_area = self.path_width * found.swept_distance;
        found.brush_meter = self.meter.map(|(first, last)| Seconds(f64::from(last - first)));
        if found.brush_time.0 > 0.0 {
            found.area_per_hour = Some(found.swept_area * (3600.0 / found.brush_time.0));
        }
        for (work, way) in self.sections.iter_mut().zip(&self.way_in) {
            let key = (work.place.section, work.place.phase);
            let here = |e: &&StationaryFinding| (e.place.section, e.place.phase) == key;
            work.stationary_events = stationary.iter().filter(here).count() as u32;
            if work.brush_time.0 > 0.0 {
                work.mean_speed = Some(MetresPerSecond(way.0 / work.brush_time.0));
            }
            if let Some(section) = work.place.section.map(|i| &self.site.sections[i]) {
                work.passes = Some(work.swept_area / section.area);
                work.forbidden = !section.polish && work.brush_time > FORBIDDEN_AFTER;
            }
            work.verdict = verdict(self.site, work);
        }
        self.sections.retain(|w| w.brush_time > LISTED_AFTER || w.stationary_events > 0);
        (self.found, self.sections)
    }
}

fn verdict(site: &Site, work: &SectionWork) -> StepVerdict {
    match (work.place.phase, work.in_band) {
        (Some(Phase::Maintenance), _) => StepVerdict::Maintained,
        (Some(Phase::Step(number)), Some(in_band)) => match site.step(number) {
            Some(step) if in_band.0 >= step.minutes * 60.0 => {
                StepVerdict::Done { next: site.step(number + 1).map(|s| s.number) }
            }
            Some(step) => {
                StepVerdict::Open { step: number, missing: Seconds(step.minutes * 60.0) - in_band }
            }
            None => StepVerdict::Unknown,
        },
        _ => StepVerdict::Unknown,
    }
}
