//! Which fields of an identifier are worth a look.
//!
//! All runs of bits by the border rule, and all fields that begin at a byte with 8 to 32
//! bits or at a nibble with 12, in both byte orders, less those that hold a counter or a
//! checksum. Bits at either end that never change say nothing and are left off.

use super::bits::{BitFacts, counts_up};
use super::field::{Field, dbc_bit};
use super::recording::Stream;
use super::series::{Series, climb};
use std::collections::BTreeSet;

/// Fewer different values are a switch or a setting.
pub(super) const LEAST_VALUES: usize = 12;

/// What was looked at and why it was left out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct LeftOut {
    /// Identifiers that came too rarely, or always without data.
    pub rare_ids: usize,
    /// Identifiers whose payload never changed.
    pub constant_ids: usize,
    /// Identifiers with a counter.
    pub counters: usize,
    /// Identifiers with a checksum.
    pub checksums: usize,
    /// Fields that only climb, evenly: clocks.
    pub clocks: usize,
    /// Fields that only climb, as something moves: odometers, pulse counters, energy.
    pub odometers: usize,
}

/// A field under judgement.
#[derive(Clone, Debug)]
pub(super) struct Trial {
    /// Which stream it is of.
    pub(super) stream: usize,
    /// How well its ends are shown to be those of a number, -2 to 2.
    pub(super) ends: i8,
    pub(super) series: Series,
}

/// A field that only climbs, and how fast in each cell.
#[derive(Clone, Debug)]
pub(super) struct Climber {
    pub(super) stream: usize,
    pub(super) field: Field,
    pub(super) rate: Vec<f32>,
}

/// All that is worth a look on the bus.
#[derive(Clone, Debug, Default)]
#[allow(clippy::struct_field_names, reason = "its main part")]
pub(super) struct Trials {
    pub(super) trials: Vec<Trial>,
    pub(super) odometers: Vec<Climber>,
    pub(super) left_out: LeftOut,
    /// Bits of each stream that ever changed.
    pub(super) moving: Vec<u64>,
}

impl Trials {
    pub(super) fn of(streams: &[Stream], cells: usize) -> Self {
        let mut all = Self::default();
        for (place, stream) in streams.iter().enumerate() {
            all.take(place, stream, cells);
        }
        all
    }

    fn take(&mut self, place: usize, stream: &Stream, cells: usize) {
        let facts = BitFacts::of(stream);
        let moving = (0..64_u8).filter(|bit| facts.flips[usize::from(*bit)] > 0);
        self.moving.push(moving.fold(0, |mask, bit| mask | 1 << bit));
        if self.moving[place] == 0 {
            self.left_out.constant_ids += 1;
            return;
        }
        self.left_out.counters += usize::from(facts.counter != 0);
        self.left_out.checksums += usize::from(facts.checksum != 0);
        let fields = candidates(&facts, stream.len);
        let climbing = self.climbers(place, stream, &fields, cells);
        for field in fields {
            let inside = |(other, even): &(Field, bool)| {
                let (mask, other) = (field.mask(), other.mask());
                mask & !other == 0 || (*even && mask & other != 0)
            };
            if climbing.iter().any(inside) || (field.len >= 4 && counts_up(stream, field)) {
                continue;
            }
            if let Some(series) = Series::of(stream, field, cells) {
                let ends = facts.ends(field, stream.len);
                self.trials.push(Trial { stream: place, ends, series });
            }
        }
    }

    /// Finds the fields that climb; gives each with whether it climbs evenly.
    fn climbers(
        &mut self,
        place: usize,
        stream: &Stream,
        fields: &BTreeSet<Field>,
        cells: usize,
    ) -> Vec<(Field, bool)> {
        let mut found: Vec<Climber> = Vec::new();
        let mut widest: Vec<Field> = fields.iter().copied().filter(|f| f.len >= 6).collect();
        widest.sort_by_key(|field| std::cmp::Reverse(field.len));
        for field in widest {
            if found.iter().any(|c| c.field.mask() & field.mask() != 0) {
                continue;
            }
            if let Some(rate) = climb(stream, field, cells) {
                found.push(Climber { stream: place, field, rate });
            }
        }
        let mut climbing = Vec::new();
        for climber in found {
            let even = even(&climber.rate);
            climbing.push((climber.field, even));
            if even {
                self.left_out.clocks += 1;
            } else {
                self.left_out.odometers += 1;
                self.odometers.push(climber);
            }
        }
        climbing
    }
}

/// Whether a climb goes on at the same pace all the time.
fn even(rate: &[f32]) -> bool {
    let middle = super::series::mean(rate);
    let square = rate.iter().map(|v| (f64::from(*v) - middle).powi(2)).sum::<f64>();
    (square / rate.len().max(1) as f64).sqrt() < 0.2 * middle
}

/// Fields that may be a number.
fn candidates(facts: &BitFacts, len: u8) -> BTreeSet<Field> {
    let barred = facts.counter | facts.checksum;
    let mut found = facts.runs(len);
    for bit in 0..len * 8 {
        // Switches of one bit.
        if facts.telling() >> bit & 1 == 1 {
            found.insert(Field::little(bit, 1));
        }
    }
    let bits = len * 8;
    let windows = (0..len * 2).flat_map(|nibble| {
        let lengths: &[u8] = if nibble % 2 == 0 { &[8, 12, 16, 24, 32] } else { &[12] };
        lengths.iter().map(move |length| (nibble * 4, *length))
    });
    for (from, length) in windows.filter(|(from, length)| from + length <= bits) {
        for field in [Field::little(from, length), Field::big(from, length)] {
            if field.mask() & barred != 0 {
                continue;
            }
            if let Some(field) = trimmed(facts, field)
                && !facts.seams.cuts(field)
            {
                found.insert(field);
            }
        }
    }
    found
}

/// The field less the bits at both its ends that never change; `None` below 3 bits.
fn trimmed(facts: &BitFacts, field: Field) -> Option<Field> {
    let still = |bit: &u8| facts.flips[usize::from(*bit)] == 0;
    let places: Vec<u8> = field.places().collect();
    let top = places.iter().take_while(|bit| still(bit)).count();
    let low = places[top..].iter().rev().take_while(|bit| still(bit)).count();
    let len = (places.len() - top - low) as u8;
    if len < 3 {
        return None;
    }
    Some(if field.big_endian {
        Field::big(dbc_bit(places[top]), len)
    } else {
        Field::little(field.start + low as u8, len)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::CanId;

    /// Bytes 1 and 2 as a boat's log sends them: a number whose upper byte stays, between
    /// bytes that are all ones.
    #[test]
    fn bits_that_never_change_are_left_off_at_both_ends() {
        let words: Vec<u64> =
            (0..500_u64).map(|i| u64::MAX << 24 | (256 + (i * 7 % 90) + 5) << 8 | 0xff).collect();
        let times_s = (0..words.len()).map(|i| i as f64 / 10.0).collect();
        let heard = words.len();
        let stream = Stream { id: CanId::Standard(1), len: 8, times_s, words, heard };
        let facts = BitFacts::of(&stream);
        for wide in [Field::little(4, 20), Field::little(0, 24), Field::little(8, 16)] {
            assert_eq!(trimmed(&facts, wide), Some(Field::little(8, 7)), "{wide:?}");
        }
        assert_eq!(trimmed(&facts, Field::big(4, 12)), Some(Field::little(8, 7)));
        assert_eq!(trimmed(&facts, Field::little(24, 16)), None);
    }
}
