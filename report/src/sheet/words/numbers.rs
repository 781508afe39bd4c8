//! How a language writes numbers: the sign before the fraction, and thousands.
//!
//! Source: Unicode CLDR, `numbers.json` of each language (symbols of the `latn`
//! digits, and `minimumGroupingDigits`): Spanish writes 1080, but 13.200.

use crate::settings::site::Language;

/// The signs of one language.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Numbers {
    /// Stands before the fraction.
    pub(crate) point: char,
    /// Stands between groups of three digits.
    group: char,
    /// Shortest number, in digits, that is grouped.
    grouped_from: usize,
}

impl Numbers {
    pub(crate) const fn of(language: Language) -> Self {
        match language {
            Language::English => Self { point: '.', group: ',', grouped_from: 4 },
            Language::Spanish => Self { point: ',', group: '.', grouped_from: 5 },
            Language::German => Self { point: ',', group: '.', grouped_from: 4 },
        }
    }

    /// A whole number.
    pub(crate) fn grouped(self, n: u64) -> String {
        let digits = n.to_string();
        if digits.len() < self.grouped_from {
            return digits;
        }
        let mut out = String::new();
        for (i, c) in digits.chars().enumerate() {
            if i > 0 && (digits.len() - i).is_multiple_of(3) {
                out.push(self.group);
            }
            out.push(c);
        }
        out
    }

    /// A number that was written with a point.
    pub(crate) fn localized(self, text: String) -> String {
        if self.point == '.' { text } else { text.replace('.', &self.point.to_string()) }
    }
}
