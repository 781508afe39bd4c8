//! The page of slow changes: each sign of each machine with its chart, what it does, and
//! what to check where it changed for the worse.

use super::trend_words::{TrendWords, people};
use crate::sheet::clean::Cleaner;
use crate::sheet::document::{Axis, Block, ChangeChart, Document, Header, Signal};
use crate::sheet::figures::Figures;
use crate::sheet::{SheetOptions, TrendsInput};
use crate::timeline::shift_of;
use crate::trends::{Direction, MachineTrends, Series, Sign, Verdict, points_to};
use chrono::{DateTime, Days, NaiveDate};
use underbrush_protocol::settings::Machine;

/// Steps of the value axis, at most.
const MOST_STEPS: f64 = 4.0;
/// Dates below a chart.
const DATES: u64 = 4;

struct Telling<'a> {
    input: &'a TrendsInput<'a>,
    figures: Figures,
    told: TrendWords,
    clean: Cleaner,
}

/// The whole page.
pub(in crate::sheet) fn document(input: &TrendsInput<'_>, options: SheetOptions) -> Document {
    let figures = Figures::new(options.units, options.language);
    let told = TrendWords::new(figures.clone(), input.trends);
    let telling = Telling { input, figures, told, clean: Cleaner::default() };
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
    let to = input.trends.first().map_or_else(Default::default, |of| of.dates.1);
    let heading = telling.told.heading(input.trends);
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
    /// Before any check; only where there is one to make.
    fn safety(&self) -> Vec<Block> {
        let lines = self.told.safety(self.input.trends);
        if lines.is_empty() {
            return Vec::new();
        }
        vec![Block::Heading(self.told.say("heading-safety")), Block::Text(lines)]
    }

    fn machine(&self, machine: &Machine, of: &MachineTrends) -> Vec<Block> {
        let name = if machine.name.is_empty() { &machine.id } else { &machine.name };
        let mut blocks = vec![Block::Heading(self.told.machine(self.clean.name(name), of))];
        // What was told comes first.
        let told = of.series.iter().filter(|series| series.trend.verdict.is_told());
        let rest = of.series.iter().filter(|series| !series.trend.verdict.is_told());
        for series in told.chain(rest) {
            blocks.push(self.sign(machine, of, series));
        }
        if of.series.is_empty() {
            blocks.push(Block::Text(vec![self.told.say("trend-nothing")]));
        }
        blocks
    }

    fn sign(&self, machine: &Machine, of: &MachineTrends, series: &Series) -> Block {
        let trend = &series.trend;
        let verdict = self.told.verdict(machine, series);
        let told = trend.verdict.is_told();
        let mut right = vec![if told {
            Block::Signal(Signal::Notice, verdict)
        } else {
            Block::Text(vec![verdict])
        }];
        let mut lines: Vec<String> = self.told.line(series).into_iter().collect();
        lines.extend(self.told.better(series));
        if told {
            let part = points_to(series, &of.series);
            lines.push(self.told.may_be(part));
            right.push(Block::Text(lines));
            right.push(Block::Ticks(self.told.checks(part)));
        } else if !lines.is_empty() {
            right.push(Block::Text(lines));
        }
        let left = vec![Block::Change(Box::new(self.chart(machine, of, series)))];
        Block::Beside { left, right, below: Vec::new() }
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
            let amount = self.told.amount(sign, value);
            let text = self.told.with("trend-limit", &[("value", amount.into())]);
            limits.push((scale * value, text));
        }
        let ends = trend.dates.map(|(first, last)| (place(first), place(last)));
        let mut lines = Vec::new();
        let (mut interval, mut step_at) = (None, None);
        if let (Verdict::Stepped(step), Some((first, last))) = (trend.verdict, ends) {
            let (before, after) = (scale * step.before, scale * step.after);
            lines.push(((first, before), (place(step.on), before)));
            lines.push(((place(step.on), after), (last, after)));
            step_at = Some((place(step.on), self.told.day(step.on)));
        } else if let (Some((begin, end)), Some((_, low, high)), Some((first, last))) =
            (trend.levels, trend.change, ends)
        {
            lines.push(((first, scale * begin), (last, scale * end)));
            let at = |share: f64| scale * begin * (1.0 + share);
            interval = Some((last, at(low), at(high)));
            step_at = trend.better_since.map(|step| (place(step.on), self.told.day(step.on)));
        }
        let points: Vec<(f64, f64)> =
            series.points.iter().map(|(date, v)| (place(*date), scale * v)).collect();
        let shown = points.iter().map(|p| p.1).chain(limits.iter().map(|limit| limit.0));
        let (base, axis) = self.axis(sign, shown);
        let dates = (0..=DATES).filter_map(|i| {
            let day = from.checked_add_days(Days::new(i * (days as u64) / DATES))?;
            Some((place(day), self.told.day(day)))
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
        let label = format!("{}, {}", self.told.name(sign), people(sign).2);
        (base, Axis { label, top: base + count * step, ticks })
    }
}

/// From the first night with a value to the last, of all signs of a machine.
fn shown_dates(of: &MachineTrends) -> (NaiveDate, NaiveDate) {
    let all = || of.series.iter().flat_map(|series| &series.points).map(|point| point.0);
    (all().min().unwrap_or(of.dates.0), all().max().unwrap_or(of.dates.1))
}
