//! Which nights are due: the shift has ended, and its logs are all there or no longer
//! waited for.

use crate::settings::Site;
use crate::timeline::shift_of;
use chrono::{DateTime, Days, NaiveDate, TimeDelta, Utc};

/// Nights back from the last that are caught up.
const CAUGHT_UP: u64 = 7;

/// The date of the last shift that has ended; `None` at the ends of the calendar.
pub(super) fn last_ended(site: &Site, now: DateTime<Utc>) -> Option<NaiveDate> {
    let mut date = site.shift_date(now);
    // The shift of this date may still run, or with hours over noon even that before it.
    for _ in 0..3 {
        if shift_of(site, date).ok()?.span.to <= now {
            return Some(date);
        }
        date = date.pred_opt()?;
    }
    None
}

/// The nights to look at, in order: the last ones since the folder is watched. The night
/// that the watching began with counts however old it is.
pub(super) fn nights(began: NaiveDate, ended: NaiveDate) -> Vec<NaiveDate> {
    let from = ended.checked_sub_days(Days::new(CAUGHT_UP - 1)).unwrap_or(ended);
    let first = (began < from).then_some(began);
    let rest = from.max(began).iter_days().take_while(|date| *date <= ended);
    first.into_iter().chain(rest).collect()
}

/// What is known of a night's logs.
#[derive(Debug)]
pub(super) struct Logs {
    pub(super) shift_end: DateTime<Utc>,
    /// Of each machine.
    pub(super) machines: Vec<MachineLogs>,
    /// No log file has changed for a while.
    pub(super) quiet: bool,
}

#[derive(Clone, Debug)]
pub(super) struct MachineLogs {
    pub(super) id: String,
    /// Some of the night are there.
    pub(super) some: bool,
    /// They reach to the end of the shift or beyond.
    pub(super) to_end: bool,
}

/// Whether a sheet may be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Ready {
    Yes,
    /// The logs still change.
    Changing,
    /// These machines have no log of the night; they are waited for until then.
    Missing(Vec<String>, DateTime<Utc>),
}

/// May the first sheet of a night be made? A machine that records into the folder itself
/// never lets its log be quiet: when the wait is over, logs to the end of the shift are enough.
pub(super) fn ready(logs: &Logs, wait: TimeDelta, now: DateTime<Utc>) -> Ready {
    let until = logs.shift_end.checked_add_signed(wait).unwrap_or(logs.shift_end);
    let over = now >= until;
    let missing: Vec<String> =
        logs.machines.iter().filter(|m| !m.some).map(|m| m.id.clone()).collect();
    if !missing.is_empty() && !over {
        return Ready::Missing(missing, until);
    }
    let to_end = logs.machines.iter().filter(|m| m.some).all(|m| m.to_end);
    if logs.quiet || (over && to_end) { Ready::Yes } else { Ready::Changing }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SITE: &str = "name = \"x\"\ntime_zone = \"America/Chicago\"\n\
                        [shift]\nstart = \"22:00\"\nend = \"06:00\"\n";

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().unwrap()
    }

    fn ended(now: &str) -> String {
        let site = Site::parse("site.toml", SITE).unwrap();
        last_ended(&site, at(now)).unwrap().to_string()
    }

    // IANA tz, Chicago: 06:00 local is 12:00Z in winter (-6) and 11:00Z in summer (-5); clocks
    // go back on 2026-11-01 and forward on 2026-03-08, both in the shift of the day before.
    #[test]
    fn a_shift_has_ended_by_the_clock_on_its_wall() {
        assert_eq!(ended("2026-11-24T11:59:59Z"), "2026-11-22");
        assert_eq!(ended("2026-11-24T12:00:00Z"), "2026-11-23");
        // In the middle of the next shift, and in the day.
        assert_eq!(ended("2026-11-25T05:00:00Z"), "2026-11-23");
        assert_eq!(ended("2026-11-24T20:00:00Z"), "2026-11-23");
        assert_eq!(ended("2026-11-01T11:59:59Z"), "2026-10-30");
        assert_eq!(ended("2026-11-01T12:00:00Z"), "2026-10-31");
        assert_eq!(ended("2026-03-08T10:59:59Z"), "2026-03-06");
        assert_eq!(ended("2026-03-08T11:00:00Z"), "2026-03-07");
    }

    #[test]
    fn missed_nights_are_caught_up_but_not_all() {
        let day = |d| NaiveDate::from_ymd_opt(2026, 11, d).unwrap();
        assert_eq!(nights(day(23), day(23)), [day(23)]);
        assert_eq!(nights(day(20), day(23)), (20..=23).map(day).collect::<Vec<_>>());
        let long: Vec<_> = std::iter::once(3).chain(17..=23).map(day).collect();
        assert_eq!(nights(day(3), day(23)), long);
        assert_eq!(nights(day(24), day(23)), [] as [NaiveDate; 0]);
    }

    #[test]
    fn logs_are_waited_for_until_the_wait_is_over() {
        let machine = |id: &str, some, to_end| MachineLogs { id: id.to_owned(), some, to_end };
        let end = at("2026-11-24T12:00:00Z");
        let wait = TimeDelta::minutes(30);
        let (early, late) = (at("2026-11-24T12:10:00Z"), at("2026-11-24T12:30:00Z"));
        let logs = |second: bool, to_end: bool, quiet: bool| Logs {
            shift_end: end,
            machines: vec![machine("A", true, to_end), machine("B", second, false)],
            quiet,
        };
        assert_eq!(ready(&logs(true, false, true), wait, early), Ready::Yes);
        assert_eq!(ready(&logs(true, false, false), wait, late), Ready::Changing);
        let until = at("2026-11-24T12:30:00Z");
        assert_eq!(
            ready(&logs(false, true, true), wait, early),
            Ready::Missing(vec!["B".to_owned()], until)
        );
        assert_eq!(ready(&logs(false, false, true), wait, late), Ready::Yes);
        // One machine goes on recording into the folder.
        assert_eq!(
            ready(&logs(false, true, false), wait, early).clone(),
            Ready::Missing(vec!["B".to_owned()], until)
        );
        assert_eq!(ready(&logs(false, true, false), wait, late), Ready::Yes);
        assert_eq!(ready(&logs(false, false, false), wait, late), Ready::Changing);
    }
}
