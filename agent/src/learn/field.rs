//! A run of bits in a payload as a number, in either byte order.
//!
//! The start bit is that of a DBC file (see `decode::bits`): the least
//! significant bit of a little-endian field, the most significant bit of a
//! big-endian one, counted 8 x byte + bit. A field within one byte is the same in
//! both orders and is called little-endian here.

/// Where a field stands and how its bits are a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Field {
    /// Start bit as in a DBC file.
    pub start: u8,
    /// Length, 1 to 32 bits.
    pub len: u8,
    /// Motorola byte order.
    pub big_endian: bool,
    /// Two's complement.
    pub signed: bool,
}

impl Field {
    /// A little-endian field of `len` bits whose least significant bit is `low`.
    pub(super) fn little(low: u8, len: u8) -> Self {
        Self { start: low, len, big_endian: false, signed: false }
    }

    /// A big-endian field of `len` bits that begins `from` bits behind the payload's first.
    pub(super) fn big(from: u8, len: u8) -> Self {
        let start = dbc_bit(from);
        if from / 8 == (from + len - 1) / 8 {
            return Self::little(start + 1 - len, len);
        }
        Self { start, len, big_endian: true, signed: false }
    }

    /// The field's bits of a payload read as a little-endian word.
    pub(super) fn bits(self, word: u64) -> u64 {
        let mask = (1_u64 << self.len) - 1;
        if self.big_endian {
            let end = dbc_bit(self.start) + self.len;
            word.swap_bytes() >> (64 - u32::from(end)) & mask
        } else {
            word >> self.start & mask
        }
    }

    /// What the bits stand for.
    pub(super) fn number(self, bits: u64) -> f64 {
        if self.signed && bits >> (self.len - 1) & 1 == 1 {
            bits as f64 - (1_u64 << self.len) as f64
        } else {
            bits as f64
        }
    }

    /// The bits it covers, by their DBC numbers.
    pub fn mask(self) -> u64 {
        let ones = (1_u64 << self.len) - 1;
        if self.big_endian {
            let end = dbc_bit(self.start) + self.len;
            (ones << (64 - u32::from(end))).swap_bytes()
        } else {
            ones << self.start
        }
    }

    /// Its bits from the most significant on, by their DBC numbers.
    pub(super) fn places(self) -> impl Iterator<Item = u8> {
        (0..self.len).map(move |i| {
            if self.big_endian {
                dbc_bit(dbc_bit(self.start) + i)
            } else {
                self.start + self.len - 1 - i
            }
        })
    }

    /// Words for people: which bytes, which bits.
    pub(super) fn place(self) -> String {
        let first = self.places().map(|bit| bit / 8).min().unwrap_or(0);
        let last = self.places().map(|bit| bit / 8).max().unwrap_or(0);
        let bytes =
            if first == last { format!("byte {first}") } else { format!("bytes {first}-{last}") };
        let order = match (first == last, self.big_endian) {
            (true, _) => "",
            (false, true) => " big-endian",
            (false, false) => " little-endian",
        };
        let sign = if self.signed { " signed" } else { "" };
        if self.len.is_multiple_of(8) && u32::from(self.len) / 8 == u32::from(last - first) + 1 {
            format!("{bytes}{order}{sign}")
        } else {
            let bits = if self.len == 1 { "bit" } else { "bits" };
            format!("{bytes}{order}{sign}, {} {bits} from bit {}", self.len, self.start)
        }
    }
}

/// Between DBC bit numbers and places counted from the payload's first bit: its own inverse.
pub(super) fn dbc_bit(place: u8) -> u8 {
    place / 8 * 8 + 7 - place % 8
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::decode::dbc::{Database, Value};

    /// The agent's DBC decoder was checked against cantools (`tests/dbc.rs`); a field means
    /// the same there.
    #[test]
    fn same_numbers_as_the_dbc_decoder() {
        let mut random = oorandom::Rand64::new(3);
        for _ in 0..500 {
            let len = 1 + (random.rand_u64() % 32) as u8;
            let from = (random.rand_u64() % (65 - u64::from(len))) as u8;
            let mut field = if random.rand_u64() & 1 == 0 {
                Field::little(from, len)
            } else {
                Field::big(from, len)
            };
            field.signed = random.rand_u64() & 1 == 0;
            let (order, sign) = (u8::from(!field.big_endian), if field.signed { '-' } else { '+' });
            let dbc = format!(
                "VERSION \"\"\nNS_ :\nBS_:\nBU_: A\nBO_ 5 M: 8 A\n SG_ S : {}|{}@{order}{sign} (1,0) [0|0] \"\" A\n",
                field.start, field.len
            );
            let database = Database::parse(dbc.as_bytes()).unwrap();
            let word = random.rand_u64();
            let expected = database.messages[0].value(0, &word.to_le_bytes());
            assert_eq!(expected, Value::Is(field.number(field.bits(word))), "{field:?} {word:x}");
            let mask = field.places().fold(0_u64, |mask, bit| mask | 1 << bit);
            assert_eq!(mask, field.mask());
        }
    }
}
