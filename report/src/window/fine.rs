//! Brush motor currents at the full rate of the bridge, where the log has them.
//!
//! A full-rate reading speaks for the time since the one before it, as each rate does, up to
//! [`LONGEST_MS`]. What no full-rate reading speaks for is shown by the reading at normal rate.

use super::Quantity;
use crate::findings::{Inputs, Span};
use crate::logset::Chunks;
use underbrush_protocol::archive::{Block, ColumnView, view_block};
use underbrush_protocol::channel::Channel;
use underbrush_protocol::frame::MAX_MOTORS;
use underbrush_protocol::time::BootMs;

/// The largest distance that a bridge can give such readings, in ms.
const LONGEST_MS: i64 = 255;
/// Clocks and their maps differ by less, in ms.
const MARGIN_MS: i64 = 60_000;

/// One reading: it holds up to its time, in UTC ms.
#[derive(Clone, Copy, Debug)]
struct Sample {
    to: i64,
    current_a: f32,
}

/// The full-rate currents of a span, motor by motor in order of time.
#[derive(Debug, Default)]
pub(super) struct Fine {
    motors: [Vec<Sample>; MAX_MOTORS],
}

impl Fine {
    /// Those of the wanted motors; nothing is read if none is wanted.
    pub(super) fn read(inputs: &Inputs<'_>, span: Span, wanted: &[Quantity]) -> Self {
        let asked = |motor: usize| wanted.contains(&Quantity::FineCurrent(motor));
        let channels: Vec<(usize, Channel)> = (0..MAX_MOTORS)
            .filter(|motor| asked(*motor))
            .filter_map(|motor| Some((motor, Channel::brush_current(motor)?.fine()?)))
            .collect();
        let mut fine = Self::default();
        if !channels.is_empty() {
            fine.read_channels(inputs, span, &channels);
        }
        fine
    }

    fn read_channels(&mut self, inputs: &Inputs<'_>, span: Span, channels: &[(usize, Channel)]) {
        let (from, to) = (span.from.timestamp_millis(), span.to.timestamp_millis());
        let wanted = |channel: Channel| channels.iter().any(|(_, fine)| *fine == channel);
        let decode = |bytes: &[u8], salt: [u8; 4]| {
            let mut block = Block::default();
            view_block(bytes, salt)?.read_columns(&mut block, wanted, ColumnView::values)?;
            Some(block)
        };
        let most_a = inputs.machine.sensor_limits().current_a;
        for boot in &inputs.logs.boots {
            let (Some(clock), Some((first, last))) = (boot.clock(), boot.utc_span()) else {
                continue;
            };
            if first.0 > to || last.0 < from {
                continue;
            }
            let boot_ms = |utc: i64| BootMs((utc - clock.utc(BootMs(0)).0).max(0) as u64);
            let (begin, end) = (boot_ms(from - MARGIN_MS), boot_ms(to + MARGIN_MS));
            // What cannot be read is told where the logs are judged.
            for chunk in Chunks::decoded_by(&decode, boot, begin, end) {
                for column in &chunk.block.columns {
                    let of = channels.iter().find(|(_, fine)| *fine == column.channel);
                    let motor = of.and_then(|(motor, _)| self.motors.get_mut(*motor));
                    let Some(samples) = motor else { continue };
                    for (at, raw) in column.at.iter().zip(&column.raw) {
                        let at = BootMs(chunk.base.0.saturating_add_signed(i64::from(*at)));
                        let current_a = (f64::from(*raw) * column.channel.resolution()) as f32;
                        let to_ms = clock.utc(at).0;
                        let inside = (from..to + LONGEST_MS).contains(&to_ms);
                        if inside && current_a.abs() <= most_a {
                            samples.push(Sample { to: to_ms, current_a });
                        }
                    }
                }
            }
        }
        for samples in &mut self.motors {
            samples.sort_by_key(|sample| sample.to);
        }
    }

    /// Gives a motor's current from one time to another, in UTC ms: `normal` where there is
    /// nothing at full rate.
    pub(super) fn give(
        &self,
        motor: usize,
        normal: Option<f32>,
        (from, to): (i64, i64),
        mut each: impl FnMut(f32, i64, i64),
    ) {
        let samples = self.motors.get(motor).map(Vec::as_slice).unwrap_or_default();
        let first = samples.partition_point(|sample| sample.to <= from);
        let mut shown = from;
        let rest = |from: i64, to: i64, each: &mut dyn FnMut(f32, i64, i64)| {
            if let Some(normal) = normal.filter(|_| from < to) {
                each(normal, from, to);
            }
        };
        for (place, sample) in samples.iter().enumerate().skip(first) {
            let before = place.checked_sub(1).and_then(|place| samples.get(place));
            let spoken = before.map_or(sample.to - 1, |before| before.to);
            // The first of a window speaks for the shortest time that there is.
            let spoken = if sample.to - spoken > LONGEST_MS { sample.to - 1 } else { spoken };
            if spoken >= to {
                break;
            }
            let begin = spoken.clamp(shown, to);
            rest(shown, begin, &mut each);
            let end = sample.to.min(to);
            if begin < end {
                each(sample.current_a, begin, end);
                shown = end;
            } else {
                shown = shown.max(begin);
            }
        }
        rest(shown, to, &mut each);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn given(
        samples: &[(i64, f32)],
        normal: Option<f32>,
        span: (i64, i64),
    ) -> Vec<(f32, i64, i64)> {
        let mut fine = Fine::default();
        fine.motors[0] = samples.iter().map(|(to, a)| Sample { to: *to, current_a: *a }).collect();
        let mut out = Vec::new();
        fine.give(0, normal, span, |value, from, to| out.push((value, from, to)));
        out
    }

    #[test]
    fn full_rate_where_it_is_and_normal_rate_elsewhere() {
        // Nothing at full rate.
        assert_eq!(given(&[], Some(5.0), (0, 100)), [(5.0, 0, 100)]);
        // It begins within the step; its first reading speaks for 1 ms.
        let samples = [(50, 1.0), (60, 2.0), (100, 3.0), (101, 4.0)];
        let expected = [(5.0, 0, 49), (1.0, 49, 50), (2.0, 50, 60), (3.0, 60, 100)];
        assert_eq!(given(&samples, Some(5.0), (0, 100)), expected);
        // And ends in the next one; 400 ms are not spoken for by what follows.
        let samples = [(100, 3.0), (101, 4.0), (501, 9.0)];
        assert_eq!(given(&samples, Some(5.0), (100, 200)), [(4.0, 100, 101), (5.0, 101, 200)]);
        // No reading at normal rate: a gap stays a gap.
        assert_eq!(given(&samples, None, (100, 200)), [(4.0, 100, 101)]);
        // A reading that begins in one step and ends in the next.
        let samples = [(90, 1.0), (110, 2.0)];
        assert_eq!(given(&samples, Some(5.0), (90, 100)), [(2.0, 90, 100)]);
        assert_eq!(given(&samples, Some(5.0), (100, 120)), [(2.0, 100, 110), (5.0, 110, 120)]);
    }
}
