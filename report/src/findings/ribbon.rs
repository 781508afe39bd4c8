//! Speed and current over the shift in equal cells, smallest and largest kept,
//! so that no spike vanishes in the chart.

use super::moment::{Moment, wall};
use super::types::{Ribbon, RibbonCell, Shift};
use underbrush_protocol::si::Amperes;

/// Cells of a ribbon: more than the columns a printed page can tell apart.
const CELLS: usize = 720;

#[derive(Clone, Copy, Default)]
struct Gathering {
    cell: RibbonCell,
    turning_ms: u64,
    known_ms: u64,
}

pub(super) struct Ribbons {
    from_ms: i64,
    cell_ms: f64,
    cells: Vec<Gathering>,
}

impl Ribbons {
    pub(super) fn new(shift: &Shift) -> Self {
        let cell_ms = (shift.span.length().0 * 1000.0 / CELLS as f64).max(1.0);
        let from_ms = shift.span.from.timestamp_millis();
        Self { from_ms, cell_ms, cells: vec![Gathering::default(); CELLS] }
    }

    pub(super) fn step(&mut self, moment: &Moment<'_>) {
        let to = wall(moment.clock, moment.step.interval.to).timestamp_millis();
        // The step's last instant belongs to it, so its end falls into the cell before a border.
        let place = ((to - self.from_ms - 1).max(0) as f64 / self.cell_ms) as usize;
        let Some(gathering) = self.cells.get_mut(place) else { return };
        let cell = &mut gathering.cell;
        if let Some(speed) = moment.speed() {
            let (low, high) = cell.speed.unwrap_or((speed, speed));
            cell.speed = Some((min(low, speed), if speed > high { speed } else { high }));
        }
        let current =
            moment.step.interval.motors.iter().filter_map(|m| m.current_a).reduce(f32::max);
        if let Some(current) = current.map(|a| Amperes(f64::from(a))) {
            let (low, high) = cell.current.unwrap_or((current, current));
            cell.current = Some((min(low, current), if current > high { current } else { high }));
        }
        if let Some(turning) = moment.turning {
            gathering.known_ms += moment.ms();
            gathering.turning_ms += if turning { moment.ms() } else { 0 };
        }
        cell.band = moment.band;
    }

    pub(super) fn finish(self) -> Ribbon {
        let finish = |g: Gathering| RibbonCell {
            brush_on: (g.known_ms > 0).then(|| g.turning_ms as f32 / g.known_ms as f32),
            ..g.cell
        };
        Ribbon { cells: self.cells.into_iter().map(finish).collect() }
    }
}

fn min<T: PartialOrd>(a: T, b: T) -> T {
    if b < a { b } else { a }
}

#[cfg(test)]
mod tests {
    use super::*;
    use underbrush_protocol::si::MetresPerSecond;

    #[test]
    fn smallest_of_two() {
        assert_eq!(min(MetresPerSecond(2.0), MetresPerSecond(1.0)), MetresPerSecond(1.0));
    }
}
