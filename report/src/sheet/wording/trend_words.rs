//! What is said of a sign of the machine's condition and what it does, on the page as on
//! terminals.

use super::SAFETY;
use crate::sheet::figures::Figures;
use crate::sheet::words::{Value, Words};
use crate::trends::{MachineTrends, Part, Series, Sign, Trend, Verdict};
use chrono::{Datelike, NaiveDate};
use underbrush_protocol::settings::Machine;

/// Writes of signs in one language.
pub(crate) struct TrendWords {
    figures: Figures,
    /// Dates of other years tell theirs.
    year: i32,
}

impl TrendWords {
    /// For these trends, all of the same dates.
    pub(crate) fn new(figures: Figures, trends: &[MachineTrends]) -> Self {
        let year = trends.first().map_or(0, |of| of.dates.1.year());
        Self { figures, year }
    }

    pub(crate) fn words(&self) -> &Words {
        &self.figures.words
    }

    pub(crate) fn say(&self, id: &str) -> String {
        self.words().say(id)
    }

    pub(crate) fn with(&self, id: &str, values: &[(&'static str, Value)]) -> String {
        self.words().with(id, values)
    }

    /// What to do before any check; nothing where there is none to make. Batteries are among
    /// what is checked, so their own caution stands there, too.
    pub(crate) fn safety(&self, trends: &[MachineTrends]) -> Vec<String> {
        if trends.iter().all(|of| of.told().next().is_none()) {
            return Vec::new();
        }
        let (last, steps) = SAFETY.split_last().unwrap_or((&"safety-manual", &[]));
        let all = steps.iter().chain([&"caution-battery", last]);
        all.map(|id| self.say(id)).collect()
    }

    /// From when to when is looked.
    pub(crate) fn heading(&self, trends: &[MachineTrends]) -> String {
        let (from, to) = trends.first().map_or_else(Default::default, |of| of.dates);
        let (first, last) = (self.figures.day(from, 0), self.figures.day(to, 0));
        self.with("trend-heading", &[("from", first.into()), ("to", last.into())])
    }

    /// A machine, by the name that is given, and how many nights were looked at.
    pub(crate) fn machine(&self, name: String, of: &MachineTrends) -> String {
        self.with("trend-machine", &[("machine", name.into()), ("nights", of.nights.into())])
    }

    pub(crate) fn day(&self, date: NaiveDate) -> String {
        self.figures.day(date, self.year)
    }

    /// That it became better, where it did.
    pub(crate) fn better(&self, series: &Series) -> Option<String> {
        let step = series.trend.better_since?;
        let values = [
            ("date", self.day(step.on).into()),
            ("from", self.amount(series.sign, step.before).into()),
            ("to", self.amount(series.sign, step.after).into()),
        ];
        Some(self.with("trend-better", &values))
    }

    pub(crate) fn may_be(&self, part: Part) -> String {
        self.with("trend-may-be", &[("what", self.say(part.may_be).into())])
    }

    /// What to check, in order.
    pub(crate) fn checks(&self, part: Part) -> Vec<String> {
        part.check.iter().map(|id| self.say(id)).collect()
    }

    /// What it does, in a sentence.
    pub(crate) fn verdict(&self, machine: &Machine, series: &Series) -> String {
        let trend = &series.trend;
        let name = self.name(series.sign);
        let limit = self.percent(series.sign.told_from(machine), false);
        let change = self.percent(trend.change.map_or(0.0, |change| change.0), true);
        let name = ("name", name.into());
        match trend.verdict {
            Verdict::TooFew => {
                let needed = machine.drift.nights;
                let values = [name, ("values", trend.values.into()), ("needed", needed.into())];
                self.with("trend-too-few", &values)
            }
            Verdict::Steady => self.with("trend-steady", &[name]),
            Verdict::Drifted => {
                let values = [name, ("change", change.into()), ("limit", limit.into())];
                self.with("trend-drifted", &values)
            }
            Verdict::Coming(on) => {
                let date = self.day(on).into();
                let values =
                    [name, ("change", change.into()), ("limit", limit.into()), ("date", date)];
                self.with("trend-coming", &values)
            }
            Verdict::Stepped(step) => {
                let values = [
                    name,
                    ("date", self.day(step.on).into()),
                    ("from", self.amount(series.sign, step.before).into()),
                    ("to", self.amount(series.sign, step.after).into()),
                    ("change", self.percent(step.change(), true).into()),
                    ("limit", limit.into()),
                ];
                self.with("trend-stepped", &values)
            }
        }
    }

    /// The line with its interval.
    pub(crate) fn line(&self, series: &Series) -> Option<String> {
        let Trend { values, dates, levels, change, .. } = series.trend;
        let (first, last) = dates?;
        let (begin, end) = levels?;
        let (best, low, high) = change?;
        let values = [
            ("values", values.into()),
            ("from", self.day(first).into()),
            ("to", self.day(last).into()),
            ("first", self.amount(series.sign, begin).into()),
            ("last", self.amount(series.sign, end).into()),
            ("change", self.percent(best, true).into()),
            ("low", self.percent(low, true).into()),
            ("high", self.percent(high, true).into()),
        ];
        Some(self.with("trend-line", &values))
    }

    pub(crate) fn name(&self, sign: Sign) -> String {
        sign_name(self.words(), sign)
    }

    /// A value as people read it, without and with its unit.
    pub(crate) fn number(&self, sign: Sign, value: f64) -> String {
        let (scale, decimals, _) = people(sign);
        self.figures.fixed(scale * value, decimals)
    }

    pub(crate) fn amount(&self, sign: Sign, value: f64) -> String {
        format!("{} {}", self.number(sign, value), people(sign).2)
    }

    /// A share in whole percent.
    pub(crate) fn percent(&self, share: f64, signed: bool) -> String {
        let percent = (100.0 * share).round();
        let sign = match percent {
            p if p < 0.0 => "–",
            p if p > 0.0 && signed => "+",
            _ => "",
        };
        format!("{sign}{} %", self.figures.fixed(percent.abs(), 0))
    }
}

/// What people call a sign.
pub(crate) fn sign_name(words: &Words, sign: Sign) -> String {
    let id = match sign {
        Sign::NoLoad(_) => "trend-no-load",
        Sign::RunDown(_) => "trend-run-down",
        Sign::Winding(_) => "trend-winding",
        Sign::Battery => "trend-battery",
        Sign::DriveRestoring => "trend-drive-slow",
        Sign::DriveMaintaining => "trend-drive-fast",
        Sign::Way => "trend-way",
    };
    let motor = sign.motor().map_or(0, |motor| motor + 1);
    words.with(id, &[("motor", motor.to_string().into())])
}

/// Scale from SI, decimals and unit that people read a sign in.
pub(super) fn people(sign: Sign) -> (f64, usize, &'static str) {
    match sign {
        Sign::Winding(_) | Sign::Battery => (1000.0, 1, "mΩ"),
        Sign::RunDown(_) => (1.0, 2, "s"),
        Sign::Way => (100.0, 1, "%"),
        Sign::NoLoad(_) | Sign::DriveRestoring | Sign::DriveMaintaining => (1.0, 1, "A"),
    }
}
