//! Stretches of cells of a trace, by seconds from the event's begin.

use crate::findings::Trace;
use crate::window::Quantity;

/// A motor switched on has started after this, in s.
const STARTED_S: f64 = 3.0;
/// So much of its work afterwards is looked at, in s, and at least that much.
const AFTERWARDS_S: (f64, f64) = (7.0, 2.0);

pub(super) struct Around<'a> {
    pub(super) trace: &'a Trace,
}

type Range = (f64, f64);

pub(super) fn median_of_middles(ranges: &[Range]) -> Option<f64> {
    let middles: Vec<f64> = ranges.iter().map(|(low, high)| f64::midpoint(*low, *high)).collect();
    crate::findings::robust::median(&middles)
}

impl Around<'_> {
    fn cell_s(&self) -> f64 {
        self.trace.cell().0.max(1e-6)
    }

    /// Cells that were read, and those that were not.
    fn cells(&self, quantity: Quantity, from_s: f64, to_s: f64) -> Vec<Option<Range>> {
        let Some(line) = self.trace.line(quantity) else { return Vec::new() };
        let cell_s = self.cell_s();
        let begin_s =
            (self.trace.event.from - self.trace.span.from).num_milliseconds() as f64 / 1e3;
        let index = |s: f64| ((begin_s + s) / cell_s).max(0.0);
        let first = index(from_s).floor() as usize;
        // A stretch shorter than a cell is that cell.
        let last = (index(to_s).ceil() as usize).max(first + 1);
        let cells = line.cells.iter().take(last).skip(first);
        cells.map(|cell| cell.range.map(|(a, b)| (f64::from(a), f64::from(b)))).collect()
    }

    pub(super) fn ranges(&self, quantity: Quantity, from_s: f64, to_s: f64) -> Vec<Range> {
        self.cells(quantity, from_s, to_s).into_iter().flatten().collect()
    }

    pub(super) fn median(&self, quantity: Quantity, from_s: f64, to_s: f64) -> Option<f64> {
        median_of_middles(&self.ranges(quantity, from_s, to_s))
    }

    pub(super) fn before(&self, quantity: Quantity) -> Option<f64> {
        self.median(quantity, -10.0, -1.0)
    }

    /// The same of so many seconds, without what is known as brushes off or head up.
    pub(super) fn at_work_before(&self, quantity: Quantity, seconds: f64) -> Option<f64> {
        let switches = [Quantity::Command, Quantity::HeadDown];
        let switches = switches.map(|switch| self.cells(switch, -seconds, -1.0));
        let off = |place: usize| {
            let low = |cells: &Vec<Option<Range>>| cells.get(place).copied().flatten();
            switches.iter().filter_map(low).any(|(low, _)| low < 1.0)
        };
        let cells = self.cells(quantity, -seconds, -1.0);
        let at_work = cells.into_iter().enumerate().filter(|(place, _)| !off(*place));
        median_of_middles(&at_work.filter_map(|(_, cell)| cell).collect::<Vec<_>>())
    }

    pub(super) fn length_s(&self) -> f64 {
        self.trace.event.length().0
    }

    pub(super) fn inside(&self, quantity: Quantity) -> Option<Range> {
        let ranges = self.ranges(quantity, 0.0, self.length_s());
        ranges.into_iter().reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
    }

    pub(super) fn switch(&self, quantity: Quantity) -> Option<bool> {
        match self.inside(quantity)? {
            (low, _) if low > 0.0 => Some(true),
            (_, high) if high < 1.0 => Some(false),
            _ => None,
        }
    }

    /// Time from the last cell in which the switch was off to the event's begin.
    pub(super) fn since_on(&self, quantity: Quantity) -> Option<f64> {
        let before = self.ranges(quantity, -30.0, 0.0);
        let off = before.iter().rev().position(|(low, _)| *low < 1.0)?;
        Some(off as f64 * self.cell_s())
    }

    /// Current of a motor at work after the event: at once where its brush was never
    /// switched off, else once it was on again for some seconds, head not up.
    pub(super) fn afterwards(&self, motor: usize) -> Option<f64> {
        let (from, to) = (self.length_s() + 1.0, self.length_s() + 30.0);
        let command = self.cells(Quantity::Command, from, to);
        let head = self.cells(Quantity::HeadDown, from, to);
        let current = self.cells(Quantity::Current(motor), from, to);
        let cell_s = self.cell_s();
        let stayed_on = self.switch(Quantity::Command) == Some(true);
        let mut on_s = if stayed_on { STARTED_S } else { 0.0 };
        let mut seen = Vec::new();
        for (place, command) in command.iter().enumerate() {
            let on = command.is_some_and(|(low, _)| low > 0.0);
            on_s = if on { on_s + cell_s } else { 0.0 };
            let up = head.get(place).copied().flatten().is_some_and(|(low, _)| low < 1.0);
            let read = current.get(place).copied().flatten();
            seen.extend(read.filter(|_| on_s > STARTED_S && !up));
            if seen.len() as f64 * cell_s >= AFTERWARDS_S.0 {
                break;
            }
        }
        median_of_middles(&seen).filter(|_| seen.len() as f64 * cell_s >= AFTERWARDS_S.1)
    }

    /// What the battery gives beyond the brush motors, where all were read.
    pub(super) fn drive(&self, motors: usize, from_s: f64, to_s: f64) -> Vec<f64> {
        let battery = self.cells(Quantity::BatteryCurrent, from_s, to_s);
        let brushes: Vec<Vec<Option<Range>>> =
            (0..motors).map(|m| self.cells(Quantity::Current(m), from_s, to_s)).collect();
        let middle = |cell: Option<Range>| cell.map(|(low, high)| f64::midpoint(low, high));
        let at = |(place, battery): (usize, &Option<Range>)| {
            let mut rest = middle(*battery)?;
            for brush in &brushes {
                rest -= middle(brush.get(place).copied().flatten())?;
            }
            Some(rest)
        };
        battery.iter().enumerate().filter_map(at).collect()
    }
}
