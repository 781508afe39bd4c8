//! Fields of a CAN payload: any bits, either byte order.
//!
//! Bit number = 8 x byte + bit, bit 0 the least significant of its byte. Little
//! endian (Intel): the start bit is the least significant of the field, and the
//! next one counts up. Big endian (Motorola): the start bit is the most
//! significant, and the next one goes down, from bit 0 of a byte to bit 7 of the
//! next. Source: the canmatrix project's wiki, page "signal Byteorder".

/// A field begins at this bit at the latest: the longest message of SAE J1939-21 has
/// 1785 bytes.
pub(super) const LAST_BIT: u64 = 8 * 1785 - 1;

/// Byte order of a field.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Order {
    /// Intel.
    Little,
    /// Motorola.
    Big,
}

/// How the bits are a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// Unsigned integer.
    Unsigned,
    /// Two's complement.
    Signed,
    /// IEEE 754 with 32 bits.
    Float32,
    /// IEEE 754 with 64 bits.
    Float64,
}

/// Where a field stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Field {
    /// Start bit.
    pub(super) start: u16,
    /// Length, 1 to 64 bits.
    pub(super) len: u8,
    /// Byte order.
    pub(super) order: Order,
    /// Number form.
    pub(super) form: Form,
}

impl Field {
    /// The field's bits as an unsigned number; `None` if the payload is too short.
    pub(super) fn bits(self, data: &[u8]) -> Option<u64> {
        let mut value = 0_u64;
        let mut at = usize::from(self.start);
        for i in 0..self.len {
            let bit = u64::from(*data.get(at / 8)? >> (at % 8) & 1);
            match self.order {
                Order::Little => {
                    value |= bit << i;
                    at += 1;
                }
                Order::Big => {
                    value = value << 1 | bit;
                    at = if at % 8 == 0 { at + 15 } else { at - 1 };
                }
            }
        }
        Some(value)
    }

    /// What the bits stand for.
    pub(super) fn number(self, bits: u64) -> f64 {
        match self.form {
            Form::Unsigned => bits as f64,
            Form::Signed => {
                let unused = 64 - u32::from(self.len.clamp(1, 64));
                ((bits << unused) as i64 >> unused) as f64
            }
            Form::Float32 => f64::from(f32::from_bits(bits as u32)),
            Form::Float64 => f64::from_bits(bits),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: canmatrix wiki, as above: an 11-bit Motorola field from bit 3 ends at bit 9.
    #[test]
    fn the_11_bit_example() {
        let field = Field { start: 3, len: 11, order: Order::Big, form: Form::Unsigned };
        let mut data = [0_u8; 2];
        data[1] = 1 << 1;
        assert_eq!(field.bits(&data), Some(1));
        data = [1 << 3, 0];
        assert_eq!(field.bits(&data), Some(1 << 10));
        assert_eq!(field.bits(&data[..1]), None);
    }

    #[test]
    fn whole_words() {
        let data = [0x01, 0x23, 0x45, 0x67, 0x89, 0xAB, 0xCD, 0xEF];
        let little = Field { start: 0, len: 64, order: Order::Little, form: Form::Signed };
        assert_eq!(little.bits(&data), Some(u64::from_le_bytes(data)));
        assert_eq!(little.number(u64::MAX).to_bits(), (-1.0_f64).to_bits());
        let big = Field { start: 7, len: 64, order: Order::Big, form: Form::Unsigned };
        assert_eq!(big.bits(&data), Some(u64::from_be_bytes(data)));
        let half = Field { start: 8, len: 32, order: Order::Little, form: Form::Float32 };
        assert_eq!(half.number(u64::from(1.5_f32.to_bits())).to_bits(), 1.5_f64.to_bits());
    }
}
