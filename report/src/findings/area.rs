//! Way, swept area, passes and the area worked in an hour.
//!
//! Swept area = path width x way driven while a brush turns on the floor: the
//! theoretical field capacity of ASABE EP496 (speed x width), summed over time.
//! Forward and backward both count, and so does floor that is swept again.
//! Passes = swept area / section area. The area of an hour is swept area by brush
//! time: standing and turning with brushes on count as time, so it is the
//! capacity of EP496 with the field efficiency of the brush time in it.
//!
//! Net area is what is left of the swept area when the overlap is taken off.
//! Where the path is known for most of the way (see `coverage`) the overlap is
//! measured: all floor that was swept again in the same visit. Elsewhere it is
//! assumed: that of neighbouring lanes alone, from the machine file.

use super::coverage::CoverageFinding;
use super::figure::{Amount, Case, Figure, Known};
use super::moment::{Moment, wall};
use super::stationary::StationaryFinding;
use super::steps;
use super::types::{Place, PlaceSource, SectionWork, Span, StepVerdict};
use crate::settings::Site;
use underbrush_protocol::si::{Metres, MetresPerSecond, Seconds, SquareMetres};

/// Brushes that turn longer than this on a forbidden floor are reported: crossing a tag is not work.
const FORBIDDEN_AFTER: Seconds = Seconds(5.0);
/// Work shorter than this on a section is not listed, unless something happened there.
const LISTED_AFTER: Seconds = Seconds(5.0);

/// Way and area.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct AreaFinding {
    /// Way driven, both directions, brushes on or off; only observed time.
    pub distance: Metres,
    /// Way driven with a brush turning and the head not known to be up.
    pub swept_distance: Metres,
    /// Swept distance x path width: overlap counts twice.
    pub swept_area: SquareMetres,
    /// Observed time with a brush turning.
    pub brush_time: Seconds,
    /// How far the machine's own brush hour meter went, where it tells.
    pub brush_meter: Option<Seconds>,
    /// Swept area per hour of brush time; `None` without brush time.
    pub area_per_hour: Option<SquareMetres>,
    /// Overlap, measured or assumed.
    pub overlap: Overlap,
}

/// Share of the swept area that is floor swept before.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum Overlap {
    /// From the path: everything swept again in the same visit.
    Measured(f64),
    /// From the machine file: that of neighbouring lanes.
    Assumed(f64),
}

impl Default for Overlap {
    fn default() -> Self {
        Self::Assumed(0.0)
    }
}

impl Overlap {
    /// The share, 0 to 1.
    pub fn share(self) -> f64 {
        let (Self::Measured(share) | Self::Assumed(share)) = self;
        share
    }
}

impl AreaFinding {
    /// Swept area without the overlap.
    pub fn net_area(&self) -> SquareMetres {
        self.swept_area * (1.0 - self.overlap.share())
    }
}

pub(super) struct Areas<'a> {
    site: &'a Site,
    path_width: Metres,
    found: AreaFinding,
    meter: Option<(u32, u32)>,
    sections: Vec<SectionWork>,
    way_in: Vec<Metres>,
    sure: Vec<Sure>,
    /// Where `place` is in `sections`.
    current: Option<(Place, usize)>,
}

/// Who told the place of one section's work: what most of its brush time rests on.
#[derive(Clone, Copy, Debug, Default)]
struct Sure {
    told: Option<PlaceSource>,
    told_time: Seconds,
    assumed_time: Seconds,
    /// Sum of confidence x assumed time.
    weighted: f64,
}

impl Sure {
    fn step(&mut self, moment: &Moment<'_>) {
        let length = moment.length();
        if moment.place.source == PlaceSource::Assumed {
            self.assumed_time += length;
            self.weighted += moment.stay.confidence.unwrap_or(0.0) * length.0;
        } else {
            self.told.get_or_insert(moment.place.source);
            self.told_time += length;
        }
    }

    fn says(&self, first: PlaceSource) -> (PlaceSource, Option<f64>) {
        if self.assumed_time > self.told_time {
            (PlaceSource::Assumed, Some(self.weighted / self.assumed_time.0))
        } else {
            (self.told.unwrap_or(first), None)
        }
    }
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
            sure: Vec::new(),
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
        self.sure[index].step(moment);
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
                confidence: None,
            });
            self.sure.push(Sure::default());
            self.sections.len() - 1
        });
        self.current = Some((moment.place, index));
        index
    }

    pub(super) fn finish(
        mut self,
        stationary: &[StationaryFinding],
        coverage: &CoverageFinding,
        assumed_overlap: f64,
    ) -> (AreaFinding, Vec<SectionWork>) {
        let found = &mut self.found;
        found.swept_area = self.path_width * found.swept_distance;
        let measured = coverage.overlap().map(Overlap::Measured);
        found.overlap = measured.unwrap_or(Overlap::Assumed(assumed_overlap));
        found.brush_meter = self.meter.map(|(first, last)| Seconds(f64::from(last - first)));
        if found.brush_time.0 > 0.0 {
            found.area_per_hour = Some(found.swept_area * (3600.0 / found.brush_time.0));
        }
        for ((work, way), sure) in self.sections.iter_mut().zip(&self.way_in).zip(&self.sure) {
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
            (work.place.source, work.confidence) = sure.says(work.place.source);
            work.verdict = steps::verdict(self.site, work);
        }
        self.sections.retain(|w| w.brush_time > LISTED_AFTER || w.stationary_events > 0);
        (self.found, self.sections)
    }
}

const READ: &[&str] =
    &["speed", "brush_command", "brush_current_1", "brush_rotation_1", "head_down"];
const THEORY: &str = "theoretical field capacity, width x speed: ASABE EP496";
const BOTH_WAYS: &str = "Forward and backward both sweep; overlap counts each time.";

fn swept(known: &Known<'_>) -> Vec<Case> {
    let area = &known.findings.area;
    Case::one([
        ("path width", Amount::Length(known.machine.deck.path_width)),
        ("way with a brush turning on the floor", Amount::Way(area.swept_distance)),
        ("swept area", Amount::Area(area.swept_area)),
    ])
}

fn rate(known: &Known<'_>) -> Vec<Case> {
    let area = &known.findings.area;
    let rate = Amount::or_unknown(area.area_per_hour, Amount::AreaPerHour, "no brush time");
    Case::one([
        ("swept area", Amount::Area(area.swept_area)),
        ("brush time", Amount::Time(area.brush_time)),
        ("area of an hour", rate),
    ])
}

fn net(known: &Known<'_>) -> Vec<Case> {
    let area = &known.findings.area;
    let how = match area.overlap {
        Overlap::Measured(_) => "measured by the path",
        Overlap::Assumed(_) => "assumed, no path",
    };
    Case::one([
        ("swept area", Amount::Area(area.swept_area)),
        ("overlap", Amount::Share(area.overlap.share())),
        ("that overlap is", Amount::Words(how.to_owned())),
        ("net area", Amount::Area(area.net_area())),
    ])
}

fn passes(known: &Known<'_>) -> Vec<Case> {
    let case = |work: &SectionWork| {
        let section = &known.site.sections[work.place.section?];
        let phase = work.place.phase.map_or_else(String::new, |phase| format!(", {phase}"));
        let passes = Amount::or_unknown(work.passes, Amount::Number, "no section marked");
        Some(Case::event(format!("{}{phase}", section.id), work.span).with([
            ("swept area", Amount::Area(work.swept_area)),
            ("section area", Amount::Area(section.area)),
            ("passes", passes),
        ]))
    };
    known.findings.sections.iter().filter_map(case).collect()
}

pub(super) const FIGURES: &[Figure] = &[
    Figure {
        id: "area.swept",
        says: "Swept area",
        channels: READ,
        settings: &["machine:deck.path_width", "machine:speed.wheel_factor"],
        formula: "path width x sum of |speed| x interval length, a brush turning and the head not up",
        source: THEORY,
        assumed: &[BOTH_WAYS, "A head whose switch is not read is taken to be down."],
        worked: swept,
    },
    Figure {
        id: "area.rate",
        says: "Swept area in an hour of brush time",
        channels: READ,
        settings: &["machine:deck.path_width", "machine:speed.wheel_factor"],
        formula: "swept area / observed time with a brush turning",
        source: "effective field capacity: ASABE EP496",
        assumed: &[BOTH_WAYS, "Standing and turning with brushes on count as time."],
        worked: rate,
    },
    Figure {
        id: "area.passes",
        says: "Passes over a section",
        channels: READ,
        settings: &["machine:deck.path_width", "site:section"],
        formula: "swept area / area of the section",
        source: "our own definition",
        assumed: &[BOTH_WAYS, "All work between two marks is on the section of the first."],
        worked: passes,
    },
    Figure {
        id: "area.net",
        says: "Swept area without overlap",
        channels: &["speed", "turn_rate", "brush_command", "head_down"],
        settings: &["machine:deck.path_width", "machine:path.assumed_overlap"],
        formula: "swept area x (1 - overlap); overlap = 1 - distinct area / swept area where the path is known",
        source: "assumed overlap of 10 %: common practice, no published source",
        assumed: &[
            "An assumed overlap is that of neighbouring lanes only, not that of further passes.",
        ],
        worked: net,
    },
];
