//! How fast the restoration goes.
//!
//! Words: a night's *credit* is the time in band that brought open steps forward,
//! at most what each still lacked, so that no minute counts twice: neither work on a
//! step that is done, nor that of two machines beyond its minutes. As *area* a
//! section counts in part: its area x credit / the minutes of all its steps. The
//! *programme* runs from the first night with credit to the last night; every night
//! in it counts, idle ones too, except on *days off*: days of the week without any
//! credit that came [`DAY_OFF_SEEN`] times or more.
//!
//! Uncertainty: the mean's 80 % interval by Student's t over the nights, which are
//! taken as drawn alike and independently. Nights without any record are counted as
//! nights without work, and told. What the book calls done has no minutes, so it is
//! in no night's credit.

use super::finish::CENTRE;
use super::rules::Rules;
use super::step_progress::Credit;
use crate::findings::statistics::Belief;
use chrono::{Datelike, NaiveDate, Weekday};
use std::collections::{BTreeMap, BTreeSet};
use underbrush_protocol::si::{Seconds, SquareMetres};

/// A day of the week without credit is a day off once it came so often.
const DAY_OFF_SEEN: u32 = 4;

/// Mean of a night with its 80 % interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PerNight<T> {
    /// Mean.
    pub mean: T,
    /// One in ten chance to be less; never below zero.
    pub low: T,
    /// One in ten chance to be more.
    pub high: T,
}

/// The rate of the restoration.
#[derive(Clone, Debug, PartialEq)]
pub struct Rate {
    /// First night with credit.
    pub since: NaiveDate,
    /// Nights from then on, days off left out.
    pub nights: u32,
    /// Nights with credit.
    pub worked: u32,
    /// Nights, days off left out, in which no machine recorded anything.
    pub unseen: u32,
    /// Days of the week without work.
    pub days_off: Vec<Weekday>,
    /// Floor restored in a night, sections in work counted in part; no interval from one night.
    pub area: PerNight<SquareMetres>,
    /// Time in band that counted, in a night.
    pub time: PerNight<Seconds>,
    /// Each night's credit in order, days off left out.
    pub(super) credits: Vec<Seconds>,
}

impl Rate {
    /// `None` before any minute of restoration counts.
    pub(super) fn of(
        rules: &Rules,
        credits: &[Credit],
        seen: &BTreeSet<NaiveDate>,
        date: NaiveDate,
    ) -> Option<Self> {
        let mut nights: BTreeMap<NaiveDate, (f64, f64)> = BTreeMap::new();
        let whole = rules.whole();
        for credit in credits.iter().filter(|credit| credit.time.0 > 0.0) {
            let area = rules.sections.get(credit.section).map_or(0.0, |rule| rule.area.0);
            let (time, floor) = nights.entry(credit.date).or_default();
            *time += credit.time.0;
            *floor += area * (credit.time / whole);
        }
        let since = *nights.keys().next()?;
        let all = || since.iter_days().take_while(|day| *day <= date);
        let days_off = days_off(all(), &nights);
        let open: Vec<NaiveDate> = all().filter(|day| !days_off.contains(&day.weekday())).collect();
        let of_night = |day: &NaiveDate| nights.get(day).copied().unwrap_or_default();
        let times: Vec<f64> = open.iter().map(|day| of_night(day).0).collect();
        let areas: Vec<f64> = open.iter().map(|day| of_night(day).1).collect();
        let (time, area) = (interval(&times), interval(&areas));
        Some(Self {
            since,
            nights: open.len() as u32,
            worked: nights.len() as u32,
            unseen: open.iter().filter(|day| !seen.contains(day)).count() as u32,
            days_off,
            area: area.map(SquareMetres),
            time: time.map(Seconds),
            credits: times.into_iter().map(Seconds).collect(),
        })
    }
}

fn days_off(
    nights: impl Iterator<Item = NaiveDate>,
    worked: &BTreeMap<NaiveDate, (f64, f64)>,
) -> Vec<Weekday> {
    let mut days: BTreeMap<u8, (Weekday, u32, bool)> = BTreeMap::new();
    for night in nights {
        let day = night.weekday();
        let entry = days.entry(day.num_days_from_monday() as u8).or_insert((day, 0, false));
        entry.1 += 1;
        entry.2 |= worked.contains_key(&night);
    }
    let off = |(_, seen, worked): &&(Weekday, u32, bool)| *seen >= DAY_OFF_SEEN && !*worked;
    days.values().filter(off).map(|(day, ..)| *day).collect()
}

impl PerNight<f64> {
    fn map<T>(self, unit: impl Fn(f64) -> T) -> PerNight<T> {
        PerNight { mean: unit(self.mean), low: unit(self.low), high: unit(self.high) }
    }
}

/// Mean and variance of a single night, by n - 1.
pub(super) fn moments(nights: &[f64]) -> (f64, f64) {
    let n = nights.len() as f64;
    let mean = nights.iter().sum::<f64>() / n;
    let scatter: f64 = nights.iter().map(|night| (night - mean).powi(2)).sum();
    (mean, scatter / (n - 1.0))
}

fn interval(nights: &[f64]) -> PerNight<f64> {
    let (mean, variance) = moments(nights);
    let n = nights.len() as f64;
    if nights.len() < 2 {
        return PerNight { mean, low: 0.0, high: f64::INFINITY };
    }
    let t = Belief::student(n - 1.0).quantile(0.5 + CENTRE / 2.0);
    let half = t * (variance / n).sqrt();
    PerNight { mean, low: (mean - half).max(0.0), high: mean + half }
}
