//! The programme as rows: the same for JSON and for spreadsheets.
//!
//! Times are minutes, areas m², speeds m/s, dates local dates of the shift's start, all
//! named at the end of the key and not rounded. What is not known is `null`, in CSV an
//! empty cell. Keys are only ever added; one that changes its meaning raises `version`.
//! `report/PROGRAMME.md` lists them.

mod csv_text;
mod rows;

pub use csv_text::to_csv;
use rows::{PlanRow, SectionRow};

use super::{Finish, NoForecast, PerNight, Programme};
use crate::settings::Site;
use chrono::NaiveDate;
use serde::Serialize;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::si::{Seconds, SquareMetres};

/// Raised when a key changes its meaning.
const VERSION: u32 = 1;

/// What the rows are made from.
#[derive(Clone, Copy, Debug)]
pub struct Told<'a> {
    /// The programme.
    pub programme: &'a Programme,
    /// Its site.
    pub site: &'a Site,
    /// Its machines.
    pub machines: &'a [&'a Machine],
}

#[derive(Serialize)]
struct Whole<'a> {
    format: &'static str,
    version: u32,
    site: &'a str,
    date: NaiveDate,
    areas: AreaRow,
    missing_min: f64,
    not_marked_min: f64,
    rate: Option<RateRow>,
    finish: FinishRow,
    sections: Vec<SectionRow<'a>>,
    plans: Vec<PlanRow<'a>>,
}

#[derive(Serialize)]
struct AreaRow {
    polish_m2: f64,
    restored_m2: f64,
    due_for_refresh_m2: f64,
    in_work_m2: f64,
    waiting_m2: f64,
    never_m2: f64,
    restored_share: Option<f64>,
}

#[derive(Serialize)]
struct RateRow {
    since: NaiveDate,
    nights: u32,
    worked: u32,
    unseen: u32,
    days_off: Vec<String>,
    area_m2: Range,
    in_band_min: Range,
}

/// Mean of a night with its 80 % interval.
#[derive(Serialize)]
struct Range {
    mean: f64,
    low: f64,
    high: Option<f64>,
}

#[derive(Default, Serialize)]
struct FinishRow {
    state: &'static str,
    early: Option<NaiveDate>,
    best: Option<NaiveDate>,
    late: Option<NaiveDate>,
    why_not: Option<&'static str>,
}

/// The programme as JSON, two spaces to a level.
pub fn to_json(told: Told<'_>) -> String {
    let Told { programme, site, .. } = told;
    let areas = &programme.areas;
    let whole = Whole {
        format: "underbrush-programme",
        version: VERSION,
        site: &site.name,
        date: programme.date,
        areas: AreaRow {
            polish_m2: areas.polish.0,
            restored_m2: areas.restored.0,
            due_for_refresh_m2: areas.due_for_refresh.0,
            in_work_m2: areas.in_work.0,
            waiting_m2: areas.waiting.0,
            never_m2: areas.never.0,
            restored_share: areas.share_restored(),
        },
        missing_min: minutes(programme.missing),
        not_marked_min: minutes(programme.not_marked),
        rate: programme.rate.as_ref().map(|rate| RateRow {
            since: rate.since,
            nights: rate.nights,
            worked: rate.worked,
            unseen: rate.unseen,
            days_off: rate.days_off.iter().map(ToString::to_string).collect(),
            area_m2: range(rate.area, |area: SquareMetres| area.0),
            in_band_min: range(rate.time, minutes),
        }),
        finish: finish(programme.finish),
        sections: programme.sections.iter().filter_map(|s| SectionRow::of(site, s)).collect(),
        plans: programme.tonight.iter().filter_map(|plan| PlanRow::of(told, plan)).collect(),
    };
    // Strings, numbers and lists of them always can be written.
    let mut text = serde_json::to_string_pretty(&whole).unwrap_or_default();
    text.push('\n');
    text
}

fn minutes(time: Seconds) -> f64 {
    time.0 / 60.0
}

fn range<T>(of: PerNight<T>, number: impl Fn(T) -> f64) -> Range {
    let high = number(of.high);
    let high = high.is_finite().then_some(high);
    Range { mean: number(of.mean), low: number(of.low), high }
}

fn finish(finish: Finish) -> FinishRow {
    match finish {
        Finish::Done => FinishRow { state: "done", ..FinishRow::default() },
        Finish::Expected(range) => FinishRow {
            state: "expected",
            early: Some(range.early),
            best: Some(range.best),
            late: range.late,
            why_not: None,
        },
        Finish::Refused(why) => {
            let why_not = Some(match why {
                NoForecast::NothingToRestore => "nothing to restore",
                NoForecast::NotBegun => "not begun",
                NoForecast::TooFewNights { .. } => "too few nights",
                NoForecast::BeyondHorizon => "more than two years",
            });
            FinishRow { state: "not known", why_not, ..FinishRow::default() }
        }
    }
}
