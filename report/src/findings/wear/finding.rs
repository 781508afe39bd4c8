//! What is said about the segments.

use crate::findings::Observed;
use chrono::NaiveDate;
use underbrush_protocol::si::{Joules, Metres, MetresPerJoule};

/// Segment wear.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct WearFinding {
    /// Grit of the tool that is fitted, by the shift book.
    pub grit: Option<String>,
    /// Day on which it was fitted.
    pub fitted: Option<NaiveDate>,
    /// Friction energy of one brush (mean of all) in this shift.
    pub energy_shift: Option<Joules>,
    /// Last measured length (the shortest) and its date.
    pub measured: Option<(NaiveDate, Metres)>,
    /// Day from which friction energy is counted: that of fitting, or the first day of the logs.
    pub counted_from: Option<NaiveDate>,
    /// Friction energy of the deciding brush since its tool was fitted, as far as logs reach.
    pub energy_fitted: Option<Joules>,
    /// The same since the last measurement.
    pub energy_since: Option<Joules>,
    /// Shifts with brush work that `energy_since` covers.
    pub shifts_since: u32,
    /// Friction energy that a calendar day costs the deciding brush.
    pub daily: Option<DailyUse>,
    /// Length lost per friction energy.
    pub rate: Option<RateEstimate>,
    /// Bonded abrasive left at the end of this shift.
    pub left: Option<Estimate>,
    /// The day on which the reorder length is reached.
    pub reorder_day: Option<DayRange>,
    /// The day on which the bonded abrasive is used up.
    pub end_day: Option<DayRange>,
    /// The last day to order so that new segments arrive in time.
    pub order_by: Option<NaiveDate>,
    /// Reorder length in force.
    pub reorder_length: Metres,
    /// Length at which the bonded abrasive is used up.
    pub end_length: Metres,
    /// How much of the nights since fitting was observed.
    pub observed: Observed,
    /// Each brush, left to right, where they were measured apart; else empty.
    pub brushes: Vec<BrushWear>,
    /// Why something above is missing or weak; the most important first.
    pub remarks: Vec<WearRemark>,
}

/// One brush.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct BrushWear {
    /// Its last measured length and the date.
    pub measured: Option<(NaiveDate, Metres)>,
    /// Friction energy since its tool was fitted, as far as logs reach.
    pub energy_fitted: Joules,
    /// The same since the last measurement.
    pub energy_since: Joules,
    /// Friction energy of a calendar day.
    pub daily: DailyUse,
    /// Length lost per friction energy.
    pub rate: Option<RateEstimate>,
    /// Bonded abrasive left at the end of the shift.
    pub left: Option<Estimate>,
    /// The day on which the reorder length is reached.
    pub reorder_day: Option<DayRange>,
    /// The day on which the bonded abrasive is used up.
    pub end_day: Option<DayRange>,
}

/// Friction energy of one brush in a calendar day, idle days included.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct DailyUse {
    /// Mean.
    pub mean: Joules,
    /// Standard deviation from day to day.
    pub deviation: Joules,
    /// Days it is from.
    pub days: u32,
}

/// A wear rate with its 80 % interval.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct RateEstimate {
    /// Best value.
    pub best: MetresPerJoule,
    /// One in ten chance to be below.
    pub low: MetresPerJoule,
    /// One in ten chance to be above.
    pub high: MetresPerJoule,
    /// Measurements it was taken from; without any it is the machine file's.
    pub measurements: u32,
}

/// A length with its 80 % interval.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Estimate {
    /// Best value: as likely below as above.
    pub best: Metres,
    /// One in ten chance to be below.
    pub low: Metres,
    /// One in ten chance to be above.
    pub high: Metres,
}

/// A day with its 80 % interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct DayRange {
    /// Best value: as likely before as after.
    pub best: NaiveDate,
    /// One in ten chance to be before.
    pub early: NaiveDate,
    /// One in ten chance to be after; `None`: beyond two years.
    pub late: Option<NaiveDate>,
}

/// What is doubtful about a measured length.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum LengthDoubt {
    /// Longer than a new segment.
    LongerThanNew,
    /// Longer than the one before it.
    Grew {
        /// Date of the one before.
        since: NaiveDate,
        /// Its length.
        from: Metres,
    },
    /// Shorter than the friction energy explains.
    TooShort {
        /// What was expected.
        expected: Metres,
    },
    /// Longer than the friction energy explains.
    TooLong {
        /// What was expected.
        expected: Metres,
    },
}

/// Something to know about the estimate. Brushes are numbered from 0, left to right.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum WearRemark {
    /// Neither a tool nor a measurement is in the shift book: nothing is said.
    NothingNoted,
    /// The last measurement is doubtful: nothing is said until it is cleared up.
    Doubtful {
        /// Brush; `None`: the shortest of all.
        brush: Option<usize>,
        /// When it was measured.
        date: NaiveDate,
        /// What was measured.
        length: Metres,
        /// Why.
        doubt: LengthDoubt,
    },
    /// An earlier measurement is doubtful and was left out.
    LeftOut {
        /// Brush; `None`: the shortest of all.
        brush: Option<usize>,
        /// When it was measured.
        date: NaiveDate,
        /// What was measured.
        length: Metres,
        /// Why.
        doubt: LengthDoubt,
    },
    /// Much work since the last known length is not in the logs: nothing is said.
    NotLogged {
        /// Day of the last known length.
        since: NaiveDate,
        /// First day that logs cover; `None`: no logs.
        logged: Option<NaiveDate>,
    },
    /// Some days since the last known length are not in the logs; mean days stand in.
    FilledUp {
        /// Day of the last known length.
        since: NaiveDate,
        /// First day that logs cover.
        logged: NaiveDate,
    },
    /// No brush work in the logs: no day can be told.
    NoWork {
        /// Since when.
        since: NaiveDate,
    },
    /// More than two years to the reorder length.
    FarAway,
    /// The bonded abrasive is used up by now.
    UsedUp,
    /// Brushes wear unevenly.
    Uneven {
        /// When they were measured.
        date: NaiveDate,
        /// The shorter brush, and its length.
        short: (usize, Metres),
        /// The longer brush, and its length.
        long: (usize, Metres),
        /// Friction energy of the shorter brush over that of the longer since fitting, where both are measured.
        energy_ratio: Option<f64>,
    },
    /// The four lengths of one brush differ by more than reading errors.
    Quadrants {
        /// When they were measured.
        date: NaiveDate,
        /// Brush.
        brush: usize,
        /// The shortest.
        short: Metres,
        /// The longest.
        long: Metres,
    },
    /// Soon after fitting the segments are far shorter than the friction energy explains.
    Seating {
        /// When they were measured.
        date: NaiveDate,
        /// Brush; `None`: the shortest of all.
        brush: Option<usize>,
        /// When they were fitted.
        fitted: NaiveDate,
        /// What was measured.
        length: Metres,
        /// What was expected, from the length on fitting and the machine file's wear rate.
        expected: Metres,
    },
    /// Soon after fitting the four lengths of one brush differ by more than reading errors.
    SeatingUneven {
        /// When they were measured.
        date: NaiveDate,
        /// Brush.
        brush: usize,
        /// When they were fitted.
        fitted: NaiveDate,
        /// The shortest.
        short: Metres,
        /// The longest.
        long: Metres,
    },
    /// Never measured since it was fitted.
    NeverMeasured {
        /// Brush; `None`: all.
        brush: Option<usize>,
        /// When it was fitted.
        fitted: NaiveDate,
    },
    /// The last measurement is a week old or more.
    MeasureDue {
        /// When it was.
        last: NaiveDate,
    },
    /// The measured wear rate is not that of the machine file.
    RateDiffers {
        /// Brush; `None`: the shortest of all.
        brush: Option<usize>,
        /// Measured.
        measured: MetresPerJoule,
        /// Machine file.
        file: MetresPerJoule,
    },
    /// Readings scatter more than the measuring error explains.
    Scatter {
        /// Brush; `None`: the shortest of all.
        brush: Option<usize>,
        /// Their standard deviation.
        deviation: Metres,
        /// The measuring error of the machine file.
        file: Metres,
    },
    /// Logs since fitting are damaged.
    Damaged {
        /// In so many places.
        places: u32,
    },
    /// Too little of the nights since fitting was observed.
    LittleSeen {
        /// Share observed.
        share: f64,
    },
    /// Entries of the shift book that lie after the last log.
    Future {
        /// How many.
        entries: u32,
        /// The first of them.
        first: NaiveDate,
    },
    /// A measurement does not say which brush.
    WhichBrush {
        /// When.
        date: NaiveDate,
        /// Taken as that of this brush.
        brush: usize,
    },
    /// A measurement names a brush that the machine does not have.
    NoSuchBrush {
        /// When.
        date: NaiveDate,
        /// How many it has.
        brushes: u8,
    },
    /// Motor currents are not recorded apart.
    NotApart,
    /// More than one tool was fitted on one day.
    SeveralTools {
        /// When.
        date: NaiveDate,
    },
}
