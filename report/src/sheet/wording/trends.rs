//! The page of slow changes: each sign of each machine with its chart, what it does, and
//! what to check where it changed for the worse.

use super::SAFETY;
use crate::sheet::clean::Cleaner;
use crate::sheet::document::{Axis, Block, ChangeChart, Document, Header, Signal};
use crate::sheet::figures::Figures;
use crate::sheet::words::Value;
use crate::sheet::{SheetOptions, TrendsInput};
use crate::timeline::shift_of;
use crate::trends::{Direction, MachineTrends, Series, Sign, Trend, Verdict, points_to};
use chrono::{DateTime, Datelike, Days, NaiveDate};
use underbrush_protocol::settings::Machine;

/// Steps of the value axis, at most.
const MOST_STEPS: f64 = 4.0;
/// Dates below a chart.
const DATES: u64 = 4;

struct Telling<'a> {
    input: &'a TrendsInput<'a>,
    figures: Figures,
    clean: Cleaner,
}

/// The whole page.
pub(in crate::sheet) fn document(input: &TrendsInput<'_>, options: SheetOptions) -> Document {
    let figures = Figures::new(options.units, options.language);
    let telling = Telling { input, figures, clean: Cleaner::default() };
    let words = telling.figures.words.clone();
    let site = telling.clean.name(&input.site.name);
    let mut blocks = telling.safety();
    let mut names = Vec::new();
    for of in input.trends {
        let Some(machine) = input.machines.get(of.machine) else { continue };
        let name = if machine.name.is_empty() { &machine.id } else { &machine.name };
        names.push(telling.clean.name(name));
        blocks.extend(telling.machine(machine, of));
    }
    blocks.push(Block::Text(vec![words.say("trend-note")]));
    let (from, to) = input.trends.first().map_or_else(Default::default, |of| of.dates);
    let (first, last) = (telling.figures.day(from, 0), telling.figures.day(to, 0));
    let heading = words.with("trend-heading", &[("from", first.into()), ("to", last.into())]);
    let title = format!("{heading}; {site}");
    let end = shift_of(input.site, to).map(|shift| shift.span.to);
    Document {
        subject: words.with("sheet-subject", &[("site", site.as_str().into())]),
        footer: title.clone(),
        title,
        dated: end.unwrap_or(DateTime::UNIX_EPOCH),
        words,
        paper: options.paper,
        colour: options.colour,
        header: Header { heading, facts: vec![format!("{site}; {}", names.join(", "))] },
        blocks,
    }
}

impl Telling<'_> {
    fn say(&self, id: &str) -> String {
        self.figures.words.say(id)
    }

    fn with(&self, id: &str, values: &[(&'static str, Value)]) -> String {
        self.figures.words.with(id, values)
    }

    /// Before any check; only where there is one to make.
    fn safety(&self) -> Vec<Block> {
        if self.input.trends.iter().all(|of| of.told().next().is_none()) {
            return Vec::new();
        }
        let lines = SAFETY.iter().map(|id| self.say(id)).collect();
        vec![Block::Heading(self.say("heading-safety")), Block::Text(lines)]
    }

    fn machine(&self, machine: &Machine, of: &MachineTrends) -> Vec<Block> {
        let name = if machine.name.is_empty() { &machine.id } else { &machine.name };
        let values = [("machine", self.clean.name(name).into()), ("nights", of.nights.into())];
        let mut blocks = vec![Block::Heading(self.with("trend-machine", &values))];
        // What was told comes first.
        let told = of.series.iter().filter(|series| series.trend.verdict.is_told());
        let rest = of.series.iter().filter(|series| !series.trend.verdict.is_told());
        for series in told.chain(rest) {
            blocks.push(self.sign(machine, of, series));
        }
        if of.series.is_empty() {
            blocks.push(Block::Text(vec![self.say("trend-nothing")]));
        }
        blocks
    }

    fn sign(&self, machine: &Machine, of: &MachineTrends, series: &Series) -> Block {
        let trend = &series.trend;
        let verdict = self.verdict(machine, series);
        let told = trend.verdict.is_told();
        let mut right = vec![if told {
            Block::Signal(Signal::Notice, verdict)
        } else {
            Block::Text(vec![verdict])
        }];
        let mut lines: Vec<String> = self.line(series).into_iter().collect();
        if let Some(step) = trend.better_since {
            let values = [
                ("date", self.day(step.on).into()),
                ("from", self.amount(series.sign, step.before).into()),
                ("to", self.amount(series.sign, step.after).into()),
            ];
            lines.push(self.with("trend-better", &values));
        }
        if told {
            let part = points_to(series, &of.series);
            lines.push(self.with("trend-may-be", &[("what", self.say(part.may_be).into())]));
            right.push(Block::Text(lines));
            right.push(Block::Ticks(part.check.iter().map(|id| self.say(id)).collect()));
        } else if !lines.is_empty() {
            right.push(Block::Text(lines));
        }
        let left = vec![Block::Change(Box::new(self.chart(machine, of, series)))];
        Block::Beside { left, right, below: Vec::new() }
    }

    fn day(&self, date: NaiveDate) -> String {
        let year = self.input.trends.first().map_or(0, |of| of.dates.1.year());
        self.figures.day(date, year)
    }

    fn verdict(&self, machine: &Machine, series: &Series) -> String {
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
    fn line(&self, series: &Series) -> Option<String> {
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

    fn name(&self, sign: Sign) -> String {
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
        self.with(id, &[("motor", motor.to_string().into())])
    }

    /// A value as people read it, without and with its unit.
    fn number(&self, sign: Sign, value: f64) -> String {
        let (scale, decimals, _) = people(sign);
        self.figures.fixed(scale * value, decimals)
    }

    fn amount(&self, sign: Sign, value: f64) -> String {
        format!("{} {}", self.number(sign, value), people(sign).2)
    }

    /// A share in whole percent.
    fn percent(&self, share: f64, signed: bool) -> String {
        let percent = (100.0 * share).round();
        let sign = match percent {
            p if p < 0.0 => "–",
            p if p > 0.0 && signed => "+",
            _ => "",
        };
        format!("{sign}{} %", self.figures.fixed(percent.abs(), 0))
    }

    fn chart(&self, machine: &Machine, of: &MachineTrends, series: &Series) -> ChangeChart {
        let (sign, trend) = (series.sign, &series.trend);
        let scale = people(sign).0;
        let (from, to) = shown_dates(of);
        let days = ((to - from).num_days() as f64).max(1.0);
        let place = |date: NaiveDate| (date - from).num_days() as f64 / days;
        let mut limits = Vec::new();
        let begins = match trend.verdict {
            Verdict::Stepped(step) => Some(step.before),
            _ => trend.levels.map(|levels| levels.0),
        };
        let share = sign.told_from(machine);
        let ways: &[f64] = match sign.bad() {
            Direction::Up => &[1.0],
            Direction::Down => &[-1.0],
            Direction::Either => &[1.0, -1.0],
        };
        for value in
            begins.into_iter().flat_map(|b| ways.iter().map(move |w| b * (1.0 + w * share)))
        {
            let amount = self.amount(sign, value);
            let text = self.with("trend-limit", &[("value", amount.into())]);
            limits.push((scale * value, text));
        }
        let ends = trend.dates.map(|(first, last)| (place(first), place(last)));
        let mut lines = Vec::new();
        let (mut interval, mut step_at) = (None, None);
        if let (Verdict::Stepped(step), Some((first, last))) = (trend.verdict, ends) {
            let (before, after) = (scale * step.before, scale * step.after);
            lines.push(((first, before), (place(step.on), before)));
            lines.push(((place(step.on), after), (last, after)));
            step_at = Some((place(step.on), self.day(step.on)));
        } else if let (Some((begin, end)), Some((_, low, high)), Some((first, last))) =
            (trend.levels, trend.change, ends)
        {
            lines.push(((first, scale * begin), (last, scale * end)));
            let at = |share: f64| scale * begin * (1.0 + share);
            interval = Some((last, at(low), at(high)));
            step_at = trend.better_since.map(|step| (place(step.on), self.day(step.on)));
        }
        let points: Vec<(f64, f64)> =
            series.points.iter().map(|(date, v)| (place(*date), scale * v)).collect();
        let shown = points.iter().map(|p| p.1).chain(limits.iter().map(|limit| limit.0));
        let (base, axis) = self.axis(sign, shown);
        let dates = (0..=DATES).filter_map(|i| {
            let day = from.checked_add_days(Days::new(i * (days as u64) / DATES))?;
            Some((place(day), self.day(day)))
        });
        let dates = dates.collect();
        ChangeChart { base, axis, points, lines, interval, limits, step: step_at, dates }
    }

    /// Around what is shown: from zero a change would hardly show. One that hardly changes
    /// must not look like one that does, so the axis has a tenth of its height at least.
    fn axis(&self, sign: Sign, shown: impl Iterator<Item = f64>) -> (f64, Axis) {
        let (low, high) = shown
            .filter(|value| value.is_finite())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), v| (a.min(v), b.max(v)));
        let (low, high) = if low <= high { (low, high) } else { (0.0, 1.0) };
        let missing = (0.1 * high.abs() - (high - low)).max(0.1 * (high - low)) / 2.0;
        let (low, high) = ((low - missing).max(0.0), high + missing);
        let raw = ((high - low) / MOST_STEPS).max(1e-6);
        let ten = 10_f64.powf(raw.log10().floor());
        let steps = [1.0, 2.0, 5.0, 10.0].map(|m| m * ten);
        let step = steps.into_iter().find(|s| *s >= raw * 0.999_999).unwrap_or(10.0 * ten);
        let base = (low / step + 1e-9).floor() * step;
        let count = ((high - base) / step - 1e-9).ceil().max(1.0);
        let decimals = (-step.log10().floor()).clamp(0.0, 6.0) as usize;
        let tick = |i: usize| {
            let value = base + i as f64 * step;
            (value, self.figures.fixed(value, decimals))
        };
        let ticks = (0..=count as usize).map(tick).collect();
        let label = format!("{}, {}", self.name(sign), people(sign).2);
        (base, Axis { label, top: base + count * step, ticks })
    }
}

/// From the first night with a value to the last, of all signs of a machine.
fn shown_dates(of: &MachineTrends) -> (NaiveDate, NaiveDate) {
    let all = || of.series.iter().flat_map(|series| &series.points).map(|point| point.0);
    (all().min().unwrap_or(of.dates.0), all().max().unwrap_or(of.dates.1))
}

/// Scale from SI, decimals and unit that people read a sign in.
fn people(sign: Sign) -> (f64, usize, &'static str) {
    match sign {
        Sign::Winding(_) | Sign::Battery => (1000.0, 1, "mΩ"),
        Sign::RunDown(_) => (1.0, 2, "s"),
        Sign::Way => (100.0, 1, "%"),
        Sign::NoLoad(_) | Sign::DriveRestoring | Sign::DriveMaintaining => (1.0, 1, "A"),
    }
}
