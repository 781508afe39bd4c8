//! The battery over a shift: its resistance, and its voltage at rest.
//!
//! Words: *drawn* current is positive. *Under load* is the voltage as read. *At
//! rest* is what it would be without load: U + R I. Model: over seconds a
//! battery is a source behind an ohmic resistance (Thevenin; any textbook on
//! batteries). R comes from pairs of neighbouring readings between which the
//! current changed by [`LEAST_CHANGE`] or more, so that the charge used up drops
//! out: the Theil-Sen slope of the changes of U over those of I, with its sign
//! turned, and that slope's 95 % interval. It is used if the interval is
//! narrower than the value itself. Slower drops (polarisation) stay in the
//! voltage at rest, some 0.05 V per cell of lead; the limits allow for it.
//!
//! Voltages are means over one minute, of which the median of three neighbours
//! counts, so that one wild reading changes nothing.
//! Uncertainty: that of R times the current, and the voltmeter's own.

use super::super::moment::wall;
use super::super::observed::Observed;
use super::super::robust::{Thinned, median, theil_sen};
use super::super::types::Span;
use crate::logset::ClockMap;
use chrono::{DateTime, TimeDelta, Utc};
use underbrush_protocol::detect::Interval;
use underbrush_protocol::settings::machine::BatteryLimits;
use underbrush_protocol::si::{Ohms, Seconds, Volts};

/// Voltages are averaged over parts of this length, in ms, of which there are never more than
/// [`MOST_CELLS`].
const CELL_MS: i64 = 60_000;
const MOST_CELLS: i64 = 2_048;
/// A reading that stays the same counts again after this time: bridges send every 2.5 s.
const READ_AGAIN_MS: u64 = 2_500;
/// Neighbouring readings further apart than this are no pair.
const PAIR_MS: u64 = 6_000;
/// Smallest change of current of a pair, in A: well above the noise of a current sensor.
pub(super) const LEAST_CHANGE: f64 = 10.0;
/// Fewer pairs than this say nothing of the resistance.
const FEWEST_PAIRS: usize = 8;
/// Time with brushes off that the voltage at the start is taken from, in s.
const START_S: f64 = 60.0;
/// After so much brush time the start is over, in s.
const START_OVER_S: f64 = 300.0;
/// Readings at rest that are enough for a voltage.
const FEWEST_AT_REST: usize = 3;
/// A current into the battery above this is charging, in A; a sensor's own offset is smaller.
const CHARGING_A: f64 = -2.0;

/// What one shift, or one night, says of the battery.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct BatteryRun {
    /// Time with a voltage, of the time recorded.
    pub observed: Observed,
    /// Whether the battery's current was read too.
    pub current_read: bool,
    /// Its resistance with cables; `None` where the current was not read or hardly changed.
    pub resistance: Option<Resistance>,
    /// At rest, before the work: median over the first minute with brushes off.
    pub start: Option<Volts>,
    /// At rest, when brushes last turned.
    pub end: Option<Volts>,
    /// Lowest at rest.
    pub lowest: Option<Trough>,
    /// Lowest under load, brushes turning.
    pub lowest_loaded: Option<Trough>,
    /// When it first fell below the limits `low` and `deep` at rest, or `under_load` where rest is
    /// not known (then both are the same).
    pub below: [Option<DateTime<Utc>>; 2],
    /// Observed time with a brush turning.
    pub brush_time: Seconds,
    /// It was charged while recording: start and end do not belong to one charge.
    pub charged_within: bool,
}

/// A resistance and its 95 % interval.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Resistance {
    /// Best value.
    pub best: Ohms,
    /// Lower end.
    pub low: Ohms,
    /// Upper end.
    pub high: Ohms,
    /// Pairs of readings it rests on.
    pub pairs: usize,
}

/// A lowest voltage and its time.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Trough {
    /// How low.
    pub voltage: Volts,
    /// When.
    pub at: DateTime<Utc>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Cell {
    voltage: f64,
    current: f64,
    readings: u32,
    with_current: u32,
    with_brush: u32,
}

#[derive(Clone, Copy, Debug)]
struct Reading {
    at: u64,
    voltage: f64,
    current: Option<f64>,
}

/// Follows the battery.
pub(in super::super) struct BatteryTrace {
    span: Span,
    cells: Vec<Cell>,
    changes: Thinned<(f64, f64)>,
    /// Voltage and current in the first minute with brushes off.
    start: Vec<(f64, f64)>,
    start_time: Seconds,
    /// The same since brushes last turned.
    after: Thinned<(f64, f64)>,
    last: Option<Reading>,
    run: BatteryRun,
}

impl BatteryTrace {
    pub(in super::super) fn new(span: Span) -> Self {
        let cells = (span.to - span.from).num_milliseconds() / CELL_MS;
        Self {
            span,
            cells: vec![Cell::default(); cells.clamp(1, MOST_CELLS) as usize],
            changes: Thinned::default(),
            start: Vec::new(),
            start_time: Seconds(0.0),
            after: Thinned::default(),
            last: None,
            run: BatteryRun::default(),
        }
    }

    pub(in super::super) fn step(
        &mut self,
        interval: &Interval,
        clock: &ClockMap,
        turning: Option<bool>,
    ) {
        let states = &interval.states;
        let length = Seconds::from_ms(interval.ms());
        self.run.observed.add(length, states.battery_v.is_some());
        if turning == Some(true) {
            self.run.brush_time += length;
            self.after.clear();
        }
        let Some(voltage) = states.battery_v else { return };
        let off = turning == Some(false);
        let at_start = off && self.run.brush_time.0 < START_OVER_S && self.start_time.0 < START_S;
        if at_start {
            self.start_time += length;
        }
        let now = Reading {
            at: interval.to.0,
            voltage: f64::from(voltage),
            current: states.battery_a.map(f64::from),
        };
        if !self.is_new(now) {
            return;
        }
        if let Some(before) = self.last.replace(now) {
            self.pair(before, now);
        }
        let current = now.current.unwrap_or(0.0);
        if at_start {
            self.start.push((now.voltage, current));
        } else if off {
            self.after.push((now.voltage, current));
        }
        if current < CHARGING_A {
            self.run.charged_within = true;
            return;
        }
        let at = wall(clock, interval.to);
        if let Some(cell) = self.cell_at(at) {
            cell.readings += 1;
            cell.voltage += now.voltage;
            cell.current += current;
            cell.with_current += u32::from(now.current.is_some());
            cell.with_brush += u32::from(turning == Some(true));
        }
    }

    pub(in super::super) fn boot_ends(&mut self) {
        self.last = None;
    }

    fn is_new(&self, now: Reading) -> bool {
        let same = |last: Reading| {
            let current = |r: Reading| r.current.map(f64::to_bits);
            last.voltage.to_bits() == now.voltage.to_bits() && current(last) == current(now)
        };
        self.last.is_none_or(|last| !same(last) || now.at.saturating_sub(last.at) >= READ_AGAIN_MS)
    }

    fn pair(&mut self, before: Reading, now: Reading) {
        let (Some(from), Some(to)) = (before.current, now.current) else { return };
        let near = now.at.saturating_sub(before.at) <= PAIR_MS;
        if near && (to - from).abs() >= LEAST_CHANGE && to.min(from) > CHARGING_A {
            self.changes.push((to - from, now.voltage - before.voltage));
        }
    }

    fn cell_at(&mut self, at: DateTime<Utc>) -> Option<&mut Cell> {
        let since = (at - self.span.from).num_milliseconds();
        let whole = (self.span.to - self.span.from).num_milliseconds().max(1);
        let last = self.cells.len() - 1;
        let place = usize::try_from(since * self.cells.len() as i64 / whole).ok()?;
        self.cells.get_mut(place.min(last))
    }

    fn begin_of(&self, cell: usize) -> DateTime<Utc> {
        let whole = (self.span.to - self.span.from).num_milliseconds();
        self.span.from + TimeDelta::milliseconds(whole * cell as i64 / self.cells.len() as i64)
    }

    /// What it comes to.
    pub(in super::super) fn finish(mut self, limits: &BatteryLimits) -> BatteryRun {
        self.run.current_read = self.cells.iter().any(|cell| cell.with_current > 0);
        self.run.resistance = resistance(self.changes.kept());
        let ohms = self.run.resistance.map(|r| r.best.0);
        let rest = |(u, i): &(f64, f64)| u + ohms.unwrap_or(0.0) * i;
        let at_rest = |readings: &[(f64, f64)]| {
            let voltages: Vec<f64> = readings.iter().map(rest).collect();
            median(&voltages).filter(|_| voltages.len() >= FEWEST_AT_REST).map(Volts)
        };
        self.run.start = at_rest(&self.start);
        let loaded = self.series(|cell| (cell.with_brush > 0).then(|| mean(cell).0));
        self.run.lowest_loaded = self.trough(&loaded);
        if let Some(ohms) = ohms {
            let rested = self.series(|cell| {
                let (voltage, current) = mean(cell);
                (cell.with_current == cell.readings).then_some(voltage + ohms * current)
            });
            self.run.lowest = self.trough(&rested);
            self.run.below =
                [limits.low, limits.deep].map(|limit| self.first_below(&rested, limit));
            let worked = |(cell, _): &&(usize, f64)| {
                self.cells.get(*cell).is_some_and(|cell| cell.with_brush > 0)
            };
            self.run.end = rested.iter().rfind(worked).map(|(_, voltage)| Volts(*voltage));
        } else {
            self.run.below = [self.first_below(&loaded, limits.under_load); 2];
            self.run.end = at_rest(self.after.kept());
        }
        self.run
    }

    /// A number for each cell that has one: the median of it and its neighbours that have one.
    fn series(&self, of: impl Fn(&Cell) -> Option<f64>) -> Vec<(usize, f64)> {
        let read = self.cells.iter().enumerate().filter(|(_, cell)| cell.readings > 0);
        let plain: Vec<(usize, f64)> = read.filter_map(|(i, cell)| Some((i, of(cell)?))).collect();
        let calm = |i: usize| {
            let last = plain.len().min(i + 2);
            let near: Vec<f64> =
                plain.get(i.saturating_sub(1)..last)?.iter().map(|p| p.1).collect();
            Some((plain.get(i)?.0, median(&near)?))
        };
        (0..plain.len()).filter_map(calm).collect()
    }

    fn trough(&self, series: &[(usize, f64)]) -> Option<Trough> {
        let lowest = series.iter().min_by(|a, b| a.1.total_cmp(&b.1));
        lowest.map(|(cell, v)| Trough { voltage: Volts(*v), at: self.begin_of(*cell) })
    }

    fn first_below(&self, series: &[(usize, f64)], limit: Volts) -> Option<DateTime<Utc>> {
        let first = series.iter().find(|(_, voltage)| *voltage < limit.0);
        first.map(|(cell, _)| self.begin_of(*cell))
    }
}

fn mean(cell: &Cell) -> (f64, f64) {
    let n = f64::from(cell.readings.max(1));
    (cell.voltage / n, cell.current / n)
}

/// The resistance behind changes of current and voltage.
fn resistance(changes: &[(f64, f64)]) -> Option<Resistance> {
    let line = theil_sen(changes).filter(|_| changes.len() >= FEWEST_PAIRS)?;
    let found = Resistance {
        best: Ohms(-line.slope),
        low: Ohms(-line.high),
        high: Ohms(-line.low),
        pairs: changes.len(),
    };
    (found.best.0 > 0.0 && found.high.0 - found.low.0 < found.best.0).then_some(found)
}
