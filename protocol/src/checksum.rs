//! The two checksums in use, each with its catalogue name.
//!
//! Parameters: the `RevEng` catalogue of parametrised CRC algorithms, as
//! transcribed by the crate `crc-catalog`.

use crc::{CRC_32_ISCSI, CRC_32_ISO_HDLC, Crc, Digest, Table};

/// Small tables where firmware may want the space, fast ones elsewhere.
#[cfg(not(feature = "alloc"))]
type Size = Table<1>;
#[cfg(feature = "alloc")]
type Size = Table<16>;

static LINK: Crc<u32, Size> = Crc::<u32, Size>::new(&CRC_32_ISO_HDLC);
static LOG: Crc<u32, Size> = Crc::<u32, Size>::new(&CRC_32_ISCSI);

/// CRC-32/ISO-HDLC of a link packet. `SPEC.md`, "Why CRC-32".
pub fn link_crc(bytes: &[u8]) -> u32 {
    LINK.checksum(bytes)
}

/// CRC-32/ISCSI (CRC-32C) over the concatenation of `parts`, as the log uses it.
pub fn log_crc(parts: &[&[u8]]) -> u32 {
    let mut digest: Digest<'_, u32, _> = LOG.digest();
    for part in parts {
        digest.update(part);
    }
    digest.finalize()
}

/// The same checksum, of bytes that come piece by piece.
#[derive(Clone)]
pub struct LogCrc(Digest<'static, u32, Size>);

impl LogCrc {
    /// Of no bytes yet.
    pub fn new() -> Self {
        Self(LOG.digest())
    }

    /// Goes on with these bytes.
    pub fn update(&mut self, bytes: &[u8]) {
        self.0.update(bytes);
    }

    /// The checksum of all bytes so far.
    pub fn finish(self) -> u32 {
        self.0.finalize()
    }
}

impl Default for LogCrc {
    fn default() -> Self {
        Self::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: RevEng catalogue check values for "123456789" (crate crc-catalog 2.5.0).
    #[test]
    fn catalogue_check_values() {
        assert_eq!(link_crc(b"123456789"), 0xCBF4_3926);
        assert_eq!(log_crc(&[b"12345", b"6789"]), 0xE306_9283);
        let mut pieces = LogCrc::new();
        pieces.update(b"1234");
        pieces.update(b"56789");
        assert_eq!(pieces.finish(), 0xE306_9283);
        assert_eq!((link_crc(b""), log_crc(&[])), (0, 0));
    }

    // Source: RFC 3720 appendix B.4, CRC bytes in transmission order.
    #[test]
    fn rfc_3720_examples() {
        let rising: [u8; 32] = core::array::from_fn(|i| i as u8);
        let falling: [u8; 32] = core::array::from_fn(|i| 31 - i as u8);
        let read_10: [u8; 48] = [
            0x01, 0xc0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0x14, 0, 0, 0, 0, 0, 4, 0, 0, 0,
            0, 0x14, 0, 0, 0, 0x18, 0x28, 0, 0, 0, 0, 0, 0, 0, 0x02, 0, 0, 0, 0, 0, 0, 0,
        ];
        let cases: [(&[u8], [u8; 4]); 5] = [
            (&[0; 32], [0xaa, 0x36, 0x91, 0x8a]),
            (&[0xff; 32], [0x43, 0xab, 0xa8, 0x62]),
            (&rising, [0x4e, 0x79, 0xdd, 0x46]),
            (&falling, [0x5c, 0xdb, 0x3f, 0x11]),
            (&read_10, [0x56, 0x3a, 0x96, 0xd9]),
        ];
        for (message, transmitted) in cases {
            assert_eq!(log_crc(&[message]).to_le_bytes(), transmitted);
        }
    }
}
