//! The shape of the findings: what the sheet may say.

use super::area::AreaFinding;
use super::care::{BatteryFinding, CareFinding};
use super::coverage::CoverageFinding;
use super::load::LoadFinding;
use super::quality::QualityFinding;
use super::speed::SpeedFinding;
use super::stationary::{Standing, StationaryFinding};
use super::wear::WearFinding;
use super::whereabouts::WorkBlock;
use crate::consumables::CheckList;
use crate::settings::{Band, Phase};
use chrono::{DateTime, NaiveDate, Utc};
use chrono_tz::Tz;
use underbrush_protocol::note::LinkLoss;
use underbrush_protocol::si::{Amperes, MetresPerSecond, Seconds, SquareMetres};

/// Everything found about one shift of one machine.
#[derive(Clone, Debug, serde::Serialize, serde::Deserialize)]
pub struct Findings {
    /// Which shift.
    pub shift: Shift,
    /// How much of it was seen.
    pub data: Completeness,
    /// Speed with brushes on.
    pub speed: SpeedFinding,
    /// Stationary-brush events in order.
    pub stationary: Vec<StationaryFinding>,
    /// What the search for them rests on.
    pub standing: Standing,
    /// Brush motor load.
    pub load: LoadFinding,
    /// Way and area.
    pub area: AreaFinding,
    /// Distinct area, overlap and missed strips, where the path is known.
    pub coverage: CoverageFinding,
    /// Work per section and phase, in order of begin.
    pub sections: Vec<SectionWork>,
    /// Switches in the wrong place, forbidden floors.
    pub care: CareFinding,
    /// The battery.
    pub battery: BatteryFinding,
    /// Sensors to doubt.
    pub quality: QualityFinding,
    /// Segment wear.
    pub wear: WearFinding,
    /// Checks of machine and consumables.
    pub checks: CheckList,
    /// Speed and current over the shift, for the chart.
    pub ribbon: Ribbon,
    /// Brush work cut into blocks, in order.
    pub blocks: Vec<WorkBlock>,
    /// Remarks that people noted for this shift.
    pub remarks: Vec<String>,
}

/// A span of wall time.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub struct Span {
    /// Begin.
    pub from: DateTime<Utc>,
    /// End.
    pub to: DateTime<Utc>,
}

impl Span {
    /// Its length.
    pub fn length(&self) -> Seconds {
        Seconds((self.to - self.from).num_milliseconds() as f64 / 1000.0)
    }
}

/// One shift.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Shift {
    /// Local date on which it starts.
    pub date: NaiveDate,
    /// From its start to its end; 7 or 9 h of clock time 22-06 in the nights that clocks change.
    pub span: Span,
    /// Zone of all printed times.
    #[serde(serialize_with = "zone_name", deserialize_with = "zone_named")]
    pub zone: Tz,
}

// Serde calls it so.
#[allow(clippy::trivially_copy_pass_by_ref)]
fn zone_name<S: serde::Serializer>(zone: &Tz, s: S) -> Result<S::Ok, S::Error> {
    s.serialize_str(zone.name())
}

fn zone_named<'de, D: serde::Deserializer<'de>>(d: D) -> Result<Tz, D::Error> {
    let name: String = serde::Deserialize::deserialize(d)?;
    name.parse().map_err(serde::de::Error::custom)
}

/// How much of the shift was seen, and what went wrong with the data.
#[derive(Clone, Debug, Default, serde::Serialize, serde::Deserialize)]
pub struct Completeness {
    /// Time in the shift that the agent was recording.
    pub recorded: Seconds,
    /// Part of it in which both speed and brush were observed.
    pub observed: Seconds,
    /// Stretches while recording without speed or brush readings, in order.
    pub gaps: Vec<Span>,
    /// Frames received, lost and damaged.
    pub link: LinkLoss,
    /// Readings of speed, turn rate and brush motors used.
    pub readings: u64,
    /// Largest uncertainty of the clock in the shift; `None` if no log was placed.
    pub clock_uncertainty: Option<Seconds>,
    /// Power-ons in the shift.
    pub boots: u32,
    /// What else is wrong, each a whole sentence that says where and what to do.
    pub problems: Vec<Problem>,
}

impl Completeness {
    /// Frames and stretches that are missing, for a note; `None` where none are.
    pub(crate) fn losses(&self) -> Option<String> {
        let (LinkLoss { lost, damaged, .. }, gaps) = (self.link, self.gaps.len());
        let s = |count: u64| if count == 1 { "" } else { "s" };
        let told = || {
            let (frames, gaps_s) = (s(lost.into()), s(gaps as u64));
            format!("{lost} frame{frames} lost, {damaged} damaged, {gaps} gap{gaps_s}")
        };
        (lost + damaged > 0 || gaps > 0).then(told)
    }
}

/// Something wrong with logs, marks or settings.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Problem {
    /// Whether data of this shift were lost by it.
    pub data_lost: bool,
    /// One sentence.
    pub message: String,
}

/// Where the machine was, by the last mark.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct Place {
    /// Index into the site's sections.
    pub section: Option<usize>,
    /// Step or maintenance.
    pub phase: Option<Phase>,
    /// Who said so.
    pub source: PlaceSource,
}

/// Who said where the machine was.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub enum PlaceSource {
    /// Nobody.
    #[default]
    Unmarked,
    /// A tag or button at the machine.
    Machine,
    /// The shift book.
    Book,
    /// Nobody: work that was matched with the night's plan (see `whereabouts`).
    Assumed,
}

/// One entry of what was to be done in a night, in order.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Planned {
    /// Index into the site's sections.
    pub section: usize,
    /// Step or maintenance.
    pub phase: Phase,
    /// Brush time that it is expected to take.
    pub expected: Seconds,
}

/// Work on one section in one phase.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct SectionWork {
    /// Which; `place.section` is `None` for work that nobody marked.
    pub place: Place,
    /// From the first mark to the last moment there.
    pub span: Span,
    /// Brush time.
    pub brush_time: Seconds,
    /// Brush time in the band of the phase.
    pub in_band: Option<Seconds>,
    /// Mean speed over brush time.
    pub mean_speed: Option<MetresPerSecond>,
    /// Swept area.
    pub swept_area: SquareMetres,
    /// Swept area / section area.
    pub passes: Option<f64>,
    /// Stationary-brush events there.
    pub stationary_events: u32,
    /// Brushes turned on a floor that must never be polished.
    pub forbidden: bool,
    /// What the time in band says of the step.
    pub verdict: StepVerdict,
    /// How sure it is that the work was here, 0 to 1; only where most of it was assumed.
    pub confidence: Option<f64>,
}

/// Whether a step is done. A step counts minutes in band of this shift only.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum StepVerdict {
    /// Done; the number of the step that is next, or `None` when the section is restored.
    Done {
        /// Next step.
        next: Option<u8>,
    },
    /// Not done: this much time in band is missing.
    Open {
        /// Step to go on with.
        step: u8,
        /// Time in band that is missing.
        missing: Seconds,
    },
    /// The daily run was made; there is nothing to finish.
    Maintained,
    /// The phase is not known, or the site has no such step.
    Unknown,
}

/// Speed and current over the shift in equal steps: mean, smallest and largest.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Ribbon {
    /// From the shift's start to its end.
    pub cells: Vec<RibbonCell>,
}

/// One step of the ribbon; `None` where nothing was observed.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct RibbonCell {
    /// Smallest and largest speed (without sign).
    pub speed: Option<(MetresPerSecond, MetresPerSecond)>,
    /// Time-weighted mean speed (without sign).
    pub speed_mean: Option<MetresPerSecond>,
    /// Smallest and largest current of the most loaded motor.
    pub current: Option<(Amperes, Amperes)>,
    /// Time-weighted mean current of the most loaded motor.
    pub current_mean: Option<Amperes>,
    /// Share of the step with a brush turning, 0 to 1; `None`: not observed.
    pub brush_on: Option<f32>,
    /// Band of the phase in force at the end of the step.
    pub band: Option<Band>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_missing_in_words() {
        let mut data = Completeness::default();
        assert_eq!(data.losses(), None);
        let at = DateTime::<Utc>::UNIX_EPOCH;
        data.gaps = vec![Span { from: at, to: at }];
        assert_eq!(data.losses().as_deref(), Some("0 frames lost, 0 damaged, 1 gap"));
        (data.link.lost, data.link.damaged) = (1, 2);
        data.gaps.clear();
        assert_eq!(data.losses().as_deref(), Some("1 frame lost, 2 damaged, 0 gaps"));
    }
}
