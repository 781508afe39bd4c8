//! What a shift's readings mean: typed, in SI, not rounded, each with its time.
//!
//! Words: *brush time* is observed time with a brush turning; a *place* is the
//! section and phase in force by the last mark. `None` always means unknown,
//! never zero.

mod area;
mod care;
mod completeness;
mod condition;
mod coverage;
mod figure;
mod friction;
mod histogram;
pub mod history;
mod kept;
mod load;
mod moment;
mod nights;
mod observed;
mod path;
mod place;
mod quality;
mod ribbon;
pub(crate) mod robust;
mod shift;
mod speed;
mod stationary;
pub(crate) mod statistics;
mod steps;
mod told_steps;
mod totals;
mod trace;
mod types;
mod wear;
pub mod whereabouts;

pub use crate::window::{Cell as TraceCell, Line as TraceLine, Quantity};
pub use area::{AreaFinding, Overlap};
pub use care::{
    BatteryFinding, BatteryRun, BatteryState, CareEvent, CareFinding, CareRule, Charge, Resistance,
    Trough,
};
pub use condition::{Condition, MotorCondition, read_condition, read_condition_of};
pub use coverage::{CoverageFinding, CoverageMap, Square, Visit};
pub use figure::{Amount, Case, Figure, Known, figures};
pub use histogram::SpeedHistogram;
pub use kept::KeptNights;
pub(crate) use kept::{Judged, Part};
pub use load::{
    AgainstNormal, DryLoad, Heat, LightCause, LoadFinding, LoadFindingEvent, LoadKind, MotorLoad,
    NightLoad, Normal, Onset, Scope, Source,
};
pub(crate) use nights::Nights;
pub use observed::{ENOUGH, Observed};
pub(crate) use place::correction;
pub(crate) use quality::possible;
pub use quality::{Doubt, Offset, QualityFinding, Sensor, SensorDoubt};
pub use shift::{Inputs, Judge, judge};
pub use speed::{Excursions, PhaseSpeed, SlipFinding, SpeedFinding};
pub use stationary::{BrushDwell, RunDowns, Severity, Standing, StationaryFinding};
pub(crate) use told_steps::{ToldStep, told_steps};
pub use totals::{Standstill, Totals};
pub use trace::{CELLS, MOST_TRACES, Trace, trace, traces};
pub use types::*;
pub use wear::{
    BrushWear, DailyUse, DayRange, Estimate, LengthDoubt, RateEstimate, WearCase, WearFinding,
    WearRemark,
};
