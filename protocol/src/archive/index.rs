//! The index behind the last block, and the trailer that points at it.
//!
//! ```text
//! index:   sync word 55 42 49 B5; length, u32 LE; body, postcard; CRC-32C (salted) of length and body
//! trailer: offset of the index, u64 LE; CRC-32C (salted) of it; magic 55 42 45 4E 44 0A
//! ```

use crate::checksum::log_crc;
use crate::note::ClockFix;
use crate::time::BootMs;
use alloc::vec::Vec;
use serde::{Deserialize, Serialize};

pub(super) const SYNC: [u8; 4] = *b"UBI\xB5";
const END: [u8; 6] = *b"UBEND\n";
/// Bytes of the trailer.
pub const TRAILER_LEN: usize = 8 + 4 + END.len();

/// Where the blocks are, and what places the file in time without reading them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Index {
    /// Blocks in file order.
    pub blocks: Vec<BlockEntry>,
    /// All clock fixes of the file.
    pub clock_fixes: Vec<(BootMs, ClockFix)>,
}

/// One block.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct BlockEntry {
    /// Where its sync word stands in the file.
    pub offset: u64,
    /// Bytes it takes.
    pub len: u32,
    /// Time of its first entry.
    pub first: BootMs,
    /// Time of its last entry.
    pub last: BootMs,
    /// Readings in it.
    pub rows: u32,
}

impl Index {
    /// Index and trailer, for a file whose blocks end at `offset`.
    pub(super) fn write(&self, offset: u64, salt: [u8; 4]) -> Vec<u8> {
        let body = postcard::to_allocvec(self).unwrap_or_default();
        let len = (body.len() as u32).to_le_bytes();
        let mut out = SYNC.to_vec();
        out.extend_from_slice(&len);
        out.extend_from_slice(&body);
        out.extend_from_slice(&log_crc(&[&salt, &len, &body]).to_le_bytes());
        let offset = offset.to_le_bytes();
        out.extend_from_slice(&offset);
        out.extend_from_slice(&log_crc(&[&salt, &offset]).to_le_bytes());
        out.extend_from_slice(&END);
        out
    }

    /// Where the index stands, by the trailer that ends `tail` (the last bytes of a file).
    pub fn offset(tail: &[u8], salt: [u8; 4]) -> Option<u64> {
        let trailer = tail.last_chunk::<TRAILER_LEN>()?;
        let (offset, rest) = trailer.split_first_chunk::<8>()?;
        let (crc, end) = rest.split_first_chunk::<4>()?;
        let whole = end == END && log_crc(&[&salt, offset]).to_le_bytes() == *crc;
        whole.then(|| u64::from_le_bytes(*offset))
    }

    /// Reads the index from the bytes between its offset and the file's end.
    pub fn read(bytes: &[u8], salt: [u8; 4]) -> Option<Self> {
        let index = bytes.get(..bytes.len().checked_sub(TRAILER_LEN)?)?.strip_prefix(&SYNC)?;
        let (len, rest) = index.split_first_chunk::<4>()?;
        let (body, crc) = rest.split_at_checked(u32::from_le_bytes(*len) as usize)?;
        if log_crc(&[&salt, len, body]).to_le_bytes() != *crc {
            return None;
        }
        let index: Self = postcard::from_bytes(body).ok()?;
        // Blocks that overlap would let a small file ask for endless work.
        let end = |block: &BlockEntry| block.offset.saturating_add(u64::from(block.len));
        index.blocks.is_sorted_by(|a, b| end(a) <= b.offset).then_some(index)
    }
}
