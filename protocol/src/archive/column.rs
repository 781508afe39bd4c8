//! One column of integers as bytes.
//!
//! ```text
//! 0 constant     value, zigzag varint i32
//! 1 progression  first, zigzag varint i32; step, zigzag varint i32
//! 2 coded        length, varint u32; a standalone pco file of i32
//! ```

use alloc::vec::Vec;
use pco::ChunkConfig;
use pco::standalone::{simple_compress, simple_decompress_into};

const CONSTANT: u8 = 0;
const PROGRESSION: u8 = 1;
const CODED: u8 = 2;
/// No gain was seen above this level on minute-long blocks.
const LEVEL: usize = 8;

/// Appends `values` to `out`.
pub(super) fn write(values: &[i32], out: &mut Vec<u8>) {
    let first = values.first().copied().unwrap_or(0);
    let step = values.get(1).map_or(0, |second| second.wrapping_sub(first));
    if values.iter().all(|v| *v == first) {
        put(out, &(CONSTANT, first));
    } else if values.windows(2).all(|w| w[1].wrapping_sub(w[0]) == step) {
        put(out, &(PROGRESSION, first, step));
    } else {
        let config = ChunkConfig::default().with_compression_level(LEVEL);
        let coded = simple_compress(values, &config).unwrap_or_default();
        put(out, &(CODED, coded.len() as u32));
        out.extend_from_slice(&coded);
    }
}

pub(super) fn put<T: serde::Serialize>(out: &mut Vec<u8>, value: &T) {
    if let Ok(bytes) = postcard::to_allocvec(value) {
        out.extend_from_slice(&bytes);
    }
}

/// Takes a column of `rows` values off `bytes`; `rows` was bounded by the caller.
pub(super) fn take(bytes: &mut &[u8], rows: usize) -> Option<Vec<i32>> {
    let (&tag, rest) = bytes.split_first()?;
    match tag {
        CONSTANT => {
            let (value, rest) = postcard::take_from_bytes::<i32>(rest).ok()?;
            *bytes = rest;
            Some(alloc::vec![value; rows])
        }
        PROGRESSION => {
            let ((first, step), rest) = postcard::take_from_bytes::<(i32, i32)>(rest).ok()?;
            *bytes = rest;
            Some((0..rows).map(|i| first.wrapping_add(step.wrapping_mul(i as i32))).collect())
        }
        CODED => {
            let (len, rest) = postcard::take_from_bytes::<u32>(rest).ok()?;
            let (coded, rest) = rest.split_at_checked(len as usize)?;
            *bytes = rest;
            let mut values = alloc::vec![0; rows];
            let progress = simple_decompress_into(coded, &mut values).ok()?;
            (progress.n_processed == rows && progress.finished).then_some(values)
        }
        _ => None,
    }
}
