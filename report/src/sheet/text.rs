//! The sheet for terminals: the same words and numbers, in columns of characters.

use super::document::{
    Align, Answer, Axis, Block, ChangeChart, Document, Fill, Level, MarkKind, RibbonChart,
    SpeedBars, SpeedsChart, Table, Trend, TrendPoint,
};

use super::map_text;
use super::trace_text;
use super::words::Words;

/// Narrowest width that is tried.
const NARROWEST: usize = 80;

/// The whole sheet.
pub(super) fn print(document: &Document, width: usize) -> String {
    let width = width.clamp(NARROWEST, 400);
    let mut out = Out { text: String::new(), width, words: document.words.clone() };
    out.line(&document.header.heading);
    out.line(&"=".repeat(document.header.heading.chars().count().min(width)));
    for text in &document.header.facts {
        out.hanging("", text);
    }
    for block in &document.blocks {
        out.block(block);
    }
    out.text
}

struct Out {
    text: String,
    width: usize,
    words: Words,
}

impl Out {
    fn line(&mut self, text: &str) {
        self.text.push_str(text.trim_end());
        self.text.push('\n');
    }

    /// Text after a first word, with its further lines indented as far.
    fn hanging(&mut self, first: &str, text: &str) {
        let indent = first.chars().count();
        for (i, line) in wrap(text, self.width.saturating_sub(indent)).iter().enumerate() {
            let lead = if i == 0 { first.to_owned() } else { " ".repeat(indent) };
            self.line(&format!("{lead}{line}"));
        }
    }

    fn block(&mut self, block: &Block) {
        match block {
            Block::Heading(text) => {
                self.line("");
                self.line(text);
                self.line(&"-".repeat(text.chars().count()));
            }
            Block::Answers(list) => list.iter().for_each(|a| self.answer(a)),
            Block::Ticks(list) => list.iter().for_each(|t| self.hanging("[ ] ", t)),
            Block::Ribbon(chart) => self.ribbon(chart),
            Block::Bars(chart) => self.bars(chart),
            Block::Speeds(chart) => {
                self.speeds(chart);
                self.line("");
            }
            Block::Trend(chart) => self.trend(chart),
            Block::Change(chart) => self.change(chart),
            Block::Trace(chart) => {
                for line in trace_text::lines(chart, self.width) {
                    self.line(&line);
                }
                self.hanging("", &chart.time_label);
                let legend = self.words.say("text-trace");
                self.hanging("", &legend);
                self.line("");
            }
            Block::Maps(maps) => {
                let width = self.width;
                for line in maps.iter().flat_map(|map| map_text::lines(map, width)) {
                    self.line(&line);
                }
            }
            Block::Table(table) => self.table(table),
            Block::Facts(list) => {
                let most = list.iter().map(|f| f.0.chars().count()).max().unwrap_or(0) + 2;
                for (name, value) in list {
                    self.hanging(&format!("{name:<most$}"), value);
                }
            }
            Block::Text(list) => list.iter().for_each(|t| self.hanging("", t)),
            Block::Signal(signal, text) => {
                let word = signal.word(&self.words);
                self.hanging(&format!("{word}  "), text);
            }
            Block::Signatures(names) => {
                self.line("");
                let most = names.iter().map(|n| n.chars().count() + 1).max().unwrap_or(0).max(16);
                for name in names {
                    self.line(&format!("{name:<most$}{}", "_".repeat(30)));
                }
            }
            Block::Beside { left, right, below } => {
                left.iter().chain(right).chain(below).for_each(|b| self.block(b));
            }
            Block::NewPage | Block::OwnPage => {}
        }
    }

    fn answer(&mut self, answer: &Answer) {
        let sign = if answer.act { '>' } else { ' ' };
        let question = format!("{sign} {:<34}", answer.question);
        self.hanging(&question, &answer.line);
        if !answer.detail.is_empty() {
            self.hanging(&" ".repeat(question.chars().count()), &answer.detail);
        }
    }

    fn table(&mut self, table: &Table) {
        let widths = column_widths(table, self.width);
        let heads: Vec<Vec<String>> = table
            .columns
            .iter()
            .zip(&widths)
            .map(|(c, w)| {
                let mut lines = wrap(&c.head, *w);
                if !c.unit.is_empty() {
                    lines.push(c.unit.clone());
                }
                lines
            })
            .collect();
        self.row(table, &widths, &heads);
        self.line(&widths.iter().map(|w| "-".repeat(*w)).collect::<Vec<_>>().join("  "));
        for row in &table.rows {
            let cells: Vec<Vec<String>> = row
                .iter()
                .enumerate()
                .zip(&widths)
                .map(|((i, cell), w)| match table.columns.get(i).map(|c| c.align) {
                    Some(Align::Decimal) => vec![decimal(table, i, cell)],
                    _ => wrap(cell, *w),
                })
                .collect();
            self.row(table, &widths, &cells);
        }
        for note in &table.notes {
            self.hanging("", note);
        }
    }

    fn row(&mut self, table: &Table, widths: &[usize], cells: &[Vec<String>]) {
        let most = cells.iter().map(Vec::len).max().unwrap_or(0);
        for n in 0..most {
            let mut line = String::new();
            for ((cell, width), column) in cells.iter().zip(widths).zip(&table.columns) {
                let text = cell.get(n).map_or("", String::as_str);
                let padded = match column.align {
                    Align::Words => format!("{text:<width$}  "),
                    Align::Decimal => format!("{text:>width$}  "),
                };
                line.push_str(&padded);
            }
            self.line(&line);
        }
    }

    /// The table, and below it the bars with the names of their rows.
    fn bars(&mut self, chart: &SpeedBars) {
        if chart.table.rows.is_empty() {
            self.hanging("", &chart.nothing);
            return;
        }
        self.table(&chart.table);
        let names = || chart.table.rows.iter().filter_map(|row| row.first());
        let longest = names().map(|name| name.chars().count()).max().unwrap_or(0) + 2;
        let room = self.width.saturating_sub(longest) as f64;
        for (name, parts) in names().zip(&chart.parts) {
            let bar: String = parts
                .iter()
                .map(|(fill, share)| {
                    sign(*fill).repeat((share.clamp(0.0, 1.0) * room).round() as usize)
                })
                .collect();
            self.line(&format!("{name:<longest$}{bar}"));
        }
        let legend = chart.legend.iter().map(|(fill, text)| format!("{} {text}", sign(*fill)));
        self.line(&legend.collect::<Vec<_>>().join("   "));
    }

    /// Mean speed and largest current as blocks of eight heights.
    fn ribbon(&mut self, chart: &RibbonChart) {
        let room = self.width.saturating_sub(12).max(1);
        let columns = chart.cells.len().clamp(1, room);
        let speeds: String = (0..columns)
            .map(|i| bar(mean(&chart.speed_means, columns, i), chart.speed_axis.top))
            .collect();
        self.named("text-speed", &speeds);
        let largest = |i| {
            let cells = chart.cells.get(range(chart, columns, i)).unwrap_or_default();
            cells.iter().filter_map(|c| c.current).map(|(_, high)| high).reduce(f64::max)
        };
        let currents: String =
            (0..columns).map(|i| bar(largest(i), chart.current_axis.top)).collect();
        self.named("text-current", &currents);
        let mut events = vec![' '; columns];
        for mark in &chart.marks {
            let at = ((mark.at * columns as f64) as usize).min(columns - 1);
            if let Some(place) = events.get_mut(at) {
                *place = match mark.kind {
                    MarkKind::Stationary => 'v',
                    MarkKind::Stall => 'S',
                    MarkKind::OverPressure => 'o',
                    MarkKind::Other => '+',
                };
            }
        }
        self.named("text-events", &events.into_iter().collect::<String>());
        self.named("text-time", &times(chart, columns));
        let other = chart.marks.iter().any(|m| m.kind == MarkKind::Other);
        let id = if other { "text-ribbon-other" } else { "text-ribbon" };
        let top = |axis: &Axis| axis.ticks.last().map_or_else(String::new, |t| t.1.clone());
        let text = self.words.with(
            id,
            &[
                ("speed", chart.speed_axis.label.as_str().into()),
                ("fastest", top(&chart.speed_axis).into()),
                ("current", chart.current_axis.label.as_str().into()),
                ("strongest", top(&chart.current_axis).into()),
            ],
        );
        self.hanging("", &text);
    }

    /// A line of the ribbon behind its name.
    fn named(&mut self, id: &str, line: &str) {
        let name = self.words.say(id);
        self.line(&format!("{name:<11}{line}"));
    }

    /// A block of eight heights for each night; `/` is one without data.
    fn trend(&mut self, chart: &Trend) {
        let sign = |point: &TrendPoint| match point {
            TrendPoint::Known(value) => bar(Some(*value), chart.axis.top),
            TrendPoint::Gap => bar(None, chart.axis.top),
            TrendPoint::Blank => ' ',
        };
        let top = chart.axis.ticks.last().map_or("", |tick| tick.1.as_str());
        let line: String = chart.points.iter().map(sign).collect();
        let label = format!("{} (0–{top})  ", chart.axis.label);
        if label.chars().count() + line.chars().count() <= self.width {
            self.line(&format!("{label}{line}"));
        } else {
            self.line(&label);
            self.hanging("  ", &line);
        }
    }

    /// A block of eight heights for each part of the time: its last night with a value.
    fn change(&mut self, chart: &ChangeChart) {
        const PARTS: usize = 40;
        let mut values = [None; PARTS];
        for (place, value) in &chart.points {
            let part = ((place * PARTS as f64) as usize).min(PARTS - 1);
            values[part] = Some(value - chart.base);
        }
        let range = chart.axis.top - chart.base;
        let sign = |value: &Option<f64>| value.map_or(' ', |value| bar(Some(value), range));
        let line: String = values.iter().map(sign).collect();
        let end = |tick: Option<&(f64, String)>| tick.map_or(String::new(), |t| t.1.clone());
        let ends = (end(chart.axis.ticks.first()), end(chart.axis.ticks.last()));
        self.line(&format!("{} ({}–{})", chart.axis.label, ends.0, ends.1));
        self.line(&format!("  {line}"));
    }

    fn speeds(&mut self, chart: &SpeedsChart) {
        let longest = chart.minutes.iter().copied().fold(0.0, f64::max);
        if longest <= 0.0 {
            let text = self.words.say("layout-nothing-to-draw");
            self.line(&text);
            return;
        }
        let label = chart.label.as_str().into();
        let text = self.words.with("text-bars", &[("label", label)]);
        self.line(&text);
        let up = self.words.say("text-up");
        let numbers = self.words.numbers();
        let room = self.width.saturating_sub(24) as f64;
        let last = chart.minutes.len().saturating_sub(1);
        for (i, ((pair, minutes), caption)) in
            chart.edges.windows(2).zip(&chart.minutes).zip(&chart.captions).enumerate()
        {
            let [(from, _), (to, _)] = pair else { continue };
            let middle = f64::midpoint(*from, *to);
            let inside = chart.bands.iter().any(|(low, high, _)| *low <= middle && middle <= *high);
            let sign = if inside { "#" } else { "=" };
            let length = (minutes / longest * room).ceil() as usize;
            let edge = |v: &f64| numbers.localized(format!("{v:.2}"));
            let end = if i == last && chart.open_end { up.clone() } else { edge(to) };
            let from = edge(from);
            self.line(&format!("{from}–{end:<5}{caption:>6}  {}", sign.repeat(length)));
        }
    }
}

/// Stands for a pattern of the bars.
fn sign(fill: Fill) -> &'static str {
    match fill {
        Fill::Below => "-",
        Fill::Within => "#",
        Fill::Above => "+",
        Fill::NoBand => ".",
    }
}

/// Cells of the chart that share one column of characters.
fn range(chart: &RibbonChart, columns: usize, i: usize) -> std::ops::Range<usize> {
    let count = chart.cells.len();
    let from = i * count / columns;
    from..((i + 1) * count / columns).max(from + 1).min(count)
}

/// Mean of the levels in one column of characters, each weighted by its length there.
fn mean(levels: &[Level], columns: usize, i: usize) -> Option<f64> {
    let (from, to) = (i as f64 / columns as f64, (i + 1) as f64 / columns as f64);
    let (mut sum, mut length) = (0.0, 0.0);
    for level in levels {
        let common = level.to.min(to) - level.from.max(from);
        if common > 0.0 {
            sum += common * level.value;
            length += common;
        }
    }
    (length > 0.0).then(|| sum / length)
}

pub(super) fn bar(value: Option<f64>, top: f64) -> char {
    const BLOCKS: [char; 9] = [' ', '▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];
    match value {
        None => '/',
        Some(v) => {
            let level = (v / top * 8.0).ceil().clamp(0.0, 8.0) as usize;
            // Zero that was observed is a low line, not a blank.
            BLOCKS.get(level.max(1)).copied().unwrap_or('█')
        }
    }
}

fn times(chart: &RibbonChart, columns: usize) -> String {
    let mut line: Vec<char> = Vec::new();
    for (share, text) in &chart.times {
        let at = (share * columns as f64) as usize;
        if at >= line.len() && at + text.chars().count() <= columns + 1 {
            line.resize(at, ' ');
            line.extend(text.chars());
            line.push(' ');
        }
    }
    line.into_iter().collect()
}

/// A number padded so that its decimal point stands below the others.
fn decimal(table: &Table, column: usize, cell: &str) -> String {
    let fraction = |text: &str| {
        let at = text.find([table.point, '+']).unwrap_or(text.len());
        text[at..].chars().count()
    };
    let most =
        table.rows.iter().filter_map(|r| r.get(column)).map(|c| fraction(c)).max().unwrap_or(0);
    format!("{cell}{}", " ".repeat(most - fraction(cell).min(most)))
}

/// As wide as needed; if that is too much, the words give way.
fn column_widths(table: &Table, width: usize) -> Vec<usize> {
    let longest_word = |text: &str| text.split_whitespace().map(|w| w.chars().count()).max();
    let need = |i: usize| {
        let cells = table.rows.iter().filter_map(|r| r.get(i));
        let column = table.columns.get(i);
        let head =
            column.map_or(0, |c| longest_word(&c.head).unwrap_or(0).max(c.unit.chars().count()));
        let cells = match column.map(|c| c.align) {
            Some(Align::Decimal) => cells.map(|c| decimal(table, i, c).chars().count()).max(),
            _ => cells.map(|c| c.chars().count()).max(),
        };
        cells.unwrap_or(0).max(head)
    };
    let mut widths: Vec<usize> = (0..table.columns.len()).map(need).collect();
    let gaps = 2 * widths.len().saturating_sub(1);
    while widths.iter().sum::<usize>() + gaps > width {
        let words = |(i, _): &(usize, &mut usize)| {
            table.columns.get(*i).is_some_and(|c| c.align == Align::Words)
        };
        let widest = widths.iter_mut().enumerate().filter(words).max_by_key(|(_, w)| **w);
        match widest {
            Some((_, w)) if *w > 6 => *w -= 1,
            _ => break,
        }
    }
    widths
}

/// Lines no longer than `room` characters; longer words are broken.
pub(crate) fn wrap(text: &str, room: usize) -> Vec<String> {
    let room = room.max(4);
    let mut lines = Vec::new();
    let mut line = String::new();
    let mut length = 0;
    for word in text.split_whitespace() {
        let count = word.chars().count();
        if length > 0 && length + 1 + count > room {
            lines.push(std::mem::take(&mut line));
            length = 0;
        }
        if length > 0 {
            line.push(' ');
            length += 1;
        }
        for c in word.chars() {
            if length == room {
                lines.push(std::mem::take(&mut line));
                length = 0;
            }
            line.push(c);
            length += 1;
        }
    }
    if length > 0 || lines.is_empty() {
        lines.push(line);
    }
    lines
}
