//! One column of integers as bytes.
//!
//! ```text
//! 0 constant     value, zigzag varint i32
//! 1 progression  first, zigzag varint i32; step, zigzag varint i32
//! 2 coded        length, varint u32; a standalone pco file of i32
//! 3 differences  each value less the one before it (the first: less 0),
//!                wrapping, zigzag varint i32
//! ```
//!
//! The writer tries what may be smallest: short columns gain nothing from a
//! model, long noisy ones gain a tenth from a linear prediction.

use alloc::vec::Vec;
use pco::standalone::{simple_compress, simple_decompress_into};
use pco::{ChunkConfig, DeltaSpec};
use std::panic::{AssertUnwindSafe, catch_unwind};

const CONSTANT: u8 = 0;
const PROGRESSION: u8 = 1;
const CODED: u8 = 2;
const DIFFERENCES: u8 = 3;
/// From this many rows on a linear prediction is tried: its weights cost about 60 bytes.
const PREDICTED_FROM: usize = 512;
/// The order that pco recommends for its linear prediction.
const PREDICTION_ORDER: usize = 6;
/// pco works in batches of this many numbers. Version 1.1.0 panics when it predicts a last
/// batch that is shorter than the order; `columns_of_every_length` holds that we avoid it.
const BATCH: usize = 256;

/// Appends `values` to `out`.
pub(super) fn write(values: &[i32], out: &mut Vec<u8>) {
    let first = values.first().copied().unwrap_or(0);
    let step = values.get(1).map_or(0, |second| second.wrapping_sub(first));
    if values.iter().all(|v| *v == first) {
        put(out, &(CONSTANT, first));
    } else if values.windows(2).all(|w| w[1].wrapping_sub(w[0]) == step) {
        put(out, &(PROGRESSION, first, step));
    } else {
        let differences = differences(values);
        let coded = coded(values).filter(|coded| coded.len() <= differences.len());
        if let Some(coded) = coded {
            put(out, &(CODED, coded.len() as u32));
            out.extend_from_slice(&coded);
        } else {
            out.push(DIFFERENCES);
            out.extend_from_slice(&differences);
        }
    }
}

/// The smallest pco file of `values`; `None` if pco cannot code them.
fn coded(values: &[i32]) -> Option<Vec<u8>> {
    let with = |delta| {
        let config = ChunkConfig::default().with_delta_spec(delta);
        catch_unwind(|| simple_compress(values, &config)).ok()?.ok()
    };
    let plain = with(DeltaSpec::Auto);
    let last_batch = values.len() % BATCH;
    if values.len() < PREDICTED_FROM || (1..PREDICTION_ORDER).contains(&last_batch) {
        return plain;
    }
    let predicted = with(DeltaSpec::TryConv1(PREDICTION_ORDER));
    plain.into_iter().chain(predicted).min_by_key(Vec::len)
}

fn differences(values: &[i32]) -> Vec<u8> {
    let mut out = Vec::new();
    let mut before = 0_i32;
    for value in values {
        put(&mut out, &value.wrapping_sub(before));
        before = *value;
    }
    out
}

pub(super) fn put<T: serde::Serialize>(out: &mut Vec<u8>, value: &T) {
    if let Ok(bytes) = postcard::to_allocvec(value) {
        out.extend_from_slice(&bytes);
    }
}

/// A column that is not decoded yet.
#[derive(Clone, Copy, Debug)]
pub(super) struct Coded<'a> {
    rows: usize,
    form: Form<'a>,
}

#[derive(Clone, Copy, Debug)]
enum Form<'a> {
    Constant(i32),
    Progression(i32, i32),
    Pco(&'a [u8]),
    Differences(&'a [u8]),
}

impl<'a> Coded<'a> {
    /// Takes a column of `rows` values off `bytes`; `rows` was bounded by the caller.
    pub(super) fn take(bytes: &mut &'a [u8], rows: usize) -> Option<Self> {
        let (&tag, rest) = bytes.split_first()?;
        let (form, rest) = match tag {
            CONSTANT => {
                let (value, rest) = postcard::take_from_bytes(rest).ok()?;
                (Form::Constant(value), rest)
            }
            PROGRESSION => {
                let ((first, step), rest) = postcard::take_from_bytes(rest).ok()?;
                (Form::Progression(first, step), rest)
            }
            CODED => {
                let (len, rest) = postcard::take_from_bytes::<u32>(rest).ok()?;
                let (coded, rest) = rest.split_at_checked(len as usize)?;
                (Form::Pco(coded), rest)
            }
            DIFFERENCES => {
                let (coded, rest) = rest.split_at_checked(varints_len(rest, rows)?)?;
                (Form::Differences(coded), rest)
            }
            _ => return None,
        };
        *bytes = rest;
        Some(Self { rows, form })
    }

    /// How many values it has.
    pub(super) fn rows(&self) -> usize {
        self.rows
    }

    /// Its values.
    pub(super) fn values(&self) -> Option<Vec<i32>> {
        let rows = self.rows;
        match self.form {
            Form::Constant(value) => Some(alloc::vec![value; rows]),
            Form::Progression(first, step) => {
                Some((0..rows).map(|i| first.wrapping_add(step.wrapping_mul(i as i32))).collect())
            }
            Form::Pco(coded) => decode(coded, rows),
            Form::Differences(mut left) => {
                let mut values = Vec::with_capacity(rows);
                let mut value = 0_i32;
                for _ in 0..rows {
                    let (step, rest) = postcard::take_from_bytes::<i32>(left).ok()?;
                    left = rest;
                    value = value.wrapping_add(step);
                    values.push(value);
                }
                left.is_empty().then_some(values)
            }
        }
    }
}

/// Bytes that `count` varints take; each ends with the first byte below 128.
///
/// Each takes a byte at least, so rows are bounded by bytes before any is stored.
fn varints_len(bytes: &[u8], count: usize) -> Option<usize> {
    let Some(last) = count.checked_sub(1) else { return Some(0) };
    let mut ends = bytes.iter().enumerate().filter(|(_, byte)| **byte < 0x80);
    ends.nth(last).map(|(place, _)| place + 1)
}

/// Decodes a pco file of exactly `rows` numbers.
fn decode(coded: &[u8], rows: usize) -> Option<Vec<i32>> {
    let mut values = alloc::vec![0; rows];
    // The checksum held, so these bytes are as written; but a forged file could reach an
    // assertion inside pco, and one column must not end the program.
    let into = AssertUnwindSafe(|| simple_decompress_into(coded, &mut values));
    let progress = catch_unwind(into).ok()?.ok()?;
    (progress.n_processed == rows && progress.finished).then_some(values)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Every length up to a few batches, of columns that each coding likes best.
    #[test]
    fn columns_of_every_length() {
        for rows in 1..1_600_usize {
            let noise = |i: usize| (i * 7919 % 101) as i32;
            let smooth = |i: usize| ((i as f64 * 0.05).sin() * 500.0) as i32 + noise(i) % 9;
            let shapes: [&dyn Fn(usize) -> i32; 4] =
                [&noise, &smooth, &|i| i as i32 * 3 + noise(i) % 2, &|i| i32::MAX - noise(i)];
            for shape in shapes {
                let values: Vec<i32> = (0..rows).map(shape).collect();
                let mut bytes = Vec::new();
                write(&values, &mut bytes);
                let mut left = bytes.as_slice();
                let coded = Coded::take(&mut left, rows).unwrap();
                assert_eq!(coded.values().as_ref(), Some(&values), "{rows} rows");
                assert!(left.is_empty());
            }
        }
    }
}
