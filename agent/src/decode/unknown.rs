//! Numbers of SAE J1939 that are no measurements.
//!
//! ```text
//! unsigned, 1 to 4 bytes, by the highest byte:
//!     00 to FA value   FB to FD code or reserved   FE error of the sensor   FF not available
//! 2 bits:  0 off   1 on   2 error   3 not available
//! other unsigned fields from 8 bits: all bits set: not available
//! ```
//!
//! Source: SAE J1939-71, transmitted signal ranges, from memory; the largest values that the
//! published tables of its signals give agree (250, 64,255, 4,211,081,215: FA, FAFF, FAFFFFFF).

use super::bits::Form;
use super::dbc::Value;

/// From which number on a field holds no value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Unknown {
    indicator: u64,
    not_available: u64,
}

impl Unknown {
    /// Of a field of a J1939 message; `None` if all of its numbers are values.
    pub(super) fn of(form: Form, len: u8) -> Option<Self> {
        if form != Form::Unsigned {
            return None;
        }
        let all = u64::MAX.checked_shr(64_u32.saturating_sub(len.into()))?;
        match len {
            2 => Some(Self { indicator: 2, not_available: 3 }),
            8 | 16 | 24 | 32 => {
                let high = |byte: u64| byte << (len - 8);
                Some(Self { indicator: high(0xFB), not_available: high(0xFF) })
            }
            9..=64 => Some(Self { indicator: all, not_available: all }),
            _ => None,
        }
    }

    /// What it is instead of a value.
    pub(super) fn instead(self, bits: u64) -> Option<Value> {
        if bits < self.indicator {
            None
        } else if bits < self.not_available {
            Some(Value::Indicator)
        } else {
            Some(Value::NotAvailable)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges() {
        let of = |len, bits| Unknown::of(Form::Unsigned, len).and_then(|u| u.instead(bits));
        let (code, none) = (Some(Value::Indicator), Some(Value::NotAvailable));
        for (len, least, error, most) in [
            (8, 250, 0xFE, 0xFF),
            (16, 64_255, 0xFE00, 0xFFFF),
            (32, 4_211_081_215, 0xFE00_0000, 0xFFFF_FFFF),
        ] {
            assert_eq!((of(len, least), of(len, least + 1)), (None, code), "{len}");
            assert_eq!((of(len, error), of(len, most)), (code, none), "{len}");
        }
        assert_eq!((of(16, 0xFEFF), of(16, 0xFF00)), (code, none));
        assert_eq!([0, 1, 2, 3].map(|bits| of(2, bits)), [None, None, code, none]);
        assert_eq!((of(12, 0xFFE), of(12, 0xFFF)), (None, none));
        assert_eq!((of(64, u64::MAX - 1), of(64, u64::MAX)), (None, none));
        assert_eq!((of(1, 1), of(4, 15), of(7, 127)), (None, None, None));
        assert_eq!(Unknown::of(Form::Signed, 16), None);
        assert_eq!(Unknown::of(Form::Float32, 32), None);
    }
}
