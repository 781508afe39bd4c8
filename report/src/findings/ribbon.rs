//! Speed and current over the shift in equal cells: the time-weighted mean to
//! compare with the band, smallest and largest so that no spike vanishes.

use super::moment::{Moment, wall};
use super::types::{Ribbon, RibbonCell, Shift};
use underbrush_protocol::si::{Amperes, Metres, MetresPerSecond, Seconds};

/// Cells of a ribbon: more than the columns a printed page can tell apart.
const CELLS: usize = 720;

#[derive(Clone, Copy, Default)]
struct Gathering {
    cell: RibbonCell,
    turning_ms: u64,
    known_ms: u64,
    /// Way, and the time it took.
    way: (Metres, Seconds),
    /// Sum of current x time, in A s, and that time.
    charge: (f64, Seconds),
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
        let to = wall(moment.clock, moment.interval.to).timestamp_millis();
        // The step's last instant belongs to it, so its end falls into the cell before a border.
        let place = ((to - self.from_ms - 1).max(0) as f64 / self.cell_ms) as usize;
        let Some(gathering) = self.cells.get_mut(place) else { return };
        let cell = &mut gathering.cell;
        if let Some(speed) = moment.speed() {
            let (low, high) = cell.speed.unwrap_or((speed, speed));
            cell.speed = Some((min(low, speed), if speed > high { speed } else { high }));
            gathering.way.0 += speed * moment.length();
            gathering.way.1 += moment.length();
        }
        let current = moment.interval.motors.iter().filter_map(|m| m.current_a).reduce(f32::max);
        if let Some(current) = current.map(|a| Amperes(f64::from(a))) {
            let (low, high) = cell.current.unwrap_or((current, current));
            cell.current = Some((min(low, current), if current > high { current } else { high }));
            gathering.charge.0 += current.0 * moment.length().0;
            gathering.charge.1 += moment.length();
        }
        if let Some(turning) = moment.turning {
            gathering.known_ms += moment.ms();
            gathering.turning_ms += if turning { moment.ms() } else { 0 };
        }
        cell.band = moment.band;
    }

    pub(super) fn finish(self) -> Ribbon {
        Ribbon { cells: self.cells.into_iter().map(Gathering::finish).collect() }
    }
}

impl Gathering {
    fn finish(self) -> RibbonCell {
        let ((way, moved), (charge, drawn)) = (self.way, self.charge);
        RibbonCell {
            // A step of no length has a value but no weight.
            speed_mean: (moved.0 > 0.0).then(|| MetresPerSecond(way.0 / moved.0)),
            current_mean: (drawn.0 > 0.0).then(|| Amperes(charge / drawn.0)),
            brush_on: (self.known_ms > 0).then(|| self.turning_ms as f32 / self.known_ms as f32),
            ..self.cell
        }
    }
}

fn min<T: PartialOrd>(a: T, b: T) -> T {
    if b < a { b } else { a }
}

#[cfg(test)]
mod tests {
    use super::*;
    #[test]
    fn smallest_of_two() {
        assert_eq!(min(MetresPerSecond(2.0), MetresPerSecond(1.0)), MetresPerSecond(1.0));
    }

    // 3 s at 2 m/s and 1 s at 6 m/s are 12 m in 4 s: 3 m/s. 8 A s in 2 s are 4 A.
    #[test]
    fn means_are_weighted_by_time() {
        let gathering = Gathering {
            way: (
                MetresPerSecond(2.0) * Seconds(3.0) + MetresPerSecond(6.0) * Seconds(1.0),
                Seconds(4.0),
            ),
            charge: (8.0, Seconds(2.0)),
            ..Gathering::default()
        };
        let cell = gathering.finish();
        assert_eq!(cell.speed_mean, Some(MetresPerSecond(3.0)));
        assert_eq!(cell.current_mean, Some(Amperes(4.0)));
        let nothing = Gathering::default().finish();
        assert_eq!(
            (nothing.speed_mean, nothing.current_mean, nothing.brush_on),
            (None, None, None)
        );
    }
}
