//! How likely the blocks of a night are, given what was to be done.
//!
//! Each block is seen by four numbers: its brush time, its typical speed, and length and
//! way of the rest before it. They are taken as independent, given what the block was:
//!
//! - *Time*: the brush time of an entry, over the minutes it was to take and over the pace
//!   of the night, is lognormal with a spread of [`STEP_SPREAD`] (a step has a clock) or
//!   [`TOUR_SPREAD`] (a tour has none). One in [`CUT_SHORT`] entries is cut short or
//!   doubled: wide around 0.6. Parts of an interrupted entry cut its time uniformly.
//! - *Speed*: normal around the middle of the band of the phase, spread half its width;
//!   one block in fifty has any speed.
//! - *Rest*: lognormal by what lies between: the way to the next section, a change of
//!   tools where the grit differs, a stop within a section, and meals and tanks in all.
//! - *Way* driven in the rest: short for a stop, some tens of metres for the others.
//!
//! The numbers are our own; no published source. The spread of a tour and the shares of
//! entries left out, ended early, swapped and cut short were chosen on simulated nights
//! with seeds from 10,000 on, which no test uses; the others are untuned.
//! The *pace* of a night is how much longer all its entries of a kind take than planned,
//! learned from the night itself ([`super::assume()`]).
//! What somebody told counts as [`TOLD`] to one against anything else.

use super::blocks::WorkBlock;
use super::lattice::Weights;
use crate::findings::{Place, PlaceSource, Planned};
use crate::settings::{Band, Phase, Site};
use std::f64::consts::TAU;
use std::ops::Range;

const STEP_SPREAD: f64 = 0.15;
const TOUR_SPREAD: f64 = 0.18;
/// Share of entries whose time is not at all the planned one.
const CUT_SHORT: f64 = 0.05;
/// Share of entries of a plan that are not worked though later ones are.
const LEFT_OUT: f64 = 0.03;
/// Share of entries at the plan's end for which no time was left.
const ENDED_EARLY: f64 = 0.12;
/// Share of blocks that are not of the plan.
const EXTRA: f64 = 0.02;
/// Shares of entries worked in one, two, ... blocks.
const PARTS: [f64; super::lattice::MOST_PARTS] = [0.80, 0.13, 0.04, 0.015, 0.005, 0.002];
/// Shares of entries that begin two, three, ... entries without a rest.
const TOGETHER: [f64; super::lattice::MOST_TOGETHER - 1] = [0.02, 0.006, 0.002];
const SWAPPED: f64 = 0.01;
const TOLD: f64 = 10_000.0;
/// A mark that is only in force since an earlier block may have been forgotten.
const TOLD_BEFORE: f64 = 300.0;
/// The fastest that a machine is taken to go, in m/s.
const FASTEST_M_S: f64 = 2.5;

fn log_normal(x: f64, mean: f64, spread: f64) -> f64 {
    let z = (x - mean) / spread;
    -0.5 * z * z - (spread * TAU.sqrt()).ln()
}

/// Of shares and densities, all as logarithms but the shares.
fn mixed(of: &[(f64, f64)]) -> f64 {
    let most = of.iter().map(|(_, log)| *log).fold(f64::NEG_INFINITY, f64::max);
    most + of.iter().map(|(share, log)| share * (log - most).exp()).sum::<f64>().ln()
}

/// What a block is seen by.
#[derive(Clone, Copy, Debug)]
struct Seen {
    log_s: f64,
    speed_m_s: Option<f64>,
    /// Logarithms of length in s and way in m; `None` before the first block.
    rest: Option<(f64, f64)>,
    told: Option<(Place, f64)>,
}

/// What an entry is expected to look like.
#[derive(Clone, Copy, Debug)]
struct Expected {
    place: Place,
    time_s: f64,
    band: Band,
    tool: usize,
}

/// What lies between two blocks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Between {
    /// The same entry goes on.
    Same,
    /// Another entry with the same tool.
    Next,
    /// Another tool.
    Tools,
    /// Work that is not of the plan, before or behind.
    Any,
}

/// In order of their numbers.
const BETWEEN: [Between; 4] = [Between::Same, Between::Next, Between::Tools, Between::Any];

/// How much longer than planned the entries of a night take, as logarithms.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(super) struct Pace {
    pub(super) steps: f64,
    pub(super) tour: f64,
}

/// A night and its plan in numbers.
#[derive(Clone, Debug)]
pub(super) struct Likelihood {
    seen: Vec<Seen>,
    expected: Vec<Expected>,
    tools: usize,
    setup_s: f64,
    bands: [Band; 2],
    pub(super) pace: Pace,
    known: Known,
}

/// Weights that do not depend on the pace. The lattice asks for each many times.
#[derive(Clone, Debug, Default)]
struct Known {
    /// Of each block, by what lies before it.
    rests: Vec<[f64; 4]>,
    /// Of each block in the band of each entry.
    speeds: Vec<Vec<f64>>,
    /// Of each block that is no entry.
    extras: Vec<f64>,
}

impl Likelihood {
    pub(super) fn new(site: &Site, blocks: &[WorkBlock], planned: &[Planned]) -> Self {
        let mut grits: Vec<String> = Vec::new();
        let expected = planned.iter().map(|entry| {
            let grit = grit(site, entry.phase);
            let tool = grits.iter().position(|known| *known == grit).unwrap_or(grits.len());
            if tool == grits.len() {
                grits.push(grit);
            }
            let place = Place {
                section: Some(entry.section),
                phase: Some(entry.phase),
                source: PlaceSource::Assumed,
            };
            let time_s = entry.expected.0.max(10.0);
            Expected { place, time_s, band: site.band(entry.phase), tool }
        });
        let expected = expected.collect();
        let mut likelihood = Self {
            seen: blocks.iter().map(Seen::of).collect(),
            expected,
            tools: grits.len(),
            setup_s: (site.night.setup_minutes * 60.0).max(60.0),
            bands: [site.bands.restoration, site.bands.maintenance],
            pace: Pace::default(),
            known: Known::default(),
        };
        likelihood.known = Known::of(&likelihood);
        likelihood
    }

    fn is_step(&self, entry: usize) -> bool {
        matches!(self.expected[entry].place.phase, Some(Phase::Step(_)))
    }

    fn spread(&self, entry: usize) -> f64 {
        if self.is_step(entry) { STEP_SPREAD } else { TOUR_SPREAD }
    }

    /// Expected brush time of entries worked together and its spread, as logarithms.
    /// Sums of lognormals with small spreads are nearly lognormal (Fenton 1960).
    fn time(&self, entries: Range<usize>) -> (f64, f64) {
        let pace = |e: usize| if self.is_step(e) { self.pace.steps } else { self.pace.tour };
        let time = |e: usize| self.expected[e].time_s * pace(e).exp();
        let sum: f64 = entries.clone().map(time).sum();
        let squares: f64 = entries.map(|e| (time(e) * self.spread(e)).powi(2)).sum();
        (sum.ln(), squares.sqrt() / sum)
    }

    fn time_weight(&self, log_s: f64, entries: Range<usize>) -> f64 {
        let (mean, spread) = self.time(entries);
        mixed(&[
            (1.0 - CUT_SHORT, log_normal(log_s, mean, spread)),
            (CUT_SHORT, log_normal(log_s, mean - 0.5, 0.8)),
        ])
    }

    fn speed_weight(&self, block: usize, bands: &[Band]) -> f64 {
        let Some(speed) = self.seen[block].speed_m_s else { return -FASTEST_M_S.ln() };
        let share = 0.98 / bands.len() as f64;
        let mut parts = vec![(0.02, -FASTEST_M_S.ln())];
        parts.extend(bands.iter().map(|band| {
            let spread = 0.5 * (band.high.0 - band.low.0);
            (share, log_normal(speed, band.middle().0, spread.max(0.02)))
        }));
        mixed(&parts)
    }

    fn rest_weight(&self, block: usize, between: Between) -> f64 {
        let Some((log_s, log_m)) = self.seen[block].rest else { return 0.0 };
        let near = |median: f64, spread: f64| log_normal(log_s, median.ln(), spread);
        let far = |median: f64, spread: f64| log_normal(log_m, median.ln(), spread);
        let meal = near(900.0, 0.9);
        match between {
            Between::Next => {
                mixed(&[(0.85, near(45.0, 0.6)), (0.15, meal)])
                    + mixed(&[(0.95, far(35.0, 0.7)), (0.05, far(10.0, 2.0))])
            }
            Between::Tools => {
                mixed(&[(0.85, near(self.setup_s, 0.45)), (0.15, near(900.0, 1.2))])
                    + mixed(&[(0.9, far(35.0, 0.8)), (0.1, far(10.0, 2.0))])
            }
            Between::Same => {
                mixed(&[(0.6, near(170.0, 0.7)), (0.4, meal)])
                    + mixed(&[(0.6, far(1.5, 0.8)), (0.4, far(35.0, 0.9))])
            }
            Between::Any => near(200.0, 1.5) + far(20.0, 1.5),
        }
    }

    fn extra_weight(&self, block: usize) -> f64 {
        let time = log_normal(self.seen[block].log_s, 480_f64.ln(), 1.3);
        let told = match self.seen[block].told {
            // What was told and is planned is hardly something else.
            Some((told, _)) if self.expected.iter().any(|e| agrees(&told, &e.place)) => 0.02,
            _ => 1.0,
        };
        EXTRA.ln()
            + time
            + self.speed_weight(block, &self.bands)
            + self.rest_weight(block, Between::Any)
            + f64::ln(told)
    }

    fn told_weight(&self, block: usize, places: &[Place]) -> f64 {
        let Some((told, odds)) = self.seen[block].told else { return 0.0 };
        if places.iter().any(|place| agrees(&told, place)) { 0.0 } else { -f64::ln(odds) }
    }

    /// Entry `e` in one to some blocks: the log of time over what was planned, for the pace.
    pub(super) fn behind(&self, e: usize, blocks: Range<usize>) -> f64 {
        let sum: f64 = blocks.map(|b| self.seen[b].log_s.exp()).sum();
        (sum / self.expected[e].time_s).ln()
    }

    /// Whether an entry is a step, and its place.
    pub(super) fn entry(&self, entry: usize) -> (bool, Place) {
        (self.is_step(entry), self.expected[entry].place)
    }

    /// Of entries worked together: the share of the time that each takes, and how sure its
    /// own time is when the borders between them are only guessed by these shares.
    pub(super) fn shares(&self, entries: Range<usize>) -> Vec<(f64, f64)> {
        let (log_sum, spread) = self.time(entries.clone());
        let count = entries.len();
        let share = |e: usize| (self.time(e..e + 1).0 - log_sum).exp();
        let sure = |place: usize, share: f64| {
            // The mean of a normal's absolute value is 0.8 of its spread.
            let borders = if place == 0 || place + 1 == count { 1.0 } else { 2.0 };
            (1.0 - 0.8 * borders * spread / share).clamp(0.05, 1.0)
        };
        entries.enumerate().map(|(n, e)| (share(e), sure(n, share(e)))).collect()
    }
}

impl Known {
    fn of(likelihood: &Likelihood) -> Self {
        let speed = |block: usize, entry: &Expected| likelihood.speed_weight(block, &[entry.band]);
        let speeds = |block: usize| likelihood.expected.iter().map(|e| speed(block, e)).collect();
        let rests = |block: usize| BETWEEN.map(|between| likelihood.rest_weight(block, between));
        let blocks = 0..likelihood.seen.len();
        Self {
            rests: blocks.clone().map(rests).collect(),
            speeds: blocks.clone().map(speeds).collect(),
            extras: blocks.map(|block| likelihood.extra_weight(block)).collect(),
        }
    }
}

fn grit(site: &Site, phase: Phase) -> String {
    match phase {
        Phase::Step(number) => {
            site.step(number).map_or_else(|| format!("step {number}"), |step| step.grit.clone())
        }
        Phase::Maintenance => {
            site.maintenance.as_ref().map_or_else(|| "upkeep".to_owned(), |m| m.grit.clone())
        }
    }
}

/// Whether a place is what was told, as far as that goes.
pub(super) fn agrees(told: &Place, place: &Place) -> bool {
    let section = told.section.is_none() || told.section == place.section;
    section && (told.phase.is_none() || told.phase == place.phase)
}

impl Seen {
    fn of(block: &WorkBlock) -> Self {
        let rest =
            block.before.length.map(|s| (s.0.max(1.0).ln(), block.before.way.0.max(0.5).ln()));
        let told = block.told.and_then(|told| match (told.here, told.place.source) {
            (true, _) => Some((told.place, TOLD)),
            (false, PlaceSource::Machine) => Some((told.place, TOLD_BEFORE)),
            // A line of the book corrects the block that it is about.
            (false, _) => None,
        });
        Self {
            log_s: block.brush_time.0.max(1.0).ln(),
            speed_m_s: block.typical_speed.map(|speed| speed.0),
            rest,
            told,
        }
    }
}

impl Weights for Likelihood {
    fn blocks(&self) -> usize {
        self.seen.len()
    }

    fn entries(&self) -> usize {
        self.expected.len()
    }

    fn tools(&self) -> usize {
        self.tools
    }

    fn tool(&self, entry: usize) -> usize {
        self.expected[entry].tool
    }

    fn left_out(&self, _: usize, at_end: bool) -> f64 {
        if at_end { ENDED_EARLY.ln() } else { LEFT_OUT.ln() }
    }

    fn extra(&self, block: usize) -> f64 {
        self.known.extras[block]
    }

    fn work(&self, entry: usize, blocks: Range<usize>, last: Option<usize>) -> f64 {
        let expected = &self.expected[entry];
        let whole: f64 = blocks.clone().map(|b| self.seen[b].log_s.exp()).sum();
        let mut weight = (1.0 - LEFT_OUT).ln() + self.time_weight(whole.ln(), entry..entry + 1);
        // Parts cut the time uniformly: (n - 1)! on the simplex, by logarithms of the parts.
        weight += PARTS[blocks.len() - 1].ln();
        let begin = blocks.start;
        for (number, block) in blocks.enumerate() {
            weight += if number > 0 { (number as f64).ln() } else { 0.0 };
            weight += self.seen[block].log_s - whole.ln();
            weight += self.known.speeds[block][entry];
            weight += self.told_weight(block, &[expected.place]);
            let between = match last {
                _ if block > begin => Between::Same,
                Some(tool) if tool == expected.tool => Between::Next,
                Some(_) => Between::Tools,
                None => Between::Any,
            };
            weight += self.known.rests[block][between as usize];
        }
        weight
    }

    fn together(&self, entries: Range<usize>, block: usize, last: Option<usize>) -> f64 {
        let first = entries.start;
        let tool = self.expected[first].tool;
        if entries.clone().any(|e| self.is_step(e) || self.expected[e].tool != tool) {
            return f64::NEG_INFINITY;
        }
        let places: Vec<Place> = entries.clone().map(|e| self.expected[e].place).collect();
        let between = match last {
            Some(last) if last == tool => Between::Next,
            Some(_) => Between::Tools,
            None => Between::Any,
        };
        TOGETHER[entries.len() - 2].ln()
            + self.time_weight(self.seen[block].log_s, entries)
            + self.known.speeds[block][first]
            + self.told_weight(block, &places)
            + self.known.rests[block][between as usize]
    }

    fn swapped(&self) -> f64 {
        SWAPPED.ln()
    }
}
