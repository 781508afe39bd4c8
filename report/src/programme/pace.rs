//! How long work takes on the clock and of the battery: learned from past nights.
//!
//! Words: *band share* is time in band over brush time in restoration; *clock share*
//! is time on a section over brush time there (standing, filling water, turning),
//! the median of stays; *run* is brush time of a daily run per area of floor, the
//! median of nights. Below [`ENOUGH`] of brush time nothing is learned: then all
//! brush time counts as in band, nothing is added for stops, and a run takes what
//! path width and the middle of the band come to. The plan says which.

use super::stay::Stay;
use crate::findings::robust;
use crate::settings::Phase;
use underbrush_protocol::si::Seconds;

/// Brush time in restoration that is enough to learn from.
const ENOUGH: Seconds = Seconds(3600.0);
/// A share that no plan can rest on: below this the work itself is wrong.
const LEAST_BAND_SHARE: f64 = 0.2;
/// A stay shorter than this says nothing of stops, in s.
const STAY_S: f64 = 300.0;

/// What the plan counts with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Time in band over brush time, in restoration.
    pub band_share: f64,
    /// Time on the clock over brush time.
    pub clock_share: f64,
    /// Brush time in s of a daily run per m² of floor.
    pub run_s_m2: f64,
    /// Whether the shares were learned.
    pub learned: bool,
    /// Whether the run was learned.
    pub run_learned: bool,
}

impl Pace {
    /// From all `stays`; `run_s_m2` stands in for daily runs that nobody made yet.
    pub(super) fn of(stays: &[Stay], areas: &[f64], run_s_m2: f64) -> Self {
        let steps = || stays.iter().filter(|s| matches!(s.phase, Some(Phase::Step(_))));
        let brush: Seconds = steps().map(|stay| stay.brush_time).sum();
        let band: Seconds = steps().map(|stay| stay.in_band).sum();
        let long = steps().filter(|stay| stay.brush_time.0 >= STAY_S);
        let clock = median(long.map(|stay| stay.clock / stay.brush_time).collect());
        let learned = brush >= ENOUGH;
        let run = median(stays.iter().filter_map(|stay| run(stay, areas)).collect());
        Self {
            band_share: if learned { (band / brush).clamp(LEAST_BAND_SHARE, 1.0) } else { 1.0 },
            clock_share: clock.filter(|_| learned).map_or(1.0, |share| share.clamp(1.0, 2.0)),
            run_s_m2: run.unwrap_or(run_s_m2),
            learned,
            run_learned: run.is_some(),
        }
    }
}

/// Brush time of a whole daily run per area; less than the whole floor is no run.
fn run(stay: &Stay, areas: &[f64]) -> Option<f64> {
    let area = areas.get(stay.section?)?;
    let whole = stay.phase == Some(Phase::Maintenance) && stay.swept.0 >= *area;
    whole.then(|| stay.brush_time.0 / area)
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.retain(|value| value.is_finite());
    robust::median(&values)
}
