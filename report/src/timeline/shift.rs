//! A shift's local hours as a span of UTC.

use crate::findings::{Shift, Span};
use crate::settings::Site;
use chrono::{DateTime, Days, LocalResult, NaiveDate, NaiveDateTime, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

/// Why a shift date is none.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ShiftError {
    /// Not a date.
    #[error("`{0}` is not a date; write the local date on which the shift starts, like 2026-11-23")]
    Date(String),
    /// The shift would end beyond the calendar.
    #[error("no shift can start on {0}")]
    OutOfRange(NaiveDate),
}

/// Reads the date of a shift.
pub fn parse_shift_date(text: &str) -> Result<NaiveDate, ShiftError> {
    text.parse().map_err(|_| ShiftError::Date(text.to_owned()))
}

/// The shift that starts on the local `date`.
pub fn shift_of(site: &Site, date: NaiveDate) -> Result<Shift, ShiftError> {
    let out_of_range = || ShiftError::OutOfRange(date);
    let end_date = if site.shift_end > site.shift_start {
        date
    } else {
        date.checked_add_days(Days::new(1)).ok_or_else(out_of_range)?
    };
    let from =
        utc_of(site.zone, date.and_time(site.shift_start), false).ok_or_else(out_of_range)?;
    let to = utc_of(site.zone, end_date.and_time(site.shift_end), true).ok_or_else(out_of_range)?;
    Ok(Shift { date, span: Span { from, to }, zone: site.zone })
}

/// UTC of a local time. One that occurs twice gives the first, or with `later` the
/// second; one that a clock change skips gives the first instant after it.
pub(crate) fn utc_of(zone: Tz, local: NaiveDateTime, later: bool) -> Option<DateTime<Utc>> {
    match zone.from_local_datetime(&local) {
        LocalResult::Single(t) => Some(t.to_utc()),
        LocalResult::Ambiguous(first, second) => Some(if later { second } else { first }.to_utc()),
        LocalResult::None => {
            let before = local.checked_sub_signed(TimeDelta::hours(3))?;
            let offset = zone.from_local_datetime(&before).earliest()?;
            Some(offset.to_utc() + TimeDelta::hours(3))
        }
    }
}
