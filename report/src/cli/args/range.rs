//! Arguments of `underbrush sheet --from DATE --to DATE`.

use super::{Files, Look, UsageError};
use crate::timeline::parse_shift_date;
use chrono::NaiveDate;
use lexopt::prelude::*;
use std::ops::RangeInclusive;
use std::path::PathBuf;

/// More than a year is no summary that anybody reads.
const MOST_DAYS: i64 = 400;

#[derive(Debug)]
pub(in crate::cli) struct RangeArgs {
    pub(in crate::cli) files: Files,
    pub(in crate::cli) look: Look,
    pub(in crate::cli) dates: RangeInclusive<NaiveDate>,
    pub(in crate::cli) out: Option<PathBuf>,
    pub(in crate::cli) text: bool,
    pub(in crate::cli) csv: Option<PathBuf>,
    pub(in crate::cli) json: Option<PathBuf>,
}

/// What was given of a range.
#[derive(Debug, Default)]
pub(super) struct RangeOptions {
    from: Option<NaiveDate>,
    to: Option<NaiveDate>,
    csv: Option<PathBuf>,
}

impl RangeOptions {
    /// Takes the option `name`; `false` if it is none of a range.
    pub(super) fn take(
        &mut self,
        name: &str,
        parser: &mut lexopt::Parser,
    ) -> Result<bool, UsageError> {
        match name {
            "from" => self.from = Some(parse_shift_date(&parser.value()?.string()?)?),
            "to" => self.to = Some(parse_shift_date(&parser.value()?.string()?)?),
            "csv" => self.csv = Some(parser.value()?.into()),
            _ => return Ok(false),
        }
        Ok(true)
    }

    /// The dates and where the CSV goes; `None`: no range was asked for.
    #[allow(clippy::type_complexity)]
    pub(super) fn finish(
        self,
        shifts: Option<(NaiveDate, NaiveDate)>,
    ) -> Result<Option<(RangeInclusive<NaiveDate>, Option<PathBuf>)>, UsageError> {
        let wrong = |words: &str| Err(UsageError(words.to_owned()));
        let (from, to) = match (self.from, self.to) {
            (None, None) if self.csv.is_some() => {
                return wrong("--csv is of a summary: give --from and --to");
            }
            (None, None) => return Ok(None),
            (Some(from), Some(to)) => (from, to),
            _ => return wrong("a summary needs both --from and --to"),
        };
        if shifts.is_some() {
            return wrong(
                "--shift is one sheet for each night, --from and --to one summary: give one of them",
            );
        }
        if to < from {
            return wrong("--to is before --from");
        }
        if (to - from).num_days() >= MOST_DAYS {
            return wrong("--from and --to are more than 400 days apart");
        }
        Ok(Some((from..=to, self.csv)))
    }
}
