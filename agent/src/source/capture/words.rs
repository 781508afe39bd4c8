//! Pieces of a line: words, numbers, bytes. Everything is ASCII; nothing allocates.

/// The words of a line, parted by spaces and tabs.
#[derive(Clone, Debug)]
pub(super) struct Words<'a>(pub(super) &'a [u8]);

impl<'a> Iterator for Words<'a> {
    type Item = &'a [u8];

    fn next(&mut self) -> Option<&'a [u8]> {
        let rest = self.0.trim_ascii_start();
        if rest.is_empty() {
            self.0 = rest;
            return None;
        }
        let end = rest.iter().position(u8::is_ascii_whitespace).unwrap_or(rest.len());
        let (word, after) = rest.split_at(end);
        self.0 = after;
        Some(word)
    }
}

const NO_DIGIT: u8 = 0xFF;

/// The value of each byte as a hexadecimal digit.
const NIBBLES: [u8; 256] = {
    let mut nibbles = [NO_DIGIT; 256];
    let mut digit = 0;
    while digit < 10 {
        nibbles[b'0' as usize + digit] = digit as u8;
        digit += 1;
    }
    let mut letter = 0;
    while letter < 6 {
        nibbles[b'A' as usize + letter] = 10 + letter as u8;
        nibbles[b'a' as usize + letter] = 10 + letter as u8;
        letter += 1;
    }
    nibbles
};

/// One hexadecimal digit.
pub(super) fn nibble(digit: u8) -> Option<u8> {
    // A byte is always within the 256.
    let nibble = NIBBLES[usize::from(digit)];
    (nibble != NO_DIGIT).then_some(nibble)
}

/// Two hexadecimal digits.
pub(super) fn hex_byte(high: u8, low: u8) -> Option<u8> {
    let (high, low) = (NIBBLES[usize::from(high)], NIBBLES[usize::from(low)]);
    // Digits are below 16 and NO_DIGIT has all bits.
    (high | low < 16).then_some(high << 4 | (low & 15))
}

/// 1 to 8 hexadecimal digits.
pub(super) fn hex(digits: &[u8]) -> Option<u32> {
    if digits.is_empty() || digits.len() > 8 {
        return None;
    }
    digits.iter().try_fold(0_u32, |value, digit| Some(value << 4 | u32::from(nibble(*digit)?)))
}

/// A number of decimal digits that fits.
pub(super) fn decimal(digits: &[u8]) -> Option<u64> {
    if digits.is_empty() || digits.len() > 19 {
        return None;
    }
    digits.iter().try_fold(0_u64, |value, digit| {
        let digit = digit.wrapping_sub(b'0');
        if digit > 9 { None } else { value.checked_mul(10)?.checked_add(u64::from(digit)) }
    })
}

/// A decimal number with at most 9 digits after its point, in 10^-9 of its unit.
pub(super) fn nanos(number: &[u8]) -> Option<i64> {
    let point = number.iter().position(|b| *b == b'.');
    let (whole, fraction) = match point {
        Some(at) => (number.get(..at)?, number.get(at + 1..)?),
        None => (number, [].as_slice()),
    };
    if fraction.len() > 9 || (point.is_some() && fraction.is_empty()) {
        return None;
    }
    let scale = 10_u64.pow(9 - fraction.len() as u32);
    let fraction = if fraction.is_empty() { 0 } else { decimal(fraction)? * scale };
    let whole = decimal(whole)?.checked_mul(1_000_000_000)?;
    i64::try_from(whole.checked_add(fraction)?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers() {
        assert_eq!(nanos(b"1735270496.916858"), Some(1_735_270_496_916_858_000));
        assert_eq!(
            (nanos(b"7"), nanos(b"0.5"), nanos(b"0.000000001")),
            (Some(7_000_000_000), Some(500_000_000), Some(1))
        );
        for wrong in
            ["", ".", "1.", ".5", "1.2.3", "-1.0", "1.0000000000", "9999999999999.0", "1e3"]
        {
            assert_eq!(nanos(wrong.as_bytes()), None, "{wrong}");
        }
        assert_eq!(
            (hex(b"7fF"), hex(b"FFFFFFFF"), hex(b"123456789"), hex(b"+1")),
            (Some(0x7FF), Some(u32::MAX), None, None)
        );
        assert_eq!(
            (hex_byte(b'a', b'5'), hex_byte(b'G', b'0'), hex_byte(b'0', b' ')),
            (Some(0xA5), None, None)
        );
        assert_eq!(
            (decimal(b"18446744073709551615"), decimal(b"9999999999999999999")),
            (None, Some(9_999_999_999_999_999_999))
        );
        let words: Vec<_> = Words(b"  a\tbc  d \r").collect();
        assert_eq!(words, [b"a".as_slice(), b"bc", b"d"]);
    }
}
