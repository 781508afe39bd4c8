//! The summary of a week or a month: sums, weeks, trends, floor, segments.

use super::charts::axis;
use crate::range::{MachineRange, RangeFinding, Sums};
use crate::sheet::clean::{Cleaner, SUBSTITUTE};
use crate::sheet::document::{
    Block, Column, Document, Header, Table, Trend, TrendPoint, TrendShape,
};
use crate::sheet::figures::{DASH, Figures};
use crate::sheet::{RangeInput, SheetOptions};
use crate::timeline::shift_of;
use chrono::{DateTime, Datelike, NaiveDate, Weekday};
use std::collections::BTreeMap;
use underbrush_protocol::si::{Metres, Seconds};

struct Telling<'a> {
    input: &'a RangeInput<'a>,
    figures: Figures,
    clean: Cleaner,
}

/// The whole summary in words.
pub(in crate::sheet) fn document(input: &RangeInput, options: SheetOptions) -> Document {
    let figures = Figures::new(options.units, options.language);
    let telling = Telling { input, figures, clean: Cleaner::default() };
    let finding = input.finding;
    let mut blocks = telling.sums();
    for range in &finding.machines {
        blocks.extend(telling.trends(range));
    }
    blocks.extend(telling.floor());
    blocks.extend(telling.segments());
    blocks.extend(telling.people());
    let figures = &telling.figures;
    let words = &figures.words;
    let (from, to) = (figures.date(finding.from), figures.date(finding.to));
    let heading = words.with("range-heading", &[("from", from.into()), ("to", to.into())]);
    let site = telling.clean.name(&input.site.name);
    let names: Vec<String> = finding.machines.iter().map(|m| telling.name(m.machine)).collect();
    let title = format!("{heading}; {site}");
    let mut footer = title.clone();
    if telling.clean.replaced() {
        let sign = SUBSTITUTE.to_string();
        footer =
            words.with("sheet-unprintable-foot", &[("foot", footer.into()), ("sign", sign.into())]);
    }
    let end = shift_of(input.site, finding.to).map(|shift| shift.span.to);
    Document {
        subject: words.with("sheet-subject", &[("site", site.as_str().into())]),
        title,
        dated: end.unwrap_or(DateTime::UNIX_EPOCH),
        words: words.clone(),
        paper: options.paper,
        colour: options.colour,
        header: Header { heading, facts: vec![format!("{site}; {}", names.join(", "))] },
        footer,
        blocks,
    }
}

impl Telling<'_> {
    fn say(&self, id: &str) -> String {
        self.figures.words.say(id)
    }

    fn finding(&self) -> &RangeFinding {
        self.input.finding
    }

    fn name(&self, machine: usize) -> String {
        let machine = self.input.machines.get(machine);
        let name = machine.map(|m| if m.name.is_empty() { &m.id } else { &m.name });
        self.clean.name(name.map_or("", String::as_str))
    }

    fn day(&self, date: NaiveDate) -> String {
        self.figures.day(date, self.finding().to.year())
    }

    /// Columns of all tables of sums, after the first.
    fn columns(&self, first: String) -> Vec<Column> {
        vec![
            Column::words(first, 0.25),
            Column::decimal(self.say("range-nights"), "", 0.1),
            Column::decimal(self.say("range-brush"), "h:mm", 0.11),
            Column::decimal(self.say("range-in-band"), "%", 0.1),
            Column::decimal(self.say("range-swept"), self.figures.area_unit(), 0.13),
            Column::decimal(self.say("range-events"), "", 0.1),
            Column::decimal(self.say("range-standing"), "s", 0.1),
            Column::decimal(self.say("range-forbidden"), "h:mm", 0.11),
        ]
    }

    fn row(&self, first: String, sums: &Sums) -> Vec<String> {
        let figures = &self.figures;
        let known = |text: String| if sums.nights == 0 { DASH.to_owned() } else { text };
        vec![
            first,
            figures.grouped(u64::from(sums.nights)),
            known(figures.hours_minutes(sums.brush_time)),
            sums.in_band().map_or_else(|| DASH.to_owned(), |s| figures.fixed(100.0 * s, 1)),
            known(figures.area(sums.swept_area)),
            known(figures.grouped(u64::from(sums.stationary_events))),
            known(figures.seconds(sums.stationary_time)),
            known(figures.hours_minutes(sums.forbidden)),
        ]
    }

    fn sums(&self) -> Vec<Block> {
        let finding = self.finding();
        let all: usize = finding.machines.iter().map(|m| m.nights.len()).sum();
        let known = finding.together.nights;
        let data =
            self.figures.words.with("range-data", &[("known", known.into()), ("all", all.into())]);
        let mut rows: Vec<Vec<String>> =
            finding.machines.iter().map(|m| self.row(self.name(m.machine), &m.sums)).collect();
        if rows.len() > 1 {
            rows.push(self.row(self.say("range-together"), &finding.together));
        }
        let week =
            |(from, to): (NaiveDate, NaiveDate)| format!("{} – {}", self.day(from), self.day(to));
        let weeks = finding.weeks.iter().map(|w| self.row(week(w.dates), &w.sums)).collect();
        let words = &self.figures.words;
        let dash = vec![format!("{DASH} {}.", self.say("not-known"))];
        vec![
            Block::Text(vec![data, self.say("range-between")]),
            Block::Heading(self.say("range-sums")),
            Block::Table(Table::new(
                words,
                self.columns(self.say("range-machine")),
                rows,
                Vec::new(),
            )),
            Block::Heading(self.say("range-weeks")),
            Block::Table(Table::new(words, self.columns(self.say("range-week")), weeks, dash)),
        ]
    }

    /// A chart of one number of each night.
    fn trend(
        &self,
        range: &MachineRange,
        label: String,
        highest: Option<f64>,
        value: impl Fn(&Sums) -> Option<f64>,
    ) -> Block {
        let point = |night: &Option<Sums>| match night {
            None => TrendPoint::Gap,
            Some(sums) => value(sums).map_or(TrendPoint::Blank, TrendPoint::Known),
        };
        let points: Vec<TrendPoint> = range.nights.iter().map(|(_, night)| point(night)).collect();
        self.chart(range, label, highest, points, TrendShape::Bars)
    }

    fn chart(
        &self,
        range: &MachineRange,
        label: String,
        highest: Option<f64>,
        points: Vec<TrendPoint>,
        shape: TrendShape,
    ) -> Block {
        let most = points.iter().filter_map(|point| match point {
            TrendPoint::Known(value) => Some(*value),
            _ => None,
        });
        let highest = highest.unwrap_or_else(|| most.fold(0.0, f64::max));
        let dates = range.nights.iter().enumerate();
        let dates = dates.filter(|(at, (date, _))| *at == 0 || date.weekday() == Weekday::Mon);
        let dates = dates.map(|(at, (date, _))| (at, self.day(*date))).collect();
        let axis = axis(&self.figures, label, highest, 4);
        Block::Trend(Box::new(Trend { axis, shape, points, dates }))
    }

    fn trends(&self, range: &MachineRange) -> Vec<Block> {
        let (figures, units) = (&self.figures, self.figures.units);
        let area = format!("{}, {}", self.say("range-swept"), figures.area_unit());
        let left = vec![
            self.trend(range, format!("{}, %", self.say("range-in-band")), Some(100.0), |sums| {
                sums.in_band().map(|share| 100.0 * share)
            }),
            self.trend(range, area, None, |sums| Some(units.area(sums.swept_area))),
        ];
        let standing = format!("{}, s", self.say("range-standing"));
        let mut right = vec![
            self.trend(range, standing, None, |sums| Some(sums.stationary_time.0)),
            self.trend(range, format!("{}, h", self.say("range-brush")), None, |sums| {
                Some(sums.brush_time.0 / 3600.0)
            }),
        ];
        let mut left = left;
        if !range.measured.is_empty() {
            let lengths = |date: NaiveDate| {
                let last = range.measured.iter().rev().find(|(on, _)| *on == date);
                last.map_or(TrendPoint::Blank, |(_, l)| TrendPoint::Known(units.length(*l)))
            };
            let points = range.nights.iter().map(|(date, _)| lengths(*date)).collect();
            let label = format!("{}, {}", self.say("range-length"), figures.length_unit());
            left.push(self.chart(range, label, None, points, TrendShape::Dots));
            right.push(Block::Text(vec![self.left_of(range)]));
        }
        let heading =
            figures.words.with("range-nightly", &[("machine", self.name(range.machine).into())]);
        vec![Block::Heading(heading), Block::Beside { left, right, below: Vec::new() }]
    }

    fn left_of(&self, range: &MachineRange) -> String {
        let figures = &self.figures;
        let name = self.name(range.machine);
        match &range.wear.left {
            None => figures.words.with("range-left-not-known", &[("machine", name.into())]),
            Some(left) => {
                let length = |l: Metres| figures.length(l);
                figures.words.with(
                    "range-left",
                    &[
                        ("machine", name.into()),
                        ("best", figures.length_and_unit(left.best).into()),
                        ("low", length(left.low).into()),
                        ("high", length(left.high).into()),
                    ],
                )
            }
        }
    }

    fn floor(&self) -> Vec<Block> {
        let (finding, figures) = (self.finding(), &self.figures);
        let (before, after) = &finding.areas;
        let words = &figures.words;
        let mut lines = vec![words.with(
            "range-restored",
            &[
                ("before", figures.area(before.restored).into()),
                ("after", figures.area(after.restored).into()),
                ("all", figures.area(after.polish).into()),
                ("unit", figures.area_unit().into()),
            ],
        )];
        if finding.together.forbidden > Seconds(0.0) {
            let time = figures.duration(finding.together.forbidden);
            lines.push(words.with("range-forbidden-work", &[("time", time.into())]));
        }
        let mut blocks = vec![Block::Heading(self.say("range-floor")), Block::Text(lines)];
        if finding.finished.is_empty() {
            blocks.push(Block::Text(vec![self.say("range-none-finished")]));
            return blocks;
        }
        let columns = vec![
            Column::words(self.say("range-night"), 0.15),
            Column::decimal(self.say("range-step"), "", 0.08),
            Column::words(self.say("range-section"), 0.77),
        ];
        // A line for each step of a night: a month of them is still one table.
        let mut lists: BTreeMap<(NaiveDate, u8), Vec<String>> = BTreeMap::new();
        for entry in &finding.finished {
            let section = self.input.site.sections.get(entry.section);
            let mut id = section.map_or_else(String::new, |s| self.clean.name(&s.id));
            if entry.by_hand {
                id = format!("{id} ({})", self.say("range-by-hand"));
            }
            lists.entry((entry.on, entry.step)).or_default().push(id);
        }
        let row = |((on, step), ids): ((NaiveDate, u8), Vec<String>)| {
            vec![self.day(on), step.to_string(), ids.join(", ")]
        };
        let rows = lists.into_iter().map(row).collect();
        blocks.push(Block::Heading(self.say("range-finished")));
        blocks.push(Block::Table(Table::new(words, columns, rows, Vec::new())));
        blocks
    }

    /// Of machines whose segments were not measured in the range; the others are told there.
    fn segments(&self) -> Vec<Block> {
        let rest = self.finding().machines.iter().filter(|range| range.measured.is_empty());
        let lines: Vec<String> = rest.map(|range| self.left_of(range)).collect();
        if lines.is_empty() {
            return Vec::new();
        }
        vec![Block::Heading(self.say("range-segments")), Block::Text(lines)]
    }

    fn people(&self) -> Vec<Block> {
        let people = &self.finding().operators;
        if people.is_empty() {
            return Vec::new();
        }
        let rows = people.iter().map(|o| self.row(self.clean.name(&o.name), &o.sums)).collect();
        let columns = self.columns(self.say("range-person"));
        let notes = vec![self.say("range-people-note")];
        vec![
            Block::Heading(self.say("range-people")),
            Block::Table(Table::new(&self.figures.words, columns, rows, notes)),
        ]
    }
}
