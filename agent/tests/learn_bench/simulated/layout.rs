//! Published layouts, frozen by `tests/reference/learn_layouts.py`: which bits of which
//! message carry what.

/// One number in a message.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    pub(crate) role: String,
    pub(crate) start: u8,
    pub(crate) len: u8,
    pub(crate) little: bool,
    pub(crate) signed: bool,
    /// Of speeds: m/s a step, and at 0.
    pub(crate) factor: f64,
    pub(crate) offset: f64,
}

/// One message.
#[derive(Clone, Debug)]
pub(crate) struct Message {
    pub(crate) id: u32,
    pub(crate) len: u8,
    pub(crate) places: Vec<Place>,
}

/// One bus.
#[derive(Clone, Debug)]
pub(crate) struct Layout {
    pub(crate) file: String,
    pub(crate) messages: Vec<Message>,
}

impl Place {
    /// Its bits from the most significant on, by their DBC numbers.
    pub(crate) fn bits(&self) -> Vec<u8> {
        if self.little {
            return (self.start..self.start + self.len).rev().collect();
        }
        let mut at = self.start;
        let mut bits = Vec::new();
        for _ in 0..self.len {
            bits.push(at);
            at = if at.is_multiple_of(8) { at + 15 } else { at - 1 };
        }
        bits
    }

    pub(crate) fn mask(&self) -> u64 {
        self.bits().iter().fold(0, |mask, bit| mask | 1 << bit)
    }

    /// Sets its bits of a little-endian word to those of a whole number, kept in its range.
    pub(crate) fn write(&self, word: &mut u64, number: i64) {
        let span = 1_i64 << self.len;
        let (low, high) = if self.signed { (-span / 2, span / 2 - 1) } else { (0, span - 1) };
        let number = number.clamp(low, high) as u64;
        for (i, bit) in self.bits().iter().rev().enumerate() {
            *word &= !(1 << bit);
            *word |= (number >> i & 1) << bit;
        }
    }

    pub(crate) fn read(&self, word: u64) -> f64 {
        let bits = self.bits();
        let raw = bits.iter().fold(0_u64, |raw, bit| raw << 1 | word >> bit & 1);
        if self.signed && raw >> (self.len - 1) == 1 {
            raw as f64 - (1_u64 << self.len) as f64
        } else {
            raw as f64
        }
    }

    /// The largest number it holds.
    pub(crate) fn most(&self) -> f64 {
        let span = (1_u64 << self.len) as f64;
        if self.signed { span / 2.0 - 1.0 } else { span - 1.0 }
    }
}

/// All layouts of the frozen table.
pub(crate) fn layouts() -> Vec<Layout> {
    let mut all: Vec<Layout> = Vec::new();
    let rows = include_str!("../../data/learn_layouts.csv").lines();
    for row in rows.filter(|row| !row.starts_with('#')).skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let [file, id, len, role, start, bits, order, sign, factor, offset] = cells[..] else {
            panic!("{row}");
        };
        let id = u32::from_str_radix(id, 16).unwrap();
        if all.last().is_none_or(|layout| layout.file != file) {
            all.push(Layout { file: file.to_owned(), messages: Vec::new() });
        }
        let messages = &mut all.last_mut().unwrap().messages;
        if messages.last().is_none_or(|message| message.id != id) {
            messages.push(Message { id, len: len.parse().unwrap(), places: Vec::new() });
        }
        messages.last_mut().unwrap().places.push(Place {
            role: role.to_owned(),
            start: start.parse().unwrap(),
            len: bits.parse().unwrap(),
            little: order == "le",
            signed: sign == "-",
            factor: factor.parse().unwrap(),
            offset: offset.parse().unwrap(),
        });
    }
    all
}
