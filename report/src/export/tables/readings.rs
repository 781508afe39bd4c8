//! `readings`: what the sensors said, as the log has it.
//!
//! Nothing is cleaned: a value that no machine can reach stands here as it came. Channels
//! that this program does not know are there under their number, in raw steps.

use crate::export::batch::Cell;
use crate::export::column::{Column, Kind, MACHINE, Unit};
use crate::export::pen::Pen;
use crate::export::{Loss, Window};
use crate::logset::{BootLog, Chunk, Chunks};
use crate::units::Units;
use underbrush_protocol::channel::Channel;
use underbrush_protocol::settings::Machine;
use underbrush_protocol::time::BootMs;

const CHANNEL: usize = 4;
const UNIT: usize = 6;

pub(super) const COLUMNS: &[Column] = &[
    MACHINE,
    Column::new("boot", Kind::Whole, Unit::None)
        .range("1 or more")
        .says("Number of the board's power-on")
        .from("log"),
    Column::new("boot_ms", Kind::Whole, Unit::None)
        .range("0 or more")
        .says("Milliseconds since that power-on, by the board's own clock")
        .from("log"),
    Column::new("time_utc", Kind::Time, Unit::None)
        .says("The same instant")
        .missing("the board never learned the time")
        .from("`boot_ms` by the time fixes in the log"),
    Column::new("channel", Kind::Word, Unit::None)
        .range("`speed`, `turn_rate`, `brush_current_1`, ...; `channel_N` if not known")
        .says("Which quantity; motors count from 1, from the left")
        .from("log"),
    Column::new("value", Kind::Double, Unit::None)
        .says("Its value; switches are 0 or 1")
        .from("raw value x resolution of the channel; a speed also x `speed.wheel_factor`"),
    Column::new("unit", Kind::Word, Unit::None)
        .range("`m/s` (or `mph`), `rad/s`, `A`, `V`, `r/min`, `%`, `s`, `0/1`, `raw`")
        .says("Unit of `value`")
        .from("channel"),
];

/// The unit of a channel; `None`: it is not known here.
pub(super) fn unit_of(channel: Channel) -> Option<Unit> {
    let unit = channel.unit()?;
    let units = [
        Unit::Speed,
        Unit::TurnRate,
        Unit::Amperes,
        Unit::Rotation,
        Unit::Volts,
        Unit::Percent,
        Unit::Seconds,
    ];
    // What has no unit is a switch.
    Some(units.into_iter().find(|of| of.names(Units::Si).0 == unit).unwrap_or(Unit::None))
}

/// How raw values of a channel become values.
struct Scale {
    /// Raw steps in a unit, where that is a whole number: dividing by it is exact to the last
    /// digit, and 0.3 is not 0.30000000000000004.
    steps: Option<f64>,
    resolution: f64,
    factor: f64,
    unit: &'static str,
}

impl Scale {
    fn of(channel: Channel, machine: &Machine, units: Units) -> Self {
        let unit = unit_of(channel);
        let resolution = channel.resolution();
        let steps = (1.0 / resolution).round();
        let wheel = if unit == Some(Unit::Speed) { machine.speed.wheel_factor } else { 1.0 };
        Self {
            steps: ((steps * resolution - 1.0).abs() < 1e-12).then_some(steps),
            resolution,
            factor: wheel / unit.map_or(1.0, |unit| unit.divisor(units)),
            unit: match unit {
                None => "raw",
                Some(Unit::None) => "0/1",
                Some(unit) => unit.names(units).0,
            },
        }
    }

    fn value(&self, raw: i32) -> f64 {
        let raw = f64::from(raw);
        let value = self.steps.map_or(raw * self.resolution, |steps| raw / steps);
        // Exactly 1 in SI units without a wheel factor.
        value * self.factor
    }
}

/// Writes the readings of one boot that are in the window; gives what is to be told.
pub(crate) fn write_readings(
    machine: &Machine,
    boot: &BootLog,
    window: &Window,
    units: Units,
    pen: &mut Pen<'_>,
) -> Vec<Loss> {
    let whole = (BootMs(0), BootMs(u64::MAX));
    let (from, to) = match (boot.clock(), window.span) {
        (_, None) => whole,
        (None, Some(_)) => return vec![Loss::undated(machine, boot)],
        (Some(clock), Some(span)) => {
            // A minute more at either end: the clock's drift is far less.
            let begin = clock.utc(BootMs(0)).0;
            let ms = |at: chrono::DateTime<chrono::Utc>, more: i64| {
                BootMs(
                    at.timestamp_millis().saturating_sub(begin).saturating_add(more).max(0) as u64
                )
            };
            (ms(span.from, -60_000), ms(span.to, 60_000))
        }
    };
    let mut chunks = Chunks::new(boot, from, to);
    for chunk in chunks.by_ref() {
        write_chunk(machine, boot, &chunk, (window, units), pen);
        if pen.failed() {
            break;
        }
    }
    let problems = chunks.take_problems();
    problems.into_iter().map(|problem| Loss::of(&machine.id, problem)).collect()
}

fn write_chunk(
    machine: &Machine,
    boot: &BootLog,
    chunk: &Chunk,
    (window, units): (&Window, Units),
    pen: &mut Pen<'_>,
) {
    let id = pen.word(0, &machine.id);
    for column in &chunk.block.columns {
        let known = unit_of(column.channel).is_some();
        let channel = if known {
            pen.word(CHANNEL, column.channel.name())
        } else {
            pen.word(CHANNEL, &format!("channel_{}", column.channel.0))
        };
        let scale = Scale::of(column.channel, machine, units);
        let unit = pen.word(UNIT, scale.unit);
        for (at, raw) in column.at.iter().zip(&column.raw) {
            let at = BootMs(chunk.base.0.saturating_add_signed(i64::from(*at)));
            let utc = boot.clock().map(|clock| clock.utc(at).0);
            if !window.holds(utc) {
                continue;
            }
            pen.put(id);
            pen.put(Cell::Whole(i64::from(boot.boot)));
            pen.put(Cell::Whole(at.0.min(i64::MAX as u64) as i64));
            pen.put(Cell::of(utc, Cell::Time));
            pen.put(channel);
            pen.put(Cell::Double(scale.value(*raw)));
            pen.put(unit);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A channel that is added to the protocol gets its unit here.
    #[test]
    fn every_channel_has_a_unit() {
        for name in Channel::names() {
            let channel = Channel::by_name(name).unwrap();
            assert!(unit_of(channel).is_some(), "{name}");
        }
        assert_eq!(unit_of(Channel(8)), Some(Unit::Amperes));
        assert_eq!(unit_of(Channel::TRACTION_METER), Some(Unit::Seconds));
        assert_eq!(unit_of(Channel::BRUSH_ON_METER), Some(Unit::Seconds));
        assert_eq!(unit_of(Channel::VACUUM_ON), Some(Unit::None));
        assert_eq!(unit_of(Channel(127)), None);
    }
}
